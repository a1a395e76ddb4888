// The directions of what is not known, from how well every number is known. Private.
#pragma once

#include "nockwise/ignorance.hpp"

#include <string>
#include <vector>

namespace nockwise::detail {

/// The directions of all numbers of a setup, without what holds them, and then those of the bow measures, without what
/// moves them. \throws InputError for a name in `without` that is none
[[nodiscard]] std::vector<IgnoranceDirection> number_directions(const Setup& setup, const IgnoranceOptions& options);

/// A number that moves by `shift`, in its logarithm or by addition, without leaving its range.
[[nodiscard]] double moved_value(const Parameter& number, double value, double shift, bool logarithmic);

/// Whether a name is in a list.
[[nodiscard]] bool is_among(const std::vector<std::string>& list, const std::string& name);

}  // namespace nockwise::detail
