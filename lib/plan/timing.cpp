#include "plan/timing.hpp"

#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double together = 0.0254 / 32.0;  // [m] stops nearer than that touch together

ShotRequest moved(const PlanProblem& problem, const Adjustment& a, double steps) {
  const Setup& bow = problem.bows.front().bow;
  try {
    return {.setup = adjusted(bow, a, steps), .distance = problem.distance};
  } catch (const InputError& error) {
    return {.setup = bow, .failure = error.what()};
  }
}

/// Stops set the draw length; to close a gap with them would only hide that the cams are out of time.
bool sets_timing(const PlanProblem& problem, const Adjustment& a) {
  const bool stop = a.name.starts_with("stop.");
  return a.group == AdjustmentGroup::sync && a.plannable && (problem.press || !a.needs_press) &&
         (!stop || suspicion(problem, a.name) > 0.5);
}

/// What a step leaves open, does to the draw length that the bow should have, and to the leaning cams, less what speaks
/// for it as the cause.
double cost_of(const PlanProblem& problem, const TimingStep& step, double draw_length, const Shot& before,
               const Shot& after) {
  const auto more = [&](Output output) {
    return std::max(0.0, std::fabs(after.value[output]) - std::fabs(before.value[output]));
  };
  const double gap = std::fabs(after.value[Output::stop_gap]) / together;
  const double draw = (after.value[Output::draw_length] - draw_length) / 0.00635;
  const double lean = (more(Output::lean_upper) + more(Output::lean_lower)) / 0.02;
  const double coarse = std::max(0.0, gap - 1.0);
  return 3.0 * coarse * coarse + 0.3 * gap + draw * draw + lean * lean + 0.1 * std::fabs(step.steps) -
         1.5 * suspicion(problem, step.adjustment.name);
}

}  // namespace

std::optional<TimingStep> find_timing(const PlanProblem& problem, const Shot& start, std::size_t& launches) {
  const double gap = start.value[Output::stop_gap];
  if (!problem.gap_known || std::fabs(gap) <= together) {
    return {};
  }
  std::vector<Adjustment> candidates;
  std::vector<ShotRequest> requests;
  for (const Adjustment& each : adjustments(problem.bows.front().bow)) {
    if (sets_timing(problem, each)) {
      candidates.push_back(each);
      requests.push_back(moved(problem, each, 1.0));
    }
  }
  requests.push_back({.setup = problem.supposed, .distance = problem.distance});
  const std::vector<Shot> slopes = shoot_many(requests, problem.execution);
  const Shot& supposed = slopes.back().flew ? slopes.back() : start;
  std::vector<TimingStep> trials;
  requests.clear();
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    const double slope = slopes[i].flew ? slopes[i].value[Output::stop_gap] - gap : 0.0;
    if (std::fabs(slope) < 0.1 * together) {
      continue;
    }
    const double nearest = 0.5 * std::round(-2.0 * gap / slope);
    for (const double steps : {nearest - 0.5, nearest, nearest + 0.5}) {
      if (steps != 0.0 && steps >= candidates[i].least_steps && steps <= candidates[i].most_steps) {
        trials.push_back({candidates[i], steps});
        requests.push_back(moved(problem, candidates[i], steps));
      }
    }
  }
  const std::vector<Shot> answers = shoot_many(requests, problem.execution);
  launches += slopes.size() + answers.size();
  std::optional<TimingStep> best;
  double least = 0.0;
  for (std::size_t k = 0; k < trials.size(); ++k) {
    const bool nearer = answers[k].flew && std::fabs(answers[k].value[Output::stop_gap]) < std::fabs(gap);
    const double cost =
        nearer ? cost_of(problem, trials[k], supposed.value[Output::draw_length], start, answers[k]) : 0.0;
    if (nearer && (!best || cost < least)) {
      least = cost;
      best = trials[k];
    }
  }
  return best;
}

}  // namespace nockwise::detail
