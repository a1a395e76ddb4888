// How launches step by the library's own method, one to a lane of the scalar. Private; for launch/launch_engine.hpp.
//
// Every method makes a step in two parts, since a lane that is new, or whose arrow has just left the string, needs a
// single evaluation where it stands, and shares it with the others' first. Neither part evaluates where the step ends
// unless `knows_end()`: the engine does, because an event there may switch a contact.
#pragma once

#include "launch/lane_states.hpp"

namespace nockwise::detail {

/// The library's own step (numerics/nystrom.hpp), in all lanes at once.
template <class S>
class Nystrom {
 public:
  template <class Evaluate>
  void first_part(LaneStates<S>& states, bool /*steps*/, const Evaluate& evaluate) {
    states.to_second();
    evaluate(states.second);
  }
  template <class Evaluate>
  void second_part(LaneStates<S>& states, double /*time*/, bool /*to_event*/, const Evaluate& evaluate) {
    states.to_third();
    evaluate(states.third);
    states.to_fourth();
    evaluate(states.at.a);
    states.to_end();
  }
  [[nodiscard]] bool knows_end() const { return false; }
  /// Of the step that was just made, before its end is evaluated (`LaneStates::roughness`).
  [[nodiscard]] S roughness(const LaneStates<S>& states, const S* hole_rate, int first, int modes) const {
    return states.roughness(hole_rate, first, modes);
  }
};

}  // namespace nockwise::detail
