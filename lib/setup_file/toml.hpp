#pragma once

/// @file
/// What the readers of setup files share: nodes of a TOML document with their place in the file.

#include "nockwise/error.hpp"
#include "nockwise/track.hpp"
#include "nockwise/units.hpp"

#include <toml++/toml.h>

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nockwise::detail {

/// One `name = value` of a file.
struct FileEntry {
  std::string name;
  std::string path;  ///< as written in the file, "limbs.both.pivot_x"
  const toml::node* node = nullptr;
  Location place;  ///< of the name

  /// The value as a person would recognise it in a message.
  [[nodiscard]] std::string value_text() const;
  [[nodiscard]] InputError error(const std::string& allowed) const { return {path, value_text(), allowed, place}; }
  /// The value as a table.
  /// @throws InputError if it is something else
  [[nodiscard]] const toml::table& table() const;
  /// The value as text.
  /// @throws InputError if it is something else
  [[nodiscard]] std::string text() const;
};

/// The document.
/// @throws InputError with the place, if the text is not TOML
[[nodiscard]] toml::table parse_document(std::string_view text, const std::string& file);

/// Place of a part of the document.
[[nodiscard]] Location place_of(const toml::source_region& region, const std::string& file);

/// The entries of a table in the order of the file, so that the first mistake in the file is the first reported. `path`
/// is the table's own, empty for the document.
[[nodiscard]] std::vector<FileEntry> entries_of(const toml::table& table, const std::string& path,
                                                const std::string& file);

/// A quantity: text with a unit, or a plain number if it is dimensionless. `unit` is the one to recommend.
/// @throws InputError if it is anything else
[[nodiscard]] double parse_number(const FileEntry& entry, Quantity quantity, std::string_view unit);

/// A track, checked for its form only; a groove's file is read.
/// @param folder in which a groove's file is looked for; none: the text is from no file, and may name none
/// @throws InputError for unknown, missing and wrong entries; as read_groove()
[[nodiscard]] Track parse_track(const FileEntry& entry, const std::string& file,
                                const std::optional<std::filesystem::path>& folder);

/// "there is no such name here; the nearest is …"
[[nodiscard]] std::string no_such_name(const std::string& name, const std::vector<std::string>& names);

}  // namespace nockwise::detail
