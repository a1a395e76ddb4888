// How probable each explanation is against the others, and what that says of the tear. Private.
#pragma once

#include "causes/plausible_bow.hpp"

#include <vector>

namespace nockwise::detail {

constexpr double one_in_twenty = 1.645;  // normal quantile

/// All fits of one case.
struct Fits {
  JointFit joint;
  std::vector<SingleFit> singles;
  std::vector<double> probability;  // of each among the singles
  std::vector<PairStart> starts;    // every pair, without a launch of its own
  std::vector<PairFit> pairs;       // the most probable, if two faults are worth thinking of
};

/// \throws SolverError when the setup as given cannot be shot
[[nodiscard]] Fits fit_case(CaseModel& model);

/// The bows that may be behind what was seen, with their weights: single causes and pairs whose chi-square is within
/// `usual_limit` or hardly above that of the joint fit, or else the joint fit.
[[nodiscard]] std::vector<PlausibleBow> likely_bows(const CaseModel& model, const Fits& fits, double usual_limit);

/// Probability that the first hole's true tear is within its reading error.
[[nodiscard]] double clean_probability(const CaseModel& model, const Case& observed, const Fits& fits);

}  // namespace nockwise::detail
