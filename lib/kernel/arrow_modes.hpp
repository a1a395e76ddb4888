// The arrow in modal coordinates: displacement y(s) = Σ φ_k(s) c_k (lib/README.md, "Arrow").
//
// Mass-normalised free modes make the mass matrix one, but for the string's lump at the nock (a rank-one term) and the
// axial coupling. Keeping the lowest modes takes away the stiff ones that would set the step; `arrow.modes` says how
// many, and the tear converges in it.
#pragma once

#include "kernel/arrow_beam.hpp"

namespace nockwise::kernel {

template <class S>
S modal_sum(int modes, const S* a, const S* b) {
  S sum = a[0] * b[0];
  for (int k = 1; k < modes; ++k) {
    sum = sum + a[k] * b[k];
  }
  return sum;
}

/// Mode shapes and their slopes at one point of the shaft.
template <class S>
struct ShaftPoint {
  S shape[max_modes], slope[max_modes];
};

inline ShaftPoint<double> shaft_point(const ArrowConstants<double>& arrow, int nodes, int modes, double position) {
  const Footing<double> foot = footing(position, arrow.spacing, nodes);
  ShaftPoint<double> point;
  const double* rows[4];
  for (int a = 0; a < 4; ++a) {
    rows[a] = arrow.shapes.rows + foot.node[a] * modes;
  }
  for (int k = 0; k < modes; ++k) {
    point.shape[k] = foot.weight[0] * rows[0][k] + foot.weight[1] * rows[1][k] + foot.weight[2] * rows[2][k] +
                     foot.weight[3] * rows[3][k];
    point.slope[k] = foot.slope_weight[0] * rows[0][k] + foot.slope_weight[1] * rows[1][k] +
                     foot.slope_weight[2] * rows[2][k] + foot.slope_weight[3] * rows[3][k];
  }
  return point;
}

/// Add the elastic forces −ω²(c + τ ċ) (Eqs. 25, 26).
template <class S>
void add_elastic_forces(const ArrowConstants<S>& arrow, int modes, const S* c, const S* rate, S* force) {
  for (int k = 2; k < modes; ++k) {
    force[k] = force[k] - arrow.stiffness[k] * (c[k] + arrow.damping_time * rate[k]);
  }
}

/// Generalised transverse force per unit axial acceleration, g = H c (Eq. 25): the softening by thrust ("dynamic
/// spine").
template <class S>
void thrust_force(const ArrowConstants<S>& arrow, int modes, const S* c, S* force) {
  int i = 0;
  do {  // there is always a mode; said so that the compiler knows it, too
    force[i] = modal_sum(modes, arrow.thrust[i], c);
  } while (++i < modes);
}

/// Share of the string's lump in the inverse mass matrix: (1 + m φφᵀ)⁻¹ = 1 − κ φφᵀ with κ = m/(1 + m φ·φ).
template <class S>
S nock_coupling(const ArrowConstants<S>& arrow, int modes, S string_mass) {
  return string_mass / (S(1.0) + string_mass * modal_sum(modes, arrow.nock_shape, arrow.nock_shape));
}

}  // namespace nockwise::kernel
