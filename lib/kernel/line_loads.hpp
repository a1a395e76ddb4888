// The string's halves, the cables and the draw stops: tensions, and what they load (lib/README.md, "Strings, cables,
// stops").
#pragma once

#include "kernel/line_in_space.hpp"

namespace nockwise::kernel {

/// What is kept from call to call.
template <class S>
struct RunDirections {
  RunDirection<S> string[2], cable[2];
  [[no_unique_address]] ShaftWindow<S> shaft{};  // where the rest stands along the arrow
};

/// All loads of lines and stops at one configuration, in the bow's own plane where nothing else is said.
template <class S, int Links>
struct LineLoads {
  HalfLoads<S, Links> half[2];
  Line<S> string[2], cable[2];          // their runs in the plane
  S string_length[2], cable_length[2];  // in space [m]
  S string_tension[2], cable_tension[2];
  S cable_stretch[2];       // [m]
  S cable_turn_rate[2];     // u̇ of the cables
  Vector2<S> nock_force;    // of both string halves on the nock, inertial frame
  LateralLoads<S> lateral;  // of the strings on the grip's coordinates and the nock, of all lines on the leans
  Vector2<S> end_force[2];  // on the end of each string half, inertial frame
  S end_pull[2];            // and sideways
  S stop_gap[2], stop_force[2];
  S excursion{0.0};  // largest overshoot of a track's range [rad]
};

/// One-sided spring and damper: pushes while penetrated, never pulls (Eq. 11).
template <class S>
S contact_force(S penetration, S rate, S stiffness, S damping) {
  return select(penetration > S(0.0), positive(stiffness * penetration + damping * rate), S(0.0));
}

/// Sentinel: engaged if penetration > 0.
inline constexpr double as_it_stands = -1.0;

/// Which one-sided springs are engaged. A launch switches them at its events: a damper's force begins with a jump, and
/// were it read from the state, rounding would decide on which side of the jump a stage of a step falls that begins or
/// ends there.
template <class S>
struct ContactModes {
  S string{1.0};             // 1 while the nock holds the string, 0 after
  S launcher{as_it_stands};  // 1 while the launcher carries the shaft, 0 while it does not, or as_it_stands
  S cable[2]{S(as_it_stands), S(as_it_stands)};  // 1 while it is taut, 0 while it is slack, or as_it_stands

  ContactModes() = default;
  // NOLINTNEXTLINE(google-explicit-constructor): most callers have but the string to say
  ContactModes(S string_held) : string(string_held) {}
};

/// contact_force(), engaged as the contact mode says.
template <class S>
S engaged_force(S contact_mode, S penetration, S rate, S stiffness, S damping) {
  const S as_stands = select(penetration > S(0.0), S(1.0), S(0.0));
  return select(contact_mode < S(0.0), as_stands, contact_mode) * positive(stiffness * penetration + damping * rate);
}

template <class S>
S line_tension(const LineConstants<S>& line, S length, S rate) {
  return contact_force(length - line.natural, rate, line.stiffness, line.damping);
}

/// Add a force conjugate to the run direction u of cable `h`, through Eq. (7).
template <class S, int Links>
void add_run_direction_force(LineLoads<S, Links>& loads, int h, S force) {
  const Line<S>& line = loads.cable[h];
  const S scaled = force / line.straight;
  const Vector2<S> across = scaled * quarter_turn(line.direction);
  loads.half[h].axle_force -= across;
  loads.half[1 - h].axle_force += mirror(across);
  loads.half[h].cam_moment += scaled * line.slope_a;  // −σ = +1: a take-up
  loads.half[1 - h].cam_moment += scaled * line.slope_b;
}

/// A moment on the direction of a limb's last link.
template <class S, int Links>
void add_turn_moment(HalfLoads<S, Links>& loads, S moment) {
  loads.riser_moment += moment;
  for (int j = 0; j < Links; ++j) {
    loads.joint[j] += moment;
  }
}

/// Where a string half ends, relative to the grip in the inertial frame.
template <class S>
struct StringEnd {
  Vector2<S> place, rate;
  S aside, aside_rate;
};

/// The same as the bow's own plane sees it, in the side frame of a half (Eq. 32a); how its parts go back to the
/// inertial frame.
template <class S>
struct EndInPlane {
  Tilt<S> tilt;
  Vector2<S> from_grip;  // in the inertial frame
  S out;                 // z − w/2
  Vector2<S> place, rate;
  S aside, aside_rate;

