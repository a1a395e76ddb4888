#pragma once

/// @file
/// Values as they are written in setup files.

#include "nockwise/parameters.hpp"
#include "nockwise/setup.hpp"

#include <string>

namespace nockwise::detail {

/// Text between quotes, escaped for TOML.
[[nodiscard]] std::string quoted(const std::string& text);

/// A number as a person would give it: quantity_text(), or a plain number.
[[nodiscard]] std::string plain_value_text(const Parameter& parameter, const Setup& setup);

/// The same as the right-hand side in a file: in quotes, or a plain number.
[[nodiscard]] std::string value_text(const Parameter& parameter, const Setup& setup);

/// A whole track: `name = { … }` for a circle, a table headed by `path` for the long ones.
[[nodiscard]] std::string track_text(const Track& track, const std::string& path);

/// True if the track is written as a table of its own, which must stand behind the plain lines of its parent.
[[nodiscard]] bool is_long(const Track& track);

/// Comment lines of at most 100 characters.
[[nodiscard]] std::string comment(const std::string& text);

}  // namespace nockwise::detail
