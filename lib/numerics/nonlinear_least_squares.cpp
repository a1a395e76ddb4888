#include "numerics/nonlinear_least_squares.hpp"

#include <unsupported/Eigen/NonLinearOptimization>

namespace nockwise::detail {

namespace {

/// The problem as Eigen wants it.
struct Functor {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };

  const LeastSquaresProblem& problem;

  [[nodiscard]] int inputs() const { return static_cast<int>(problem.unknowns); }
  [[nodiscard]] int values() const { return static_cast<int>(problem.residuals); }
  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& residual) const {
    problem.residual(x, residual);
    return 0;
  }
  int df(const Eigen::VectorXd& x, Eigen::MatrixXd& slopes) const {
    problem.jacobian(x, slopes);
    return 0;
  }
};

}  // namespace

void levenberg_marquardt(const LeastSquaresProblem& problem, int most_evaluations, double tolerance,
                         Eigen::VectorXd& x) {
  Functor functor{problem};
  Eigen::LevenbergMarquardt<Functor> solver(functor);
  solver.parameters.maxfev = most_evaluations;
  solver.parameters.ftol = solver.parameters.xtol = tolerance;
  solver.minimize(x);
}

}  // namespace nockwise::detail
