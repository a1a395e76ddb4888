#include "causes/pairs.hpp"
#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace nockwise::detail {

namespace {

/// Covariance of the interaction along one amount, in prior widths: zero where the amount is zero, correlated over one
/// prior width.
double covariance_along(double a, double b) { return a * b * std::exp(-0.5 * (a - b) * (a - b)); }

}  // namespace

void Interaction::add(double first, double second, const Eigen::VectorXd& effect) {
  constexpr double negligible = 0.03;  // [prior widths] nearer places and smaller amounts tell nothing new
  const bool known = std::any_of(places_.begin(), places_.end(), [&](const std::array<double, 2>& place) {
    return std::hypot(place[0] - first, place[1] - second) < negligible;
  });
  if (known || std::fabs(first) < negligible || std::fabs(second) < negligible) {
    return;
  }
  places_.push_back({first, second});
  effects_.conservativeResize(effect.size(), places_.size());
  effects_.rightCols(1) = effect;
  solve();
}

void Interaction::solve() {
  constexpr double jitter = 1e-6;
  const auto n = std::ssize(places_);
  Eigen::MatrixXd covariance(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      const auto& a = places_[i];
      const auto& b = places_[j];
      covariance(i, j) = covariance_along(a[0], b[0]) * covariance_along(a[1], b[1]);
    }
    covariance(i, i) *= 1.0 + jitter;
  }
  weights_ = divide_by_symmetric(effects_, covariance);
}

Eigen::MatrixXd Interaction::at(double first, const Eigen::VectorXd& second) const {
  Eigen::MatrixXd covariance(places_.size(), second.size());
  for (std::size_t i = 0; i < places_.size(); ++i) {
    const double share = covariance_along(places_[i][0], first);
    for (Eigen::Index j = 0; j < second.size(); ++j) {
      covariance(i, j) = share * covariance_along(places_[i][1], second[j]);
    }
  }
  return weights_ * covariance;
}

Interaction Interaction::swapped() const {
  Interaction other = *this;
  for (auto& place : other.places_) {
    std::swap(place[0], place[1]);
  }
  return other;
}

}  // namespace nockwise::detail
