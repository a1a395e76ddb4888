// Launches in the lanes of a pack. Private; included by lanes/instruction_set.hpp alone.
#pragma once

#include "lanes/constants.hpp"
#include "lanes/dispatch.hpp"
#include "launch/launch_engine.hpp"
#include "launch/nystrom_method.hpp"
#include "numerics/pack.hpp"

#include <memory>

namespace nockwise::detail {

/// What the engine takes its launches from (launch/launch_engine.hpp): a supply beyond the border of the instruction
/// set.
template <class S, int Links>
class LaneQueue {
 public:
  explicit LaneQueue(const LaneSupply<Links>& supply) : supply_(supply) {}

  bool next(int l, LaneStart<Links>& start) {
    result_[l].event_count = 0;
    return supply_.next(supply_.context, l, start);
  }
  LaunchRecord<Links>& record(int l) { return result_[l].record; }
  void met(int l, const EventRecord& event) {
    LaneResult<Links>& result = result_[l];
    if (result.event_count < max_event_records) {
      result.event[result.event_count] = event;
    }
    ++result.event_count;
  }
  void done(int l, bool diverged) {
    result_[l].diverged = diverged;
    result_[l].overflowed = result_[l].event_count > max_event_records;
    supply_.done(supply_.context, l, result_[l]);
  }

 private:
  LaneSupply<Links> supply_;
  LaneResult<Links> result_[kernel::Lanes<S>::count];
};

template <class S, int Links>
void run_lanes(const kernel::Topology& topology, const LaneOptions& options, const LaneSupply<Links>& supply) {
  using Queue = LaneQueue<S, Links>;
  using Engine = LaunchEngine<S, Links, Nystrom<S>, Queue>;
  LaunchLimits limits;
  limits.time = options.time_limit;
  const auto queue = std::make_unique<Queue>(supply);
  const int coordinates = kernel::Layout<Links>{topology.modes}.size();
  std::make_unique<Engine>(topology, coordinates, limits, Nystrom<S>{}, *queue)->run();
}

}  // namespace nockwise::detail
