#pragma once

/// @file
/// The likeliest name that a person meant.

#include <span>
#include <string>
#include <string_view>

namespace nockwise::detail {

/// The candidate with the smallest edit distance to `name`, the first of equals; empty if there are no candidates.
[[nodiscard]] std::string nearest_name(std::string_view name, std::span<const std::string> candidates);

}  // namespace nockwise::detail
