// The events of a launch: one continuous function each, watched for a change of sign (lib/README.md, "Events").
// Private.
#pragma once

#include "kernel/right_hand_side.hpp"
#include "nockwise/launch.hpp"
#include "numerics/false_position.hpp"

#include <array>
#include <numbers>

namespace nockwise::detail {

enum EventFunction {
  event_separation,
  event_tail,
  event_upper_stop,
  event_lower_stop,
  event_contact,
  event_bottom,
  event_upper_cable,
  event_lower_cable,
  event_function_count,
  event_drop_started = event_function_count  // found in an accepted step, never landed on: nothing changes there
};

template <class S>
using EventValues = std::array<S, event_function_count>;

/// How far a line may run past its track before the launch ends [rad].
inline constexpr double track_end = 1e-6;
inline constexpr double drop_margin = 2.0 * std::numbers::pi / 180.0;

/// Values of all event functions; each falls through zero (contact also rises) when its event happens. `attached` is 1
/// while the nock holds the string.
template <class S, int Links>
EventValues<S> event_values(const kernel::Constants<S, Links>& c, const kernel::Topology& topology, S attached,
                            const kernel::Diagnostics<S>& d, const S* q) {
  using L = kernel::Layout<Links>;
  EventValues<S> g;
  g[event_separation] = kernel::select(attached > S(0.5), d.separation, S(1.0));
  g[event_tail] = topology.rest == RestKind::none ? q[L::riser_x] + c.rest.x - q[L::arrow_x] : d.rest.reach;
  g[event_upper_stop] = topology.stop[0] != StopKind::none ? -d.stop_gap[0] : S(1.0);
  g[event_lower_stop] = topology.stop[1] != StopKind::none ? -d.stop_gap[1] : S(1.0);
  const bool touches = topology.rest != RestKind::none && topology.rest != RestKind::capture;
  g[event_contact] = touches ? -d.rest.gap : S(1.0);
  const bool falls = kernel::has_arm(topology.rest);
  g[event_bottom] = falls ? q[L::rest_arm] - c.rest.down_angle : S(1.0);
  // Nothing of the shot depends on cables that go slack once the arrow is on its way.
  g[event_upper_cable] = kernel::select(attached > S(0.5), d.cable_stretch[0], S(1.0));
  g[event_lower_cable] = kernel::select(attached > S(0.5), d.cable_stretch[1], S(1.0));
  return g;
}

/// The contact mode that an event switches; null: none but the string, which needs more (let_string_go).
template <class S>
S* contact_mode_of(kernel::ContactModes<S>& contact_modes, int function) {
  switch (function) {
    case event_contact:
      return &contact_modes.launcher;
    case event_upper_cable:
      return &contact_modes.cable[0];
    case event_lower_cable:
      return &contact_modes.cable[1];
    default:
      return nullptr;
  }
}

/// Whether this is watched only while the nock holds the string. `Isa` as for EventSearch.
template <class Isa>
constexpr bool ends_as_nock_leaves(int function) {
  return function == event_separation || function == event_upper_cable || function == event_lower_cable;
}

/// The contact modes once the nock has left the string.
template <class S>
kernel::ContactModes<S> after_release(const kernel::ContactModes<S>& contact_modes) {
  kernel::ContactModes<S> after(S(0.0));
  after.launcher = contact_modes.launcher;
  return after;
}

/// What a change of sign means; `rising` only matters for contact and cables.
inline bool event_of(int function, bool rising, EventKind& kind) {
  switch (function) {
    case event_separation:
      kind = EventKind::nock_left_string;
      return !rising;
    case event_tail:
      kind = EventKind::tail_passed_rest;
      return !rising;
    case event_upper_stop:
      kind = EventKind::upper_stop_open;
      return !rising;
    case event_lower_stop:
      kind = EventKind::lower_stop_open;
      return !rising;
    case event_contact:
      kind = rising ? EventKind::rest_contact_made : EventKind::rest_contact_lost;
      return true;
    case event_drop_started:
      kind = EventKind::drop_started;
      return !rising;
    case event_bottom:
      kind = EventKind::drop_ended;
      return !rising;
    case event_upper_cable:
      kind = rising ? EventKind::upper_cable_taut : EventKind::upper_cable_slack;
      return true;
    case event_lower_cable:
      kind = rising ? EventKind::lower_cable_taut : EventKind::lower_cable_slack;
      return true;
    default:
      return false;
  }
}

}  // namespace nockwise::detail
