// Eigen's decompositions of dense matrices, each compiled once: where they are used they take the compiler ten seconds
// a source. Private.
#pragma once

#include <Eigen/Core>

namespace nockwise::detail {

/// Least squares by Householder's QR.
Eigen::VectorXd least_squares(const Eigen::MatrixXd& rows, const Eigen::VectorXd& values);
/// Solve `matrix` · x = `right` by elimination with partial pivoting.
Eigen::Vector3d solve_three(const Eigen::Matrix3d& matrix, const Eigen::Vector3d& right);
/// Determinant, likewise.
double determinant_of(const Eigen::MatrixXd& matrix);
/// Inverse, likewise.
Eigen::MatrixXd inverse_of(const Eigen::MatrixXd& matrix);
/// Solve `matrix` · x = `right`, the matrix symmetric and not indefinite, by LDLᵀ.
Eigen::VectorXd solve_symmetric(const Eigen::MatrixXd& matrix, const Eigen::VectorXd& right);
/// `left` · `matrix`⁻¹, likewise.
Eigen::MatrixXd divide_by_symmetric(const Eigen::MatrixXd& left, const Eigen::MatrixXd& matrix);
/// Lower triangle L with L · Lᵀ = `matrix`, symmetric and positive definite.
/// \throws SolverError where it is not
Eigen::MatrixXd cholesky_factor(const Eigen::MatrixXd& matrix);
/// `matrix`ᵀ · `matrix`.
Eigen::MatrixXd gram_matrix(const Eigen::MatrixXd& matrix);

}  // namespace nockwise::detail
