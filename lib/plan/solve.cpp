// A plan in the order of the bench: cam timing where it is known to be off, then all else.

#include "nockwise/error.hpp"
#include "plan/responses.hpp"
#include "plan/timing.hpp"

#include <algorithm>

namespace nockwise::detail {

double suspicion(const PlanProblem& problem, const std::string& adjustment) {
  double own = 0.0;
  double all = 0.0;
  for (const PlausibleBow& each : problem.bows) {
    all += each.weight;
    own += std::find(each.off.begin(), each.off.end(), adjustment) == each.off.end() ? 0.0 : each.weight;
  }
  return own / all;
}

double timing_suspicion(const PlanProblem& problem) {
  std::vector<std::string> names;
  for (const Adjustment& each : adjustments(problem.supposed)) {
    if (each.group == AdjustmentGroup::sync) {
      names.push_back(each.name);
    }
  }
  double off = 0.0;
  double all = 0.0;
  for (const PlausibleBow& bow : problem.bows) {
    all += bow.weight;
    off += std::find_first_of(bow.off.begin(), bow.off.end(), names.begin(), names.end()) == bow.off.end() ? 0.0
                                                                                                           : bow.weight;
  }
  return off / all;
}

Shot with_unexplained(Shot shot, const PlausibleBow& bow) {
  if (shot.flew) {
    shot.value[Output::tear_up] += bow.unexplained[0];
    shot.value[Output::tear_right] += bow.unexplained[1];
  }
  return shot;
}

namespace {

/// The bows with their timing set; one that cannot be set so is none of those that the plan can suit.
std::vector<PlausibleBow> set(std::vector<PlausibleBow> bows, const TimingStep& timing) {
  std::vector<PlausibleBow> all;
  for (PlausibleBow& each : bows) {
    try {
      each.bow = adjusted(each.bow, timing.adjustment, timing.steps);
    } catch (const InputError&) {
      continue;
    }
    std::erase(each.off, timing.adjustment.name);  // repaired
    all.push_back(std::move(each));
  }
  return all;
}

}  // namespace

PlanSolution solve_plan(const PlanProblem& problem) {
  if (!problem.gap_known) {
    return search_steps(problem);
  }
  const ShotRequest request{.setup = problem.bows.front().bow, .distance = problem.distance};
  const Shot start = with_unexplained(shoot_many({&request, 1}, problem.execution).front(), problem.bows.front());
  std::size_t launches = 1;
  const auto timing = start.flew ? find_timing(problem, start, launches) : std::nullopt;
  if (!timing) {
    PlanSolution solution = search_steps(problem);
    solution.launches += launches;
    return solution;
  }
  PlanProblem rest = problem;
  rest.bows = set(problem.bows, *timing);
  PlanSolution solution = search_steps(rest);
  solution.launches += launches;
  solution.start = start;
  solution.sets_timing = true;
  solution.adjustments.insert(solution.adjustments.begin(), timing->adjustment);
  solution.steps.insert(solution.steps.begin(), timing->steps);
  return solution;
}

}  // namespace nockwise::detail
