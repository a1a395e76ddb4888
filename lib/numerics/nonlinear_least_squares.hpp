// Nonlinear least squares by Levenberg and Marquardt's method: Eigen's port of MINPACK, compiled once. Private.
#pragma once

#include <Eigen/Core>

#include <functional>

namespace nockwise::detail {

struct LeastSquaresProblem {
  Eigen::Index unknowns = 0;
  Eigen::Index residuals = 0;  // not fewer than unknowns
  std::function<void(const Eigen::VectorXd& x, Eigen::VectorXd& residual)> residual;
  /// Residuals × unknowns.
  std::function<void(const Eigen::VectorXd& x, Eigen::MatrixXd& slopes)> jacobian;
};

/// From the start `x` to the least sum of squares that is found within so many evaluations of the residual.
/// `tolerance`: relative, of the sum and of x.
void levenberg_marquardt(const LeastSquaresProblem& problem, int most_evaluations, double tolerance,
                         Eigen::VectorXd& x);

}  // namespace nockwise::detail
