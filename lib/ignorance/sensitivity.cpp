// How shots answer to what is not known, by full launches (nockwise/ignorance.hpp).
#include "ignorance/matrices.hpp"
#include "nockwise/error.hpp"
#include "nockwise/ignorance.hpp"
#include "shots/batch.hpp"

#include <array>
#include <cmath>

namespace nockwise {

namespace {

using detail::ShotRequest;

double value_in(const ShotReading& reading, LaunchResults& results, const Setup& bow) {
  if (!reading.number.empty()) {
    return bow.get(reading.number);
  }
  if (reading.draw_length) {
    return detail::draw_force_at(results.draw_cycle(), *reading.draw_length);
  }
  if (reading.distance && source_of(reading.output) == OutputSource::paper_tear) {
    const PaperTear& tear = results.paper_tear(reading.distance);
    return reading.output == Output::tear_up ? tear.up : tear.right;
  }
  return value_of(reading.output, results);
}

void check(std::span<const WatchedShot> shots) {
  for (const WatchedShot& shot : shots) {
    for (const ShotReading& each : shot.readings) {
      if (each.draw_length && !(*each.draw_length > 0.0 && *each.draw_length < 2.0)) {
        throw InputError("readings.draw_length", format_quantity(*each.draw_length, Quantity::length, "in"),
                         "must be above 0 and below 2 m");
      }
      if (!each.number.empty()) {
        (void)parameter(each.number);
      }
      const Parameter& distance = parameter("surroundings.paper_distance");
      if (each.distance && !(*each.distance >= distance.minimum && *each.distance <= distance.maximum)) {
        throw InputError("readings.distance", format_quantity(*each.distance, Quantity::length, "ft"),
                         distance.allowed());
      }
    }
  }
}

/// One bow for each place, and all its shots, launched together; shots of one bow follow each other.
class DrawnShots {
 public:
  DrawnShots(const Ignorance& ignorance, std::span<const WatchedShot> shots) : ignorance_(ignorance), shots_(shots) {
    for (const WatchedShot& shot : shots) {
      first_.push_back(rows_);
      rows_ += shot.readings.size();
      for (const ShotReading& each : shot.readings) {
        draw_curve_.resize(first_.size(), false);
        draw_curve_.back() = draw_curve_.back() || each.draw_length.has_value();
      }
    }
    draw_curve_.resize(shots.size(), false);
  }

  [[nodiscard]] std::vector<DrawnReadings> at(std::span<const std::vector<double>> places,
                                              const IgnoranceOptions& options) const {
    std::vector<ShotRequest> requests;
    requests.reserve(places.size() * shots_.size());
    for (const std::vector<double>& place : places) {
      for (std::size_t s = 0; s < shots_.size(); ++s) {
        requests.push_back({.setup = moved(ignorance_, shots_[s].setup, place), .draw_curve = draw_curve_[s]});
      }
    }
    std::vector<DrawnReadings> drawn(places.size());
    for (DrawnReadings& each : drawn) {
      each.value.resize(rows_);
    }
    const auto read = [&](std::size_t i, LaunchResults& results) {
      const std::size_t s = i % shots_.size();
      for (std::size_t r = 0; r < shots_[s].readings.size(); ++r) {
        drawn[i / shots_.size()].value[first_[s] + r] = value_in(shots_[s].readings[r], results, requests[i].setup);
      }
    };
    const std::vector<std::string> failures = detail::launch_many(requests, {options.threads, options.stop}, read);
    for (std::size_t i = 0; i < failures.size(); ++i) {
      DrawnReadings& of = drawn[i / shots_.size()];
      if (!failures[i].empty() && of.failure.empty()) {
        of.failure = failures[i];
        of.value.clear();
      }
    }
    return drawn;
  }

  [[nodiscard]] std::size_t rows() const { return rows_; }

 private:
  const Ignorance& ignorance_;
  std::span<const WatchedShot> shots_;
  std::vector<std::size_t> first_;  // row of each shot
  std::vector<bool> draw_curve_;    // whether a draw force is read of it
  std::size_t rows_ = 0;
};

}  // namespace

std::vector<DrawnReadings> shoot_drawn(const Ignorance& ignorance, std::span<const WatchedShot> shots,
                                       std::span<const std::vector<double>> places, const IgnoranceOptions& options) {
  check(shots);
  return DrawnShots(ignorance, shots).at(places, options);
}

Sensitivity sensitivity_of(const Ignorance& ignorance, std::span<const WatchedShot> shots,
                           const IgnoranceOptions& options) {
  check(shots);
  constexpr double step = 0.5;  // either way [standard deviations]
  const std::size_t count = ignorance.directions.size();
  std::vector<std::vector<double>> places{ignorance.mean};
  for (std::size_t k = 0; k < count; ++k) {
    for (const double side : {step, -step}) {
      places.push_back(ignorance.mean);
      places.back()[k] += side;
    }
  }
  const DrawnShots drawn(ignorance, shots);
  const std::vector<DrawnReadings> readings = drawn.at(places, options);
  if (!readings.front().failure.empty()) {
    throw SolverError("what is not known", "the bow cannot be shot: " + readings.front().failure);
  }
  Sensitivity result;
  result.value = readings.front().value;
  result.slope.assign(drawn.rows() * count, 0.0);
  result.curvature.assign(drawn.rows() * count, 0.0);
  for (std::size_t k = 0; k < count; ++k) {
    const DrawnReadings& plus = readings[2 * k + 1];
    const DrawnReadings& minus = readings[2 * k + 2];
    const std::string& title = ignorance.directions[k].title;
    if (plus.value.empty() && minus.value.empty()) {
      result.doubts.push_back("How the shot answers to this is not known, since neither way can be shot: " + title +
                              " (" + plus.failure + ")");
      continue;
    }
    if (plus.value.empty() || minus.value.empty()) {
      result.doubts.push_back("This could be moved one way only: " + title);
    }
    for (std::size_t r = 0; r < drawn.rows(); ++r) {
      const double here = result.value[r];
      const double up = plus.value.empty() ? 2.0 * here - minus.value[r] : plus.value[r];
      const double down = minus.value.empty() ? 2.0 * here - plus.value[r] : minus.value[r];
      result.slope[r * count + k] = (up - down) / (2.0 * step);
      result.curvature[r * count + k] = (up - 2.0 * here + down) / (step * step);
    }
  }
  return result;
}

}  // namespace nockwise
