// The one description of every field of BowMeasurements, for checks and files. Private.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "nockwise/units.hpp"

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace nockwise::detail {

/// A number among the measurements.
struct MeasurementField {
  std::string path;  // below "measurements", "limb.travel"
  Quantity quantity;
  std::string unit;
  double minimum, maximum;  // [SI]
  std::function<std::optional<double>(const BowMeasurements&)> get;
  std::function<void(BowMeasurements&, double)> set;

  /// \throws InputError with the path
  void check(double value) const;
};

/// A word among the measurements.
struct MeasurementChoice {
  std::string path;
  std::vector<std::string> words;
  std::function<std::string(const BowMeasurements&)> get;
  std::function<void(BowMeasurements&, const std::string&)> set;  // one of `words`
};

const std::vector<MeasurementField>& measurement_fields();
const std::vector<MeasurementChoice>& measurement_choices();

/// Ranges of one reading of the draw board.
const MeasurementField& reading_position();
const MeasurementField& reading_force();

}  // namespace nockwise::detail
