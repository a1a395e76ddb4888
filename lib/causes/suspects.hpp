// What may be off in a bow: its adjustments, and what no wrench moves. Private.
#pragma once

#include "nockwise/adjustment.hpp"

#include <vector>

namespace nockwise::detail {

/// The adjustments of this bow, and deviations that are no adjustment. How far each is usually off, and why so far, is
/// its `prior`; `rare_prior` that of what is thought of only where nothing ordinary explains all.
[[nodiscard]] std::vector<Adjustment> suspects(const Setup& setup);

}  // namespace nockwise::detail
