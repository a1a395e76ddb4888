#pragma once

/// @file
/// The table `[known]` of a setup file: how well single numbers are known.

#include "nockwise/setup.hpp"
#include "setup_file/toml.hpp"

#include <string>
#include <vector>

namespace nockwise::detail {

/// What the table says of a setup whose values have been read.
/// @throws InputError with place, for a name, a class or a width that cannot be meant
[[nodiscard]] std::vector<KnownValue> parse_known(const FileEntry& table, const Setup& setup, const std::string& file);

/// The table; empty where nothing is said.
[[nodiscard]] std::string known_text(const std::vector<KnownValue>& known);

}  // namespace nockwise::detail
