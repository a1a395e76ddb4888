#include "numerics/nonnegative_least_squares.hpp"

#include "numerics/dense_solvers.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <limits>
#include <vector>

namespace nockwise::kernel {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// The problem with the products of those of its columns that were used, because many subsets of them are solved.
class Columns {
 public:
  Columns(const MatrixXd& matrix, const VectorXd& values)
      : matrix_(matrix),
        values_(values),
        products_(matrix.cols(), matrix.cols()),
        known_(static_cast<std::size_t>(matrix.cols()), false) {}

  /// Unconstrained solution on the columns in `passive`, zero elsewhere.
  [[nodiscard]] VectorXd solution_on(const std::vector<Index>& passive) {
    for (const Index column : passive) {
      if (!known_[static_cast<std::size_t>(column)]) {
        known_[static_cast<std::size_t>(column)] = true;
        products_.col(column).noalias() = matrix_.transpose() * matrix_.col(column);
      }
    }
    VectorXd solution = VectorXd::Zero(matrix_.cols());
    const MatrixXd columns = matrix_(Eigen::all, passive);
    const Eigen::LLT<MatrixXd> factors(products_(passive, passive));
    if (factors.info() != Eigen::Success || !(factors.rcond() > least_rcond)) {
      solution(passive) = detail::least_squares(columns, values_);
      return solution;
    }
    // Normal equations square the condition; what they lose comes back with the residual.
    VectorXd x = factors.solve(columns.transpose() * values_);
    for (int i = 0; i < 2; ++i) {
      x += factors.solve(columns.transpose() * (values_ - columns * x));
    }
    solution(passive) = x;
    return solution;
  }

 private:
  static constexpr double least_rcond = 1e-10;
  const MatrixXd& matrix_;
  const VectorXd& values_;
  MatrixXd products_;
  std::vector<bool> known_;
};

}  // namespace

VectorXd nonnegative_least_squares(const MatrixXd& matrix, const VectorXd& values) {
  const double tolerance = 1e-12 * matrix.colwise().norm().maxCoeff() * values.norm();
  VectorXd solution = VectorXd::Zero(matrix.cols());
  Columns columns(matrix, values);
  std::vector<Index> passive;
  std::vector<bool> rejected(matrix.cols(), false);
  for (Index round = 0; round < 3 * matrix.cols() && static_cast<Index>(passive.size()) < matrix.rows(); ++round) {
    VectorXd gain = matrix.transpose() * (values - matrix * solution);
    for (const Index column : passive) {
      gain(column) = 0.0;
    }
    for (Index column = 0; column < matrix.cols(); ++column) {
      if (rejected[column]) {
        gain(column) = 0.0;
      }
    }
    Index entering = 0;
    if (gain.maxCoeff(&entering) <= tolerance) {
      break;
    }
    passive.push_back(entering);
    VectorXd next = columns.solution_on(passive);
    if (!(next(entering) > 0.0)) {  // rounding: the column depends on those already in
      passive.pop_back();
      rejected[entering] = true;
      continue;
    }
    while (!passive.empty() && next(passive).minCoeff() <= 0.0) {
      double share = 1.0;  // of the way to `next` that stays feasible
      for (const Index column : passive) {
        if (next(column) <= 0.0) {
          share = std::min(share, solution(column) / (solution(column) - next(column)));
        }
      }
      Index leaving = passive.front();
      double smallest = std::numeric_limits<double>::infinity();
      for (const Index column : passive) {
        solution(column) += share * (next(column) - solution(column));
        if (next(column) <= 0.0 && solution(column) < smallest) {
          smallest = solution(column);
          leaving = column;
        }
      }
      std::erase_if(passive, [&](Index column) {
        const bool leaves = column == leaving || solution(column) <= 0.0;
        if (leaves) {
          solution(column) = 0.0;
        }
        return leaves;
      });
      if (!passive.empty()) {
        next = columns.solution_on(passive);
      }
    }
    solution = passive.empty() ? VectorXd::Zero(matrix.cols()) : next;
    std::fill(rejected.begin(), rejected.end(), false);
  }
  return solution;
}

VectorXd constrained_minimum(const MatrixXd& hessian, const VectorXd& right, const MatrixXd& constraints,
                             const VectorXd& bounds) {
  const Eigen::LLT<MatrixXd> factors(hessian);
  VectorXd free = factors.solve(right);
  VectorXd missing = bounds - constraints * free;
  if (missing.maxCoeff() <= 0.0) {
    return free;
  }
  // With x = free + L⁻ᵀ y the objective is |y|²/2 and each constraint an equation of a half-space, scaled to a unit
  // normal.
  MatrixXd columns = factors.matrixL().solve(constraints.transpose());
  const VectorXd lengths = columns.colwise().norm();
  columns.array().rowwise() /= lengths.transpose().array();
  missing.array() /= lengths.array();
  const double scale = missing.cwiseAbs().maxCoeff();

  const Index size = columns.rows();
  MatrixXd matrix(size + 1, columns.cols());
  matrix << columns, missing.transpose() / scale;
  const VectorXd last = VectorXd::Unit(size + 1, size);
  const VectorXd residual = last - matrix * nonnegative_least_squares(matrix, last);
  if (!(residual(size) > 1e-12)) {
    return free;
  }
  const VectorXd shift = -scale / residual(size) * residual.head(size);
  return free + VectorXd(factors.matrixU().solve(shift));
}

}  // namespace nockwise::kernel
