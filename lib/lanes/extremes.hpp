// One lane's part of a pack's extremes. Private; for lanes/launch_engine.hpp.
#pragma once

#include "launch/extremes.hpp"
#include "numerics/pack.hpp"

namespace nockwise::detail {

/// Nothing seen yet in this lane.
template <int N, class Isa>
void clear_lane(int lane, Extremes<kernel::Pack<N, Isa>>& e) {
  constexpr double infinity = Extremes<kernel::Pack<N, Isa>>::infinity;
  for (auto* zero : {&e.acceleration, &e.contact, &e.last_contact}) {
    zero->set(lane, 0.0);
  }
  for (auto* low : {&e.y_low, &e.z_low, &e.shaft_gap, &e.fletching_gap}) {
    low->set(lane, infinity);
  }
  for (auto* high : {&e.y_high, &e.z_high}) {
    high->set(lane, -infinity);
  }
}

template <int N, class Isa>
void read_lane(int lane, const Extremes<kernel::Pack<N, Isa>>& from, Extremes<double>& to) {
  to.acceleration = from.acceleration[lane];
  to.y_low = from.y_low[lane];
  to.y_high = from.y_high[lane];
  to.z_low = from.z_low[lane];
  to.z_high = from.z_high[lane];
  to.contact = from.contact[lane];
  to.last_contact = from.last_contact[lane];
  to.shaft_gap = from.shaft_gap[lane];
  to.fletching_gap = from.fletching_gap[lane];
}

}  // namespace nockwise::detail
