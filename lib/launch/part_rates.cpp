#include "launch/part_rates.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <iterator>

namespace nockwise::detail {

namespace {

// The trace of a high power bounds the largest eigenvalue from above, by at most count^(1/1024): half a percent for a
// hundred springs.
double largest_eigenvalue(const Eigen::MatrixXd& columns) {
  if (columns.cols() == 0) {
    return 0.0;
  }
  Eigen::MatrixXd power = columns.lazyProduct(columns.transpose());
  double logarithm = 0.0;
  double exponent = 1.0;
  constexpr int squarings = 10;
  for (int i = 0;; ++i) {
    const double trace = power.trace();
    if (!(trace > 0.0)) {
      return 0.0;
    }
    logarithm += std::log(trace) / exponent;
    if (i == squarings) {
      return std::exp(logarithm);
    }
    power /= trace;
    power = power.lazyProduct(power).eval();
    exponent *= 2.0;
  }
}

}  // namespace

Quickness quickness_of(const Eigen::MatrixXd& mass, const std::vector<PartSpring>& springs) {
  const Eigen::LLT<Eigen::MatrixXd> llt(mass);
  const auto count = std::ssize(springs);
  Eigen::MatrixXd stiff(mass.rows(), count);
  Eigen::MatrixXd damped(mass.rows(), count);
  Quickness q;
  double stiffest = 0.0;
  double most_damped = 0.0;
  for (Eigen::Index i = 0; i < count; ++i) {
    const PartSpring& spring = springs[i];
    const Eigen::VectorXd moved = llt.matrixL().solve(spring.along);
    stiff.col(i) = std::sqrt(spring.stiffness) * moved;
    damped.col(i) = std::sqrt(spring.damping) * moved;
    const double response = moved.squaredNorm();
    if (spring.stiffness * response > stiffest) {
      stiffest = spring.stiffness * response;
      q.stiffest = spring.path;
    }
    if (spring.damping * response > most_damped) {
      most_damped = spring.damping * response;
      q.most_damped = spring.path;
    }
  }
  q.stiffness = largest_eigenvalue(stiff);
  q.damping = largest_eigenvalue(damped);
  return q;
}

double largest_with_one_spring(const double* d, const double* shape, int modes, double spring, double mass) {
  const double lowest = *std::max_element(d, d + modes);
  if (!(spring > lowest * mass)) {
    return lowest;
  }
  double sum = 0.0;
  for (int k = 0; k < modes; ++k) {
    sum += shape[k] * shape[k];
  }
  // Between the largest d and what the spring would do to a part free of all else.
  double low = lowest;
  double high = mass > 0.0 ? std::min(spring / mass, lowest + spring * sum) : lowest + spring * sum;
  for (int i = 0; i < 30 && high - low > 1e-3 * high; ++i) {
    const double middle = 0.5 * (low + high);
    double response = 0.0;
    for (int k = 0; k < modes; ++k) {
      response += shape[k] * shape[k] / (middle - d[k]);
    }
    (1.0 < (spring - middle * mass) * response ? low : high) = middle;
  }
  return high;
}

}  // namespace nockwise::detail
