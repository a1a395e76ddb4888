// The lateral plane: small displacements, linear kinematics, the in-plane motion as time-varying coefficients
// (lib/README.md, "Lateral plane").
//
// A point of the riser at r from the grip stands at z = Z + ρ r_y − ψ r_x. Forces are 3-D vectors at their displaced
// points of application, so that a bow that is yawed or rolled as a whole shoots the same shot. In a side frame (y
// mirrored) roll and lean change sign, yaw does not. Sums run over the lines, the guard, the rest and the hand.
#pragma once

#include "kernel/rest.hpp"

namespace nockwise::kernel {

/// Lateral coordinates or their rates; leans in the side frames.
template <class S>
struct LateralState {
  S z, yaw, roll;
  S lean[2];
  S nock;  // of the string's nock point
};

template <class S>
struct LateralMotion {
  LateralState<S> state, rate;
};

/// Lateral loads: force and moments about the grip (inertial frame), moments on the leans, force on the nock.
template <class S>
struct LateralLoads {
  S force{0.0}, yaw{0.0}, roll{0.0};
  S lean[2]{S(0.0), S(0.0)};
  S nock{0.0};
};

/// A point that turns with a leaning cam (Eq. 32): from its axle, in the side frame, with its lateral place at zero
/// lean.
template <class S>
struct CamPoint {
  Vector2<S> arm;
  S offset;
};

template <class S, int Links>
class LateralFrame {
 public:
  LateralFrame(const HalfMotion<S, Links>& motion, const LateralState<S>& state, int half)
      : axle_(motion.axle()),
        limb_(motion.limb_direction),
        z_(state.z),
        yaw_(state.yaw),
        roll_(S(half_sign[half]) * state.roll),
        lean_(state.lean[half]),
        sign_(half_sign[half]) {}

  /// Lateral place, relative to the riser's plane, of a point of the cam.
  [[nodiscard]] S on_cam(const CamPoint<S>& p) const { return p.offset + lean_ * cross(limb_, p.arm); }
  /// Lateral place of the riser's plane at `r` from the grip.
  [[nodiscard]] S plane(Vector2<S> r) const { return z_ + roll_ * r.y - yaw_ * r.x; }
  [[nodiscard]] S place(const CamPoint<S>& p) const { return plane(axle_ + p.arm) + on_cam(p); }

  /// Apply an in-plane force (side frame) with lateral part `lateral` at a point of the cam (Eq. 35).
  void apply(const CamPoint<S>& p, Vector2<S> force, S lateral, int half, LateralLoads<S>& loads) const {
    const S rise = on_cam(p);
    const S relative = lateral - (roll_ * force.y - yaw_ * force.x);
    loads.lean[half] += limb_.x * (p.arm.y * relative - rise * force.y);
    loads.lean[half] += limb_.y * (rise * force.x - p.arm.x * relative);
    apply_at(axle_ + p.arm, place(p), force, lateral, loads);
  }
  /// Apply a force at `r` from the grip whose lateral place is `z`.
  void apply_at(Vector2<S> r, S z, Vector2<S> force, S lateral, LateralLoads<S>& loads) const {
    const S height = z - z_;
    loads.force += lateral;
    loads.roll += S(sign_) * (r.y * lateral - height * force.y);
    loads.yaw = loads.yaw + height * force.x - r.x * lateral;
  }

