// Whether the setup is of this bow at all: looked at once, before the first wrench. Private.
//
// Everything that is explained and planned takes the setup for this bow. With another bow's setup the answers are wrong
// with confidence, and only a hole that does not come after a first move tells (tests/reference/blind_recovery.md).
// Two lengths that anybody measures in two minutes tell before it: axle to axle, and brace height, as a technician
// compares them with the maker's sheet before anything else (common practice, no source). They are readings like any
// other: where no suspect accounts for them, explain() says `not_this_bow`.
#pragma once

#include "nockwise/explanation.hpp"

#include <optional>

namespace nockwise::detail {

/// The check, where nobody has measured either length of this bow yet: not in the case, nor does the setup say how well
/// it is known; and nothing has been done to the bow. None otherwise.
[[nodiscard]] std::optional<NextCheck> same_bow_check(const Case& observed);

}  // namespace nockwise::detail
