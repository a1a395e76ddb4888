#include "numerics/spline_fit.hpp"

#include "numerics/cubic_spline.hpp"
#include "numerics/dense_solvers.hpp"
#include "numerics/nonnegative_least_squares.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// Rows that map knot values to the spline's values at the points: a spline is linear in its knots.
Eigen::MatrixXd spline_rows(double first, double step, int count, const std::vector<FitPoint>& points) {
  Eigen::MatrixXd rows(static_cast<Eigen::Index>(points.size()), count);
  std::vector<double> unit(static_cast<std::size_t>(count), 0.0);
  for (int k = 0; k < count; ++k) {
    unit[static_cast<std::size_t>(k)] = 1.0;
    const auto spline = kernel::uniform_cubic_spline(step, unit);
    unit[static_cast<std::size_t>(k)] = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double position = (points[i].at - first) / step;
      const auto index = static_cast<std::size_t>(std::clamp(position, 0.0, static_cast<double>(count) - 2.0));
      const auto& [c0, c1, c2, c3, area] = spline[index];
      const double t = (position - static_cast<double>(index)) * step;
      rows(static_cast<Eigen::Index>(i), k) = c0 + t * (c1 + t * (c2 + t * c3));
    }
  }
  return rows;
}

Eigen::MatrixXd roughness_rows(double step, int count, Roughness roughness) {
  Eigen::MatrixXd rows = Eigen::MatrixXd::Zero(count - 3, count);
  for (Eigen::Index i = 0; i < rows.rows(); ++i) {
    rows.row(i).segment(i, 4) << -1.0, 3.0, -3.0, 1.0;
    if (roughness == Roughness::radius_of_curvature) {
      rows(i, i + 1) -= step * step;
      rows(i, i + 2) += step * step;
    }
  }
  return rows;
}

/// A least-squares problem under construction.
struct LeastSquares {
  Eigen::MatrixXd rows;
  Eigen::VectorXd wanted;

  LeastSquares(double first, double step, int count, const std::vector<FitPoint>& points, Roughness roughness,
               double lambda) {
    const Eigen::MatrixXd fit = spline_rows(first, step, count, points);
    const Eigen::MatrixXd rough = roughness_rows(step, count, roughness);
    rows.resize(fit.rows() + rough.rows(), count);
    wanted = Eigen::VectorXd::Zero(rows.rows());
    for (Eigen::Index i = 0; i < fit.rows(); ++i) {
      const FitPoint& point = points[static_cast<std::size_t>(i)];
      rows.row(i) = std::sqrt(point.weight) * fit.row(i);
      wanted[i] = std::sqrt(point.weight) * point.value;
    }
    rows.bottomRows(rough.rows()) = std::sqrt(lambda) * rough;
  }
};

/// Rows that map knot values to p + p″, then to p′, then to −p′ at the knots.
Eigen::MatrixXd limit_rows(double step, int count) {
  Eigen::MatrixXd rows(3 * count, count);
  std::vector<double> unit(static_cast<std::size_t>(count), 0.0);
  for (int k = 0; k < count; ++k) {
    unit[static_cast<std::size_t>(k)] = 1.0;
    const auto spline = kernel::uniform_cubic_spline(step, unit);
    unit[static_cast<std::size_t>(k)] = 0.0;
    for (int j = 0; j < count - 1; ++j) {
      const auto& c = spline[static_cast<std::size_t>(j)];
      rows(j, k) = c[0] + 2.0 * c[2];
      rows(count + j, k) = c[1];
    }
    const auto& c = spline.back();
    rows(count - 1, k) = (k == count - 1 ? 1.0 : 0.0) + 2.0 * c[2] + 6.0 * c[3] * step;
    rows(2 * count - 1, k) = c[1] + step * (2.0 * c[2] + 3.0 * c[3] * step);
  }
  rows.bottomRows(count) = -rows.middleRows(count, count);
  return rows;
}

}  // namespace

std::vector<double> fit_spline(double first, double step, int count, const std::vector<FitPoint>& points,
                               Roughness roughness, double lambda) {
  const LeastSquares problem(first, step, count, points, roughness, lambda);
  const Eigen::VectorXd knots = least_squares(problem.rows, problem.wanted);
  return {knots.begin(), knots.end()};
}

std::vector<double> fit_track(double first, double step, int count, const std::vector<FitPoint>& points, double lambda,
                              const TrackLimits& limits) {
  const LeastSquares problem(first, step, count, points, Roughness::radius_of_curvature, lambda);
  const Eigen::MatrixXd hessian = gram_matrix(problem.rows);
  constexpr double scale = 1e3;  // knots in millimetres, so that all is of order one
  const Eigen::VectorXd right = problem.rows.transpose() * (scale * problem.wanted);
  Eigen::VectorXd bounds = Eigen::VectorXd::Constant(3 * count, -scale * limits.steepest);
  bounds.head(count).setConstant(scale * limits.smallest_radius);
  const Eigen::VectorXd knots = kernel::constrained_minimum(hessian, right, limit_rows(step, count), bounds) / scale;
  return {knots.begin(), knots.end()};
}

}  // namespace nockwise::detail
