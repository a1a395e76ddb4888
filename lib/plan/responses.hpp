// What whole steps of each adjustment do to each of the bows that a plan must suit. Private.
#pragma once

#include "plan/plan.hpp"

namespace nockwise::detail {

struct Change {
  double up = 0.0, right = 0.0, gap = 0.0, draw = 0.0;  // [m]
};

/// What whole steps of one adjustment do to each bow, from `least` to `most`.
struct Response {
  int least = 0, most = 0;
  std::vector<std::vector<Change>> change;  // per number of steps, per bow
  [[nodiscard]] const std::vector<Change>& at(int steps) const { return change[steps - least]; }
};

/// Whole steps of every candidate.
using Steps = std::vector<int>;

/// The shot of one bow after these steps.
[[nodiscard]] ShotRequest request_for(const PlanProblem& problem, const std::vector<Adjustment>& candidates,
                                      std::size_t bow, const Steps& steps);

/// How much farther than (up, right) the hole tears on the way, upward or sideways, where these parts are done in the
/// best of all orders [m].
[[nodiscard]] double least_detour(double up, double right, const std::vector<Change>& parts);

/// Launch the candidates in `wanted` that have no response yet: the most probable bow after every number of whole
/// steps, the others after a few, and in between as that one does, corrected by straight lines. What cannot be shot
/// ends the range. `before` holds the shots of all bows as they are.
void measure_responses(const PlanProblem& problem, const std::vector<Adjustment>& candidates,
                       const std::vector<Shot>& before, const std::vector<std::size_t>& wanted,
                       std::vector<Response>& responses, std::size_t& launches);

/// Whole steps for bows whose timing is set, or not known.
[[nodiscard]] PlanSolution search_steps(const PlanProblem& problem);

}  // namespace nockwise::detail
