// What the launch engine keeps of each lane beside its state. Private; for launch/launch_engine.hpp.
#pragma once

#include "launch/event_locator.hpp"

#include <cstddef>

namespace nockwise::detail {

enum class LanePhase {
  idle,
  fresh,     // needs its first evaluation
  stepping,  // takes a whole step
  landing,   // repeats the step up to an event
  let_go     // needs an evaluation with the string on its own
};

struct LaunchLimits {
  double time = 0.0;  // [s]
  double event_tolerance = usual_event_tolerance;
};

struct LaunchLane {
  LanePhase phase = LanePhase::idle;
  std::size_t evaluations = 0;
  bool tail_passed = false;
  bool waits = false;     // has what it needed of this tick
  bool diverged = false;  // in this tick

  [[nodiscard]] bool steps() const { return phase == LanePhase::stepping || phase == LanePhase::landing; }
  [[nodiscard]] bool needs_one_evaluation() const { return phase == LanePhase::fresh || phase == LanePhase::let_go; }
};

}  // namespace nockwise::detail
