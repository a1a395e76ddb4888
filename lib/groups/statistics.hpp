// Numbers of a group of impacts. Private.
#pragma once

#include "nockwise/group.hpp"

#include <span>
#include <string>

namespace nockwise::detail {

/// Fills everything of the group that its impacts say, score included.
void fill_statistics(Group& group, std::optional<double> face, double arrow_diameter);

/// Root mean square of both deviations [m]: the size by which groups are compared.
[[nodiscard]] double size_of(const Group& group);
/// Relative difference of the sizes of two groups of the same shots, and its standard error by leaving out six shots
/// at a time.
struct Gain {
  double value = 0.0, error = 0.0;
};
[[nodiscard]] Gain gain_of(const Group& from, const Group& to);

/// In words of the trade.
[[nodiscard]] std::string pattern_of(const Group& group);

}  // namespace nockwise::detail
