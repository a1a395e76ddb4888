/// @file
/// What is not known of a bow, as a part of the model: independent directions in which the bow in the hand may differ
/// from the bow in the file, how shots answer to them, and what measurements leave of them.
///
/// A direction is one thing that is not known, counted in standard deviations: z = 0 is the setup, and beforehand each
/// z is normal with mean 0 and standard deviation 1, independent of all others. How wide a direction is follows from
/// how well its numbers are known (`width_of()`: the table of parameters, or `[known]` in the setup's file).
///
/// **Halves.** What upper and lower half have in common is one direction ("limbs.both.damping"), by what they differ
/// another ("limbs.difference.damping"): each half's width is √(common² + difference²), and `Knowledge::apart` says how
/// much of it is the difference.
///
/// **What is held.** A workshop measures brace height, axle-to-axle length, the angle of the cams at brace (timing
/// marks), draw length at the touch of the stops, peak weight, and the gap of the stops against each other
/// (`bow_measures()`). A direction that would move these, such as the string's rigidity, moves besides, alike in both
/// halves, the length of the string, of the cables, the limbs' place and preload and the stops' angles, and, where both
/// cams have a stop, the cables against each other, just so that all six stay as they are. How far is solved by
/// Newton's method with draws of the bow at one standard deviation either way; in between it is a parabola in z. By how
/// far the six may themselves be misread are six directions of their own. All directions at once hold them to about a
/// tenth of how well they are measured: 0.05 mm of brace height, 0.1 mm of draw length and stop gap, 0.1 % of the peak.
/// Where the hand presses is not held: it is a matter of the archer, and the bow is measured on a draw board.
///
/// **Ranges.** A number that can only be positive moves in its logarithm if its width is relative; every other by
/// addition. Near the end of its range a step x (in the same measure) becomes x / (1 + (x/a)⁴)^¼, where a is the
/// distance to that end: smooth, a step of its own size wherever the end is far, and never beyond.
///
/// **Sides.** Lateral numbers move toward the side of the hand that draws, so that a mirrored bow has mirrored draws.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/outputs.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup.hpp"

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// How one number moves with a direction.
struct IgnoranceStep {
  std::string path;
  double deviation = 0.0;    ///< per standard deviation of the direction [SI, or of the logarithm]
  bool logarithmic = false;  ///< of a number that can only be positive
  bool operator==(const IgnoranceStep&) const = default;
};

/// How one number moves so that what is measured of the bow stays: by linear · z + square · z².
struct HeldStep {
  std::string path;
  double linear = 0.0;  ///< [SI]
  double square = 0.0;  ///< [SI]
  bool operator==(const HeldStep&) const = default;
};

/// One thing that is not known.
struct IgnoranceDirection {
  /// Path of the number; "limbs.both.damping" and "limbs.difference.damping" for halves; Knowledge::together for what
  /// is not known as one; the name of a bow measure.
  std::string name;
  std::string title;  ///< for people
  KnownBy by = KnownBy::typical;
  std::string reason;  ///< why so well
  std::vector<IgnoranceStep> steps;
  std::vector<HeldStep> held;  ///< of a bow measure: what moves it
  bool operator==(const IgnoranceDirection&) const = default;
};

/// Options of ignorance_of().
struct IgnoranceOptions {
  double level = 1.0;                  ///< factor on all widths, 0 to 4
  std::vector<std::string> without{};  ///< paths and names of what is to be taken as known, such as what is suspected
  std::optional<int> threads{};        ///< at least 1; none: as many as the machine runs at once; changes no bit
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off: Interrupted is thrown
};

/// What is not known of a bow. A plain value; everything else is done by free functions.
struct Ignorance {
  Setup setup;                                 ///< of which it is told, at z = 0
  std::vector<IgnoranceDirection> directions;  ///< in the order of parameters(), then of bow_measures()
  std::vector<double> mean;                    ///< of z, of each direction
  std::vector<double> covariance;              ///< of z, directions × directions, row by row
  std::vector<std::string> notes;              ///< for people: what could not be held
};

/// What is not known of this bow before anything but the bow measures was measured.
/// @throws InputError for an option out of range, or a name in `without` that is none; Interrupted when stopped
[[nodiscard]] Ignorance ignorance_of(const Setup& setup, const IgnoranceOptions& options = {});

