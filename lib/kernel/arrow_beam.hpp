// The arrow as a beam: lumped masses along a shaft whose bending is the natural cubic spline through them
// (lib/README.md, "Arrow").
//
// The spline is the exact bending shape under nodal loads, so that the stiffness carries no discretisation error; the
// lumped masses are Gregory-weighted, so that mass, mass centre and inertia do not depend on the number of nodes and
// frequencies converge with the fourth power of the spacing. A launch runs in the lowest modes of this beam
// (kernel/arrow_modes.hpp).
#pragma once

#include "kernel/constants.hpp"

#include <initializer_list>

namespace nockwise::kernel {

/// Nodal masses and stiffness of a shaft.
template <class S>
struct NodalArrow {
  S spacing;                  // node spacing h [m]
  S length;                   // [m]
  S bending_stiffness;        // EI [N·m²]
  S damping_time;             // Kelvin–Voigt time 2ζ/ω₁ [s]
  S total_mass;               // [kg]
  S mass[max_nodes];          // lumped [kg]
  S inverse_mass[max_nodes];  // [1/kg]
  S mass_ahead[max_nodes];    // of the nodes ahead of segment j [kg]
};

/// 1/(4 − previous), the pivots of the tridiagonal (1 4 1) matrix of the spline's curvatures.
struct SplinePivots {
  double inverse[max_nodes]{};
  constexpr SplinePivots() {
    double previous = 0.0;
    for (double& value : inverse) {
      value = 1.0 / (4.0 - previous);
      previous = value;
    }
  }
};
inline constexpr SplinePivots spline_pivots{};

/// Bending moments EI κ at the nodes (zero at both free ends) of the spline through `y` (Eq. 18), and the transverse
/// forces they exert.
template <class S>
void add_bending_forces(const NodalArrow<S>& arrow, int nodes, const S* y, const S* rate, S* force) {
  const S time = arrow.damping_time;
  const S scale = S(6.0) * arrow.bending_stiffness / (arrow.spacing * arrow.spacing);
  S moment[max_nodes];
  S previous(0.0);
  S left = y[0] + time * rate[0];
  S middle = y[1] + time * rate[1];
  for (int i = 1; i < nodes - 1; ++i) {
    const S right = y[i + 1] + time * rate[i + 1];
    const S pivot(spline_pivots.inverse[i - 1]);
    previous = (scale * ((left - middle) + (right - middle)) - previous) * pivot;
    moment[i] = previous;
    left = middle;
    middle = right;
  }
  S next(0.0);
  for (int i = nodes - 2; i >= 1; --i) {
    next = moment[i] - S(spline_pivots.inverse[i - 1]) * next;
    moment[i] = next;
  }
  moment[0] = S(0.0);
  moment[nodes - 1] = S(0.0);
  const S inverse_spacing = S(1.0) / arrow.spacing;
  S shear_before(0.0);
  for (int i = 0; i < nodes - 1; ++i) {
    const S shear = (moment[i + 1] - moment[i]) * inverse_spacing;
    force[i] = force[i] - (shear - shear_before);
    shear_before = shear;
  }
  force[nodes - 1] = force[nodes - 1] + shear_before;
}

/// Transverse force per unit axial acceleration: g_i = (m_ahead,i−1 Δy_i−1 − m_ahead,i Δy_i)/h. Added as ẍ g (Eq. 22),
/// this is the softening by thrust ("dynamic spine").
template <class S>
void nodal_thrust_shape(const NodalArrow<S>& arrow, int nodes, const S* y, S* shape) {
  const S inverse_spacing = S(1.0) / arrow.spacing;
  S before(0.0);
  for (int i = 0; i < nodes - 1; ++i) {
    const S pull = arrow.mass_ahead[i] * (y[i + 1] - y[i]) * inverse_spacing;
    shape[i] = before - pull;
    before = pull;
  }
  shape[nodes - 1] = before;
}

/// Where a point of the shaft stands between the nodes: value = Σ weight · y, slope = Σ slope_weight · y (Catmull–Rom,
/// C¹, straight beyond the last node).
template <class S>
struct Stencil {
  int node[4];
  S weight[4];
  S slope_weight[4];

  [[nodiscard]] S value(const S* y) const {
    return weight[0] * y[node[0]] + weight[1] * y[node[1]] + weight[2] * y[node[2]] + weight[3] * y[node[3]];
  }
  [[nodiscard]] S slope(const S* y) const {
    return slope_weight[0] * y[node[0]] + slope_weight[1] * y[node[1]] + slope_weight[2] * y[node[2]] +
           slope_weight[3] * y[node[3]];
  }
};

inline Stencil<double> stencil(double position, double spacing, int nodes) {
  const double xi = position / spacing;
  const int i = static_cast<int>(minimum(maximum(xi, 0.0), static_cast<double>(nodes - 2)));
  const double t = xi - static_cast<double>(i);
  const double inverse = 1.0 / spacing;
  Stencil<double> f;
  f.weight[0] = 0.5 * t * (-1.0 + t * (2.0 - t));
  f.weight[1] = 1.0 + 0.5 * t * t * (3.0 * t - 5.0);
  f.weight[2] = 0.5 * t * (1.0 + t * (4.0 - 3.0 * t));
  f.weight[3] = 0.5 * t * t * (t - 1.0);
  f.slope_weight[0] = 0.5 * inverse * (-1.0 + t * (4.0 - 3.0 * t));
  f.slope_weight[1] = 0.5 * inverse * t * (9.0 * t - 10.0);
  f.slope_weight[2] = 0.5 * inverse * (1.0 + t * (8.0 - 9.0 * t));
  f.slope_weight[3] = 0.5 * inverse * t * (3.0 * t - 2.0);
  for (int k = 0; k < 4; ++k) {
    f.node[k] = i - 1 + k;
  }
  if (i == 0) {  // ghost node on the line through the first two
    for (double* w : {f.weight, f.slope_weight}) {
      w[1] += 2.0 * w[0];
      w[2] -= w[0];
      w[0] = 0.0;
    }
    f.node[0] = 0;
  }
  if (i == nodes - 2) {
    for (double* w : {f.weight, f.slope_weight}) {
      w[2] += 2.0 * w[3];
      w[1] -= w[3];
      w[3] = 0.0;
    }
    f.node[3] = nodes - 1;
  }
  return f;
}

}  // namespace nockwise::kernel
