// Weighted statistics over the members of an ensemble. Private.
#pragma once

#include "nockwise/ensemble.hpp"

#include <vector>

namespace nockwise::detail {

/// Weights of the members, in their order.
std::vector<double> weights_of(const BowEnsemble& ensemble);

/// Where the middle nine tenths of the weight lie.
EnsembleRange range_of(const std::vector<double>& values, const std::vector<double>& weights);

double weighted_mean(const std::vector<double>& values, const std::vector<double>& weights);
/// Mean of the products of two deviations from the mean.
double weighted_covariance(const std::vector<double>& a, const std::vector<double>& b,
                           const std::vector<double>& weights);

}  // namespace nockwise::detail
