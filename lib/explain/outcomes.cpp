#include "explain/outcomes.hpp"

#include "nockwise/error.hpp"
#include "plan/plan.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise::detail {

namespace {

double below(double value, double mean, double deviation) {
  return 0.5 * std::erfc((mean - value) / (std::max(1e-12, deviation) * std::numbers::sqrt2));
}

double square(double value) { return value * value; }

}  // namespace

Outlook::Outlook(std::span<const PlausibleBow> bows, const Trial& trial, const Execution& execution)
    : errors_(trial.errors) {
  std::vector<ShotRequest> requests;
  std::vector<const PlausibleBow*> of;
  for (const PlausibleBow& each : bows) {
    try {
      requests.push_back({.setup = trial.done(each.bow), .distance = trial.distance, .statics = !trial.whats.empty()});
      of.push_back(&each);
    } catch (const InputError&) {  // this bow cannot be set so
      continue;
    }
  }
  const std::vector<Shot> shots = shoot_many(requests, execution);
  double total = 0.0;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    if (!shots[i].flew) {
      continue;
    }
    Row row;
    row.bow = static_cast<std::size_t>(of[i] - bows.data());
    row.weight = of[i]->weight;
    if (trial.whats.empty()) {
      const Shot shot = with_unexplained(shots[i], *of[i]);
      const TearSpread& spread = of[i]->spread;
      row.sights = {{shot.value[Output::tear_up] + spread.bias_up, spread.deviation_up},
                    {shot.value[Output::tear_right] + spread.bias_right, spread.deviation_right}};
    }
    for (const std::string& what : trial.whats) {
      const OutputDescription* output = find_output(what);
      row.sights.push_back({output != nullptr ? shots[i].value[output->output] : requests[i].setup.get(what), 0.0});
    }
    total += row.weight;
    const auto same =
        std::find_if(groups_.begin(), groups_.end(), [&](const Group& group) { return group.off == of[i]->off; });
    Group& group = same == groups_.end() ? groups_.emplace_back(Group{of[i]->off, 0.0, {}, {}}) : *same;
    group.mean.resize(readings());
    group.deviation.resize(readings());
    group.weight += row.weight;
    for (std::size_t r = 0; r < readings(); ++r) {  // sums, until all are there
      group.mean[r] += row.weight * row.sights[r].mean;
      group.deviation[r] += row.weight * (square(row.sights[r].mean) + square(row.sights[r].deviation));
    }
    rows_.push_back(std::move(row));
  }
  for (Row& each : rows_) {
    each.weight /= total;
  }
  for (Group& each : groups_) {
    for (std::size_t r = 0; r < readings(); ++r) {
      each.mean[r] /= each.weight;
      each.deviation[r] =
          std::sqrt(std::max(0.0, each.deviation[r] / each.weight - square(each.mean[r])) + square(errors_[r]));
    }
    each.weight /= total;
  }
  std::stable_sort(groups_.begin(), groups_.end(), [](const Group& a, const Group& b) { return a.weight > b.weight; });
}

std::vector<double> Outlook::of_bow(std::size_t bow) const {
  const auto row = std::find_if(rows_.begin(), rows_.end(), [&](const Row& each) { return each.bow == bow; });
  std::vector<double> values;
  for (std::size_t r = 0; row != rows_.end() && r < readings(); ++r) {
    values.push_back(row->sights[r].mean);
  }
  return values;
}

double Outlook::mean(std::size_t reading) const {
  double sum = 0.0;
  for (const Row& each : rows_) {
    sum += each.weight * each.sights[reading].mean;
  }
  return sum;
}

double Outlook::quantile(std::size_t reading, double probability) const {
  double low = 1e300;
  double high = -1e300;
  for (const Row& each : rows_) {
    const Sight& s = each.sights[reading];
    const double reach = 8.0 * std::hypot(s.deviation, errors_[reading]);
    low = std::min(low, s.mean - reach);
    high = std::max(high, s.mean + reach);
  }
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    double sum = 0.0;
    for (const Row& each : rows_) {
      const Sight& s = each.sights[reading];
      sum += each.weight * below(middle, s.mean, std::hypot(s.deviation, errors_[reading]));
    }
    (sum < probability ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double Outlook::within(std::span<const double> middle, std::span<const double> reach) const {
  double sum = 0.0;
  for (const Row& each : rows_) {
    double part = each.weight;
    for (std::size_t r = 0; r < readings(); ++r) {
      const Sight& s = each.sights[r];
      const double deviation = std::hypot(s.deviation, errors_[r]);
      part *= below(middle[r] + reach[r], s.mean, deviation) - below(middle[r] - reach[r], s.mean, deviation);
    }
    sum += part;
  }
  return sum;
}

std::vector<double> Outlook::after(std::span<const double> seen) const {
  std::vector<double> logarithm;
  for (const Group& each : groups_) {
    double sum = std::log(each.weight);
    for (std::size_t r = 0; r < readings(); ++r) {
      sum -= std::log(each.deviation[r]) + 0.5 * square((seen[r] - each.mean[r]) / each.deviation[r]);
    }
    logarithm.push_back(sum);
  }
  const double most = logarithm.empty() ? 0.0 : *std::max_element(logarithm.begin(), logarithm.end());
  double total = 0.0;
  for (double& each : logarithm) {
    each = std::exp(each - most);
    total += each;
  }
  for (double& each : logarithm) {
    each /= total;
  }
  return logarithm;
}

}  // namespace nockwise::detail
