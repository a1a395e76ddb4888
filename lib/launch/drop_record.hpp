// When a rest begins to drop: an event for the report only, found in a step that is accepted and not landed on.
// Private; for launch/launch_engine.hpp.
#pragma once

#include "launch/events.hpp"
#include "launch/lane_states.hpp"
#include "launch/record.hpp"

namespace nockwise::detail {

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

/// Tell `met(lane, EventRecord)` of every lane of `accepted` whose arm begins to drop in the step from `states.now` to
/// `states.at` that begins at `time`. `up`: the arm's angle where it is held up [rad].
template <class S, int Links, class Met>
void record_drops(typename kernel::Lanes<S>::Mask accepted, const S& up, const LaneStates<S>& states, const S& time,
                  const Met& met) {
  constexpr int arm = kernel::Layout<Links>::rest_arm;
  const S started = up - S(drop_margin);
  const auto& from = states.now;
  const auto& to = states.at;
  const auto begins = kernel::both(accepted, kernel::both(from.q[arm] > started, to.q[arm] <= started));
  if (!kernel::any(begins)) {
    return;
  }
  for (int l = 0; l < kernel::Lanes<S>::count; ++l) {
    if (kernel::in_lane(begins, l)) {
      const auto in = [l](const S& value) { return kernel::in_lane(value, l); };
      const double step = in(states.step);
      const double share = share_to_drop<typename kernel::Lanes<S>::Isa>(in(started), in(from.q[arm]), in(from.v[arm]),
                                                                         in(to.q[arm]), in(to.v[arm]), step);
      met(l, EventRecord{event_drop_started, false, in(time) + share * step});
    }
  }
}

}  // namespace nockwise::detail
