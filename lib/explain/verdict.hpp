// What the observations say as a whole: whether deviations explain them, whether they agree with each other, and
// whether what was foretold came. Private.
#pragma once

#include "causes/weights.hpp"

namespace nockwise::detail {

/// Whether one or two deviations of an ordinary size explain it: that many things are off together, each a little, is
/// what can be fitted to any hole and is no explanation. If they do not, the fits become those that allow unusual sizes
/// and rare suspects, should these explain it.
[[nodiscard]] Verdict judge(const Case& observed, const Execution& execution, CaseModel& model, Fits& fits,
                            CaseIgnorance& ignorance);

/// What holes before the latest work let expect of the first hole after it, and whether it came.
struct Forecast {
  bool made = false;                    // there was work, and holes before and after it
  std::array<double, 2> low{}, high{};  // 90 %, up and right, as it would be read [m]
  bool missed = false;                  // it came otherwise, as once in a thousand
};

/// All deviations may be off as far as they usually are, and the bow is known as well as `ignorance` says; linear
/// around the joint fit. `observed` has the holes in the model's order, the latest first.
[[nodiscard]] Forecast forecast(const Case& observed, const CaseModel& model, const JointFit& fit,
                                const CaseIgnorance& ignorance);

/// Whether the bow may shoot what was seen with nothing off that is suspected, by what is not known of it.
[[nodiscard]] bool may_be_right(const CaseModel& model, const CaseIgnorance& ignorance);

/// Findings about what was foretold and about amounts at the end of what was looked at; and, where the setup is not
/// this bow, what to check.
void find_doubts(const Case& observed, const CaseModel& model, const Fits& fits, const CaseIgnorance& ignorance,
                 const Forecast& foretold, Explanation& e);

}  // namespace nockwise::detail
