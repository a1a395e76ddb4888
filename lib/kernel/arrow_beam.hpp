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
