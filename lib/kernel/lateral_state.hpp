// Lateral coordinates and what loads them (lib/README.md, "Lateral plane").
#pragma once

#include "numerics/scalar.hpp"

namespace nockwise::kernel {

/// Lateral coordinates or their rates; leans in the side frames.
template <class S>
struct LateralState {
  S z, yaw, roll;
  S lean[2];
  S nock;  // of the string's nock point
};

/// The generalised forces on them, of potentials and dampers.
template <class S>
struct LateralLoads {
  S force{0.0}, yaw{0.0}, roll{0.0};
  S lean[2]{S(0.0), S(0.0)};
  S nock{0.0};
};

/// Places and rates together.
template <class S>
struct LateralMotion {
  LateralState<S> place, rate;
};

/// The bow's own plane, tilted by roll and yaw: what turns vectors between it and the inertial frame, to second order
/// (Eq. 32).
template <class S>
struct Tilt {
  S roll, yaw;

  /// How far a point of the plane stands out of the inertial plane through the grip.
  [[nodiscard]] S rise(Vector2<S> r) const { return roll * r.y - yaw * r.x; }
  /// What the tilt does in the plane to a point that stands out by `out`.
  [[nodiscard]] Vector2<S> inward(S out) const { return {-(yaw * out), roll * out}; }
};

}  // namespace nockwise::kernel
