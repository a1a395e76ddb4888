/// @file
/// What a bow will do, as far as it is known: value, interval, and what the interval comes from.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/ignorance.hpp"

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// The part that one thing which is not known has in an output.
struct PredictionShare {
  std::string name;   ///< of the direction
  std::string title;  ///< for people
  KnownBy by = KnownBy::typical;
  /// Of the output's variance, by straight lines [fraction]. All shares sum to one. After measurements that tie things
  /// together one may be negative: it takes away from what another does.
  double share = 0.0;
  double slope = 0.0;  ///< change of the output per standard deviation [SI]
};

/// Something to measure, and what it would leave of an output's interval.
struct NarrowingMeasurement {
  std::string what;         ///< path of a number (with "both" for halves), name of a direction, or of an output
  std::string instruction;  ///< "measure the string: mass"
  double remaining = 1.0;   ///< of the interval's width [fraction]
};

/// One output, as far as it is known.
struct PredictedOutput {
  Output output = Output::tear_up;
  double value = 0.0;             ///< of the setup as it stands [SI]
  double low = 0.0;               ///< 5 % of the drawn bows lie below [SI]
  double median = 0.0;            ///< half of the drawn bows lie below [SI]
  double high = 0.0;              ///< 5 % of the drawn bows lie above [SI]
  double deviation = 0.0;         ///< standard deviation of the drawn bows [SI]
  double linear_deviation = 0.0;  ///< the same by straight lines through the setup [SI]
  /// Straight lines give the interval to a fifth of its width. Where they do not, shares tell the order of what matters
  /// rather than amounts.
  bool linear = true;
  std::vector<PredictionShare> shares;          ///< largest first
  std::vector<NarrowingMeasurement> narrowing;  ///< best first
};

/// What a bow will do, as far as it is known.
struct Prediction {
  std::string name;  ///< of the setup
  std::vector<PredictedOutput> outputs;
  std::size_t bows = 0;            ///< drawn and shot
  std::size_t failed = 0;          ///< of these: could not be shot, and are not counted in the intervals
  double distance = 0.0;           ///< of the paper [m]
  std::vector<std::string> notes;  ///< for people
};

/// Options of predict().
struct PredictionOptions {
  std::size_t bows = 400;                   ///< to draw, 20 to 100,000
  std::uint64_t seed = 1;                   ///< of the draws: the same seed gives the same bows
  double level = 1.0;                       ///< factor on all widths, 0 to 4
  std::vector<std::string> without{};       ///< what is to be taken as known, as in IgnoranceOptions
  std::optional<double> distance{};         ///< of the paper [m]; none: the setup's
  std::optional<int> threads{};             ///< at least 1; none: as many as the machine runs at once; changes no bit
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off: Interrupted is thrown
};

/// Value, 90 % interval and shares of outputs, by full launches of drawn bows and by straight lines.
/// @param outputs  empty: both parts of the tear, and the exit speed
/// @throws InputError for an option out of range; SolverError where the setup itself cannot be shot; Interrupted when
/// stopped
[[nodiscard]] Prediction predict(const Setup& setup, const std::vector<Output>& outputs = {},
                                 const PredictionOptions& options = {});
/// The same for an ignorance, such as one that measurements have narrowed. Its level and what it leaves out are its
/// own; `options.level` and `options.without` are not looked at.
/// @throws as above
[[nodiscard]] Prediction predict(const Ignorance& ignorance, const std::vector<Output>& outputs = {},
                                 const PredictionOptions& options = {});

/// The prediction for people, as Markdown: intervals, what they come from, what would narrow them.
[[nodiscard]] std::string prediction_markdown(const Prediction& prediction);

}  // namespace nockwise
