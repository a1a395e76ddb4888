// The lines of a sheet as somebody tells them in a message: what is not told is assumed, and named. Private.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "setup_file/toml.hpp"

#include <functional>
#include <string>
#include <vector>

namespace nockwise::detail {

constexpr double ordinary_let_off = 0.8;  // [fraction]

struct ToldSheet {
  BowMeasurements sheet;
  std::vector<std::string> assumed;  // lines that were not told: "let_off"
};

/// Takes an entry that is no line of a sheet; false where it is not known either.
using SheetEntry = std::function<bool(const FileEntry&)>;

/// Reads a table of a file. Draw length, axle-to-axle length, brace height and peak (or a draw curve) must be told;
/// let-off, cabling and stops are those of an ordinary bow of today where they are not.
/// \throws InputError with file, line and column
[[nodiscard]] ToldSheet read_told_sheet(const FileEntry& table, const std::string& file, const SheetEntry& other);

}  // namespace nockwise::detail
