#include "ensemble/ranges.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace nockwise::detail {

std::vector<double> weights_of(const BowEnsemble& ensemble) {
  std::vector<double> weights;
  for (const EnsembleMember& member : ensemble.members) {
    weights.push_back(member.weight);
  }
  return weights;
}

EnsembleRange range_of(const std::vector<double>& values, const std::vector<double>& weights) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
  const auto at = [&](double share) {
    double below = 0.0;
    for (const std::size_t i : order) {
      below += weights[i];
      if (below > share * total) {
        return values[i];
      }
    }
    return values[order.back()];
  };
  EnsembleRange range{at(0.05), at(0.5), at(0.95), false, false};
  range.same_sign = range.low > 0.0 || range.high < 0.0;
  constexpr double factor = 2.0;
  const double ends[] = {std::fabs(range.low), std::fabs(range.high)};
  range.same_size = range.same_sign && std::max(ends[0], ends[1]) <= factor * std::min(ends[0], ends[1]);
  return range;
}

double weighted_mean(const std::vector<double>& values, const std::vector<double>& weights) {
  return std::inner_product(values.begin(), values.end(), weights.begin(), 0.0) /
         std::accumulate(weights.begin(), weights.end(), 0.0);
}

double weighted_covariance(const std::vector<double>& a, const std::vector<double>& b,
                           const std::vector<double>& weights) {
  const double mean_a = weighted_mean(a, weights);
  const double mean_b = weighted_mean(b, weights);
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    sum += weights[i] * (a[i] - mean_a) * (b[i] - mean_b);
  }
  return sum / std::accumulate(weights.begin(), weights.end(), 0.0);
}

}  // namespace nockwise::detail
