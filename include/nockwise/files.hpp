/// @file
/// Files that nockwise reads and writes. All of its readers take texts through here.
#pragma once

#include "nockwise/export.hpp"

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>

namespace NOCKWISE_EXPORT nockwise {

/// The largest file that is read [byte].
inline constexpr std::size_t largest_file = 16'000'000;

/// Most names and brackets around a value of a file: levels of a dotted name, and of tables and lists.
inline constexpr int deepest_nesting = 16;

/// The text of a regular file of at most `largest_file` bytes.
/// @throws InputError for anything else (a folder, a pipe, a device), at once and without opening it
[[nodiscard]] std::string read_text_file(const std::filesystem::path& file);

/// Refuses TOML that is too long or too deeply nested, by a scan that knows strings and comments; a parser recurses on
/// nesting and would run out of stack. Whether the text is TOML at all is left to the parser.
/// @throws InputError with line and column; `source_name` stands for the file
void check_toml_limits(std::string_view toml, const std::string& source_name);

/// Finds out before a long computation whether its result can be written. An existing file keeps its content, and none
/// is left behind.
/// @throws Error with the file and the reason
void check_writable(const std::filesystem::path& file);

/// Writes a file, replacing it.
/// @throws Error with the file and the reason
void write_text_file(const std::filesystem::path& file, std::string_view text);

}  // namespace nockwise
