// What a plan may promise: how often it ends clean, and how far the hole at its end may be off. Private.
//
// The search tries its steps on a few bows of each explanation, since every trial is a launch of each; what suits those
// few best suits them better than the bows that they stand for. So where the bow is not known the steps that were
// chosen are shot once more on bows that the search has not seen, drawn more finely, and those are what is promised.
// Explanations that are too unlikely to be drawn, which together may weigh as much as those that are, are taken to end
// clean half as often: counted as failures, plans kept half again what they promised, and counted as the others a
// quarter less (tests/reference/blind_recovery.md, "What a plan promises").
#pragma once

#include "plan/plan.hpp"

#include <span>

namespace nockwise::detail {

/// Probability that the true tear is within `limit` [m], if this bow's is (up, right).
[[nodiscard]] inline double success(const PlausibleBow& bow, double up, double right, double limit) {
  const TearSpread& s = bow.spread;
  return probability_within(up + s.bias_up, limit, s.deviation_up) *
         probability_within(right + s.bias_right, limit, s.deviation_right);
}

/// Probability that the true tear is within the reading error, where the problem's bows end so; a bow that does not fly
/// counts as failure.
[[nodiscard]] double confidence_of(const PlanProblem& problem, std::span<const Shot> ends);

/// Half width of the interval around the most probable bow's tear that holds the true one in 90 %: up, right [m].
[[nodiscard]] std::array<double, 2> half_widths_of(const PlanProblem& problem, std::span<const Shot> ends);

/// Promises of the solution, from its steps shot on the bows of `problem`, which need not be those of the search.
void promise(const PlanProblem& problem, PlanSolution& solution);

}  // namespace nockwise::detail
