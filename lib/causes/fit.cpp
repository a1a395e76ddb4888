#include "causes/fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace nockwise::detail {

namespace {

/// Slopes of the residuals: readings per standard deviation.
Eigen::MatrixXd scaled(const CaseModel& model, const Eigen::MatrixXd& slopes) {
  Eigen::MatrixXd result = slopes;
  for (Eigen::Index r = 0; r < slopes.rows(); ++r) {
    result.row(r) /= model.readings()[static_cast<std::size_t>(r)].standard_deviation;
  }
  return result;
}

Eigen::MatrixXd normal_matrix(const CaseModel& model, const Eigen::MatrixXd& j) {
  Eigen::MatrixXd normal = j.transpose() * j;
  normal.diagonal() += model.priors().cwiseAbs2().cwiseInverse();
  return normal;
}

double objective(const CaseModel& model, const Eigen::VectorXd& steps, const Eigen::VectorXd& residual) {
  return residual.squaredNorm() + steps.cwiseQuotient(model.priors()).squaredNorm();
}

/// Broyden's correction: the slopes follow what the last move showed.
void learn(Eigen::MatrixXd& slopes, const Eigen::VectorXd& move, const Eigen::VectorXd& change) {
  const double square = move.squaredNorm();
  if (square > 1e-12) {
    slopes += (change - slopes * move) * move.transpose() / square;
  }
}

struct Walk {
  Eigen::VectorXd steps, predicted;
  double objective = 0.0;
};

/// One Gauss–Newton move, the best of several dampings; false when none is better. `free` is 1 for every deviation that
/// may move.
bool advance(CaseModel& model, const Eigen::VectorXd& free, Eigen::MatrixXd& slopes, Walk& walk) {
  const Eigen::MatrixXd j = scaled(model, slopes) * free.asDiagonal();
  const Eigen::VectorXd weights = model.priors().cwiseAbs2().cwiseInverse();
  const Eigen::VectorXd downhill = j.transpose() * model.residual(walk.predicted) - walk.steps.cwiseProduct(weights);
  std::vector<Eigen::VectorXd> tries;
  for (const double damping : {0.0, 2.0, 20.0, 200.0}) {
    Eigen::MatrixXd normal = normal_matrix(model, j);
    normal.diagonal() += damping * weights;
    const Eigen::VectorXd move = normal.ldlt().solve(downhill);
    const double reach = move.cwiseQuotient(model.priors()).cwiseAbs().maxCoeff();
    if (tries.empty() && !(reach > 1e-3)) {
      return false;
    }
    tries.emplace_back(model.clamped(walk.steps + std::min(1.0, 3.0 / reach) * move));
  }
  const auto predictions = model.predict(tries);
  const Walk before = walk;
  for (std::size_t i = 0; i < tries.size(); ++i) {
    if (predictions[i]) {
      const double value = objective(model, tries[i], model.residual(*predictions[i]));
      if (value < walk.objective) {
        walk = {tries[i], *predictions[i], value};
      }
    }
  }
  learn(slopes, walk.steps - before.steps, walk.predicted - before.predicted);
  return walk.objective < before.objective - 0.01;
}

}  // namespace

double chi_square_limit(double degrees, double normal_quantile) {
  const double c = 2.0 / (9.0 * degrees);
  const double root = 1.0 - c + normal_quantile * std::sqrt(c);
  return degrees * root * root * root;
}

namespace {

Eigen::MatrixXd curve_slopes(const CaseModel& model, const std::vector<ResponseCurve>& curves,
                             const Eigen::VectorXd& state) {
  Eigen::MatrixXd slopes(curves.front().at(0.0).size(), model.size());
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    slopes.col(i) = curves[static_cast<std::size_t>(i)].slope(state[i]);
  }
  return slopes;
}

/// Spread of the first hole for normal errors of the deviations.
TearSpread normal_spread(const Eigen::MatrixXd& slopes, const Eigen::MatrixXd& covariance) {
  const auto deviation = [&](Eigen::Index row) {
    return std::sqrt(std::max(0.0, (slopes.row(row) * covariance * slopes.row(row).transpose()).value()));
  };
  return {0.0, 0.0, deviation(0), deviation(1)};
}

/// The best of no deviation, the likeliest single ones and the likeliest pairs.
Walk best_start(CaseModel& model, const std::vector<ResponseCurve>& curves, const std::vector<SingleFit>& singles,
                const std::vector<PairFit>& pairs) {
  const Eigen::VectorXd nominal = curves.front().at(0.0);
  Walk best{Eigen::VectorXd::Zero(model.size()), nominal, model.residual(nominal).squaredNorm()};
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
  Walk walk = best_start(model, curves, singles, pairs);
  Eigen::MatrixXd slopes = curve_slopes(model, curves, walk.steps);
  for (int refresh = 0; refresh < refreshes; ++refresh) {
    const double before = walk.objective;
    for (int i = 0; i < 3 && advance(model, everything, slopes, walk); ++i) {
    }
    slopes = model.jacobian(walk.steps, width, walk.predicted);
    walk.objective = objective(model, walk.steps, model.residual(walk.predicted));
    if (refresh > 0 && walk.objective > before - 0.3) {
      break;
    }
  }
  JointFit fit;
  fit.steps = walk.steps;
  fit.predicted = walk.predicted;
  fit.slopes = slopes;
  fit.covariance = normal_matrix(model, scaled(model, slopes)).inverse();
  fit.spread = normal_spread(slopes, fit.covariance);
  const Eigen::VectorXd residual = model.residual(walk.predicted);
  fit.chi_square = residual.squaredNorm();
  fit.objective = objective(model, walk.steps, residual);
  return fit;
}

}  // namespace nockwise::detail
