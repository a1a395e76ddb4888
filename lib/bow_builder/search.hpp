// Many sets of guesses for one sheet, and what to say where none of them meets it. Private.
#pragma once

#include "nockwise/bow_builder.hpp"

#include <cstdint>
#include <exception>
#include <optional>
#include <vector>

namespace nockwise::detail {

/// How many sets of guesses are tried before a sheet is refused.
inline constexpr std::uint64_t most_trials = 64;

/// A set of guesses that was too slow or too quick for the sheet.
struct UnmetSpeed {
  double nearest = 0.0;  // what it can about reach [m/s]
  std::uint64_t trial = 0;
};

/// What became of a sheet with many sets of guesses: a bow, or why there is none.
struct Trials {
  std::optional<BuiltBow> bow;  // without a caution and with ordinary moving parts, or else the nearest to that
  bool ordinary = false;        // that bow's moving parts
  std::vector<UnmetSpeed> unmet;
  std::exception_ptr refusal;  // the first
};

/// The middle of what is plausible first; where that cannot be, the guesses are drawn.
Trials try_guesses(const BowMeasurements& measurements, const Setup& base, std::uint64_t most);

/// No bow of the sheet was found to be so quick, or so slow: names the nearest speed at which one is.
[[noreturn]] void refuse_speed(const BowMeasurements& measurements, const Setup& base, const Trials& trials);
/// No cams were found that let off so much: says how much they can.
[[noreturn]] void refuse_let_off(const BowMeasurements& measurements, const Setup& base);

}  // namespace nockwise::detail
