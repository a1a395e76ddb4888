#include "bow_builder/measurement_fields.hpp"

#include "base/quantity_text.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <numbers>

namespace nockwise::detail {

namespace {

constexpr double full_turn = 2.0 * std::numbers::pi;

struct Measure {
  Quantity quantity;
  const char* unit;
  double minimum, maximum;
};

MeasurementField field(const char* path, const Measure& measure,
                       std::function<std::optional<double>(const BowMeasurements&)> get,
                       std::function<void(BowMeasurements&, double)> set) {
  return {path, measure.quantity, measure.unit, measure.minimum, measure.maximum, std::move(get), std::move(set)};
}

/// A field of BowMeasurements itself.
template <class Value>
MeasurementField own(const char* path, Value BowMeasurements::*at, const Measure& measure) {
  return field(
      path, measure, [at](const BowMeasurements& m) { return std::optional<double>(m.*at); },
      [at](BowMeasurements& m, double value) { m.*at = value; });
}

/// A field of one of its parts.
template <class Part, class Value>
MeasurementField part_of(const char* path, Part BowMeasurements::*part, Value Part::*at, const Measure& measure) {
  return field(
      path, measure, [part, at](const BowMeasurements& m) { return std::optional<double>(m.*part.*at); },
      [part, at](BowMeasurements& m, double value) { m.*part.*at = value; });
}

MeasurementField of_chronograph(const char* path, double ChronographReading::*at, const Measure& measure) {
  return field(
      path, measure,
      [at](const BowMeasurements& m) {
        return m.chronograph ? std::optional<double>((*m.chronograph).*at) : std::nullopt;
      },
      [at](BowMeasurements& m, double value) {
        if (!m.chronograph) {
          m.chronograph.emplace();
        }
        (*m.chronograph).*at = value;
      });
}

/// An enumeration whose words stand in the order of its values.
template <class Value>
MeasurementChoice choice(const char* path, const std::vector<std::string>& words, Value BowMeasurements::*at) {
  return {path, words, [words, at](const BowMeasurements& m) { return words.at(static_cast<std::size_t>(m.*at)); },
          [words, at](BowMeasurements& m, const std::string& word) {
            m.*at = static_cast<Value>(std::find(words.begin(), words.end(), word) - words.begin());
          }};
}

std::vector<MeasurementField> build_fields() {
  using M = BowMeasurements;
  constexpr Quantity length = Quantity::length;
  return {
      own("axle_to_axle", &M::axle_to_axle, {length, "in", 0.4, 1.6}),
      own("brace_height", &M::brace_height, {length, "in", 0.08, 0.35}),
      own("draw_length", &M::draw_length, {length, "in", 0.45, 1.0}),
      own("peak_force", &M::peak_force, {Quantity::force, "lbf", 20.0, 700.0}),
      own("let_off", &M::let_off, {Quantity::percent, "%", 0.3, 0.95}),
      own("center_above_grip", &M::center_above_grip, {length, "mm", -0.1, 0.1}),
      part_of("limb.effective_length", &M::limb, &LimbGuess::effective_length, {length, "mm", 0.05, 1.0}),
      part_of("limb.brace_angle", &M::limb, &LimbGuess::brace_angle, {Quantity::angle, "deg", 0.05, 1.35}),
      part_of("limb.travel", &M::limb, &LimbGuess::travel, {Quantity::angle, "deg", 0.05, 0.8}),
      part_of("limb.torsion_stiffness", &M::limb, &LimbGuess::torsion_stiffness,
              {Quantity::torsion_stiffness, "N·m/rad", 1.0, 1.0e5}),
      part_of("cam.string_radius", &M::cam, &CamGuess::string_radius, {length, "mm", 0.005, 0.15}),
      part_of("cam.string_eccentricity", &M::cam, &CamGuess::string_eccentricity, {length, "mm", 0.0, 0.15}),
      part_of("cam.string_direction", &M::cam, &CamGuess::string_direction,
              {Quantity::angle, "deg", -full_turn, full_turn}),
      part_of("cam.let_out_radius", &M::cam, &CamGuess::let_out_radius, {length, "mm", 0.002, 0.1}),
      own("rated_speed", &M::rated_speed, {Quantity::speed, "ft/s", 20.0, 150.0}),
      of_chronograph("chronograph.speed", &ChronographReading::speed, {Quantity::speed, "ft/s", 20.0, 150.0}),
      of_chronograph("chronograph.arrow_mass", &ChronographReading::arrow_mass, {Quantity::mass, "gr", 0.005, 0.1}),
  };
}

}  // namespace

void MeasurementField::check(double value) const {
  if (!(value >= minimum && value <= maximum)) {
    throw InputError(
        "measurements." + path, quantity_text(value, quantity, unit),
        "must be from " + quantity_text(minimum, quantity, unit) + " to " + quantity_text(maximum, quantity, unit));
  }
}

const std::vector<MeasurementField>& measurement_fields() {
  static const std::vector<MeasurementField> fields = build_fields();
  return fields;
}

const std::vector<MeasurementChoice>& measurement_choices() {
  static const std::vector<MeasurementChoice> choices = {
      choice("stop", {"limb", "cable", "both"}, &BowMeasurements::stop),
      choice("cabling", {"yoke", "hybrid", "crossed"}, &BowMeasurements::cabling),
  };
  return choices;
}

const MeasurementField& reading_position() {
  static const MeasurementField position = field("draw_curve", {Quantity::length, "in", 0.1, 1.1}, {}, {});
  return position;
}

const MeasurementField& reading_force() {
  static const MeasurementField force = field("draw_curve", {Quantity::force, "lbf", 0.0, 700.0}, {}, {});
  return force;
}

}  // namespace nockwise::detail

