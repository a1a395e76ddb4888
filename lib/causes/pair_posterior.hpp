// The posterior of two deviations on their curves with their interaction (causes/pairs.hpp). Private; included by
// causes/pairs.cpp alone.
#pragma once

#include "causes/pairs.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace nockwise::detail {

inline constexpr double two_pi = 2.0 * std::numbers::pi;
inline double normal_density(double x) { return std::exp(-0.5 * x * x) / std::sqrt(two_pi); }
inline double normal_distribution(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

/// One amount of the first, and a straight piece of the second's curve.
struct Piece {
  double first = 0.0, second = 0.0, second_square = 0.0;  // amount, and mean and mean square of the other
  double top = 0.0;                                       // most probable amount of the other
  std::array<double, 2> hole{}, hole_square{};            // reader's error of the first hole, and its square [m, m²]
  double logarithm = 0.0;                                 // of its mass
};

/// Sums over pieces.
struct PairSums {
  double mass = 0.0, top = 0.0, product = 0.0;      // of all; logarithm of the largest; sum of both amounts' product
  std::array<double, 2> amount{}, amount_square{};  // sums
  std::array<double, 2> hole{}, hole_square{};      // sums
  std::array<double, 2> best{};                     // amounts of the largest piece
  std::vector<double> first, share;                 // amounts of the first, and what lies at each
};

class PairPosterior {
 public:
  PairPosterior(const CaseModel& model, const Eigen::VectorXd& residual, const ScaledCurve& first,
                const ScaledCurve& second, const Interaction& interaction, const std::array<AmountRange, 2>& range)
      : model_(model),
        visibility_(model),
        residual_(residual),
        first_(first),
        second_(second),
        interaction_(interaction),
        second_range_(range[1]),
        low_(std::max(range[0].low, first.steps[0])),
        high_(std::min(range[0].high, first.steps[first.steps.size() - 1])) {}

  /// Sums, with the grid refined as long as most of the mass lies between few amounts of the first.
  PairSums run() {
    PairSums sums = sum_grid();
    for (int zoom = 0; zoom < 4; ++zoom) {
      const double mean = sums.amount[0] / sums.mass;
      const double deviation = std::sqrt(std::max(0.0, sums.amount_square[0] / sums.mass - mean * mean));
      if (deviation > 1.5 * cell()) {
        break;
      }
      const double reach = 4.0 * std::max(deviation, cell());
      const double low = std::max(low_, mean - reach);
      high_ = std::min(high_, mean + reach);
      low_ = low;
      sums = sum_grid();
    }
    sums.mass *= cell();
    sums.product *= cell() / sums.mass;
    for (std::size_t k = 0; k < 2; ++k) {
      for (double* each : {&sums.amount[k], &sums.amount_square[k], &sums.hole[k], &sums.hole_square[k]}) {
        *each *= cell() / sums.mass;
      }
    }
    return sums;
  }

 private:
  static constexpr int cells = 40;
  [[nodiscard]] double cell() const { return (high_ - low_) / cells; }

  [[nodiscard]] PairSums sum_grid() const {
    std::vector<Piece> pieces;
    for (int i = 0; i <= cells; ++i) {
      add_pieces(low_ + cell() * i, pieces);
    }
    PairSums sums;
    if (pieces.empty()) {
      sums.mass = 1e-300;
      sums.top = -1e300;
      return sums;
    }
    const auto top = std::max_element(pieces.begin(), pieces.end(),
                                      [](const Piece& a, const Piece& b) { return a.logarithm < b.logarithm; });
    sums.top = top->logarithm;
    sums.best = {top->first, top->top};
    for (const Piece& each : pieces) {
      const double weight = std::exp(each.logarithm - sums.top);
      sums.mass += weight;
      sums.amount[0] += weight * each.first;
      sums.amount[1] += weight * each.second;
      sums.product += weight * each.first * each.second;
      sums.amount_square[0] += weight * each.first * each.first;
      sums.amount_square[1] += weight * each.second_square;
      for (std::size_t k = 0; k < 2; ++k) {
        sums.hole[k] += weight * each.hole[k];
        sums.hole_square[k] += weight * each.hole_square[k];
      }
      if (sums.first.empty() || each.first > sums.first.back()) {
        sums.first.push_back(each.first);
        sums.share.push_back(0.0);
      }
      sums.share.back() += weight;
    }
    return sums;
  }

  void add_pieces(double amount, std::vector<Piece>& pieces) const {
    const Eigen::VectorXd left = residual_ - first_.at(amount);
    Eigen::MatrixXd change = second_.change;
    if (!interaction_.empty()) {
      change += interaction_.at(amount / first_.prior, second_.steps / second_.prior);
    }
    for (Eigen::Index i = 1; i < second_.steps.size(); ++i) {
      add_piece(amount, left, change, i, pieces);
    }
  }

  void add_piece(double amount, const Eigen::VectorXd& left, const Eigen::MatrixXd& change, Eigen::Index i,
                 std::vector<Piece>& pieces) const {
    const double own = amount * amount / (first_.prior * first_.prior);
    const double weight = 1.0 / (second_.prior * second_.prior);
    const double from = second_.steps[i - 1];
    const double to = second_.steps[i];
    const Eigen::VectorXd slope = (change.col(i) - change.col(i - 1)) / (to - from);
    const Eigen::VectorXd start = left - change.col(i - 1) + from * slope;  // left at amount zero, if straight
    const double curvature = slope.squaredNorm() + weight;
    const double middle = slope.dot(start) / curvature;
    const double root = std::sqrt(curvature);
    const double least_amount = std::max(from, second_range_.low);
    const double most_amount = std::min(to, second_range_.high);
    if (!(least_amount < most_amount)) {
      return;
    }
    const double a = root * (least_amount - middle);
    const double b = root * (most_amount - middle);
    const double share = normal_distribution(b) - normal_distribution(a);
    if (share < 1e-8) {
      return;
    }
    const double shift = (normal_density(a) - normal_density(b)) / share;
    const double spread = 1.0 + (a * normal_density(a) - b * normal_density(b)) / share - shift * shift;
    Piece piece;
    piece.first = amount;
    piece.second = middle + shift / root;
    piece.top = std::clamp(middle, least_amount, most_amount);
    piece.second_square = piece.second * piece.second + std::max(0.0, spread) / curvature;
    std::array<double, 2> tear{};
    for (std::size_t k = 0; k < 2; ++k) {
      const double per_step = model_.first_error(static_cast<int>(k), slope);
      const double error = model_.first_error(static_cast<int>(k), start) - per_step * piece.second;
      piece.hole[k] = error;
      piece.hole_square[k] = error * error + per_step * per_step * std::max(0.0, spread) / curvature;
      tear[k] = model_.readings()[k].value - error;
    }
    const double least = (start - middle * slope).squaredNorm() + middle * middle * weight + own;
    piece.logarithm = -0.5 * least + std::log(share * std::sqrt(two_pi) / root) +
                      std::log(std::max(1e-12, visibility_.of(tear[0], tear[1])));
    pieces.push_back(piece);
  }

  const CaseModel& model_;
  Visibility visibility_;
  const Eigen::VectorXd& residual_;
  const ScaledCurve& first_;
  const ScaledCurve& second_;
  const Interaction& interaction_;
  AmountRange second_range_;
  double low_, high_;
};

/// Where the posterior of the first amount falls into two modes, if it does.
inline std::optional<double> valley_of(const PairSums& sums) {
  constexpr double depth = 0.3;   // of the lower mode's peak
  constexpr double least = 0.01;  // of the higher mode's peak: lower ones are no modes
  const std::vector<double>& f = sums.share;
  const auto peak = static_cast<std::size_t>(std::max_element(f.begin(), f.end()) - f.begin());
  std::optional<double> where;
  double second = least * (f.empty() ? 0.0 : f[peak]);
  const auto search = [&](int way) {
    std::size_t lowest = peak;
    for (std::size_t i = peak; way > 0 ? i + 1 < f.size() : i > 0;) {
      i += way;
      lowest = f[i] < f[lowest] ? i : lowest;
      if (f[i] > second && f[lowest] < depth * f[i]) {
        second = f[i];
        where = sums.first[lowest];
      }
    }
  };
  search(1);
  search(-1);
  return where;
}

/// Amount below which this share of the mass lies; each amount of the grid stands for the cell around it.
inline double quantile(const PairSums& sums, double share) {
  double total = 0.0;
  for (const double each : sums.share) {
    total += each;
  }
  double below = 0.0;
  for (std::size_t i = 0; i < sums.first.size(); ++i) {
    const double next = below + sums.share[i] / total;
    if (next >= share && sums.share[i] > 0.0) {
      const double left = i > 0 ? 0.5 * (sums.first[i - 1] + sums.first[i]) : sums.first[i];
      const double right = i + 1 < sums.first.size() ? 0.5 * (sums.first[i] + sums.first[i + 1]) : sums.first[i];
      return left + (share - below) / (next - below) * (right - left);
    }
    below = next;
  }
  return sums.first.empty() ? 0.0 : sums.first.back();
}

}  // namespace nockwise::detail