/// A setup moved to a place: z of each direction. `setup` may be another than the ignorance's, such as the same bow
/// with another arrow or after an adjustment: steps are taken from what it has.
/// @throws InputError where the place has another number of directions
[[nodiscard]] Setup moved(const Ignorance& ignorance, const Setup& setup, std::span<const double> place);

/// Places of drawn bows. The draw of a direction depends on seed, index and the direction's name alone, so that bows of
/// one index are alike in everything that two ignorances have in common.
/// @param first  index of the first draw
[[nodiscard]] std::vector<std::vector<double>> drawn_places(const Ignorance& ignorance, std::size_t count,
                                                            std::uint64_t seed = 1, std::size_t first = 0);

/// What is read of a shot: an output, the draw force at a draw length, or a number of the setup.
struct ShotReading {
  Output output = Output::tear_up;
  std::optional<double> distance{};     ///< of the paper, for a tear [m]; none: the setup's
  std::optional<double> draw_length{};  ///< the draw force at this AMO draw length is read, not the output [m]
  std::string number{};                 ///< path of a number that is read in place of the output [SI]
  bool operator==(const ShotReading&) const = default;
};

/// A shot that is watched, and what is read of it. Shots of one bow that follow each other share brace and draw.
struct WatchedShot {
  Setup setup;  ///< the bow as it is shot, with this arrow
  std::vector<ShotReading> readings;
};

/// How readings answer to what is not known. Rows are the readings of all shots in their order; columns the directions.
struct Sensitivity {
  std::vector<double> value;        ///< of each reading at the mean [SI]
  std::vector<double> slope;        ///< readings × directions, row by row: change per standard deviation [SI]
  std::vector<double> curvature;    ///< the same: second derivative [SI]
  std::vector<std::string> doubts;  ///< for people: what could be moved one way only, or not at all
};

/// Full launches half a standard deviation either way of the mean, in every direction.
/// @throws SolverError where a shot cannot be shot at the mean; InputError for a draw length or distance that cannot
/// be; Interrupted when stopped
[[nodiscard]] Sensitivity sensitivity_of(const Ignorance& ignorance, std::span<const WatchedShot> shots,
                                         const IgnoranceOptions& options = {});

/// Readings of one drawn bow; empty where it cannot be shot.
struct DrawnReadings {
  std::vector<double> value;  ///< of each reading, as in Sensitivity [SI]
  std::string failure;        ///< why it could not be shot
};

/// The same shots with the bows at these places, in their order.
/// @throws as sensitivity_of()
[[nodiscard]] std::vector<DrawnReadings> shoot_drawn(const Ignorance& ignorance, std::span<const WatchedShot> shots,
                                                     std::span<const std::vector<double>> places,
                                                     const IgnoranceOptions& options = {});

/// Covariance of the readings by what is not known, J Σ Jᵀ: readings × readings, row by row [SI].
[[nodiscard]] std::vector<double> reading_covariance(const Ignorance& ignorance, const Sensitivity& sensitivity);

/// What was read of a watched shot.
struct MeasuredReading {
  double value = 0.0;  ///< [SI]
  double error = 0.0;  ///< the truth lies within ± this in 19 of 20 readings [SI]; above 0
};

/// What measurements leave of the ignorance: the normal distribution of z given them, where readings answer linearly
/// and their errors are normal and independent.
/// @param measured  one for each row of the sensitivity
/// @throws InputError for another number of them, an error that is not above 0, or a value that is not finite
[[nodiscard]] Ignorance narrowed(const Ignorance& ignorance, const Sensitivity& sensitivity,
                                 std::span<const MeasuredReading> measured);

/// The same with `measured` as read of `shots`: launches and narrows, and again from where that leads to, so that
/// readings need to be linear only as far as the ignorance that is left (Gauss-Newton steps).
/// @throws as sensitivity_of() and narrowed()
[[nodiscard]] Ignorance narrowed(const Ignorance& ignorance, std::span<const WatchedShot> shots,
                                 std::span<const MeasuredReading> measured, const IgnoranceOptions& options = {});

/// Without directions that matter for none of the readings: those that together make up no more than `share` of each
/// reading's variance, smallest first. Posterior covariance of those left is kept.
[[nodiscard]] Ignorance reduced(const Ignorance& ignorance, const Sensitivity& sensitivity, double share);

}  // namespace nockwise
