#include "nockwise/ignorance.hpp"

#include "base/threads.hpp"
#include "ignorance/directions.hpp"
#include "ignorance/held.hpp"
#include "ignorance/matrices.hpp"
#include "nockwise/error.hpp"
#include "numerics/dense_solvers.hpp"
#include "numerics/random_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace nockwise {

namespace {

using detail::HeldMeasures;

void check_level(double level) {
  constexpr double most = 4.0;
  if (!(level >= 0.0 && level <= most)) {
    throw InputError("level", format_quantity(level, Quantity::dimensionless), "must be from 0 to 4");
  }
}

double deviation_of(const Setup& setup, const BowMeasure& measure, double value) {
  Width width = measure.known.width;
  for (const KnownValue& each : setup.known) {
    if (each.path == measure.name) {
      width = each.width ? *each.width : width_known(measure.known, each.by);
    }
  }
  return width.relative ? width.value * std::fabs(value) : width.value;
}

std::string in_words(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

void add_measures(const HeldMeasures& held, const IgnoranceOptions& options, Ignorance& ignorance) {
  for (std::size_t i = 0; i < held.measures().size(); ++i) {
    const BowMeasure& each = *held.measures()[i];
    const double deviation =
        options.level * deviation_of(ignorance.setup, each, held.values()[static_cast<Eigen::Index>(i)]);
    if (deviation > 0.0 && !detail::is_among(options.without, each.name)) {
      ignorance.directions.push_back({each.name,
                                      in_words(each.name) + " as measured",
                                      each.known.by,
                                      each.known.reason,
                                      {},
                                      held.move(i, deviation)});
    }
  }
}

/// Moves with every direction what keeps the bow measures where they are.
void hold_measures(const HeldMeasures& held, const IgnoranceOptions& options, Ignorance& ignorance) {
  std::vector<IgnoranceDirection*> moving;
  for (IgnoranceDirection& each : ignorance.directions) {
    if (std::any_of(each.steps.begin(), each.steps.end(),
                    [](const IgnoranceStep& step) { return HeldMeasures::depend_on(step.path); })) {
      moving.push_back(&each);
    }
  }
  std::vector<std::string> failures(moving.size());
  detail::for_each_index(moving.size(), options.threads, [&](std::size_t i) {
    if (options.stop != nullptr && options.stop->load()) {
      throw Interrupted();
    }
    try {
      moving[i]->held = held.hold(*moving[i]);
    } catch (const Error& error) {
      failures[i] = moving[i]->title + " moves what is measured of the bow: " + error.what();
    }
  });
  for (std::string& each : failures) {
    if (!each.empty()) {
      ignorance.notes.push_back(std::move(each));
    }
  }
}

}  // namespace

Ignorance ignorance_of(const Setup& setup, const IgnoranceOptions& options) {
  validate(setup);
  check_level(options.level);
  detail::check_threads(options.threads);
  Ignorance ignorance;
  ignorance.setup = setup;
  if (options.level > 0.0) {
    ignorance.directions = detail::number_directions(setup, options);
    std::optional<HeldMeasures> held;
    try {
      held.emplace(setup);
    } catch (const SolverError& error) {
      ignorance.notes.push_back(std::string("What is measured of the bow is not held: ") + error.what());
    }
    if (held) {
      hold_measures(*held, options, ignorance);
      add_measures(*held, options, ignorance);
    }
  }
  const auto count = static_cast<Eigen::Index>(ignorance.directions.size());
  ignorance.mean.assign(ignorance.directions.size(), 0.0);
  ignorance.covariance = detail::as_rows(Eigen::MatrixXd::Identity(count, count));
  return ignorance;
}

Setup moved(const Ignorance& ignorance, const Setup& setup, std::span<const double> place) {
  if (place.size() != ignorance.directions.size()) {
    throw InputError("place", std::to_string(place.size()) + " numbers",
                     "must have one for each of the " + std::to_string(ignorance.directions.size()) + " directions");
  }
  const std::span<const Parameter> numbers = parameters();
  std::vector<double> added(numbers.size(), 0.0);
  std::vector<double> multiplied(numbers.size(), 0.0);  // of the logarithm
  const auto index_of = [&](const std::string& path) {
    return static_cast<std::size_t>(&parameter(path) - numbers.data());
  };
  for (std::size_t k = 0; k < place.size(); ++k) {
    const double z = place[k];
    if (z == 0.0) {
      continue;
    }
    for (const IgnoranceStep& step : ignorance.directions[k].steps) {
      (step.logarithmic ? multiplied : added)[index_of(step.path)] += z * step.deviation;
    }
    for (const HeldStep& step : ignorance.directions[k].held) {
      added[index_of(step.path)] += z * (step.linear + z * step.square);
    }
  }
  Setup result = setup;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    for (const bool logarithmic : {true, false}) {
      const double shift = (logarithmic ? multiplied : added)[i];
      if (shift != 0.0) {
        numbers[i].set(result, detail::moved_value(numbers[i], numbers[i].get(result), shift, logarithmic));
      }
    }
  }
  return result;
}

std::vector<std::vector<double>> drawn_places(const Ignorance& ignorance, std::size_t count, std::uint64_t seed,
                                              std::size_t first) {
  const std::size_t size = ignorance.directions.size();
  const Eigen::MatrixXd spread = detail::cholesky_factor(detail::covariance_of(ignorance));
  std::vector<std::vector<double>> places;
  for (std::size_t i = 0; i < count; ++i) {
    Eigen::VectorXd z(static_cast<Eigen::Index>(size));
    for (std::size_t k = 0; k < size; ++k) {
      z[static_cast<Eigen::Index>(k)] =
          detail::random_numbers_of(seed, ignorance.directions[k].name, first + i).normal();
    }
    places.push_back(detail::as_values(detail::as_vector(ignorance.mean) + spread * z));
  }
  return places;
}

}  // namespace nockwise