 private:
  Vector2<S> axle_, limb_;
  S z_, yaw_, roll_, lean_;
  double sign_;
};

/// A string half whose run ends at `end_z`; `on_end` receives its force there.
template <class S, int Links>
void add_lateral_string(const Constants<S, Links>& c, const HalfMotion<S, Links>& m, const LineLoads<S, Links>& lines,
                        int h, const LateralState<S>& state, S end_z, S& on_end, LateralLoads<S>& loads) {
  const LateralFrame<S, Links> frame(m, state, h);
  const Line<S>& line = lines.string[h];
  const CamPoint<S> point{tangent_a<TrackRole::let_out>(line), c.half[h].string_z};
  const S tension = lines.string_tension[h];
  const S lateral = tension * (end_z - frame.place(point)) / line.straight;
  frame.apply(point, tension * line.direction, lateral, h, loads);
  on_end = S(0.0) - lateral;
}

/// Where cable `h` runs: from its take-up groove past the guard to the other limb (Eq. 34), to the yoke's junction,
/// which turns with that axle, or to a groove. In the side frame of its half.
template <class S>
struct CablePath {
  CamPoint<S> a, b;
  Vector2<S> start, guard;
  S to_guard, beyond_guard;  // lengths from the groove to the guard and on to the end [m]
  S place_a, place_b, guard_z;
};

template <class S, int Links>
CablePath<S> cable_path(const Constants<S, Links>& c, const Topology& topology, const HalfMotion<S, Links> (&m)[2],
                        const LineLoads<S, Links>& lines, const RiserMotion<S>& side_riser, int h,
                        const LateralFrame<S, Links>& near, const LateralFrame<S, Links>& far) {
  const int o = 1 - h;
  const Line<S>& line = lines.cable[h];
  CablePath<S> path;
  path.a = {tangent_a<TrackRole::take_up>(line), c.half[h].take_up_z};
  path.b = {mirror(tangent_b(line)), c.half[o].let_out_z};
  S leg(0.0);
  if (topology.cable_end[h] == CableEnd::yoke) {
    leg = c.yoke[h].leg_height;
    path.b = {mirror(-leg * line.direction), c.yoke[h].junction_offset};
  }
  path.start = m[h].axle() + path.a.arm;
  const S start_height = side_riser.cosine * path.start.y - side_riser.sine * path.start.x;
  const S climb = side_riser.cosine * line.direction.y - side_riser.sine * line.direction.x;
  path.to_guard = (S(half_sign[h]) * c.guard.height - start_height) / climb;
  path.beyond_guard = line.straight - path.to_guard - leg;
  path.guard = path.start + path.to_guard * line.direction;
  path.guard_z = near.plane(path.guard) + c.guard.z[h];
  path.place_a = near.place(path.a);
  path.place_b = far.place(path.b);
  return path;
}

template <class S, int Links>
void add_lateral_cable(const Constants<S, Links>& c, const Topology& topology, const HalfMotion<S, Links> (&m)[2],
                       const LineLoads<S, Links>& lines, const RiserMotion<S>& side_riser, int h,
                       const LateralState<S>& state, LateralLoads<S>& loads) {
  const int o = 1 - h;
  const LateralFrame<S, Links> near(m[h], state, h);
  const LateralFrame<S, Links> far(m[o], state, o);
  const CablePath<S> path = cable_path(c, topology, m, lines, side_riser, h, near, far);
  const S tension = lines.cable_tension[h];
  const Vector2<S> pull = tension * lines.cable[h].direction;
  const S lateral_a = tension * (path.guard_z - path.place_a) / path.to_guard;
  const S lateral_b = tension * (path.guard_z - path.place_b) / path.beyond_guard;
  near.apply(path.a, pull, lateral_a, h, loads);
  far.apply(path.b, mirror(S(-1.0) * pull), lateral_b, o, loads);
  near.apply_at(path.guard, path.guard_z, Vector2<S>{S(0.0), S(0.0)}, -(lateral_a + lateral_b), loads);
}

/// Loads of all lines but on the nock, at a lateral state; linear in it. The string's runs end at `end_z` and pull
/// there with `on_end`.
template <class S, int Links>
LateralLoads<S> lateral_line_loads(const Constants<S, Links>& c, const Topology& topology,
                                   const HalfMotion<S, Links> (&m)[2], const LineLoads<S, Links>& lines,
                                   const RiserMotion<S>& riser, const LateralState<S>& state, const S (&end_z)[2],
                                   S (&on_end)[2]) {
  LateralLoads<S> loads;
  for (int h = 0; h < 2; ++h) {
    add_lateral_string(c, m[h], lines, h, state, end_z[h], on_end[h], loads);
    add_lateral_cable(c, topology, m, lines, in_side_frame(riser, h), h, state, loads);
    loads.lean[h] -= c.half[h].twist_stiffness * state.lean[h];
  }
  return loads;
}

/// Loads of all lines where the string's runs end at the nock.
template <class S, int Links>
LateralLoads<S> lateral_line_loads(const Constants<S, Links>& c, const Topology& topology,
                                   const HalfMotion<S, Links> (&m)[2], const LineLoads<S, Links>& lines,
                                   const RiserMotion<S>& riser, const LateralState<S>& state) {
  S on_nock[2];
  LateralLoads<S> loads = lateral_line_loads(c, topology, m, lines, riser, state, {state.nock, state.nock}, on_nock);
  loads.nock = on_nock[0] + on_nock[1];
  return loads;
}

template <class S>
void add_lateral_hand(const HandConstants<S>& hand, const LateralMotion<S>& motion, LateralLoads<S>& loads) {
  const auto& [state, rate] = motion;
  loads.force = loads.force + hand.force_z - hand.kz * state.z - hand.cz * rate.z;
  loads.yaw = loads.yaw + hand.moment_yaw - hand.k_yaw * state.yaw - hand.c_yaw * rate.yaw;
  loads.roll = loads.roll + hand.moment_roll - hand.k_roll * state.roll - hand.c_roll * rate.roll;
}

/// The cradle (Eq. 39) holds the shaft sideways while it carries it, fading over its depth as the shaft lifts out. From
/// a capture it cannot lift out.
template <class S>
void add_lateral_rest(const RestConstants<S>& rest, RestKind kind, const Launcher<S>& l, const CarriedShaft<S>& shaft,
                      const ShaftModes<S>& z, const LateralMotion<S>& motion, const Vector2<S>& contact_force_on_riser,
                      RestState<S>& contact, LateralLoads<S>& loads) {
  const auto& [state, rate] = motion;
  const S rest_z = rest.z + state.roll * l.tip.y - state.yaw * l.tip.x;  // relative to the grip's z
  const S rest_rate = rate.z + rate.roll * l.tip.y - rate.yaw * l.tip.x;
  const S* shape = shaft.carried.shape;
  const S reach_rate = l.velocity.x - shaft.nock_velocity;
  const S stretch = modal_sum(z.count, shape, z.place) - (state.z + rest_z);
  const S stretch_rate =
      modal_sum(z.count, shape, z.rate) + modal_sum(z.count, shaft.carried.slope, z.place) * reach_rate - rest_rate;
  const S lift = kind == RestKind::capture ? S(0.0) : contact.gap;
  const S held =
      minimum(positive(S(1.0) - lift / rest.cradle_depth), S(1.0)) * under_shaft(contact.reach, shaft.length);
  const S force = -held * (rest.k_lateral * stretch + rest.c_lateral * stretch_rate);
  contact.lateral_gap = stretch;
  z.add(shape, force);
  loads.force -= force;
  loads.roll = loads.roll - l.tip.y * force - rest_z * contact_force_on_riser.y;
  loads.yaw = loads.yaw + l.tip.x * force + rest_z * contact_force_on_riser.x;
}

/// Inertia of the lateral plane: point masses with their in-plane motion (Eq. 36), and spinning parts (Eq. 37).
template <class S>
struct LateralInertia {
  S matrix[3][3]{};  // order z, roll, yaw; lower triangle and diagonal
  S force[3]{};

