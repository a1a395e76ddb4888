// How the bow moves in three dimensions (lib/README.md, "Lateral plane").
//
// Riser, limbs and cams move in a plane of their own that roll and yaw tilt against the inertial frame. Seen from that
// plane their kinetic energy is that of the vertical plane plus that of the lateral velocities, without a product of
// the two (Eq. 35); what is left are forces that do no work together. Everything is a member of one Lagrangian to
// second order in the lateral coordinates, so that the energy of both planes is kept.
#pragma once

#include "kernel/rest.hpp"

namespace nockwise::kernel {

/// Velocity of the grip and turning rates in the bow's own plane, and how they follow from the coordinates' rates:
/// (Ẋ, Ẏ, Ż) = u + τ × u + ½ τ × (τ × u), Θ̇ = Ω + ½ (ρ ψ̇ − ψ ρ̇), with τ = (ρ, ψ, 0) (Eq. 34).
template <class S>
struct BowVelocity {
  Vector2<S> in_plane;
  S out, pitch;
  S turn;  // of the plane about its own normal, Ω − Θ̇
};

template <class S, int Links>
BowVelocity<S> bow_velocity(const S* q, const S* v) {
  using L = Layout<Links>;
  const S roll = q[L::riser_roll];
  const S yaw = q[L::riser_yaw];
  const S square = roll * roll + yaw * yaw;
  // The exact inverse of 1 + K + ½ K², K = τ ×, is 1 + αK + βK².
  const S beta = (S(0.5) + S(0.25) * square) / (S(1.0) + S(0.25) * square * square);
  const S alpha = S(-0.5) - beta * (S(1.0) - S(0.5) * square);
  const S x = v[L::riser_x];
  const S y = v[L::riser_y];
  const S z = v[L::riser_z];
  const S rise = roll * y - yaw * x;
  const S inward = alpha * z + beta * rise;
  const S turn = S(-0.5) * (roll * v[L::riser_yaw] - yaw * v[L::riser_roll]);
  return {{x + yaw * inward, y - roll * inward}, z + alpha * rise - beta * square * z, v[L::riser_pitch] + turn, turn};
}

/// The riser as it moves in the bow's own plane.
template <class S, int Links>
RiserMotion<S> bow_motion(const S* q, const S* v, const BowVelocity<S>& bow) {
  RiserMotion<S> riser = riser_motion<S, Links>(q, v);
  riser.velocity = bow.in_plane;
  riser.pitch_rate = bow.pitch;
  return riser;
}

/// The lateral coordinates and their rates, with the string's point as it is said.
template <class S, int Links>
LateralMotion<S> lateral_motion(const S* q, const S* v, S nock, S nock_rate) {
  using L = Layout<Links>;
  return {{q[L::riser_z], q[L::riser_yaw], q[L::riser_roll], {q[L::lean(0)], q[L::lean(1)]}, nock},
          {v[L::riser_z], v[L::riser_yaw], v[L::riser_roll], {v[L::lean(0)], v[L::lean(1)]}, nock_rate}};
}

/// Accelerations of the coordinates from those in the bow's own plane, x and y of the grip itself: u̇ + (Ω − Θ̇) k × u.
template <class S>
struct BowAcceleration {
  S x, y, z, pitch, roll, yaw;
};
template <class S, int Links>
void put_acceleration(const BowAcceleration<S>& b, const BowVelocity<S>& u, const S* q, const S* v, S* a) {
  using L = Layout<Links>;
  const S roll = q[L::riser_roll];
  const S yaw = q[L::riser_yaw];
  const S roll_rate = v[L::riser_roll];
  const S yaw_rate = v[L::riser_yaw];
  const S rise = roll * u.in_plane.y - yaw * u.in_plane.x;
  const S x = b.x + u.turn * u.in_plane.y;
  const S y = b.y - u.turn * u.in_plane.x;
  const S rise_rate = roll * y - yaw * x + roll_rate * u.in_plane.y - yaw_rate * u.in_plane.x;
  const S out = u.out + S(0.5) * rise;
  const S out_rate = b.z + S(0.5) * rise_rate;
  a[L::riser_x] = x + yaw * out_rate + yaw_rate * out;
  a[L::riser_y] = y - roll * out_rate - roll_rate * out;
  a[L::riser_z] =
      b.z * (S(1.0) - S(0.5) * (roll * roll + yaw * yaw)) + rise_rate - (roll * roll_rate + yaw * yaw_rate) * u.out;
  a[L::riser_roll] = b.roll;
  a[L::riser_yaw] = b.yaw;
  a[L::riser_pitch] = b.pitch + S(0.5) * (roll * b.yaw - yaw * b.roll);
}

/// Generalised forces on the grip's coordinates X, Y, Z, Θ and on roll and yaw, of all potentials and dampers; turned
/// into the bow's own plane.
template <class S>
struct BowForces {
  S x{0.0}, y{0.0}, z{0.0}, pitch{0.0}, roll{0.0}, yaw{0.0};

