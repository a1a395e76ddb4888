// The one next thing to do: which it is, what it will show, and what each outcome would mean. Private.
#pragma once

#include "causes/plausible_bow.hpp"

namespace nockwise::detail {

/// From an explanation with its checks and plan, and the bows that are plausible, most probable first, drawn finely.
/// \param bow_is_known whether the setup is taken for the bow to the last digit, so that nobody need look whether it is
[[nodiscard]] NextStep choose_next(const Explanation& e, const std::vector<PlausibleBow>& bows, bool bow_is_known,
                                   const Execution& execution);

}  // namespace nockwise::detail
