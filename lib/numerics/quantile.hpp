// Quantiles of a sample. Private.
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace nockwise::detail {

/// Where a share of sorted values lies below, by straight lines between them; `sorted` is not empty.
[[nodiscard]] inline double quantile(const std::vector<double>& sorted, double share) {
  const double place = share * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(place);
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  return sorted[below] + (place - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}

}  // namespace nockwise::detail
