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
    sum += a[k] * b[k];
  }
  return sum;
}

/// Mode shapes and their slopes at one point of the shaft.
template <class S>
struct ShaftPoint {
  S shape[max_modes], slope[max_modes];
};

/// The cubic between two nodes (Catmull–Rom, as arrow_beam.hpp's stencil) is read from its four coefficients per mode.
template <class S>
void find_shaft_point(const ArrowConstants<S>& arrow, int nodes, int modes, S position, ShaftWindow<S>& window,
                      ShaftPoint<S>& point) {
  const S inverse = S(1.0) / arrow.spacing;
  const S place = inverse * position;
  const S span = whole_part(minimum(positive(place), S(static_cast<double>(nodes - 2))));
  const S t = place - span;
  const S* c = span_of(arrow.shapes.spans, span, modes, window);
  for (int k = 0; k < modes; ++k, c += 4) {
    point.shape[k] = c[0] + t * (c[1] + t * (c[2] + t * c[3]));
    point.slope[k] = inverse * (c[1] + t * (S(2.0) * c[2] + S(3.0) * t * c[3]));
  }
}

inline ShaftPoint<double> shaft_point(const ArrowConstants<double>& arrow, int nodes, int modes, double position) {
  ShaftWindow<double> window;
  ShaftPoint<double> point;
  find_shaft_point(arrow, nodes, modes, position, window, point);
  return point;
}

/// Add the elastic forces −ω²(c + τ ċ) of both planes, which a spine that differs around the shaft couples (Eqs. 26,
/// 26b).
template <class S>
void add_elastic_forces(const ArrowConstants<S>& arrow, int modes, const S* y, const S* y_rate, const S* z,
                        const S* z_rate, S* y_force, S* z_force) {
  const SpineAround<S>& around = arrow.around;
  for (int k = 2; k < modes; ++k) {
    const S up = arrow.stiffness[k] * (y[k] + arrow.damping_time * y_rate[k]);
    const S aside = arrow.stiffness[k] * (z[k] + arrow.damping_time * z_rate[k]);
    y_force[k] -= around.upright * up + around.slanted * aside;
    z_force[k] -= around.level * aside + around.slanted * up;
  }
}

/// u = H c / M, how the nock moves along x per change of the bend: x_nock = x + cᵀH c/(2M), x being where the nock of
/// the unbent arrow would stand. A push R on the nock along x loads the modes with u R: the softening by thrust
/// ("dynamic spine").
/// Row and column 0 of H, of the rigid translation, vanish.
template <class S>
void thrust_shape(const ArrowConstants<S>& arrow, int modes, const S* c, S* shape) {
  const S inverse = S(1.0) / arrow.total_mass;
  shape[0] = S(0.0);
  for (int i = 1; i < modes; ++i) {
    shape[i] = arrow.thrust[1][i] * c[1];
  }
  for (int j = 2; j < modes; ++j) {
    for (int i = 1; i < modes; ++i) {
      shape[i] += arrow.thrust[j][i] * c[j];
    }
  }
  for (int i = 1; i < modes; ++i) {
    shape[i] = inverse * shape[i];
  }
}

/// The same for four sets of coordinates at once, reading H once.
template <class S>
struct ThrustShapes {
  S y[max_modes], z[max_modes], rate[max_modes], z_rate[max_modes];
};
template <class S>
void thrust_shapes(const ArrowConstants<S>& arrow, int modes, S inverse_mass, const S* y, const S* z, const S* rate,
                   const S* z_rate, ThrustShapes<S>& shapes) {
  shapes.y[0] = S(0.0);
  shapes.z[0] = S(0.0);
  shapes.rate[0] = S(0.0);
  shapes.z_rate[0] = S(0.0);
  for (int i = 1; i < modes; ++i) {
    const S first = arrow.thrust[1][i];
    S of_y = first * y[1];
    S of_z = first * z[1];
    S of_rate = first * rate[1];
    S of_z_rate = first * z_rate[1];
    for (int j = 2; j < modes; ++j) {
      const S h = arrow.thrust[j][i];
      of_y += h * y[j];
      of_z += h * z[j];
      of_rate += h * rate[j];
      of_z_rate += h * z_rate[j];
    }
    shapes.y[i] = inverse_mass * of_y;
    shapes.z[i] = inverse_mass * of_z;
    shapes.rate[i] = inverse_mass * of_rate;
    shapes.z_rate[i] = inverse_mass * of_z_rate;
  }
}

/// The nock groove: position and velocity, in the plane of the shot and sideways.
template <class S>
struct NockMotion {
  Vector2<S> position, velocity;
  S aside, aside_rate;
};

/// Modal coordinates of the shaft in one plane, with u = H c / M of them.
template <class S>
struct BentShaft {
  const S* thrust;
  const S* place;
  const S* rate;
};

/// Both bends draw the nock ahead.
template <class S>
NockMotion<S> nock_motion(const ArrowConstants<S>& arrow, int modes, S x, S x_rate, const BentShaft<S>& y,
                          const BentShaft<S>& z) {
  const S ahead = modal_sum(modes, y.thrust, y.place) + modal_sum(modes, z.thrust, z.place);
  const S ahead_rate = modal_sum(modes, y.thrust, y.rate) + modal_sum(modes, z.thrust, z.rate);
  return {{x + S(0.5) * ahead, modal_sum(modes, arrow.nock_shape, y.place)},
          {x_rate + ahead_rate, modal_sum(modes, arrow.nock_shape, y.rate)},
          modal_sum(modes, arrow.nock_shape, z.place),
          modal_sum(modes, arrow.nock_shape, z.rate)};
}

/// The same from the coordinates alone.
template <class S>
NockMotion<S> nock_of(const ArrowConstants<S>& arrow, int modes, S x, S x_rate, const S* y, const S* y_rate, const S* z,
                      const S* z_rate) {
  S of_y[max_modes];
  S of_z[max_modes];
  thrust_shape(arrow, modes, y, of_y);
  thrust_shape(arrow, modes, z, of_z);
  return nock_motion(arrow, modes, x, x_rate, {of_y, y, y_rate}, {of_z, z, z_rate});
}

}  // namespace nockwise::kernel
