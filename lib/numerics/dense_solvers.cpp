#include "numerics/dense_solvers.hpp"

#include "nockwise/error.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <Eigen/QR>

namespace nockwise::detail {

using Eigen::MatrixXd;
using Eigen::VectorXd;

VectorXd least_squares(const MatrixXd& rows, const VectorXd& values) { return rows.householderQr().solve(values); }

Eigen::Vector3d solve_three(const Eigen::Matrix3d& matrix, const Eigen::Vector3d& right) {
  return matrix.partialPivLu().solve(right);
}

double determinant_of(const MatrixXd& matrix) { return matrix.determinant(); }

MatrixXd inverse_of(const MatrixXd& matrix) { return matrix.inverse(); }

VectorXd solve_symmetric(const MatrixXd& matrix, const VectorXd& right) { return matrix.ldlt().solve(right); }

MatrixXd divide_by_symmetric(const MatrixXd& left, const MatrixXd& matrix) {
  return matrix.ldlt().solve(left.transpose()).transpose();
}

MatrixXd cholesky_factor(const MatrixXd& matrix) {
  const Eigen::LLT<MatrixXd> factors(matrix);
  if (factors.info() != Eigen::Success) {
    throw SolverError("factorising a covariance", "it is not positive definite");
  }
  return factors.matrixL();
}

MatrixXd gram_matrix(const MatrixXd& matrix) { return matrix.transpose() * matrix; }

}  // namespace nockwise::detail
