// The plan of an explanation. Private.
#pragma once

#include "causes/weights.hpp"

#include <span>

namespace nockwise::detail {

/// Whether a plan takes away a tear that nothing explains.
[[nodiscard]] constexpr bool is_remedy(Verdict verdict) {
  return verdict == Verdict::unexplained || verdict == Verdict::not_this_bow;
}

/// The bows that a plan starts from, most probable first: as they stand after the work. `pairs` as likely_bows() takes
/// it.
[[nodiscard]] std::vector<PlausibleBow> plausible_bows(const Case& observed, const ExplanationOptions& options,
                                                       const CaseModel& model, const Fits& fits,
                                                       const CaseIgnorance& ignorance, bool remedy, int pairs);

/// Works the plan out for what the fits say; where nothing explains the hole, a remedy. What it promises where the bow
/// is not known is tried on bows that were drawn `finely`.
void make_plan(const Case& observed, const ExplanationOptions& options, const CaseModel& model, const Fits& fits,
               const CaseIgnorance& ignorance, std::span<const PlausibleBow> finely, Explanation& e);

}  // namespace nockwise::detail
