// One shot's errors, drawn or chosen. Private.
#pragma once

#include "nockwise/group.hpp"

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace nockwise::detail {

/// \throws InputError naming the nearest
[[nodiscard]] const ScatterSource& source_named(const std::string& name);

/// A source with its width.
struct ActiveSource {
  const ScatterSource* source = nullptr;
  double deviation = 0.0;
};
/// Those that scatter, in the order of the table.
[[nodiscard]] std::vector<ActiveSource> active_sources(const Scatter& scatter);

/// What one shot differs by.
struct ShotErrors {
  std::vector<double> normal;  // per active source, in standard deviations
  std::vector<double> angle;   // per active source: where it points, of those that point any way [rad], otherwise 0; of
                               // a stiff side, which is the same half a turn on, twice that
  std::size_t arrow = 0;       // which
  std::uint64_t gust_seed = 1;
};

/// Errors of a shot: of its own and of its arrow's, by seed, name and index.
[[nodiscard]] ShotErrors drawn_errors(const std::vector<ActiveSource>& sources, std::uint64_t seed, std::size_t shot,
                                      std::size_t arrow);

/// \throws InputError when these shots put a parameter out of its range, with in how many of them
void check_ranges(const Setup& setup, const std::vector<ActiveSource>& sources, std::span<const ShotErrors> shots);

/// Setup, aim and flight of such a shot.
/// \throws InputError with the parameter's path when it leaves its range
[[nodiscard]] Setup with_errors(const Setup& setup, const std::vector<ActiveSource>& sources, const ShotErrors& errors);
/// How far the bow stands above its place, seen from the eye [m].
[[nodiscard]] double raised_with_errors(const std::vector<ActiveSource>& sources, const ShotErrors& errors);
[[nodiscard]] TargetFlightOptions flight_with_errors(const std::vector<ActiveSource>& sources,
                                                     const ShotErrors& errors);

}  // namespace nockwise::detail