  /// Mass at `r` (relative to the grip, velocity `w`, acceleration `b`, likewise relative) with the inertial
  /// acceleration `a` less gravity.
  void add_mass(S mass, Vector2<S> r, Vector2<S> w, Vector2<S> b, Vector2<S> a, const LateralMotion<S>& motion) {
    const auto& [state, rate] = motion;
    matrix[0][0] += mass;
    matrix[1][0] += mass * r.y;
    matrix[2][0] -= mass * r.x;
    matrix[1][1] += mass * r.y * r.y;
    matrix[2][1] -= mass * r.x * r.y;
    matrix[2][2] += mass * r.x * r.x;
    const S height = state.roll * r.y - state.yaw * r.x;
    const S bias = S(2.0) * (rate.roll * w.y - rate.yaw * w.x) + state.roll * b.y - state.yaw * b.x;
    force[0] -= mass * bias;
    force[1] += mass * (height * a.y - r.y * bias);
    force[2] -= mass * (height * a.x - r.x * bias);
  }
  /// A body spinning in the plane at `spin` with acceleration `spin_up`, whose axis is tilted by (tilt_x, tilt_y).
  void add_spin(S inertia, S spin, S spin_up, S tilt_x, S tilt_y, S tilt_rate_x, S tilt_rate_y) {
    force[1] -= inertia * (spin_up * tilt_x + spin * tilt_rate_x);
    force[2] -= inertia * (spin_up * tilt_y + spin * tilt_rate_y);
  }
};

}  // namespace nockwise::kernel