  [[nodiscard]] BowForces<S> in_own_plane(S roll_angle, S yaw_angle) const {
    const S inward = S(0.5) * (yaw_angle * x - roll_angle * y);
    BowForces<S> own = *this;
    own.x = x - yaw_angle * (inward + z);
    own.y = y + roll_angle * (inward + z);
    own.z = z * (S(1.0) - S(0.5) * (roll_angle * roll_angle + yaw_angle * yaw_angle)) + S(2.0) * inward;
    own.roll = roll - S(0.5) * yaw_angle * pitch;
    own.yaw = yaw + S(0.5) * roll_angle * pitch;
    return own;
  }
};

template <class S, int Links>
BowForces<S> hand_forces(const HandConstants<S>& hand, const S* q, const S* v) {
  using L = Layout<Links>;
  BowForces<S> f;
  f.x = hand.force_x - hand.kx * q[L::riser_x] - hand.cx * v[L::riser_x];
  f.y = hand.force_y - hand.ky * q[L::riser_y] - hand.cy * v[L::riser_y];
  f.z = hand.force_z - hand.kz * q[L::riser_z] - hand.cz * v[L::riser_z];
  f.pitch = hand.moment_pitch - hand.k_pitch * q[L::riser_pitch] - hand.c_pitch * v[L::riser_pitch];
  f.roll = hand.moment_roll - hand.k_roll * q[L::riser_roll] - hand.c_roll * v[L::riser_roll];
  f.yaw = hand.moment_yaw - hand.k_yaw * q[L::riser_yaw] - hand.c_yaw * v[L::riser_yaw];
  return f;
}

/// Lateral motion of the bow's own plane.
template <class S>
struct PlaneMotion {
  S out, roll, yaw;  // velocity of the grip across it, and its turning rates
  S turn;            // about its normal
  [[nodiscard]] S at(Vector2<S> r) const { return out + roll * r.y - yaw * r.x; }
  /// What a mass that moves across the plane with `across` is pushed with in it, per mass: −ω × v.
  [[nodiscard]] Vector2<S> push(S across) const { return {-(yaw * across), roll * across}; }
};

/// Inertia of the lateral motion: point masses and spinning parts (Eqs. 36, 37). Order z, roll, yaw.
template <class S>
struct LateralInertia {
  S matrix[3][3]{};  // lower triangle and diagonal
  S force[3]{};

  /// A mass at `r` from the grip with the velocity `relative` to it, in a plane that moves with `grip`.
  void add_mass(S mass, Vector2<S> r, Vector2<S> relative, Vector2<S> grip, const PlaneMotion<S>& plane) {
    matrix[0][0] += mass;
    matrix[1][0] += mass * r.y;
    matrix[2][0] = matrix[2][0] - mass * r.x;
    matrix[1][1] += mass * r.y * r.y;
    matrix[2][1] = matrix[2][1] - mass * r.x * r.y;
    matrix[2][2] += mass * r.x * r.x;
    const Vector2<S> twice = relative + relative - plane.turn * quarter_turn(r) + grip;
    const S bias = mass * (plane.roll * twice.y - plane.yaw * twice.x);
    force[0] -= bias;
    force[1] -= r.y * bias;
    force[2] += r.x * bias;
  }
};

/// A cam spins about its leaning axle: to its turning rate in the bow's plane comes what roll and yaw have along the
/// axle's tilt, λ n·ω (Eq. 37).
template <class S, int Links>
void add_tilted_spin(HalfMotion<S, Links>& m, const LateralMotion<S>& lateral, int h) {
  const Vector2<S>& e = m.limb_direction;
  m.spin_rate += lateral.place.lean[h] * (e.y * (S(half_sign[h]) * lateral.rate.roll) - e.x * lateral.rate.yaw);
}

/// Lean and spin of half `h`'s cam and limb tip (Eqs. 37, 38), in the side frame.
template <class S>
struct LeanMotion {
  Vector2<S> limb, limb_rate;  // e and ė
  S lean, lean_rate, roll, yaw;
  S twist;  // momentum I_t (λ̇ + e·ω)
  S spin;   // momentum that goes with the cam's spin, about its axle

  /// `turn`: of the bow's plane about its normal.
  template <int Links>
  LeanMotion(const Half<S, Links>& half, const HalfMotion<S, Links>& m, const LateralMotion<S>& lateral, S turn, int h)
      : limb(m.limb_direction),
        limb_rate((m.rate[Links - 1] - S(half_sign[h]) * turn) * quarter_turn(m.limb_direction)),
        lean(lateral.place.lean[h]),
        lean_rate(lateral.rate.lean[h]),
        roll(S(half_sign[h]) * lateral.rate.roll),
        yaw(lateral.rate.yaw),
        twist(half.twist_inertia * (lean_rate + limb.x * roll + limb.y * yaw)),
        spin(half.cam_inertia * m.spin_rate + half.cam_mass * cross(m.cam_arm, m.cam_velocity())) {}

  /// On the limb's direction.
  [[nodiscard]] S on_turn() const {
    const Vector2<S> turned = quarter_turn(limb);
    return twist * (turned.x * roll + turned.y * yaw) + spin * lean * (turned.y * roll - turned.x * yaw);
  }
  [[nodiscard]] S on_lean() const { return spin * (limb.y * roll - limb.x * yaw); }
  /// On roll and yaw: the momenta's change with the limb's direction and the lean, and that of the spin itself by
  /// `spin_up`.
  [[nodiscard]] S on_roll(S spin_up) const {
    return -(twist * limb_rate.x + spin * (lean_rate * limb.y + lean * limb_rate.y) + spin_up * (lean * limb.y));
  }
  [[nodiscard]] S on_yaw(S spin_up) const {
    return spin * (lean_rate * limb.x + lean * limb_rate.x) + spin_up * (lean * limb.x) - twist * limb_rate.y;
  }
  /// What the limb's turning takes from the lean's acceleration.
  [[nodiscard]] S carried() const { return limb_rate.x * roll + limb_rate.y * yaw; }
  /// What the spin about the leaning axle takes from the cam's acceleration, with those of roll (side frame) and yaw.
  [[nodiscard]] S tilted(S roll_acceleration, S yaw_acceleration) const {
    return lean_rate * (limb.y * roll - limb.x * yaw) +
           lean * (limb_rate.y * roll - limb_rate.x * yaw + limb.y * roll_acceleration - limb.x * yaw_acceleration);
  }
};

}  // namespace nockwise::kernel
