// What a calibration leaves of what is not known (nockwise/calibration.hpp).
#include "causes/model.hpp"
#include "nockwise/calibration.hpp"
#include "nockwise/parameters.hpp"

#include <algorithm>
#include <utility>

namespace nockwise {

namespace {

/// A bow measure that was checked is known as well as it was checked, not as well as it usually is.
void set_width(const std::string& measure, double deviation, Setup& bow) {
  std::erase_if(bow.known, [&](const KnownValue& each) { return each.path == measure; });
  bow.known.push_back({measure, KnownBy::measured, Width{deviation, false}});
}

/// The measurements as shots that are watched, with what was read of them.
class WatchedMeasurements {
 public:
  explicit WatchedMeasurements(const Setup& bow) : bow_(bow) {}

  void add(const std::vector<ParameterChange>& changes, ShotReading reading, double value, double error) {
    std::size_t at = 0;
    while (at < changes_.size() && changes_[at] != changes) {
      ++at;
    }
    if (at == changes_.size()) {
      changes_.push_back(changes);
      shots_.push_back({changed(changes), {}});
      measured_.emplace_back();
    }
    shots_[at].readings.push_back(std::move(reading));
    measured_[at].push_back({value, error});
  }
  [[nodiscard]] const std::vector<WatchedShot>& shots() const { return shots_; }
  [[nodiscard]] std::vector<MeasuredReading> measured() const {
    std::vector<MeasuredReading> all;
    for (const std::vector<MeasuredReading>& each : measured_) {
      all.insert(all.end(), each.begin(), each.end());
    }
    return all;
  }

 private:
  [[nodiscard]] Setup changed(const std::vector<ParameterChange>& changes) const {
    Setup setup = bow_;
    for (const ParameterChange& each : changes) {
      setup.set(each.path, each.value + (each.relative ? setup.get(each.path) : 0.0));
    }
    return setup;
  }

  const Setup& bow_;
  std::vector<std::vector<ParameterChange>> changes_;
  std::vector<WatchedShot> shots_;
  std::vector<std::vector<MeasuredReading>> measured_;
};

}  // namespace

Ignorance ignorance_after(const Calibration& calibration, const Measurements& measurements,
                          const IgnoranceOptions& options) {
  Setup bow = calibration.setup;
  for (const CheckObservation& each : measurements.checks) {
    if (find_bow_measure(each.what) != nullptr) {
      set_width(each.what, each.error / detail::per_reading_error, bow);
    }
  }
  WatchedMeasurements watched(bow);
  for (const DrawForceMeasurement& each : measurements.draw_forces) {
    watched.add({}, {.draw_length = each.draw_length}, each.force, each.error);
  }
  for (const SpeedMeasurement& each : measurements.speeds) {
    watched.add(each.changes, {Output::chronograph_speed}, each.speed, each.error);
  }
  for (const TearObservation& each : measurements.tears) {
    watched.add(each.changes, {Output::tear_up, each.distance}, each.up, each.reading_error);
    watched.add(each.changes, {Output::tear_right, each.distance}, each.right, each.reading_error);
  }
  for (const CheckObservation& each : measurements.checks) {
    if (find_bow_measure(each.what) != nullptr) {
      continue;
    }
    const OutputDescription* output = find_output(each.what);
    watched.add({}, output != nullptr ? ShotReading{output->output} : ShotReading{.number = each.what}, each.value,
                each.error);
  }
  const Ignorance before = ignorance_of(bow, options);
  const Sensitivity answer = sensitivity_of(before, watched.shots(), options);
  // The fit has gone where the measurements lead; what is left to be told is how far they can be trusted.
  std::vector<MeasuredReading> met = watched.measured();
  for (std::size_t i = 0; i < met.size(); ++i) {
    met[i].value = answer.value[i];
  }
  return narrowed(before, answer, met);
}

}  // namespace nockwise
