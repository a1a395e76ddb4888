// Intervals of outputs and what they come from (nockwise/prediction.hpp).
#include "nockwise/prediction.hpp"

#include "base/threads.hpp"
#include "ensemble/readings.hpp"
#include "ignorance/matrices.hpp"
#include "nockwise/error.hpp"
#include "numerics/dense_solvers.hpp"
#include "numerics/quantile.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace nockwise {

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double ninety_percent = 1.644854;

void check(const PredictionOptions& options) {
  constexpr std::size_t fewest = 20;
  constexpr std::size_t most = 100000;
  if (options.bows < fewest || options.bows > most) {
    throw InputError("bows", std::to_string(options.bows), "must be from 20 to 100000");
  }
  const Parameter& distance = parameter("surroundings.paper_distance");
  if (options.distance && !(*options.distance >= distance.minimum && *options.distance <= distance.maximum)) {
    throw InputError("distance", format_quantity(*options.distance, distance.quantity, distance.unit),
                     distance.allowed());
  }
  detail::check_threads(options.threads);
}

/// What might be measured: linear readings of z, and their standard deviations.
struct Candidate {
  std::string what, instruction;
  MatrixXd rows;
  VectorXd noise;
};

/// "limbs.both.damping" for both of its directions.
std::string root_of(std::string name) {
  const std::string difference = ".difference.";
  if (const auto place = name.find(difference); place != std::string::npos) {
    name.replace(place, difference.size(), ".both.");
  }
  return name;
}

/// "the limbs: twist stiffness" of "limbs: twist stiffness, both alike".
std::string number_in(const std::string& title) { return title.substr(0, title.find(',')); }

/// Each number that is not as well known as it could be, measured on this bow.
std::vector<Candidate> numbers_to_measure(const Ignorance& ignorance) {
  std::vector<Candidate> all;
  const auto count = static_cast<Eigen::Index>(ignorance.directions.size());
  for (Eigen::Index k = 0; k < count; ++k) {
    const IgnoranceDirection& direction = ignorance.directions[static_cast<std::size_t>(k)];
    if (direction.steps.empty() || direction.by == KnownBy::exact || direction.by == KnownBy::measured) {
      continue;
    }
    const Parameter& number = parameter(direction.steps.front().path);
    const Width own = width_of(ignorance.setup, number);
    const Width measured = width_known(number.known, KnownBy::measured);
    const double left =
        own.relative == measured.relative ? std::min(measured.value / own.value, 1.0) : 0.1;  // as a rule
    const std::string what = root_of(direction.name);
    auto found = std::find_if(all.begin(), all.end(), [&](const Candidate& each) { return each.what == what; });
    if (found == all.end()) {
      all.push_back({what, "measure " + number_in(direction.title), MatrixXd(0, count), VectorXd(0)});
      found = all.end() - 1;
    }
    const Eigen::Index row = found->rows.rows();
    found->rows.conservativeResize(row + 1, Eigen::NoChange);
    found->rows.row(row) = VectorXd::Unit(count, k).transpose();
    found->noise.conservativeResize(row + 1);
    found->noise[row] = left;
  }
  return all;
}

/// What is read of a shot besides what is asked for.
struct ExtraReading {
  Output output;
  ReadingKind kind;
  const char* instruction;
};
constexpr std::array extra_readings{
    ExtraReading{Output::chronograph_speed, ReadingKind::speed, "shoot over a chronograph"},
    ExtraReading{Output::tear_up, ReadingKind::tear_up, "shoot through paper: the height of the hole"},
    ExtraReading{Output::tear_right, ReadingKind::tear_right, "shoot through paper: the hole sideways"},
};

/// One prediction on its way: rows are the outputs asked for, then the extra readings.
class Predictor {
 public:
  Predictor(const Ignorance& ignorance, std::vector<Output> outputs, const PredictionOptions& options)
      : ignorance_(ignorance), outputs_(std::move(outputs)), options_(options) {
    if (outputs_.empty()) {
      outputs_ = {Output::tear_up, Output::tear_right, Output::exit_speed};
    }
    for (const Output each : outputs_) {
      asked_.readings.push_back({each, options.distance});
    }
    asked_.setup = ignorance.setup;
    all_ = asked_;
    for (const ExtraReading& each : extra_readings) {
      all_.readings.push_back({each.output, options.distance});
    }
  }

  Prediction predict() {
    const IgnoranceOptions running{.threads = options_.threads, .stop = options_.stop};
    Prediction prediction;
    prediction.name = ignorance_.setup.name;
    prediction.bows = options_.bows;
    prediction.distance = options_.distance.value_or(ignorance_.setup.surroundings.paper_distance);
    prediction.notes = ignorance_.notes;
    const Sensitivity answer = sensitivity_of(ignorance_, {&all_, 1}, running);
    prediction.notes.insert(prediction.notes.end(), answer.doubts.begin(), answer.doubts.end());
    slope_ = detail::slope_of(ignorance_, answer);
    const std::vector<std::vector<double>> nowhere(1, std::vector<double>(ignorance_.directions.size(), 0.0));
    const auto as_it_stands = shoot_drawn(ignorance_, {&asked_, 1}, nowhere, running);
    const auto places = drawn_places(ignorance_, options_.bows, options_.seed);
    const auto drawn = shoot_drawn(ignorance_, {&asked_, 1}, places, running);
    const std::vector<Candidate> candidates = find_candidates();
    for (std::size_t i = 0; i < outputs_.size(); ++i) {
      PredictedOutput one;
      one.output = outputs_[i];
      if (as_it_stands.front().failure.empty()) {
        one.value = as_it_stands.front().value[i];
      } else {
        one.value = answer.value[i];
      }
      prediction.failed = sampled(drawn, i, one);
      by_lines(answer.value[i], i, one);
      narrowing(candidates, i, one);
      prediction.outputs.push_back(std::move(one));
    }
    if (prediction.failed > 0) {
      prediction.notes.push_back(std::to_string(prediction.failed) + " of the " + std::to_string(prediction.bows) +
                                 " drawn bows cannot be shot and are left out of the intervals");
    }
    return prediction;
  }

