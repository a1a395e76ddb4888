// The events of a launch: one continuous function each, watched for a change of sign (lib/README.md, "Events").
// Private.
#pragma once

#include "kernel/right_hand_side.hpp"
#include "nockwise/launch.hpp"
#include "numerics/false_position.hpp"

#include <array>
#include <numbers>

namespace nockwise::detail {

enum Watch {
  watch_separation,
  watch_tail,
  watch_upper_stop,
  watch_lower_stop,
  watch_contact,
  watch_bottom,
  watch_upper_cable,
  watch_lower_cable,
  watch_count,
  sighted_drop = watch_count  // found in an accepted step, never landed on: nothing changes there
};

template <class S>
using WatchValues = std::array<S, watch_count>;

/// How far a line may run past its track before the launch ends [rad].
inline constexpr double track_end = 1e-6;
inline constexpr double drop_margin = 2.0 * std::numbers::pi / 180.0;

/// Values of all event functions; each falls through zero (contact also rises) when its event happens. `attached` is 1
/// while the nock holds the string.
template <class S, int Links>
WatchValues<S> watch_values(const kernel::Constants<S, Links>& c, const kernel::Topology& topology, S attached,
                            const kernel::Diagnostics<S>& d, const S* q) {
  using L = kernel::Layout<Links>;
  WatchValues<S> g;
  g[watch_separation] = kernel::select(attached > S(0.5), d.separation, S(1.0));
  g[watch_tail] = topology.rest == RestKind::none ? q[L::riser_x] + c.rest.x - q[L::arrow_x] : d.rest.reach;
  g[watch_upper_stop] = topology.stop[0] != StopKind::none ? -d.stop_gap[0] : S(1.0);
  g[watch_lower_stop] = topology.stop[1] != StopKind::none ? -d.stop_gap[1] : S(1.0);
  const bool touches = topology.rest != RestKind::none && topology.rest != RestKind::capture;
  g[watch_contact] = touches ? -d.rest.gap : S(1.0);
  const bool falls = kernel::has_arm(topology.rest);
  g[watch_bottom] = falls ? q[L::rest_arm] - c.rest.down_angle : S(1.0);
  // Nothing of the shot depends on cables that go slack once the arrow is on its way.
  g[watch_upper_cable] = kernel::select(attached > S(0.5), d.cable_stretch[0], S(1.0));
  g[watch_lower_cable] = kernel::select(attached > S(0.5), d.cable_stretch[1], S(1.0));
  return g;
}

/// The bond that an event switches; null: none but the string, which needs more (let_string_go).
template <class S>
S* bond_of(kernel::Bonds<S>& bonds, int watch) {
  switch (watch) {
    case watch_contact:
      return &bonds.launcher;
    case watch_upper_cable:
      return &bonds.cable[0];
    case watch_lower_cable:
      return &bonds.cable[1];
    default:
      return nullptr;
  }
}

/// Whether this is watched only while the nock holds the string. `Isa` as for EventSearch.
template <class Isa>
constexpr bool ends_as_nock_leaves(int watch) {
  return watch == watch_separation || watch == watch_upper_cable || watch == watch_lower_cable;
}

/// The bonds once the nock has left the string.
template <class S>
kernel::Bonds<S> after_release(const kernel::Bonds<S>& bonds) {
  kernel::Bonds<S> after(S(0.0));
  after.launcher = bonds.launcher;
  return after;
}

/// Where in a step the rest's arm passes the angle `started`, from its angles and rates at both ends (Hermite's cubic).
/// `Isa` as for EventSearch.
template <class Isa>
double share_to_drop(double started, double from, double from_rate, double to, double to_rate, double step) {
  EventSearch<Isa> search(from - started, to - started, true);
  bool found = false;
  while (!found) {
    const double share = search.share();
    const double rest = 1.0 - share;
    const double arm = (1.0 + 2.0 * share) * rest * rest * from + share * rest * rest * step * from_rate +
                       share * share * (3.0 - 2.0 * share) * to + share * share * (share - 1.0) * step * to_rate;
    found = search.take(arm - started);
  }
  return search.share();
}

/// What a change of sign means; `rising` only matters for contact and cables.
inline bool event_of(int watch, bool rising, EventKind& kind) {
  switch (watch) {
    case watch_separation:
      kind = EventKind::nock_left_string;
      return !rising;
    case watch_tail:
      kind = EventKind::tail_passed_rest;
      return !rising;
    case watch_upper_stop:
      kind = EventKind::upper_stop_open;
      return !rising;
    case watch_lower_stop:
      kind = EventKind::lower_stop_open;
      return !rising;
    case watch_contact:
      kind = rising ? EventKind::rest_contact_made : EventKind::rest_contact_lost;
      return true;
    case sighted_drop:
      kind = EventKind::drop_started;
      return !rising;
    case watch_bottom:
      kind = EventKind::drop_ended;
      return !rising;
    case watch_upper_cable:
      kind = rising ? EventKind::upper_cable_taut : EventKind::upper_cable_slack;
      return true;
    case watch_lower_cable:
      kind = rising ? EventKind::lower_cable_taut : EventKind::lower_cable_slack;
      return true;
    default:
      return false;
  }
}

}  // namespace nockwise::detail
