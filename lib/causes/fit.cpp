#include "causes/fit.hpp"

#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace nockwise::detail {

namespace {

Eigen::MatrixXd normal_matrix(const CaseModel& model, const Eigen::MatrixXd& j) {
  Eigen::MatrixXd normal = gram_matrix(j);
  normal.diagonal() += model.priors().cwiseAbs2().cwiseInverse();
  return normal;
}

double objective(const CaseModel& model, const Eigen::VectorXd& steps, const Eigen::VectorXd& residual) {
  return residual.squaredNorm() + steps.cwiseQuotient(model.priors()).squaredNorm();
}

/// Broyden's correction of the slopes by the change over a move.
void update_slopes(Eigen::MatrixXd& slopes, const Eigen::VectorXd& move, const Eigen::VectorXd& change) {
  const double square = move.squaredNorm();
  if (square > 1e-12) {
    slopes += (change - slopes * move) * move.transpose() / square;
  }
}

/// A place of the iteration.
struct Iterate {
  Eigen::VectorXd steps, predicted;
  double objective = 0.0;
};

/// One Gauss–Newton move, the best of several dampings; false when none is better. `free` is 1 for every deviation that
/// may move.
bool advance(CaseModel& model, const Eigen::VectorXd& free, Eigen::MatrixXd& slopes, Iterate& at) {
  const Eigen::MatrixXd j = model.whitened(slopes) * free.asDiagonal();
  const Eigen::VectorXd weights = model.priors().cwiseAbs2().cwiseInverse();
  const Eigen::VectorXd downhill = j.transpose() * model.residual(at.predicted) - at.steps.cwiseProduct(weights);
  std::vector<Eigen::VectorXd> trials;
  for (const double damping : {0.0, 2.0, 20.0, 200.0}) {
    Eigen::MatrixXd normal = normal_matrix(model, j);
    normal.diagonal() += damping * weights;
    const Eigen::VectorXd move = solve_symmetric(normal, downhill);
    const double reach = move.cwiseQuotient(model.priors()).cwiseAbs().maxCoeff();
    if (trials.empty() && !(reach > 1e-3)) {
      return false;
    }
    trials.emplace_back(model.clamped(at.steps + std::min(1.0, 3.0 / reach) * move));
  }
  const auto predictions = model.predict(trials);
  const Iterate before = at;
  for (std::size_t i = 0; i < trials.size(); ++i) {
    if (predictions[i]) {
      const double value = objective(model, trials[i], model.residual(*predictions[i]));
      if (value < at.objective) {
        at = {trials[i], *predictions[i], value};
      }
    }
  }
  update_slopes(slopes, at.steps - before.steps, at.predicted - before.predicted);
  return at.objective < before.objective - 0.01;
}

}  // namespace

double chi_square_limit(double degrees, double normal_quantile) {
  const double c = 2.0 / (9.0 * degrees);
  const double root = 1.0 - c + normal_quantile * std::sqrt(c);
  return degrees * root * root * root;
}

Eigen::MatrixXd curve_slopes(const std::vector<ResponseCurve>& curves, const Eigen::VectorXd& state) {
  Eigen::MatrixXd slopes(curves.front().at(0.0).size(), state.size());
  for (Eigen::Index i = 0; i < state.size(); ++i) {
    slopes.col(i) = curves[static_cast<std::size_t>(i)].slope(state[i]);
  }
  return slopes;
}

namespace {

/// Spread of the first hole for normal errors of the deviations.
TearSpread normal_spread(const CaseModel& model, const JointFit& fit) {
  // The true hole is what is read less the reader's error, which is linear in the residual.
  const Eigen::VectorXd residual = model.residual(fit.predicted);
  const Eigen::MatrixXd slopes = model.whitened(fit.slopes);
  std::array<double, 2> bias{};
  std::array<double, 2> deviation{};
  for (int part = 0; part < 2; ++part) {
    const double read = model.readings()[static_cast<std::size_t>(part)].value;
    bias[static_cast<std::size_t>(part)] = read - model.first_error(part, residual) - fit.predicted[part];
    Eigen::VectorXd slope(slopes.cols());
    for (Eigen::Index i = 0; i < slopes.cols(); ++i) {
      slope[i] = model.first_error(part, slopes.col(i));
    }
    deviation[static_cast<std::size_t>(part)] = std::sqrt(
        std::max(0.0, (slope.transpose() * fit.covariance * slope).value()) + model.first_error_variance(part));
  }
  return {bias[0], bias[1], deviation[0], deviation[1]};
}

/// The best of no deviation, the likeliest single ones and the likeliest pairs.
Iterate best_start(CaseModel& model, const std::vector<ResponseCurve>& curves, const std::vector<SingleFit>& singles,
                   const std::vector<PairFit>& pairs) {
  const Eigen::VectorXd nominal = curves.front().at(0.0);
  Iterate best{Eigen::VectorXd::Zero(model.size()), nominal, model.residual(nominal).squaredNorm()};
  const auto offer = [&](const Eigen::VectorXd& state, const Eigen::VectorXd& predicted) {
    const double value = objective(model, state, model.residual(predicted));
    if (value < best.objective) {
      best = {state, predicted, value};
    }
  };
  for (const SingleFit& each : singles) {
    Eigen::VectorXd state = Eigen::VectorXd::Zero(model.size());
    state[each.which] = each.steps;
    offer(state, each.predicted);
  }
  for (const PairFit& each : pairs) {
    if (!each.launched()) {
      continue;
    }
    Eigen::VectorXd state = Eigen::VectorXd::Zero(model.size());
    state[each.which[0]] = each.steps[0];
    state[each.which[1]] = each.steps[1];
    offer(state, each.predicted);
  }
  return best;
}

}  // namespace

JointFit fit_all(CaseModel& model, const std::vector<ResponseCurve>& curves, const std::vector<SingleFit>& singles,
                 const std::vector<PairFit>& pairs) {
  constexpr double width = 0.25;  // [steps]
  constexpr int refreshes = 3;
  const Eigen::VectorXd everything = Eigen::VectorXd::Ones(model.size());
  Iterate at = best_start(model, curves, singles, pairs);
  Eigen::MatrixXd slopes = curve_slopes(curves, at.steps);
  for (int refresh = 0; refresh < refreshes; ++refresh) {
    const double before = at.objective;
    for (int i = 0; i < 3 && advance(model, everything, slopes, at); ++i) {
    }
    slopes = model.jacobian(at.steps, width, at.predicted);
    at.objective = objective(model, at.steps, model.residual(at.predicted));
    if (refresh > 0 && at.objective > before - 0.3) {
      break;
    }
  }
  JointFit fit;
  fit.steps = at.steps;
  fit.predicted = at.predicted;
  fit.slopes = slopes;
  fit.covariance = inverse_of(normal_matrix(model, model.whitened(slopes)));
  fit.spread = normal_spread(model, fit);
  const Eigen::VectorXd residual = model.residual(at.predicted);
  fit.chi_square = residual.squaredNorm();
  fit.objective = objective(model, at.steps, residual);
  return fit;
}

}  // namespace nockwise::detail
