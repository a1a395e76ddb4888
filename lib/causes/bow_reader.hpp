// A bow as somebody tells it in a message: the table [bow] of a case, in place of a setup file. Private.
//
// People write what stands on the sheet (axle to axle, brace, draw length, peak, let-off, cabling, stops, a speed with
// its arrow), what rest and arrow they have, which hand they draw with. read_told_sheet() takes the lines of the sheet;
// every other entry is a number or a choice of a setup by its path, or the arrow's whole mass. build_bow() makes a bow
// of it. Three things follow from its being told and not measured:
// - what the sheet says of the whole bow is known as well as sheets are (KnownBy::specified), not as a workshop
// measures;
// - what was told by its path is known as usual; what nobody told is known a class less well than in a setup file,
// which
//   somebody has measured: the less is told, the wider are answers that take ignorance into account;
// - what was assumed is listed, with what matters most first.
// Tracks of the cams are one guess among many: how far another would answer otherwise is build_ensemble()'s matter.
#pragma once

#include "nockwise/explanation.hpp"
#include "setup_file/toml.hpp"

#include <string>
#include <vector>

namespace nockwise::detail {

struct ToldBow {
  Setup setup;
  std::vector<AssumedValue> assumed;
};

/// \throws InputError with file, line and column: for a line that cannot be meant, or that no bow meets
[[nodiscard]] ToldBow read_told_bow(const FileEntry& table, const std::string& file);

}  // namespace nockwise::detail
