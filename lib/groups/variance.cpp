// Whose the spread is (nockwise/variance.hpp).
#include "nockwise/variance.hpp"

#include "groups/decomposition.hpp"
#include "groups/shooter.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

using detail::ActiveSource;
using detail::ShotErrors;

GroupOptions options_of(const VarianceOptions& options) {
  GroupOptions shared;
  shared.distance = options.distance;
  shared.seed = options.seed;
  shared.conditions = options.conditions;
  shared.threads = options.threads;
  shared.stop = options.stop;
  return shared;
}

void check_shots(std::size_t shots, std::size_t functions) {
  constexpr std::size_t most = 1000000;
  const std::size_t least = std::max<std::size_t>(500, 3 * functions);
  if (shots < least || shots > most) {
    throw InputError("shots", std::to_string(shots),
                     "must be from " + std::to_string(least) + " to " + std::to_string(most) +
                         ": three for each of the functions that are fitted, and 500");
  }
}

/// Shots that arrived, with their errors.
struct Arrived {
  std::vector<ShotErrors> errors;
  std::vector<double> up, right;
  std::string first_failure;
};

Arrived shoot(const detail::Shooter& shooter, std::vector<ShotErrors> shots) {
  Arrived arrived;
  const std::vector<detail::Strike> strikes = shooter.shoot(shots);
  for (std::size_t i = 0; i < strikes.size(); ++i) {
    if (!strikes[i].failure.empty()) {
      arrived.first_failure = arrived.first_failure.empty() ? strikes[i].failure : arrived.first_failure;
      continue;
    }
    arrived.up.push_back(strikes[i].up);
    arrived.right.push_back(strikes[i].right);
    arrived.errors.push_back(std::move(shots[i]));
  }
  return arrived;
}

void fill_deviations(const Arrived& arrived, VarianceShares& result) {
  const auto deviation = [](const std::vector<double>& values) {
    const auto count = static_cast<double>(values.size());
    double mean = 0.0;
    for (const double each : values) {
      mean += each / count;
    }
    double square = 0.0;
    for (const double each : values) {
      square += (each - mean) * (each - mean);
    }
    return std::sqrt(square / (count - 1.0));
  };
  result.deviation_up = deviation(arrived.up);
  result.deviation_right = deviation(arrived.right);
}

/// Gusts have no number that a function could be fitted to: what they do to the shot without error is taken out of the
/// rest.
void add_gusts(const detail::Shooter& shooter, double variance, VarianceShares& result) {
  const std::optional<SourceEffect> gusts = detail::effect_of_gusts(shooter);
  if (!gusts) {
    return;
  }
  const double own = gusts->deviation_up * gusts->deviation_up + gusts->deviation_right * gusts->deviation_right;
  SourceShare share;
  share.name = gusts->name;
  share.title = gusts->title;
  share.alone = own / variance;
  share.error = share.alone * std::sqrt(2.0 / detail::gust_flights);
  result.rest -= share.alone;
  result.sources.push_back(std::move(share));
}

void fill_shares(const std::vector<ActiveSource>& sources, const detail::Decomposition& parts, VarianceShares& result) {
  for (std::size_t k = 0; k < sources.size(); ++k) {
    SourceShare share;
    share.name = sources[k].source->name;
    share.title = sources[k].source->title;
    share.alone = parts.alone[k].value / parts.variance;
    share.error = parts.alone[k].error / parts.variance;
    share.straight = parts.straight[k] / parts.variance;
    result.sources.push_back(std::move(share));
  }
  constexpr double stands_out = 3.0;  // errors
  for (const detail::Decomposition::Pair& each : parts.pairs) {
    const double share = each.part.value / parts.variance;
    const double error = each.part.error / parts.variance;
    result.pairs_together += share;
    result.sources[each.first].together += share;
    result.sources[each.second].together += share;
    if (share > stands_out * error) {
      result.pairs.push_back({sources[each.first].source->name, sources[each.second].source->name, share, error});
    }
  }
  result.rest = parts.rest / parts.variance;
}

}  // namespace

VarianceShares variance_shares(const Setup& setup, const Scatter& scatter, const VarianceOptions& options) {
  const detail::Shooter shooter(setup, scatter, options_of(options));
  const std::vector<ActiveSource>& sources = shooter.sources();
  check_shots(options.shots, detail::functions_of(sources));
  std::vector<ShotErrors> shots;
  shots.reserve(options.shots);
  for (std::size_t i = 0; i < options.shots; ++i) {
    shots.push_back(detail::drawn_errors(sources, options.seed, i, i));
  }
  detail::check_ranges(setup, sources, shots);
  const Arrived arrived = shoot(shooter, std::move(shots));
  const std::size_t failed = options.shots - arrived.up.size();
  if (2 * failed > options.shots || arrived.up.size() <= detail::functions_of(sources) + 1) {
    throw SolverError("shares of the variance", std::to_string(failed) + " of " + std::to_string(options.shots) +
                                                    " shots do not arrive; the first: " + arrived.first_failure);
  }
  VarianceShares result;
  result.name = setup.name;
  result.scatter = scatter.name;
  result.distance = shooter.distance();
  result.shots = options.shots;
  result.failed = failed;
  fill_deviations(arrived, result);
  const detail::Decomposition parts = detail::decompose(sources, arrived.errors, arrived.up, arrived.right);
  if (!(parts.variance > 0.0)) {
    throw InputError("scatter", scatter.name, "must have a source that scatters: all shots strike one hole");
  }
  fill_shares(sources, parts, result);
  if (options.conditions.gust > 0.0) {
    add_gusts(shooter, parts.variance, result);
  }
  result.sum = result.pairs_together + result.rest;
  for (const SourceShare& each : result.sources) {
    result.sum += each.alone;
  }
  result.sum_error = parts.variance_error / parts.variance;
  std::stable_sort(result.sources.begin(), result.sources.end(),
                   [](const SourceShare& a, const SourceShare& b) { return a.alone > b.alone; });
  std::stable_sort(result.pairs.begin(), result.pairs.end(),
                   [](const PairShare& a, const PairShare& b) { return a.share > b.share; });
  return result;
}

}  // namespace nockwise