  /// `velocity`: of the grip in the bow's plane.
  EndInPlane(const StringEnd<S>& end, const LateralMotion<S>& lateral, S sign, Vector2<S> velocity)
      : tilt{sign * lateral.place.roll, lateral.place.yaw}, from_grip{end.place.x, sign * end.place.y} {
    const Tilt<S> tilting{sign * lateral.rate.roll, lateral.rate.yaw};
    const Vector2<S> moving{end.rate.x, sign * end.rate.y};
    const S rise = tilt.rise(from_grip);
    const S rise_rate = tilt.rise(moving) + tilting.rise(from_grip);
    out = end.aside - S(0.5) * rise;
    place = from_grip + tilt.inward(out);
    // Velocities in the plane turn with it about its normal.
    const S turn = S(0.5) * (tilt.yaw * tilting.roll - tilt.roll * tilting.yaw);
    rate = moving + tilt.inward(end.aside_rate - S(0.5) * rise_rate) + tilting.inward(out) + velocity +
           turn * quarter_turn(place);
    aside = end.aside - rise;
    aside_rate = end.aside_rate - rise_rate;
  }
};

template <class S, int Links>
void add_string_half(const Constants<S, Links>& c, const HalfMotion<S, Links>& m, const RiserMotion<S>& side_riser,
                     int h, const StringEnd<S>& string_end, const LateralMotion<S>& lateral, const Leaning<S>& lean,
                     RunDirection<S>& run_direction, LineLoads<S, Links>& loads) {
  const S sign(half_sign[h]);
  const EndInPlane<S> end(string_end, lateral, sign, side_riser.velocity);
  Line<S>& line = loads.string[h];
  line = solve_line<TrackRole::let_out>(run_direction, c.half[h].string_track, m.cam, FarEnd<S>{}, end.place - m.axle(),
                                        loads.excursion);
  const SpatialLine<S> run = string_in_space(c.half[h], m, line, lean, end.place, end.aside);
  loads.string_length[h] = run.length;
  const S shortening = dot(run.near_axle, m.axle_velocity()) + dot(run.far, end.rate) + run.near_cam * m.alpha_rate +
                       run.near_turn * m.rate[Links - 1] + run.near_lean * lateral.rate.lean[h] +
                       run.end_aside * end.aside_rate;
  const S tension = line_tension(c.string[h], run.length, -shortening);
  loads.string_tension[h] = tension;
  HalfLoads<S, Links>& half = loads.half[h];
  half.axle_force += tension * run.near_axle;
  half.cam_moment += tension * run.near_cam;
  add_turn_moment(half, tension * run.near_turn);
  loads.lateral.lean[h] += tension * run.near_lean;
  // Back into the inertial frame: Eq. (32a) transposed.
  const Vector2<S> on_place = tension * run.far;
  const S on_end = tension * run.end_aside;
  const S on_out = end.tilt.rise(on_place);
  const S on_rise = -(S(0.5) * on_out + on_end);
  const Vector2<S> on_end_here = on_place + on_rise * Vector2<S>{-end.tilt.yaw, end.tilt.roll};
  const S pull = on_out + on_end;
  loads.lateral.force -= pull;
  loads.lateral.roll += sign * (end.from_grip.y * on_rise + end.out * on_place.y);
  loads.lateral.yaw -= end.from_grip.x * on_rise + end.out * on_place.x;
  loads.end_pull[h] = pull;
  loads.end_force[h] = {on_end_here.x, sign * on_end_here.y};
}

template <class S, int Links>
void add_cable(const Constants<S, Links>& c, const Topology& topology, const HalfMotion<S, Links> (&m)[2],
               const RiserMotion<S>& side_riser, int h, S contact_mode, const LateralMotion<S>& lateral,
               const Leaning<S> (&lean)[2], RunDirection<S>& run_direction, LineLoads<S, Links>& loads) {
  const int o = 1 - h;
  const Vector2<S> span = mirror(m[o].axle()) - m[h].axle();
  const Vector2<S> far_velocity = mirror(m[o].axle_velocity());
  const bool let_out = topology.cable_end[h] == CableEnd::let_out;
  const FarEnd<S> far{let_out ? &c.half[o].let_out_track : nullptr, m[o].cam};
  Line<S>& line = loads.cable[h];
  line = solve_line<TrackRole::take_up>(run_direction, c.half[h].take_up_track, m[h].cam, far, span, loads.excursion);
  const SpatialLine<S> run = cable_in_space(c, topology, m, line, side_riser, h, lean[h], lean[o]);
  const S shortening = dot(run.near_axle, m[h].axle_velocity()) + dot(run.far, far_velocity) +
                       dot(run.guard, side_riser.velocity) + run.near_cam * m[h].alpha_rate +
                       run.far_cam * m[o].alpha_rate + run.near_turn * m[h].rate[Links - 1] +
                       run.far_turn * m[o].rate[Links - 1] + run.near_lean * lateral.rate.lean[h] +
                       run.far_lean * lateral.rate.lean[o] + run.pitch * side_riser.pitch_rate;
  const LineConstants<S>& cable = c.cable[h];
  loads.cable_length[h] = run.length;
  loads.cable_stretch[h] = run.length - cable.natural;
  const S tension = engaged_force(contact_mode, loads.cable_stretch[h], -shortening, cable.stiffness, cable.damping);
  loads.cable_tension[h] = tension;
  loads.cable_turn_rate[h] = (dot(quarter_turn(line.direction), far_velocity - m[h].axle_velocity()) +
                              line.slope_a * m[h].alpha_rate + line.slope_b * m[o].alpha_rate) /
                             line.straight;
  HalfLoads<S, Links>& near_loads = loads.half[h];
  HalfLoads<S, Links>& far_loads = loads.half[o];
  near_loads.axle_force += tension * run.near_axle;
  near_loads.riser_force += tension * run.guard;
  near_loads.riser_moment += tension * run.pitch;
  near_loads.cam_moment += tension * run.near_cam;
  add_turn_moment(near_loads, tension * run.near_turn);
  far_loads.axle_force += mirror(tension * run.far);
  far_loads.cam_moment += tension * run.far_cam;
  add_turn_moment(far_loads, tension * run.far_turn);
  loads.lateral.lean[h] += tension * run.near_lean;
  loads.lateral.lean[o] += tension * run.far_lean;
}

/// Limb stop: a peg on the cam meets the limb when θ − β reaches the stop's angle (Eq. 14).
template <class S, int Links>
void add_limb_stop(const Stop<S>& stop, const HalfMotion<S, Links>& m, int first_limb_link, S cam, S cam_rate,
                   S riser_flex, S riser_flex_rate, int h, LineLoads<S, Links>& loads) {
  const S relative = cam - (m.limb_turn - riser_flex);
  const S relative_rate = cam_rate - (m.limb_turn_rate - riser_flex_rate);
  const S penetration = stop.radius * (relative - stop.angle);
  const S force = contact_force(penetration, stop.radius * relative_rate, stop.stiffness, stop.damping);
  loads.stop_gap[h] = -penetration;
  loads.stop_force[h] = force;
  const S moment = force * stop.radius;
  loads.half[h].cam_on_limb -= moment;
  for (int j = first_limb_link; j < Links; ++j) {
    loads.half[h].joint[j] += moment;
  }
}

/// Cable stop: a peg fixed to the cam meets the cable that this cam takes up. Its distance to the line depends on the
/// normal angle alone (Eq. 15): gap = p(φ) − b cos(φ − φ_peg) − r.
template <class S, int Links>
void add_cable_stop(const Stop<S>& stop, const HalfMotion<S, Links>& m, int h, LineLoads<S, Links>& loads) {
  const Line<S>& line = loads.cable[h];
  S sine(0.0);
  S cosine(0.0);
  sine_cosine(line.normal_a - stop.angle, sine, cosine);
  const S gap = line.p_a - stop.radius * cosine - stop.peg_size;
  const S slope = line.slope_a + stop.radius * sine;
  const S gap_rate = slope * (loads.cable_turn_rate[h] - m.alpha_rate);
  const S force = contact_force(-gap, -gap_rate, stop.stiffness, stop.damping);
  loads.stop_gap[h] = gap;
  loads.stop_force[h] = force;
  add_run_direction_force(loads, h, force * slope);
  loads.half[h].cam_moment -= force * slope;
}

/// Where the string's runs from the cams end, both halves at the nock.
template <class S>
struct EndsAtNock {
  StringEnd<S> nock;
  [[nodiscard]] StringEnd<S> end(int /*half*/) const { return nock; }
};

/// Loads of all lines and stops, and of the limbs' twist. `ends`: of the string's runs, as EndsAtNock; joint and cam
/// angles and rates are those of the state; `riser` moves as the bow's own plane sees it.
template <class S, int Links, class Ends>
void add_line_loads(const Constants<S, Links>& c, const Topology& topology, const HalfMotion<S, Links> (&m)[2],
                    const RiserMotion<S>& riser, const Ends& ends, const LateralMotion<S>& lateral, const S* q,
                    const S* v, RunDirections<S>& run_directions, LineLoads<S, Links>& loads,
                    const ContactModes<S>& contact_modes = {}) {
  using L = Layout<Links>;
  const Leaning<S> lean[2]{{m[0].limb_direction, lateral.place.lean[0]}, {m[1].limb_direction, lateral.place.lean[1]}};
  for (int h = 0; h < 2; ++h) {
    const RiserMotion<S> side_riser = in_side_frame(riser, h);
    add_string_half(c, m[h], side_riser, h, ends.end(h), lateral, lean[h], run_directions.string[h], loads);
    add_cable(c, topology, m, side_riser, h, contact_modes.cable[h], lateral, lean, run_directions.cable[h], loads);
    loads.lateral.lean[h] -= c.half[h].twist_stiffness * lateral.place.lean[h];
  }
  loads.nock_force = loads.end_force[0] + loads.end_force[1];
  loads.lateral.nock = loads.end_pull[0] + loads.end_pull[1];
  for (int h = 0; h < 2; ++h) {
    loads.stop_gap[h] = S(1.0);
    loads.stop_force[h] = S(0.0);
    if (topology.stop[h] == StopKind::limb) {
      const bool flexes = topology.limb_link[h] > 0;
      add_limb_stop(c.half[h].stop, m[h], topology.limb_link[h], q[L::cam(h)], v[L::cam(h)],
                    flexes ? q[L::joint(h, 0)] : S(0.0), flexes ? v[L::joint(h, 0)] : S(0.0), h, loads);
    } else if (topology.stop[h] == StopKind::cable) {
      add_cable_stop(c.half[h].stop, m[h], h, loads);
    }
  }
}

}  // namespace nockwise::kernel
