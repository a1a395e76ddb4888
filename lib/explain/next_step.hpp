// The one next thing to do: which it is, what it will show, and what each outcome would mean. Private.
#pragma once

#include "causes/plausible_bow.hpp"

namespace nockwise::detail {

/// From an explanation with its checks and plan, and the bows that are plausible, most probable first, drawn finely.
[[nodiscard]] NextStep choose_next(const Explanation& e, const std::vector<PlausibleBow>& bows,
                                   const Execution& execution);

}  // namespace nockwise::detail
