/// @file
/// For who designs a bow: the setting of guard, nocking point and cams whose tear answers least to a line that is a
/// quarter twist off.
///
///   FreeNumber (a parameter and its step) ─► settings ─► launches with every line a quarter twist longer and shorter
///     ─► how far the tear moves ─► the smallest, with a hole within a limit
///
/// The search is that of forgiving() (nockwise/group.hpp): whole steps, from the setup and from the smallest hole.
#pragma once

#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"

#include <atomic>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// A number of the setup that the engineer is free to choose.
struct FreeNumber {
  std::string path;   ///< of a parameter: "cable_guard.offset"
  double step = 0.0;  ///< [SI] above 0
  bool operator==(const FreeNumber&) const = default;
};

/// How far one line moves the tear.
struct LineAnswer {
  std::string adjustment;  ///< name of the adjustment by which the line is turned
  double up = 0.0;         ///< change of the tear by a quarter twist more [m], tail up positive
  double right = 0.0;      ///< [m], tail to the archer's right positive
};

/// One setting that was looked at.
struct TriedSetting {
  std::vector<double> steps;  ///< of each free number
  double tear = 0.0;          ///< size of the hole [m]
  double sensitivity = 0.0;   ///< of the tear, all lines together [m]
};

/// Options of least_sensitive().
struct LeastSensitiveOptions {
  std::vector<std::string> lines{};         ///< adjustments that turn lines; none: upper and lower cable, yoke legs
  double twists = 0.25;                     ///< by which a line is off, 0.05 to 2
  double within = 0.0064;                   ///< largest tear allowed, both ways [m], 1e-4 to 0.1
  double most_steps = 4.0;                  ///< farthest from the setup, in steps of each number, 1 to 20
  std::optional<int> threads{};             ///< as SweepOptions
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off: Interrupted is thrown
};

/// The setting whose tear answers least.
struct LeastSensitive {
  Setup setup;
  std::vector<std::string> paths;        ///< of what was free
  std::vector<double> steps;             ///< of each, from the setup as given
  std::vector<double> values;            ///< of each [SI]
  double tear_up = 0.0;                  ///< [m]
  double tear_right = 0.0;               ///< [m]
  double sensitivity = 0.0;              ///< root of the sum of squares of what all lines do [m]
  double sensitivity_before = 0.0;       ///< of the setup as given [m]
  std::vector<LineAnswer> lines;         ///< of the setting found
  std::vector<LineAnswer> lines_before;  ///< of the setup as given
  std::vector<TriedSetting> frontier;    ///< no other has both a smaller hole and a smaller answer; smallest hole first
  std::size_t tried = 0;                 ///< settings looked at
  std::vector<Caution> cautions;         ///< before anything is built or shot
};

/// How far a tear moves where each of these lines is off by so many twists, by launches either way.
/// @throws InputError for an adjustment that the bow does not have; SolverError when the bow cannot be shot so
[[nodiscard]] std::vector<LineAnswer> answers_of_lines(const Setup& setup, const LeastSensitiveOptions& options = {});

/// The setting of these numbers whose tear answers least to lines that are a quarter twist off, while the hole stays
/// within a limit. A setting with a caution that the setup does not have is not taken.
/// @param free  at most 8
/// @throws InputError for a number or an option out of range; SolverError when the setup cannot be shot, or when no
/// setting that was looked at tears within the limit; Interrupted when stopped
[[nodiscard]] LeastSensitive least_sensitive(const Setup& setup, const std::vector<FreeNumber>& free,
                                             const LeastSensitiveOptions& options = {});

}  // namespace nockwise
