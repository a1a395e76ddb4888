/// \file
/// Least squares under inequality constraints, small and dense.
#pragma once

#include <Eigen/Core>

namespace nockwise::kernel {

/// The u ≥ 0 that minimises |matrix u − values|.
///
/// Active-set method of C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974), ch. 23, algorithm NNLS.
/// It stops after three passes over the columns at the latest; the u of that moment is still feasible.
[[nodiscard]] Eigen::VectorXd nonnegative_least_squares(const Eigen::MatrixXd& matrix, const Eigen::VectorXd& values);

/// The x that minimises xᵀ hessian x / 2 − rightᵀ x subject to constraints x ≥ bounds.
///
/// By way of the least-distance problem, algorithm LDP of the same chapter. When no x satisfies the constraints, or
/// rounding hides one, the unconstrained minimum comes back: the caller checks what it needs. \param hessian symmetric
/// and positive definite
[[nodiscard]] Eigen::VectorXd constrained_minimum(const Eigen::MatrixXd& hessian, const Eigen::VectorXd& right,
                                                  const Eigen::MatrixXd& constraints, const Eigen::VectorXd& bounds);

}  // namespace nockwise::kernel
