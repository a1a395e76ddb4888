#include "numerics/nonnegative_least_squares.hpp"

#include <gtest/gtest.h>

#include <random>

namespace nockwise::kernel {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

MatrixXd random_matrix(Index rows, Index columns, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  return MatrixXd::NullaryExpr(rows, columns, [&] { return normal(random); });
}

TEST(NonnegativeLeastSquares, SatisfiesTheOptimalityConditions) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const MatrixXd matrix = random_matrix(12, 30, seed);
    const VectorXd values = random_matrix(12, 1, seed + 100);
    const VectorXd solution = nonnegative_least_squares(matrix, values);
    const VectorXd gain = matrix.transpose() * (values - matrix * solution);
    EXPECT_GE(solution.minCoeff(), 0.0) << seed;
    EXPECT_LE(gain.maxCoeff(), 1e-10) << seed;
    EXPECT_NEAR(gain.dot(solution), 0.0, 1e-10) << seed;
  }
}

TEST(ConstrainedMinimum, IsTheFreeMinimumWhenThatIsAllowed) {
  const MatrixXd hessian = Eigen::Vector2d(2.0, 4.0).asDiagonal();
  const VectorXd solution =
      constrained_minimum(hessian, Eigen::Vector2d(2.0, 4.0), MatrixXd::Identity(2, 2), Eigen::Vector2d(0.5, 0.5));
  EXPECT_NEAR((solution - Eigen::Vector2d(1.0, 1.0)).norm(), 0.0, 1e-14);
}

TEST(ConstrainedMinimum, StopsAtABound) {
  // x² + 2 y² − 2 x − 4 y, free minimum (1, 1), under x ≥ 3 and x + y ≥ 3.5: the minimum is at (3, 1).
  const MatrixXd hessian = Eigen::Vector2d(2.0, 4.0).asDiagonal();
  MatrixXd constraints(2, 2);
  constraints << 1.0, 0.0, 1.0, 1.0;
  const VectorXd solution =
      constrained_minimum(hessian, Eigen::Vector2d(2.0, 4.0), constraints, Eigen::Vector2d(3.0, 3.5));
  EXPECT_NEAR((solution - Eigen::Vector2d(3.0, 1.0)).norm(), 0.0, 1e-13);
}

TEST(ConstrainedMinimum, SatisfiesTheOptimalityConditions) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const MatrixXd root = random_matrix(10, 8, seed);
    const MatrixXd hessian = root.transpose() * root + 0.1 * MatrixXd::Identity(8, 8);
    const VectorXd right = random_matrix(8, 1, seed + 50);
    const MatrixXd constraints = random_matrix(20, 8, seed + 100);
    const VectorXd inside = random_matrix(8, 1, seed + 150);
    const VectorXd bounds = constraints * inside - random_matrix(20, 1, seed + 200).cwiseAbs();
    const VectorXd solution = constrained_minimum(hessian, right, constraints, bounds);
    EXPECT_GE((constraints * solution - bounds).minCoeff(), -1e-9) << seed;
    // Convex problem: no step towards a point that is allowed may gain.
    EXPECT_GE((hessian * solution - right).dot(inside - solution), -1e-9) << seed;
  }
}

}  // namespace
}  // namespace nockwise::kernel
