// Two deviations together on their curves, if their effects add up: the posterior of one on a grid, that of the other
// exactly, since along a straight piece of its curve it is a normal distribution that is cut off at the ends.

#include "explanation_fit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise::detail {

namespace {

constexpr double two_pi = 2.0 * std::numbers::pi;

double density(double x) { return std::exp(-0.5 * x * x) / std::sqrt(two_pi); }
double distribution(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

/// A curve against the bow as it should be, in standard deviations of the readings.
struct ScaledCurve {
  std::vector<double> steps;
  std::vector<Eigen::VectorXd> change;
  double prior = 1.0;

  [[nodiscard]] Eigen::VectorXd at(double amount) const {
    const auto next = std::upper_bound(steps.begin() + 1, steps.end() - 1, amount);
    const auto i = static_cast<std::size_t>(next - steps.begin());
    const double share = (amount - steps[i - 1]) / (steps[i] - steps[i - 1]);
    return (1.0 - share) * change[i - 1] + share * change[i];
  }
};

ScaledCurve scaled_curve(const CaseModel& model, Eigen::Index which, const ResponseCurve& curve,
                         const Eigen::VectorXd& nominal) {
  ScaledCurve result;
  result.prior = model.priors()[which];
  for (const auto& [steps, predicted] : curve.points()) {
    Eigen::VectorXd change = predicted - nominal;
    for (Eigen::Index r = 0; r < change.size(); ++r) {
      change[r] /= model.readings()[static_cast<std::size_t>(r)].standard_deviation;
    }
    result.steps.push_back(steps);
    result.change.push_back(std::move(change));
  }
  return result;
}

/// One amount of the first, and a straight piece of the second's curve.
struct Piece {
  double first = 0.0, second = 0.0, second_square = 0.0;  // amount, and mean and mean square of the other
  std::array<double, 2> hole{}, hole_square{};            // left of the first hole [standard deviations]
  double logarithm = 0.0;                                 // of its mass
};

/// Sums over pieces.
struct PairSums {
  double mass = 0.0, top = 0.0;                     // of all; logarithm of the largest
  std::array<double, 2> amount{}, amount_square{};  // sums
  std::array<double, 2> hole{}, hole_square{};      // sums
  std::array<double, 2> best{};                     // amounts of the largest piece
};

class PairPosterior {
 public:
  PairPosterior(const Eigen::VectorXd& residual, const ScaledCurve& first, const ScaledCurve& second)
      : residual_(residual), first_(first), second_(second), low_(first.steps.front()), high_(first.steps.back()) {}

  /// Looks closer as long as the mass lies between few amounts of the first.
  PairSums run() {
    PairSums sums = look();
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
      sums = look();
    }
    sums.mass *= cell();
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

  [[nodiscard]] PairSums look() const {
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
    sums.best = {top->first, top->second};
    for (const Piece& each : pieces) {
      const double weight = std::exp(each.logarithm - sums.top);
      sums.mass += weight;
      sums.amount[0] += weight * each.first;
      sums.amount[1] += weight * each.second;
      sums.amount_square[0] += weight * each.first * each.first;
      sums.amount_square[1] += weight * each.second_square;
      for (std::size_t k = 0; k < 2; ++k) {
        sums.hole[k] += weight * each.hole[k];
        sums.hole_square[k] += weight * each.hole_square[k];
      }
    }
    return sums;
  }

  void add_pieces(double amount, std::vector<Piece>& pieces) const {
    const Eigen::VectorXd left = residual_ - first_.at(amount);
    const double own = amount * amount / (first_.prior * first_.prior);
    const double weight = 1.0 / (second_.prior * second_.prior);
    for (std::size_t i = 1; i < second_.steps.size(); ++i) {
      const double from = second_.steps[i - 1];
      const double to = second_.steps[i];
      const Eigen::VectorXd slope = (second_.change[i] - second_.change[i - 1]) / (to - from);
      const Eigen::VectorXd start = left - second_.change[i - 1] + from * slope;  // left at amount zero, if straight
      const double curvature = slope.squaredNorm() + weight;
      const double middle = slope.dot(start) / curvature;
      const double root = std::sqrt(curvature);
      const double a = root * (from - middle);
      const double b = root * (to - middle);
      const double share = distribution(b) - distribution(a);
      if (share < 1e-8) {
        continue;
      }
      const double shift = (density(a) - density(b)) / share;
      const double spread = 1.0 + (a * density(a) - b * density(b)) / share - shift * shift;
      Piece piece;
      piece.first = amount;
      piece.second = middle + shift / root;
      piece.second_square = piece.second * piece.second + std::max(0.0, spread) / curvature;
      for (Eigen::Index k = 0; k < 2; ++k) {
        const double hole = start[k] - slope[k] * piece.second;
        const auto at = static_cast<std::size_t>(k);
        piece.hole[at] = hole;
        piece.hole_square[at] = hole * hole + slope[k] * slope[k] * std::max(0.0, spread) / curvature;
      }
      const double least = (start - middle * slope).squaredNorm() + middle * middle * weight + own;
      piece.logarithm = -0.5 * least + std::log(share * std::sqrt(two_pi) / root);
      pieces.push_back(piece);
    }
  }

  const Eigen::VectorXd& residual_;
  const ScaledCurve& first_;
  const ScaledCurve& second_;
  double low_, high_;
};

PairStart start_of(const CaseModel& model, const std::array<Eigen::Index, 2>& which, const PairSums& sums) {
  PairStart start;
  start.which = which;
  start.steps = sums.best;
  start.score =
      -2.0 * (sums.top + std::log(sums.mass / (two_pi * model.priors()[which[0]] * model.priors()[which[1]])));
  const auto deviation = [](double mean, double square) { return std::sqrt(std::max(0.0, square - mean * mean)); };
  for (std::size_t k = 0; k < 2; ++k) {
    const Reading& reading = model.readings()[k];
    start.amount_deviation[k] = deviation(sums.amount[k], sums.amount_square[k]);
    start.tear[k] = reading.value - sums.hole[k] * reading.standard_deviation;
    start.deviation[k] = deviation(sums.hole[k], sums.hole_square[k]) * reading.standard_deviation;
  }
  return start;
}

}  // namespace

std::vector<PairStart> pair_starts(const CaseModel& model, const std::vector<ResponseCurve>& curves) {
  const Eigen::VectorXd nominal = curves.front().at(0.0);
  const Eigen::VectorXd residual = model.residual(nominal);
  std::vector<ScaledCurve> scaled;
  for (std::size_t i = 0; i < curves.size(); ++i) {
    scaled.push_back(scaled_curve(model, static_cast<Eigen::Index>(i), curves[i], nominal));
  }
  std::vector<PairStart> starts;
  for (std::size_t a = 0; a < scaled.size(); ++a) {
    for (std::size_t b = a + 1; b < scaled.size(); ++b) {
      if (scaled[a].steps.size() > 1 && scaled[b].steps.size() > 1) {
        starts.push_back(start_of(model, {static_cast<Eigen::Index>(a), static_cast<Eigen::Index>(b)},
                                  PairPosterior(residual, scaled[a], scaled[b]).run()));
      }
    }
  }
  std::stable_sort(starts.begin(), starts.end(),
                   [](const PairStart& a, const PairStart& b) { return a.score < b.score; });
  return starts;
}

}  // namespace nockwise::detail
