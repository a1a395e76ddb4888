#include "plan/promise.hpp"

#include "nockwise/error.hpp"

namespace nockwise::detail {

double confidence_of(const PlanProblem& problem, std::span<const Shot> ends) {
  double sum = 0.0;
  for (std::size_t h = 0; h < ends.size(); ++h) {
    const OutputValues& v = ends[h].value;
    const PlausibleBow& bow = problem.bows[h];
    sum += ends[h].flew ? bow.weight * success(bow, v[Output::tear_up], v[Output::tear_right], problem.reading_error)
                        : 0.0;
  }
  return sum;
}

std::array<double, 2> half_widths_of(const PlanProblem& problem, std::span<const Shot> ends) {
  const auto half_width = [&](Output output, double TearSpread::*bias, double TearSpread::*deviation) {
    const auto held = [&](double reach) {
      double sum = 0.0;
      double weight = 0.0;
      for (std::size_t h = 0; h < ends.size(); h += problem.distances) {
        if (!ends[h].flew) {
          continue;
        }
        const TearSpread& spread = problem.bows[h].spread;
        const double off = ends[h].value[output] + spread.*bias - ends.front().value[output];
        sum += problem.bows[h].weight * probability_within(off, reach, spread.*deviation);
        weight += problem.bows[h].weight;
      }
      return sum / weight;
    };
    double low = 0.0;
    double high = 1.0;  // [m]
    for (int i = 0; i < 40; ++i) {
      const double middle = 0.5 * (low + high);
      (held(middle) < 0.9 ? low : high) = middle;
    }
    return high;
  };
  return {half_width(Output::tear_up, &TearSpread::bias_up, &TearSpread::deviation_up),
          half_width(Output::tear_right, &TearSpread::bias_right, &TearSpread::deviation_right)};
}

void promise(const PlanProblem& problem, PlanSolution& solution) {
  std::vector<ShotRequest> requests;
  std::vector<std::size_t> of;
  for (std::size_t h = 0; h < problem.bows.size(); ++h) {
    const PlausibleBow& each = problem.bows[h];
    try {
      Setup bow = each.bow;
      for (std::size_t i = 0; i < solution.steps.size(); ++i) {
        bow = adjusted(bow, solution.adjustments[i], solution.steps[i]);
      }
      requests.push_back(
          {.setup = std::move(bow), .distance = each.distance.value_or(problem.distance), .statics = false});
      of.push_back(h);
    } catch (const InputError&) {  // this bow cannot be set so: a failure
      continue;
    }
  }
  solution.launches += requests.size();
  const std::vector<Shot> shots = shoot_many(requests, problem.execution);
  std::vector<Shot> ends(problem.bows.size());
  for (std::size_t k = 0; k < shots.size(); ++k) {
    ends[of[k]] = with_unexplained(shots[k], problem.bows[of[k]]);
  }
  if (!ends.front().flew) {
    return;  // the most probable bow, which the search has shot
  }
  constexpr double as_often = 0.5;
  double considered = 0.0;
  for (const PlausibleBow& each : problem.bows) {
    considered += each.weight;
  }
  const double kept = confidence_of(problem, ends);
  solution.confidence = kept + as_often * (1.0 - considered) * kept / considered;
  const std::array<double, 2> half = half_widths_of(problem, ends);
  solution.half_width_up = half[0];
  solution.half_width_right = half[1];
}

}  // namespace nockwise::detail
