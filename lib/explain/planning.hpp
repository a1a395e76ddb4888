// The plan of an explanation. Private.
#pragma once

#include "causes/weights.hpp"

namespace nockwise::detail {

/// Works the plan out for what the fits say; where nothing explains the hole, a remedy.
void make_plan(const Case& observed, const ExplanationOptions& options, const CaseModel& model, const Fits& fits,
               const CaseIgnorance& ignorance, Explanation& e);

}  // namespace nockwise::detail