namespace nockwise {

namespace {

[[noreturn]] void refuse(const char* path, double value, Quantity quantity, const char* unit,
                         const std::string& allowed) {
  throw InputError(std::string("measurements.") + path, detail::quantity_text(value, quantity, unit), allowed);
}

void check_readings(const BowMeasurements& m) {
  if (m.draw_curve.size() < 8) {
    throw InputError("measurements.draw_curve", std::to_string(m.draw_curve.size()) + " readings",
                     "must have at least 8 readings");
  }
  double nearest = 2.0;
  double farthest = 0.0;
  for (const DrawForceReading& reading : m.draw_curve) {
    detail::reading_position().check(reading.draw_length);
    detail::reading_force().check(reading.force);
    nearest = std::min(nearest, reading.draw_length);
    farthest = std::max(farthest, reading.draw_length);
  }
  const double brace = m.brace_height + draw_length_allowance;
  const double room = 0.25 * (m.draw_length - brace);
  if (nearest < brace - 1e-4 || nearest > brace + room) {
    refuse("draw_curve", nearest, Quantity::length, "in",
           "must begin between brace (brace_height plus 1 3/4 in) and a quarter of the power stroke after it");
  }
  if (farthest > m.draw_length + 1e-4 || farthest < m.draw_length - 0.006) {
    refuse("draw_curve", farthest, Quantity::length, "in",
           "must end within 6 mm before measurements.draw_length: readings in the wall tell of the stops, not of the "
           "cams");
  }
}

void check_draw(const BowMeasurements& m) {
  if (m.draw_curve.empty()) {
    if (!m.peak_force) {
      throw InputError("measurements.peak_force", "", "must be given, with let_off, where there is no draw_curve");
    }
    if (!m.let_off) {
      throw InputError("measurements.let_off", "", "must be given, with peak_force, where there is no draw_curve");
    }
    return;
  }
  if (m.peak_force || m.let_off) {
    throw InputError(m.peak_force ? "measurements.peak_force" : "measurements.let_off", "",
                     "must not be given along with draw_curve, which says it already");
  }
  check_readings(m);
}

}  // namespace

void validate(const BowMeasurements& m) {
  for (const detail::MeasurementField& field : detail::measurement_fields()) {
    if (const auto value = field.get(m)) {
      field.check(*value);
    }
  }
  if (m.cam.string_eccentricity && m.cam.string_radius && *m.cam.string_eccentricity > 0.9 * *m.cam.string_radius) {
    refuse("cam.string_eccentricity", *m.cam.string_eccentricity, Quantity::length, "mm",
           "must not be more than 0.9 of cam.string_radius");
  }
  if (m.brace_height + draw_length_allowance >= m.draw_length) {
    refuse("brace_height", m.brace_height, Quantity::length, "in",
           "must be less than the draw length: the string stands there before it is drawn");
  }
  if (m.draw_length - draw_length_allowance - m.brace_height < 0.2) {
    refuse("brace_height", m.brace_height, Quantity::length, "in",
           "must leave a power stroke of at least 200 mm: draw_length less 1 3/4 in less brace_height");
  }
  if (m.rated_speed && m.chronograph) {
    throw InputError("measurements.rated_speed", format_quantity(*m.rated_speed, Quantity::speed, "ft/s"),
                     "must not be given along with chronograph, which is this bow's own speed");
  }
  check_draw(m);
}

}  // namespace nockwise
