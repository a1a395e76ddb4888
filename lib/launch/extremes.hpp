// What a launch keeps of the steps it makes, one number at a time or a pack: ranges, peaks, the rest's closest
// approach. Private.
#pragma once

#include "kernel/right_hand_side.hpp"

#include <limits>

namespace nockwise::detail {

template <class S>
struct Extremes {
  static constexpr double infinity = std::numeric_limits<double>::infinity();

  S acceleration{0.0};                             // largest, along x, while on the string [m/s²]
  S y_low{infinity}, y_high{-infinity};            // nock, while on the string [m]
  S z_low{infinity}, z_high{-infinity};            // [m]
  S contact{0.0};                                  // largest force on the shaft [N]
  S last_contact{0.0};                             // [s]
  S shaft_gap{infinity}, fletching_gap{infinity};  // smallest since the last contact; while the vanes pass [m]
  S vane_force{0.0}, vane_time{0.0};               // largest on the vanes' edges [N], and when [s]
  S vane_depth{0.0};                               // that a vane was pressed in [m]
  S vane_impulse_up{0.0}, vane_impulse_aside{0.0};    // on the shaft [N·s]
  S before{0.0}, vane_up_before{0.0}, vane_aside_before{0.0};  // at the last step's end: time [s], forces [N]
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

/// The same of the first `count` vanes against a launcher of this half width.
template <class S, class M>
void observe_vanes(Extremes<S>& e, const Observed<S, M>& at, const kernel::RestState<S>& rest,
                   const kernel::VaneConstants<S>& vanes, int count, S half_width) {
  using kernel::both;
  using kernel::maximum;
  using kernel::minimum;
  using kernel::select;
  const kernel::VaneLoads<S>& loads = rest.vanes;
  const M over = both(at.seen, kernel::negate(at.tail_passed));
  const M beside = both(over, both(rest.reach >= vanes.rear, rest.reach <= vanes.front));
  const S clearance = kernel::vane_clearance(vanes, count, half_width, rest.gap, rest.lateral_gap);
  e.fletching_gap = select(beside, minimum(e.fletching_gap, clearance), e.fletching_gap);
  e.vane_time = select(both(over, loads.press > e.vane_force), at.time, e.vane_time);
  e.vane_force = select(over, maximum(e.vane_force, loads.press), e.vane_force);
  e.vane_depth = select(over, maximum(e.vane_depth, loads.depth), e.vane_depth);
  // By trapezia: steps are short where a vane may strike.
  const S half_step = S(0.5) * (at.time - e.before);
  const S up = e.vane_impulse_up + half_step * (e.vane_up_before + loads.up);
  const S aside = e.vane_impulse_aside + half_step * (e.vane_aside_before + loads.aside);
  e.vane_impulse_up = select(over, up, e.vane_impulse_up);
  e.vane_impulse_aside = select(over, aside, e.vane_impulse_aside);
  e.before = select(at.seen, at.time, e.before);
  e.vane_up_before = select(at.seen, loads.up, e.vane_up_before);
  e.vane_aside_before = select(at.seen, loads.aside, e.vane_aside_before);
}

/// Nothing observed yet in this lane.
template <class S>
void clear_lane(int lane, Extremes<S>& e) {
  constexpr double infinity = Extremes<S>::infinity;
  for (S* zero : {&e.acceleration, &e.contact, &e.last_contact, &e.vane_force, &e.vane_time, &e.vane_depth,
                  &e.vane_impulse_up, &e.vane_impulse_aside, &e.before, &e.vane_up_before, &e.vane_aside_before}) {
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
  to.vane_force = kernel::in_lane(from.vane_force, lane);
  to.vane_time = kernel::in_lane(from.vane_time, lane);
  to.vane_depth = kernel::in_lane(from.vane_depth, lane);
  to.vane_impulse_up = kernel::in_lane(from.vane_impulse_up, lane);
  to.vane_impulse_aside = kernel::in_lane(from.vane_impulse_aside, lane);
}

}  // namespace nockwise::detail
