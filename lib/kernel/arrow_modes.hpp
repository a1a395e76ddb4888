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

/// u = H c / M, how the nock moves along x per change of the bend: x_nock = x + cᵀH c/(2M), x being where the nock of
/// the unbent arrow would stand. A push R on the nock along x loads the modes with u R: the softening by thrust
/// ("dynamic spine").
template <class S>
void thrust_shape(const ArrowConstants<S>& arrow, int modes, const S* c, S* shape) {
  const S inverse = S(1.0) / arrow.total_mass;
  int i = 0;
  do {  // there is always a mode; said so that the compiler knows it, too
    shape[i] = inverse * modal_sum(modes, arrow.thrust[i], c);
  } while (++i < modes);
}

/// The nock groove: position and velocity.
template <class S>
struct NockMotion {
  Vector2<S> position, velocity;
};

template <class S>
NockMotion<S> nock_motion(const ArrowConstants<S>& arrow, int modes, const S* shape, S x, S x_rate, const S* c,
                          const S* rate) {
  return {{x + S(0.5) * modal_sum(modes, shape, c), modal_sum(modes, arrow.nock_shape, c)},
          {x_rate + modal_sum(modes, shape, rate), modal_sum(modes, arrow.nock_shape, rate)}};
}

}  // namespace nockwise::kernel