 private:
  [[nodiscard]] std::vector<Candidate> find_candidates() const {
    std::vector<Candidate> all = numbers_to_measure(ignorance_);
    for (std::size_t i = 0; i < extra_readings.size(); ++i) {
      const ExtraReading& each = extra_readings[i];
      const double deviation = detail::kind_of_reading(each.kind).error / detail::deviations_per_error;
      const auto row = static_cast<Eigen::Index>(outputs_.size() + i);
      all.push_back({find_name(each.output), each.instruction, slope_.row(row), VectorXd::Constant(1, deviation)});
    }
    return all;
  }
  static std::string find_name(Output output) { return output_descriptions()[static_cast<std::size_t>(output)].name; }

  /// The interval by drawn bows; returns how many could not be shot.
  std::size_t sampled(const std::vector<DrawnReadings>& drawn, std::size_t i, PredictedOutput& one) const {
    std::vector<double> values;
    for (const DrawnReadings& each : drawn) {
      if (each.failure.empty()) {
        values.push_back(each.value[i]);
      }
    }
    if (values.size() < 2) {
      throw SolverError("prediction", "of " + std::to_string(drawn.size()) +
                                          " drawn bows fewer than two can be shot: " + drawn.front().failure);
    }
    std::sort(values.begin(), values.end());
    one.low = detail::quantile(values, 0.05);
    one.median = detail::quantile(values, 0.5);
    one.high = detail::quantile(values, 0.95);
    const auto count = static_cast<double>(values.size());
    const double mean = std::accumulate(values.begin(), values.end(), 0.0) / count;
    double square = 0.0;
    for (const double each : values) {
      square += (each - mean) * (each - mean);
    }
    one.deviation = std::sqrt(square / (count - 1.0));
    return drawn.size() - values.size();
  }

  void by_lines(double at_mean, std::size_t i, PredictedOutput& one) const {
    const VectorXd slope = slope_.row(static_cast<Eigen::Index>(i)).transpose();
    const VectorXd answer = detail::covariance_of(ignorance_) * slope;
    const double variance = std::max(0.0, slope.dot(answer));
    one.linear_deviation = std::sqrt(variance);
    constexpr double near = 0.2;
    const double half = 0.5 * (one.high - one.low);
    one.linear = std::fabs(half - ninety_percent * one.linear_deviation) <= near * half &&
                 std::fabs(one.median - at_mean) <= near * half;
    for (std::size_t k = 0; k < ignorance_.directions.size(); ++k) {
      const IgnoranceDirection& direction = ignorance_.directions[k];
      const auto at = static_cast<Eigen::Index>(k);
      const double share = variance > 0.0 ? slope[at] * answer[at] / variance : 0.0;
      one.shares.push_back({direction.name, direction.title, direction.by, share, slope[at]});
    }
    std::stable_sort(one.shares.begin(), one.shares.end(),
                     [](const PredictionShare& a, const PredictionShare& b) { return a.share > b.share; });
  }

  /// What measurements would leave, by the linear update.
  void narrowing(const std::vector<Candidate>& candidates, std::size_t i, PredictedOutput& one) const {
    const double variance = one.linear_deviation * one.linear_deviation;
    if (!(variance > 0.0)) {
      return;
    }
    const VectorXd answer = detail::covariance_of(ignorance_) * slope_.row(static_cast<Eigen::Index>(i)).transpose();
    for (const Candidate& each : candidates) {
      if (each.what == find_name(one.output)) {
        continue;
      }
      MatrixXd inner = each.rows * detail::covariance_of(ignorance_) * each.rows.transpose();
      inner.diagonal() += each.noise.cwiseAbs2();
      const VectorXd common = each.rows * answer;
      const double known = common.dot(detail::solve_symmetric(inner, common));
      one.narrowing.push_back({each.what, each.instruction, std::sqrt(std::max(0.0, 1.0 - known / variance))});
    }
    std::stable_sort(
        one.narrowing.begin(), one.narrowing.end(),
        [](const NarrowingMeasurement& a, const NarrowingMeasurement& b) { return a.remaining < b.remaining; });
  }

  const Ignorance& ignorance_;
  std::vector<Output> outputs_;
  const PredictionOptions& options_;
  WatchedShot asked_, all_;
  MatrixXd slope_;
};

}  // namespace

Prediction predict(const Ignorance& ignorance, const std::vector<Output>& outputs, const PredictionOptions& options) {
  check(options);
  return Predictor(ignorance, outputs, options).predict();
}

Prediction predict(const Setup& setup, const std::vector<Output>& outputs, const PredictionOptions& options) {
  check(options);
  return predict(
      ignorance_of(
          setup,
          {.level = options.level, .without = options.without, .threads = options.threads, .stop = options.stop}),
      outputs, options);
}

}  // namespace nockwise
