// What a launch keeps of the steps it makes, one number at a time or a pack: ranges, peaks, the rest's closest
// approach. Private.
#pragma once

#include "kernel/right_hand_side.hpp"

#include <limits>

namespace nockwise::detail {

/// What vanes met.
template <class S>
struct Struck {
  S force{0.0}, time{0.0};                // largest on their edges [N], and when [s]
  S depth{0.0};                           // largest that one was pressed in [m]
  S impulse_up{0.0}, impulse_aside{0.0};  // on the shaft [N·s]
  S up{0.0}, aside{0.0};                  // at the last step's end [N]
};

template <class S>
struct Extremes {
  static constexpr double infinity = std::numeric_limits<double>::infinity();

  S acceleration{0.0};                             // largest, along x, while on the string [m/s²]
  S y_low{infinity}, y_high{-infinity};            // nock, while on the string [m]
  S z_low{infinity}, z_high{-infinity};            // [m]
  S contact{0.0};                                  // largest force on the shaft [N]
  S last_contact{0.0};                             // [s]
  S shaft_gap{infinity}, fletching_gap{infinity};  // smallest since the last contact; while the vanes pass [m]
  S before{0.0};                                   // the last step's end [s]
  Struck<S> launcher, cables;                      // by vanes
};

/// Where launches have come to.
template <class S, class M>
struct Observed {
  M seen;         // the lanes of which this is true
  M attached;     // the nock holds the string
  M tail_passed;  // the shaft's tail is past the rest
  S time;         // [s]
  S nock_y, nock_z;
};

/// Take one step's end into account in the lanes that are seen: ranges of the nock while attached, the rest until the
/// tail has passed.
template <class S, class M>
void observe(Extremes<S>& e, const Observed<S, M>& at, bool has_rest, const kernel::Diagnostics<S>& d) {
  using kernel::both;
  using kernel::maximum;
  using kernel::minimum;
  using kernel::select;
  const M on_string = both(at.seen, at.attached);
  e.acceleration = select(on_string, maximum(e.acceleration, d.axial_acceleration), e.acceleration);
  e.y_low = select(on_string, minimum(e.y_low, at.nock_y), e.y_low);
  e.y_high = select(on_string, maximum(e.y_high, at.nock_y), e.y_high);
  e.z_low = select(on_string, minimum(e.z_low, at.nock_z), e.z_low);
  e.z_high = select(on_string, maximum(e.z_high, at.nock_z), e.z_high);
  if (!has_rest) {
    return;
  }
  const auto& rest = d.rest;
  const M over = both(both(at.seen, rest.reach > S(0.0)), kernel::negate(at.tail_passed));
  const M carried = both(over, rest.contact > S(0.0));
  e.contact = select(over, maximum(e.contact, rest.contact), e.contact);
  e.last_contact = select(carried, at.time, e.last_contact);
  const S closest = select(rest.contact > S(0.0), S(Extremes<S>::infinity), minimum(e.shaft_gap, rest.gap));
  e.shaft_gap = select(over, closest, e.shaft_gap);
}

/// The same of vanes, by what they meet; `half_step`: half the time since the last step's end. Impulses are by
/// trapezia: steps are short where a vane may strike.
template <class S, class M>
void observe_strike(Struck<S>& struck, const Observed<S, M>& at, const kernel::VaneLoads<S>& loads, S half_step) {
  using kernel::both;
  using kernel::maximum;
  using kernel::select;
  const M over = both(at.seen, kernel::negate(at.tail_passed));
  struck.time = select(both(over, loads.press > struck.force), at.time, struck.time);
  struck.force = select(over, maximum(struck.force, loads.press), struck.force);
  struck.depth = select(over, maximum(struck.depth, loads.depth), struck.depth);
  const S up = struck.impulse_up + half_step * (struck.up + loads.up);
  const S aside = struck.impulse_aside + half_step * (struck.aside + loads.aside);
  struck.impulse_up = select(over, up, struck.impulse_up);
  struck.impulse_aside = select(over, aside, struck.impulse_aside);
  struck.up = select(at.seen, loads.up, struck.up);
  struck.aside = select(at.seen, loads.aside, struck.aside);
}

/// The first `count` vanes past a launcher of this half width, if there is one, and the cables.
template <class S, class M>
void observe_vanes(Extremes<S>& e, const Observed<S, M>& at, const kernel::Topology& topology,
                   const kernel::Diagnostics<S>& d, const kernel::VaneConstants<S>& vanes, S half_width) {
  using kernel::both;
  using kernel::select;
  const S half_step = S(0.5) * (at.time - e.before);
  e.before = select(at.seen, at.time, e.before);
  if (topology.rest != RestKind::none) {
    const kernel::RestState<S>& rest = d.rest;
    const M over = both(at.seen, kernel::negate(at.tail_passed));
    const M beside = both(over, both(rest.reach >= vanes.rear, rest.reach <= vanes.front));
    const S clearance = kernel::vane_clearance(vanes, topology.vanes, half_width, rest.gap, rest.lateral_gap);
    e.fletching_gap = select(beside, kernel::minimum(e.fletching_gap, clearance), e.fletching_gap);
    observe_strike(e.launcher, at, rest.vanes, half_step);
  }
  if (topology.cables_beside) {
    observe_strike(e.cables, at, d.cables.loads, half_step);
  }
}

template <class S>
void clear_lane(int lane, Struck<S>& s) {
  for (S* zero : {&s.force, &s.time, &s.depth, &s.impulse_up, &s.impulse_aside, &s.up, &s.aside}) {
    kernel::set_lane(*zero, lane, 0.0);
  }
}

template <class S>
void read_lane(int lane, const Struck<S>& from, Struck<double>& to) {
  to.force = kernel::in_lane(from.force, lane);
  to.time = kernel::in_lane(from.time, lane);
  to.depth = kernel::in_lane(from.depth, lane);
  to.impulse_up = kernel::in_lane(from.impulse_up, lane);
  to.impulse_aside = kernel::in_lane(from.impulse_aside, lane);
}

/// Nothing observed yet in this lane.
template <class S>
void clear_lane(int lane, Extremes<S>& e) {
  constexpr double infinity = Extremes<S>::infinity;
  clear_lane(lane, e.launcher);
  clear_lane(lane, e.cables);
  for (S* zero : {&e.acceleration, &e.contact, &e.last_contact, &e.before}) {
    kernel::set_lane(*zero, lane, 0.0);
  }
  for (S* low : {&e.y_low, &e.z_low, &e.shaft_gap, &e.fletching_gap}) {
    kernel::set_lane(*low, lane, infinity);
  }
  for (S* high : {&e.y_high, &e.z_high}) {
    kernel::set_lane(*high, lane, -infinity);
  }
}

template <class S>
void read_lane(int lane, const Extremes<S>& from, Extremes<double>& to) {
  to.acceleration = kernel::in_lane(from.acceleration, lane);
  to.y_low = kernel::in_lane(from.y_low, lane);
  to.y_high = kernel::in_lane(from.y_high, lane);
  to.z_low = kernel::in_lane(from.z_low, lane);
  to.z_high = kernel::in_lane(from.z_high, lane);
  to.contact = kernel::in_lane(from.contact, lane);
  to.last_contact = kernel::in_lane(from.last_contact, lane);
  to.shaft_gap = kernel::in_lane(from.shaft_gap, lane);
  to.fletching_gap = kernel::in_lane(from.fletching_gap, lane);
  read_lane(lane, from.launcher, to.launcher);
  read_lane(lane, from.cables, to.cables);
}

}  // namespace nockwise::detail
