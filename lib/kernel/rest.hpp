// The rest: a launcher on the riser, fixed or on a falling arm worked by a cord (lib/README.md, "Rest").
#pragma once

#include "kernel/arrow_modes.hpp"
#include "kernel/line_loads.hpp"
#include "kernel/vanes.hpp"

namespace nockwise::kernel {

template <class S>
struct RestState {
  S gap{1.0};           // launcher to shaft, negative while the shaft is carried [m]
  S reach{0.0};         // contact point ahead of the nock [m]
  S contact{0.0};       // vertical force on the shaft [N]
  S cord_tension{0.0};  // [N]
  S arm_moment{0.0};    // on the arm [N·m]
  S lateral_gap{0.0};   // launcher to shaft, lateral, positive when the shaft stands to the right [m]
  VaneLoads<S> vanes;
};

/// 1 where the launcher stands under the shaft, `reach` ahead of its nock. A launch ends where the shaft's tail passes
/// the launcher, so the shaft is taken to go on a little behind its tail: were the force cut off just there, it would
/// depend on rounding whether the last step feels it.
template <class S>
S under_shaft(S reach, S arrow_length) {
  const S beyond_tail(-0.05);  // more than an arrow flies in a step
  return select(reach > beyond_tail, S(1.0), S(0.0)) * select(reach < arrow_length, S(1.0), S(0.0));
}

constexpr bool has_arm(RestKind kind) { return kind == RestKind::limb_driven || kind == RestKind::cable_driven; }

/// The rest's arm: its angle and the rate of it.
template <class S>
struct ArmMotion {
  S angle, rate;
};

/// Where the cord is tied, side frame.
template <class S>
struct CordEnd {
  Vector2<S> place, velocity;
};

/// Tie the cord (Eq. 30) between the rest's drum and its other end; returns the force on that end and loads arm and
/// riser. `wind`: +1 where the cord pulls the arm down, −1 where up.
template <class S, int Links>
Vector2<S> cord_pull(const RestConstants<S>& rest, const RiserMotion<S>& side_riser, S sign, S wind,
                     const CordEnd<S>& end, const ArmMotion<S>& arm, RestState<S>& state, HalfLoads<S, Links>& loads) {
  const Vector2<S> drum = turned(side_riser.cosine, side_riser.sine, {rest.x, sign * rest.height});
  const Vector2<S> drum_velocity = side_riser.velocity + side_riser.pitch_rate * quarter_turn(drum);
  const Vector2<S> span = end.place - drum;
  const S distance = square_root(dot(span, span));
  const Vector2<S> direction = (S(1.0) / distance) * span;
  const S stretch = distance + wind * rest.cord_lever * (arm.angle - rest.up_angle) - rest.cord_natural;
  const S rate = dot(direction, end.velocity - drum_velocity) + wind * rest.cord_lever * arm.rate;
  const S tension = contact_force(stretch, rate, rest.cord_stiffness, rest.cord_damping);
  state.cord_tension = tension;
  state.arm_moment -= wind * rest.cord_lever * tension;
  const Vector2<S> pull = -tension * direction;
  loads.riser_force -= pull;
  loads.riser_moment -= cross(drum, pull);
  return pull;
}

/// Limb-driven cord, tied to a link of one half: pulls the arm down as the limb comes back. The pull on the link enters
/// `riser_force` too, since the riser carries the half along; there the cord's two ends cancel.
template <class S, int Links>
void add_limb_cord(const RestConstants<S>& rest, const Topology& topology, const RiserMotion<S>& side_riser,
                   const HalfMotion<S, Links> (&m)[2], const Half<S, Links> (&half)[2], const ArmMotion<S>& arm,
                   LineLoads<S, Links>& loads, RestState<S>& state) {
  const int h = topology.cord_half;
  const int k = topology.cord_link;
  // A limb's link lies along its own y, so `end_y` is its length.
  const Vector2<S> place =
      m[h].joint[k] + (rest.cord_attachment / half[h].links[k].end_y) * (m[h].end[k] - m[h].joint[k]);
  const Vector2<S> velocity = m[h].end_velocity[k] + m[h].rate[k] * quarter_turn(place - m[h].end[k]);
  const Vector2<S> pull =
      cord_pull(rest, side_riser, S(half_sign[h]), S(1.0), {place, velocity}, arm, state, loads.half[h]);
  HalfLoads<S, Links>& load = loads.half[h];
  load.riser_force += pull;
  load.riser_moment += cross(place, pull);
  for (int i = 0; i <= k; ++i) {
    load.joint[i] += cross(place - m[h].joint[i], pull);
  }
}

/// Point of cable `h` that stands `attachment` from its far end at brace, and its derivatives by the run direction and
/// by the far cam's turn.
template <class S>
struct CablePoint {
  Vector2<S> point, by_run_direction, by_far_turn;
};

template <class S, int Links>
CablePoint<S> cable_point(const Line<S>& line, const HalfMotion<S, Links>& far, S attachment, S wrap_at_brace,
                          bool let_out) {
  const Vector2<S> across = quarter_turn(line.direction);
  const S out = let_out ? attachment + wrap_at_brace - line.area_b : attachment;
  CablePoint<S> p;
  p.point = mirror(far.axle()) - line.p_b * across - out * line.direction;
  p.by_run_direction = (line.slope_b - out) * across;
  p.by_far_turn = line.slope_b * across - line.p_b * line.direction;
  return p;
}

/// Cable-driven cord: holds the arm up late in the draw.
template <class S, int Links>
void add_cable_cord(const RestConstants<S>& rest, const Topology& topology, const RiserMotion<S>& side_riser,
                    const HalfMotion<S, Links> (&m)[2], const ArmMotion<S>& arm, LineLoads<S, Links>& loads,
                    RestState<S>& state) {
  const int h = topology.cord_half;
  const int o = 1 - h;
  const CablePoint<S> p = cable_point(loads.cable[h], m[o], rest.cord_attachment, rest.cord_wrap,
                                      topology.cable_end[h] == CableEnd::let_out);
  const Vector2<S> velocity =
      mirror(m[o].axle_velocity()) + loads.cable_turn_rate[h] * p.by_run_direction + m[o].alpha_rate * p.by_far_turn;
  const Vector2<S> pull =
      cord_pull(rest, side_riser, S(half_sign[h]), S(-1.0), {p.point, velocity}, arm, state, loads.half[h]);
  loads.half[o].axle_force += mirror(pull);
  loads.half[o].cam_moment += dot(pull, p.by_far_turn);
  add_run_direction_force(loads, h, dot(pull, p.by_run_direction));
}

/// The arm's own spring, damping and end stops (Eq. 31).
template <class S>
void add_arm_loads(const RestConstants<S>& rest, RestKind kind, const ArmMotion<S>& arm, RestState<S>& state) {
  const S spring = rest.spring_torque + rest.spring_rate * (rest.up_angle - arm.angle);
  const S slack = rest.spring_torque - rest.spring_rate * (rest.up_angle - arm.angle);
  const S over = contact_force(arm.angle - rest.up_angle, arm.rate, rest.stop_stiffness, rest.stop_damping);
  const S under = contact_force(rest.down_angle - arm.angle, -arm.rate, rest.stop_stiffness, rest.stop_damping);
  state.arm_moment =
      state.arm_moment + (kind == RestKind::limb_driven ? spring : -slack) - rest.arm_damping * arm.rate - over + under;
}

/// How the grip pivot moves in the inertial frame.
template <class S>
struct GripMotion {
  Vector2<S> place, rate;
  S pitch_rate;  // of the riser's coordinate
  LateralMotion<S> lateral;
};

/// Launcher tip relative to the grip pivot in the inertial frame, and its derivatives by the arm's angle and the
/// riser's angles; `own`: in the bow's own plane, likewise. Its place and rate where the grip has been carried along,
/// in the plane of the shot and sideways.
template <class S>
struct Launcher {
  Vector2<S> tip, by_arm, by_pitch, by_roll, by_yaw;
  Vector2<S> own;
  S rise_by_arm, rise_by_pitch;  // of the way aside
  Vector2<S> place, rate;
  S aside, aside_rate;
};

/// A point of the riser at `local` in its own frame and `z` aside that an arm, turning at `arm_rate`, moves by
/// `local_by_arm`.
template <class S>
Launcher<S> riser_point(Vector2<S> local, Vector2<S> local_by_arm, S z, const RiserMotion<S>& riser,
                        const GripMotion<S>& grip, S arm_rate) {
  const auto& [state, rate] = grip.lateral;
  const Tilt<S> tilt{state.roll, state.yaw};
  Launcher<S> l;
  l.own = turned(riser.cosine, riser.sine, local);
  const Vector2<S> own_by_arm = turned(riser.cosine, riser.sine, local_by_arm);
  const Vector2<S> own_by_pitch = quarter_turn(l.own);
  l.rise_by_arm = tilt.rise(own_by_arm);
  l.rise_by_pitch = tilt.rise(own_by_pitch);
  // r + (ψ, −ρ)(z + w/2): the tilt moves what stands aside.
  const S rise = tilt.rise(l.own);
  const S out = z + S(0.5) * rise;
  l.tip = l.own - tilt.inward(out);
  l.by_arm = own_by_arm - tilt.inward(S(0.5) * l.rise_by_arm);
  l.by_pitch = own_by_pitch - tilt.inward(S(0.5) * l.rise_by_pitch);
  l.by_roll = Vector2<S>{S(0.0), -out} - tilt.inward(S(0.5) * l.own.y);
  l.by_yaw = Vector2<S>{out, S(0.0)} + tilt.inward(S(0.5) * l.own.x);
  l.place = grip.place + l.tip;
  l.rate = grip.rate + grip.pitch_rate * l.by_pitch + arm_rate * l.by_arm + rate.roll * l.by_roll + rate.yaw * l.by_yaw;
  l.aside = state.z + z + rise;
  l.aside_rate =
      rate.z + grip.pitch_rate * l.rise_by_pitch + arm_rate * l.rise_by_arm + rate.roll * l.own.y - rate.yaw * l.own.x;
  return l;
}

template <class S>
Launcher<S> launcher(const RestConstants<S>& rest, RestKind kind, const RiserMotion<S>& riser,
                     const GripMotion<S>& grip, const ArmMotion<S>& arm) {
  Vector2<S> local{rest.x, rest.height};
  Vector2<S> local_by_arm{S(0.0), S(0.0)};
  if (has_arm(kind)) {
    S sine(0.0);
    S cosine(0.0);
    sine_cosine(arm.angle, sine, cosine);
    local += rest.arm_length * Vector2<S>{cosine - rest.cosine_up, sine - rest.sine_up};
    local_by_arm = rest.arm_length * Vector2<S>{-sine, cosine};
  }
  return riser_point(local, local_by_arm, rest.z, riser, grip, arm.rate);
}

/// The launcher of a bow that stands still with its grip pivot at the origin.
template <class S>
Launcher<S> still_launcher(const RestConstants<S>& rest, RestKind kind, const RiserMotion<S>& riser, S arm) {
  return launcher(rest, kind, riser, GripMotion<S>{}, ArmMotion<S>{arm, S(0.0)});
}

/// The shaft where a launcher may carry it.
template <class S>
struct CarriedShaft {
  S nock_x, nock_velocity;  // along the shot, of the unbent shaft's nock
  S length;
  const ShaftPoint<S>& carried;  // the point above the launcher
  const VaneConstants<S>& vanes;
  int vane_count;
};

/// Its modes in one of the two planes; `force` is added to.
template <class S>
struct ShaftModes {
  int count;
  const S* place;
  const S* rate;
  S* force;

