// What measurements leave of what is not known (nockwise/ignorance.hpp).
#include "ignorance/matrices.hpp"
#include "nockwise/error.hpp"
#include "nockwise/ignorance.hpp"
#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace nockwise {

namespace {

using detail::as_rows;
using detail::as_values;
using detail::as_vector;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double per_reading_error = 1.959964;  // a reading error holds 19 of 20

void check(std::size_t rows, std::span<const MeasuredReading> measured) {
  if (measured.size() != rows) {
    throw InputError("measured", std::to_string(measured.size()) + " readings",
                     "must be one for each of the " + std::to_string(rows) + " that are watched");
  }
  for (const MeasuredReading& each : measured) {
    if (!std::isfinite(each.value)) {
      throw InputError("measured.value", format_quantity(each.value, Quantity::dimensionless), "must be finite");
    }
    if (!(each.error > 0.0) || !std::isfinite(each.error)) {
      throw InputError("measured.error", format_quantity(each.error, Quantity::dimensionless),
                       "must be finite and above 0");
    }
  }
}

/// The update of N(`mean`, `covariance`) by readings that would be `value` at `at`.
/// Joseph's form, which stays positive (Bucy and Joseph 1968).
void update(const MatrixXd& slope, const VectorXd& value, const VectorXd& at, std::span<const MeasuredReading> measured,
            const VectorXd& mean, const MatrixXd& covariance, Ignorance& result) {
  VectorXd off(std::ssize(measured));
  VectorXd noise(std::ssize(measured));
  for (Eigen::Index i = 0; i < off.size(); ++i) {
    const MeasuredReading& each = measured[static_cast<std::size_t>(i)];
    off[i] = each.value - value[i];
    noise[i] = std::pow(each.error / per_reading_error, 2.0);
  }
  off -= slope * (mean - at);
  // In units of the readings' errors, so that lengths and speeds stand side by side.
  const VectorXd scale = noise.cwiseSqrt().cwiseInverse();
  const MatrixXd rows = scale.asDiagonal() * slope;
  MatrixXd inner = rows * covariance * rows.transpose();
  inner.diagonal().array() += 1.0;
  const MatrixXd gain = detail::divide_by_symmetric(covariance * rows.transpose(), inner);
  const MatrixXd left = MatrixXd::Identity(mean.size(), mean.size()) - gain * rows;
  const MatrixXd posterior = left * covariance * left.transpose() + gain * gain.transpose();
  result.mean = as_values(mean + gain * scale.asDiagonal() * off);
  result.covariance = as_rows(0.5 * (posterior + posterior.transpose()));
}

}  // namespace

std::vector<double> reading_covariance(const Ignorance& ignorance, const Sensitivity& sensitivity) {
  const MatrixXd slope = detail::slope_of(ignorance, sensitivity);
  return as_rows(slope * detail::covariance_of(ignorance) * slope.transpose());
}

Ignorance narrowed(const Ignorance& ignorance, const Sensitivity& sensitivity,
                   std::span<const MeasuredReading> measured) {
  check(sensitivity.value.size(), measured);
  Ignorance result = ignorance;
  const VectorXd mean = as_vector(ignorance.mean);
  update(detail::slope_of(ignorance, sensitivity), as_vector(sensitivity.value), mean, measured, mean,
         detail::covariance_of(ignorance), result);
  return result;
}

Ignorance narrowed(const Ignorance& ignorance, std::span<const WatchedShot> shots,
                   std::span<const MeasuredReading> measured, const IgnoranceOptions& options) {
  Ignorance result = ignorance;
  constexpr int most_rounds = 5;
  constexpr double still = 0.02;  // [standard deviations]
  for (int round = 0; round < most_rounds; ++round) {
    const Sensitivity now = sensitivity_of(result, shots, options);
    check(now.value.size(), measured);
    const VectorXd at = as_vector(result.mean);
    update(detail::slope_of(ignorance, now), as_vector(now.value), at, measured, as_vector(ignorance.mean),
           detail::covariance_of(ignorance), result);
    if ((as_vector(result.mean) - at).cwiseAbs().maxCoeff() < still) {
      break;
    }
  }
  return result;
}

Ignorance reduced(const Ignorance& ignorance, const Sensitivity& sensitivity, double share) {
  if (!(share >= 0.0 && share < 1.0)) {
    throw InputError("share", format_quantity(share, Quantity::dimensionless), "must be at least 0 and below 1");
  }
  const MatrixXd slope = detail::slope_of(ignorance, sensitivity);
  const MatrixXd covariance = detail::covariance_of(ignorance);
  const Eigen::Index count = slope.cols();
  // Of each direction, the largest part that it has in the variance of any reading.
  VectorXd part = VectorXd::Zero(count);
  for (Eigen::Index r = 0; r < slope.rows(); ++r) {
    const VectorXd parts = slope.row(r).transpose().array().square() * covariance.diagonal().array();
    if (parts.sum() > 0.0) {
      part = part.cwiseMax(parts / parts.sum());
    }
  }
  std::vector<Eigen::Index> order(static_cast<std::size_t>(count));
  std::iota(order.begin(), order.end(), Eigen::Index{0});
  std::stable_sort(order.begin(), order.end(), [&](Eigen::Index a, Eigen::Index b) { return part[a] < part[b]; });
  double left_out = 0.0;
  std::vector<std::size_t> kept;
  for (const Eigen::Index k : order) {
    left_out += part[k];
    if (left_out > share) {
      kept.push_back(static_cast<std::size_t>(k));
    }
  }
  std::sort(kept.begin(), kept.end());
  Ignorance result{ignorance.setup, {}, {}, {}, ignorance.notes};
  for (const std::size_t k : kept) {
    result.directions.push_back(ignorance.directions[k]);
    result.mean.push_back(ignorance.mean[k]);
    for (const std::size_t other : kept) {
      result.covariance.push_back(covariance(static_cast<Eigen::Index>(k), static_cast<Eigen::Index>(other)));
    }
  }
  return result;
}

}  // namespace nockwise
