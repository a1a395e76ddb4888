// The events of a launch: one continuous function each, watched for a change of sign (lib/README.md, "Events").
// Private.
#pragma once

#include "kernel/right_hand_side.hpp"
#include "nockwise/launch.hpp"

#include <array>
#include <numbers>

namespace nockwise::detail {

enum Watch {
  watch_separation,
  watch_tail,
  watch_upper_stop,
  watch_lower_stop,
  watch_contact,
  watch_drop,
  watch_bottom,
  watch_count
};

using WatchValues = std::array<double, watch_count>;

inline constexpr double drop_margin = 2.0 * std::numbers::pi / 180.0;

/// Values of all event functions; each falls through zero (contact also rises) when its event happens.
template <int Links>
WatchValues watch_values(const kernel::Constants<double, Links>& c, const kernel::Topology& topology, bool attached,
                         const kernel::Diagnostics<double>& d, const double* q) {
  using L = kernel::Layout<Links>;
  WatchValues g{};
  g.fill(1.0);
  if (attached) {
    g[watch_separation] = d.separation;
  }
  g[watch_tail] = topology.rest == RestKind::none ? q[L::riser_x] + c.rest.x - q[L::arrow_x] : d.rest.reach;
  for (int h = 0; h < 2; ++h) {
    if (topology.stop[h] != StopKind::none) {
      g[static_cast<std::size_t>(watch_upper_stop + h)] = -d.stop_gap[h];
    }
  }
  if (topology.rest != RestKind::none && topology.rest != RestKind::capture) {
    g[watch_contact] = -d.rest.gap;
  }
  if (kernel::has_arm(topology.rest)) {
    g[watch_drop] = q[L::rest_arm] - (c.rest.up_angle - drop_margin);
    g[watch_bottom] = q[L::rest_arm] - c.rest.down_angle;
  }
  return g;
}

/// What a change of sign means; `rising` only matters for contact.
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
    case watch_drop:
      kind = EventKind::drop_started;
      return !rising;
    case watch_bottom:
      kind = EventKind::drop_ended;
      return !rising;
    default:
      return false;
  }
}

}  // namespace nockwise::detail