  void add(const S* shape, S load) const {
    for (int k = 0; k < count; ++k) {
      force[k] += shape[k] * load;
    }
  }
};

/// Generalised forces of the rest's two contacts but on arm and shaft's modes.
template <class S>
struct ContactLoads {
  S arrow_x{0.0};
  Vector2<S> riser_force{S(0.0), S(0.0)};
  S riser_moment{0.0};
  S aside{0.0}, roll{0.0}, yaw{0.0};  // on Z, ρ, ψ
};

/// What a push on the shaft at a point of the riser, up, aside and on the point's way along the shaft, does to arrow
/// and riser; returns that on an arm which moves the point.
template <class S>
S react(const Launcher<S>& at, S up, S aside, S on_reach, ContactLoads<S>& loads) {
  // On the point in the inertial frame, and on its way aside.
  const auto on = [&](Vector2<S> tip, S rise) { return on_reach * tip.x - up * tip.y - aside * rise; };
  loads.arrow_x -= on_reach;
  loads.riser_force += Vector2<S>{on_reach, -up};
  loads.riser_moment += on(at.by_pitch, at.rise_by_pitch);
  loads.aside -= aside;
  loads.roll += on(at.by_roll, at.own.y);
  loads.yaw += on(at.by_yaw, -at.own.x);
  return on(at.by_arm, at.rise_by_arm);
}

/// Forces of both contacts, and of vanes that strike, on arrow, riser and arm (Eqs. 28, 29, 39): the launcher's, with
/// gap = y(s) − y_launcher and s = x_launcher − x_nock, and the cradle's, which holds the shaft sideways while it
/// carries it and fades over its depth as the shaft lifts out; from a capture it cannot lift out. Every force is a
/// potential's or a damper's, so that sliding does no work of its own; the fading cradle pushes the shaft out.
template <class S>
ContactLoads<S> add_contact(const RestConstants<S>& rest, RestKind kind, S contact_mode, const Launcher<S>& l,
                            const CarriedShaft<S>& shaft, const ShaftModes<S>& y, const ShaftModes<S>& z,
                            RestState<S>& state) {
  const S* shape = shaft.carried.shape;
  const S slope = modal_sum(y.count, shaft.carried.slope, y.place);
  const S slope_z = modal_sum(z.count, shaft.carried.slope, z.place);
  const S reach_rate = l.rate.x - shaft.nock_velocity;
  state.reach = l.place.x - shaft.nock_x;
  state.gap = modal_sum(y.count, shape, y.place) - l.place.y;
  const S gap_rate = modal_sum(y.count, shape, y.rate) + slope * reach_rate - l.rate.y;
  const S stretch = modal_sum(z.count, shape, z.place) - l.aside;
  const S stretch_rate = modal_sum(z.count, shape, z.rate) + slope_z * reach_rate - l.aside_rate;
  state.lateral_gap = stretch;
  const S fade = S(1.0) - state.gap / rest.cradle_depth;
  S held = minimum(positive(fade), S(1.0));
  // −½ k ε² ∂χ/∂g while it fades.
  S lifting = select(fade < S(1.0), select(fade > S(0.0), S(1.0), S(0.0)), S(0.0)) *
              (S(0.5) * rest.k_lateral * stretch * stretch / rest.cradle_depth);
  S force = engaged_force(contact_mode, -state.gap, -gap_rate, rest.k, rest.c);
  if (kind == RestKind::capture) {
    force = -(rest.k * state.gap + rest.c * gap_rate);
    held = S(1.0);
    lifting = S(0.0);
  }
  const S under = under_shaft(state.reach, shaft.length);
  force = force * under;
  state.contact = force;
  S up = force + under * lifting;
  S aside = -(under * held * (rest.k_lateral * stretch + rest.c_lateral * stretch_rate));
  S on_reach = up * slope + aside * slope_z;
  if (shaft.vane_count > 0) {
    state.vanes =
        vane_loads(shaft.vanes, shaft.vane_count, rest.half_width, {state.reach, reach_rate, state.gap, stretch});
    up += state.vanes.up;
    aside += state.vanes.aside;
    on_reach += state.vanes.up * slope + state.vanes.aside * slope_z + state.vanes.along;
  }
  y.add(shape, up);
  z.add(shape, aside);
  ContactLoads<S> loads;
  state.arm_moment += react(l, up, aside, on_reach, loads);
  return loads;
}

/// Vanes against both cables, and where these stand, for reports.
template <class S>
struct CableStrikes {
  VaneLoads<S> loads;  // together
  S reach[2], gap[2];  // of each cable: ahead of the nock, and to the shaft [m]
};

/// Forces of the cables on vanes that strike them: on the shaft's modes in the lateral plane and in `loads`, those of
/// arrow and riser.
template <class S>
CableStrikes<S> add_cable_strikes(const CablePassConstants<S>& passes, const ArrowConstants<S>& arrow,
                                  const VaneConstants<S>& vanes, const Topology& topology, const RiserMotion<S>& riser,
                                  const GripMotion<S>& grip, S nock_x, S nock_velocity, const ShaftModes<S>& z,
                                  ContactLoads<S>& loads) {
  CableStrikes<S> strikes;
  const Vector2<S> no_arm{S(0.0), S(0.0)};
  for (int h = 0; h < 2; ++h) {
    const Launcher<S> at =
        riser_point(Vector2<S>{passes.x[h], passes.height[h]}, no_arm, passes.z[h], riser, grip, S(0.0));
    const S reach = at.place.x - nock_x;
    ShaftWindow<S> window;
    ShaftPoint<S> beside;
    find_shaft_point(arrow, topology.nodes, z.count, reach, window, beside);
    const S apart = at.aside - modal_sum(z.count, beside.shape, z.place);
    const S gap = passes.side[h] * apart - vanes.radius;
    const VaneLoads<S> own =
        vane_loads_by_line(vanes, topology.vanes, passes.side[h], {reach, at.rate.x - nock_velocity, gap, S(0.0)});
    z.add(beside.shape, own.aside);
    (void)react(at, S(0.0), own.aside, own.aside * modal_sum(z.count, beside.slope, z.place) + own.along, loads);
    strikes.loads.aside += own.aside;
    strikes.loads.press += own.press;
    strikes.loads.energy += own.energy;
    strikes.loads.depth = maximum(strikes.loads.depth, own.depth);
    strikes.reach[h] = reach;
    strikes.gap[h] = gap;
  }
  return strikes;
}

}  // namespace nockwise::kernel
