// Cam timing comes first: a stop that is known to be open is set before anything else is judged. Private.
#pragma once

#include "plan/plan.hpp"

namespace nockwise::detail {

/// One adjustment, by halves of a step: a quarter twist.
struct TimingStep {
  Adjustment adjustment;
  double steps = 0.0;
};

/// What brings both stops together, if the gap is known and more than 1/32 in: of the cables and single yoke legs the
/// one that is most probably off, or that changes draw length and lean least. `start` is the most probable bow's shot.
[[nodiscard]] std::optional<TimingStep> find_timing(const PlanProblem& problem, const Shot& start,
                                                    std::size_t& launches);

}  // namespace nockwise::detail
