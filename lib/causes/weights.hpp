// The probability of each explanation among all, and of the tear that follows. Private.
#pragma once

#include "causes/case_ignorance.hpp"
#include "causes/plausible_bow.hpp"

#include <vector>

namespace nockwise::detail {

constexpr double one_in_twenty = 1.645;  // normal quantile

/// All fits of one case.
struct Fits {
  std::vector<ResponseCurve> curves;  // of each deviation alone, refined where it fits
  JointFit joint;
  std::vector<SingleFit> singles;
  std::vector<double> probability;  // of each among the singles
  std::vector<PairFit> pairs;  // every mode of every pair; the first are launched, if two faults are probable enough
};

/// \throws SolverError when the setup as given cannot be shot
[[nodiscard]] Fits fit_case(CaseModel& model);

/// The same where the bow is known no better than this, besides what is suspected: how the readings answer to that is
/// found around the setup, and again around the likeliest single cause. `answer` receives the latter.
[[nodiscard]] Fits fit_case(CaseModel& model, const Ignorance& ignorance, const Execution& execution,
                            CaseIgnorance& answer);

/// Whether one or two deviations make what was seen, as likely_bows() judges it.
[[nodiscard]] bool explained_by_few(const Fits& fits, double usual_limit);

/// The bows that would show what was seen, with their weights: single causes and launched pairs whose chi-square is
/// within `usual_limit` or little above that of the joint fit; if there are none, the joint fit.
/// With ignorance each explanation becomes several bows, its most probable one and `pairs` on either side of it, drawn
/// from what the readings leave of it.
[[nodiscard]] std::vector<PlausibleBow> likely_bows(const CaseModel& model, const Fits& fits, double usual_limit,
                                                    const CaseIgnorance& ignorance, const Execution& execution,
                                                    int pairs = 1);

/// Probability that the first hole's true tear is within its reading error.
[[nodiscard]] double clean_probability(const CaseModel& model, const Case& observed, const Fits& fits);

/// Least chi-square of all readings that any bow could show if its tear, of every kind of shot, had a part that nothing
/// suspected makes: large only where the observations contradict each other. Linearised at the joint fit.
[[nodiscard]] double contradiction(const CaseModel& model, const JointFit& fit);

}  // namespace nockwise::detail
