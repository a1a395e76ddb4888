// How much work a case is, before it is done.
#include "causes/case_ranges.hpp"
#include "nockwise/explanation.hpp"

namespace nockwise {

std::size_t expected_launches(const Case& observed, const ExplanationOptions& options) {
  if (observed.tears.empty()) {
    return 0;
  }
  const std::size_t bows = detail::different_bows(observed.tears);
  std::size_t launches = 350 * bows;  // fits: every suspected part alone, in pairs, and all at once
  launches += options.next_checks ? 300 : 0;
  launches += options.plan ? 700 : 0;
  launches += options.plan && options.ignorance > 0.0 ? 1000 : 0;  // every explanation is several bows
  return launches;
}

}  // namespace nockwise
