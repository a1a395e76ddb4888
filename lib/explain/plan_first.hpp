// What is to be looked at, tried or known before the first step of a plan. Private.
#pragma once

#include "nockwise/explanation.hpp"
#include "plan/plan.hpp"

namespace nockwise::detail {

/// Whether somebody else's holes, or a relaxed hand's, tell the hand from the bow.
[[nodiscard]] bool hand_was_tried(const Case& observed);

/// Adds to the plan what to do before the first step, and puts the check that it needs before all others.
void add_first(const Case& observed, const PlanProblem& problem, const PlanSolution& solution, Explanation& e);

/// Where the bow is not known, a check comes before the plan only where it is the next thing to do.
void add_next_check(Explanation& e);

}  // namespace nockwise::detail
