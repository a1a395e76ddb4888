// The string's halves, the cables and the draw stops: tensions, and what they load (lib/README.md, "Strings, cables,
// stops").
#pragma once

#include "kernel/mechanism.hpp"
#include "kernel/taut_run.hpp"

namespace nockwise::kernel {

/// What is kept from call to call.
template <class S>
struct RunDirections {
  RunDirection<S> string[2], cable[2];
  [[no_unique_address]] ShaftWindow<S> shaft{};  // where the rest stands along the arrow
};

/// All in-plane loads of lines and stops at one configuration.
template <class S, int Links>
struct LineLoads {
  HalfLoads<S, Links> half[2];
  Line<S> string[2], cable[2];
  S string_tension[2], cable_tension[2];
  S cable_stretch[2];     // [m]
  S cable_turn_rate[2];   // u̇ of the cables
  Vector2<S> nock_force;  // of both string halves on the nock, inertial frame
  S stop_gap[2], stop_force[2];
  S excursion{0.0};  // largest overshoot of a track's range [rad]
};

template <class S>
Vector2<S> mirror(Vector2<S> a) {
  return {a.x, -a.y};
}

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

template <class S, int Links>
void add_string_half(const Constants<S, Links>& c, const HalfMotion<S, Links>& m, int h, Vector2<S> end,
                     Vector2<S> end_velocity, RunDirection<S>& run_direction, LineLoads<S, Links>& loads) {
  const S sign(half_sign[h]);
  const Vector2<S> span = Vector2<S>{end.x, sign * end.y} - m.axle();
  const Vector2<S> closing = Vector2<S>{end_velocity.x, sign * end_velocity.y} - m.axle_velocity();
  Line<S>& line = loads.string[h];
  line =
      solve_line<TrackRole::let_out>(run_direction, c.half[h].string_track, m.cam, FarEnd<S>{}, span, loads.excursion);
  const S rate = dot(line.direction, closing) - line.p_a * m.alpha_rate;
  const S tension = line_tension(c.string[h], line.length, rate);
  loads.string_tension[h] = tension;
  const Vector2<S> pull = tension * line.direction;
  loads.half[h].axle_force += pull;
  loads.half[h].cam_moment += tension * line.p_a;
  loads.nock_force -= Vector2<S>{pull.x, sign * pull.y};
}

template <class S, int Links>
void add_cable(const Constants<S, Links>& c, const Topology& topology, const HalfMotion<S, Links> (&m)[2], int h,
               S contact_mode, RunDirection<S>& run_direction, LineLoads<S, Links>& loads) {
  const int o = 1 - h;
  const Vector2<S> span = mirror(m[o].axle()) - m[h].axle();
  const Vector2<S> closing = mirror(m[o].axle_velocity()) - m[h].axle_velocity();
  const bool let_out = topology.cable_end[h] == CableEnd::let_out;
  const FarEnd<S> far{let_out ? &c.half[o].let_out_track : nullptr, m[o].cam};
  Line<S>& line = loads.cable[h];
  line = solve_line<TrackRole::take_up>(run_direction, c.half[h].take_up_track, m[h].cam, far, span, loads.excursion);
  const S rate = dot(line.direction, closing) + line.p_a * m[h].alpha_rate - line.p_b * m[o].alpha_rate;
  const LineConstants<S>& cable = c.cable[h];
  loads.cable_stretch[h] = line.length - cable.natural;
  const S tension = engaged_force(contact_mode, loads.cable_stretch[h], rate, cable.stiffness, cable.damping);
  loads.cable_tension[h] = tension;
  loads.cable_turn_rate[h] =
      (dot(quarter_turn(line.direction), closing) + line.slope_a * m[h].alpha_rate + line.slope_b * m[o].alpha_rate) /
      line.straight;
  const Vector2<S> pull = tension * line.direction;
  loads.half[h].axle_force += pull;
  loads.half[h].cam_moment -= tension * line.p_a;
  loads.half[o].axle_force -= mirror(pull);
  loads.half[o].cam_moment += tension * line.p_b;
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

/// Where the string's runs from the cams end, both halves at the nock, relative to the grip pivot in the inertial
/// frame.
template <class S>
struct EndsAtNock {
  Vector2<S> nock, nock_velocity;
  [[nodiscard]] Vector2<S> place(int /*half*/) const { return nock; }
  [[nodiscard]] Vector2<S> velocity(int /*half*/) const { return nock_velocity; }
};

/// Loads of all lines and stops. `ends`: of the string's runs, as EndsAtNock; joint and cam angles and rates are those
/// of the state.
template <class S, int Links, class Ends>
void add_line_loads(const Constants<S, Links>& c, const Topology& topology, const HalfMotion<S, Links> (&m)[2],
                    const Ends& ends, const S* q, const S* v, RunDirections<S>& run_directions,
                    LineLoads<S, Links>& loads, const ContactModes<S>& contact_modes = {}) {
  using L = Layout<Links>;
  loads.nock_force = {S(0.0), S(0.0)};
  for (int h = 0; h < 2; ++h) {
    add_string_half(c, m[h], h, ends.place(h), ends.velocity(h), run_directions.string[h], loads);
    add_cable(c, topology, m, h, contact_modes.cable[h], run_directions.cable[h], loads);
  }
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
