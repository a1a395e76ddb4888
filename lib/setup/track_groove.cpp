/// \file
/// From measured groove points to a support function.
///
/// A point v that lies on a convex curve with support function p touches the tangent line at its own normal angle φ:
/// p(φ) = v·n(φ) and p′(φ) = v·n′(φ). The residual p(φ) − v·n(φ) at that angle is the point's distance inside the
/// curve, and it is stationary in φ; so a linear least-squares fit of p with the angles held, alternating with new
/// angles for the new p, is an orthogonal-distance fit that converges like Newton's method when the points are good.
/// Fitting the corners of the hull's polygon instead would leave every arc between two points too low by its sagitta.
///
/// p is a Fourier series, smoothed by the weight λ of ∫(p′ + p‴)² dφ, the change of the radius of curvature, which
/// leaves circles anywhere untouched. λ minimises the generalised cross-validation score m·RSS/(m − 1.4 tr)²: P. Craven
/// and G. Wahba, Numerische Mathematik 31, 377 (1979); the factor 1.4 against undersmoothing: Y.-J. Kim and C. Gu, J.
/// R. Stat. Soc. B 66, 337 (2004).
///
/// The radius p + p″ is kept positive on a grid by inequality constraints of the fit, and what the cubic spline through
/// the result still lacks, by a blend towards the hull's mean circle, whose radius is positive everywhere.
#include "nockwise/error.hpp"
#include "nockwise/track.hpp"
#include "numerics/cubic_spline.hpp"
#include "numerics/nonnegative_least_squares.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace nockwise {

namespace {

using Eigen::MatrixXd;
using Eigen::Vector2d;
using Eigen::VectorXd;

/// A point deeper inside the hull [m] is in a hollow. Six times a scatter of 0.05 mm: the hull lies three times
/// outside.
constexpr double depth_of_a_hollow = 3e-4;
constexpr double smallest_share = 0.01;     ///< Aim for the smallest radius, of the mean radius; half of it is ensured.
constexpr std::size_t most_points = 20000;  ///< The fit of so many takes a second or two.
constexpr Eigen::Index grid_angles = 256;   ///< Angles at which the radius is kept positive.
constexpr Eigen::Index harmonics = 40;      ///< Smoothing, not this number, decides how much detail is believed.
constexpr Eigen::Index coefficient_count = 2 * harmonics + 1;

Vector2d normal(double angle) { return {std::cos(angle), std::sin(angle)}; }
double grid_angle(Eigen::Index i) {
  return 2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(grid_angles);
}
double cross(const Vector2d& a, const Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); }

/// Corners of the convex hull, counter-clockwise: A. M. Andrew's monotone chain, Inf. Process. Lett. 9, 216 (1979).
std::vector<Vector2d> convex_hull(std::vector<Vector2d> points) {
  std::sort(points.begin(), points.end(),
            [](const Vector2d& a, const Vector2d& b) { return a.x() < b.x() || (a.x() == b.x() && a.y() < b.y()); });
  std::vector<Vector2d> hull;
  const auto add_chain = [&hull](auto begin, auto end) {
    const std::size_t start = hull.size();
    for (auto point = begin; point != end; ++point) {
      while (hull.size() >= start + 2 && cross(hull.back() - hull[hull.size() - 2], *point - hull.back()) <= 0.0) {
        hull.pop_back();
      }
      hull.push_back(*point);
    }
    hull.pop_back();  // the first point of the next chain
  };
  add_chain(points.begin(), points.end());
  add_chain(points.rbegin(), points.rend());
  return hull;
}

struct Edge {
  Vector2d normal;
  double distance;  ///< from the axle [m]
};

std::vector<Edge> edges_of(const std::vector<Vector2d>& hull) {
  std::vector<Edge> edges;
  for (std::size_t i = 0; i < hull.size(); ++i) {
    const Vector2d along = hull[(i + 1) % hull.size()] - hull[i];
    if (along.norm() > 0.0) {
      const Vector2d outward = Vector2d(along.y(), -along.x()).normalized();
      edges.push_back({outward, outward.dot(hull[i])});
    }
  }
  return edges;
}

/// Columns 1, cos φ, sin φ, cos 2φ, sin 2φ, … of p, of p′ and of p + p″ at one angle.
struct Basis {
  VectorXd distance, slope, radius;

  explicit Basis(double angle) : distance(coefficient_count), slope(coefficient_count), radius(coefficient_count) {
    distance(0) = radius(0) = 1.0;
    slope(0) = 0.0;
    for (Eigen::Index n = 1; n <= harmonics; ++n) {
      const auto order = static_cast<double>(n);
      const double cosine = std::cos(order * angle);
      const double sine = std::sin(order * angle);
      distance.segment<2>(2 * n - 1) << cosine, sine;
      slope.segment<2>(2 * n - 1) << -order * sine, order * cosine;
      radius.segment<2>(2 * n - 1) = (1.0 - order * order) * distance.segment<2>(2 * n - 1);
    }
  }
};

/// Least squares for the Fourier coefficients of p with the normal angles of the points held.
class SmoothFit {
 public:
  /// \param mean_radius of the curve [m], the measure of the smallest radius aimed for
  explicit SmoothFit(double mean_radius)
      : aim_(smallest_share * mean_radius),
        roughness_(VectorXd::Zero(coefficient_count)),
        grid_distance_(grid_angles, coefficient_count),
        grid_radius_(grid_angles, coefficient_count) {
    for (Eigen::Index n = 2; n <= harmonics; ++n) {
      const auto order = static_cast<double>(n);
      const double weight = order * (order * order - 1.0);
      roughness_.segment<2>(2 * n - 1).setConstant(0.5 * weight * weight);
    }
    for (Eigen::Index i = 0; i < grid_angles; ++i) {
      const Basis basis(grid_angle(i));
      grid_distance_.row(i) = basis.distance;
      grid_radius_.row(i) = basis.radius;
    }
  }

  [[nodiscard]] const MatrixXd& grid_distance() const { return grid_distance_; }

  /// \param smoothing λ, the mean residual being weighed with 1; chosen by cross-validation when not given
  VectorXd solve(const std::vector<double>& angles, const VectorXd& values, std::optional<double>& smoothing) const {
    MatrixXd rows(values.size(), coefficient_count);
    for (Eigen::Index i = 0; i < values.size(); ++i) {
      rows.row(i) = Basis(angles[i]).distance;
    }
    return solve(rows, values, smoothing);
  }

  VectorXd solve(const MatrixXd& rows, const VectorXd& values, std::optional<double>& smoothing) const {
    const auto count = static_cast<double>(values.size());
    const MatrixXd square = rows.transpose() * rows / count;
    const VectorXd right = rows.transpose() * values / count;
    if (!smoothing) {
      smoothing = cross_validated(rows, values, square, right);
    }
    const MatrixXd smooth = square + MatrixXd((*smoothing * roughness_).asDiagonal());
    return kernel::constrained_minimum(smooth, right, grid_radius_, VectorXd::Constant(grid_angles, aim_));
  }

 private:
  [[nodiscard]] double cross_validated(const MatrixXd& rows, const VectorXd& values, const MatrixXd& square,
                                       const VectorXd& right) const {
    const auto count = static_cast<double>(values.size());
    double best = 1.0;
    double best_score = std::numeric_limits<double>::infinity();
    for (int half_decades = -24; half_decades <= 2; ++half_decades) {
      const double smoothing = std::pow(10.0, 0.5 * half_decades);
      const Eigen::LDLT<MatrixXd> factors(square + MatrixXd((smoothing * roughness_).asDiagonal()));
      const double residual = (rows * factors.solve(right) - values).squaredNorm();
      const double freedom = count - 1.4 * factors.solve(square).trace();
      const double score = count * residual / (freedom * freedom);
      if (freedom > 0.1 * count && score < best_score) {
        best_score = score;
        best = smoothing;
      }
    }
    return best;
  }

  double aim_;
  VectorXd roughness_;
  MatrixXd grid_distance_, grid_radius_;
};

/// Normal angle [rad] at which `point` is least deep inside the envelope: the best of the grid, then Newton on the
/// slope.
double foot_angle(const Vector2d& point, const VectorXd& coefficients, const VectorXd& grid_distance) {
  Eigen::Index nearest = 0;
  double least = std::numeric_limits<double>::infinity();
  for (Eigen::Index i = 0; i < grid_angles; ++i) {
    const double depth = grid_distance(i) - point.dot(normal(grid_angle(i)));
    if (depth < least) {
      least = depth;
      nearest = i;
    }
  }
  const double reach = grid_angle(1);
  const double start = grid_angle(nearest);
  double angle = start;
  for (int step = 0; step < 8; ++step) {
    const Basis basis(angle);
    const Vector2d outward = normal(angle);
    const double depth_slope = basis.slope.dot(coefficients) - point.dot(Vector2d(-outward.y(), outward.x()));
    const double depth_curvature = (basis.radius - basis.distance).dot(coefficients) + point.dot(outward);
    if (!(depth_curvature > 0.0)) {
      break;
    }
    const double next = std::clamp(angle - depth_slope / depth_curvature, start - reach, start + reach);
    const double change = std::abs(next - angle);
    angle = next;
    if (change < 1e-14) {
      break;
    }
  }
  return angle;
}

/// The points, those in a hollow moved out to the line that spans it. \throws InputError as `spline_from_groove`.
std::vector<Vector2d> touched_points(const GrooveTrack& groove) {
  if (groove.points.size() < 8) {
    throw InputError("points", std::to_string(groove.points.size()) + " points", "must be at least 8 points");
  }
  if (groove.points.size() > most_points) {
    throw InputError("points", std::to_string(groove.points.size()) + " points",
                     "must be at most " + std::to_string(most_points) +
                         " points, which is one every hundredth of a millimetre or two; leave every other out until so "
                         "few are left");
  }
  std::vector<Vector2d> points;
  for (const auto& [x, y] : groove.points) {
    if (!std::isfinite(x) || !std::isfinite(y)) {
      throw InputError("points[" + std::to_string(points.size()) + "]", "", "both coordinates must be finite");
    }
    points.emplace_back(x, y);
  }
  const std::vector<Edge> edges = edges_of(convex_hull(points));
  const bool around_axle = edges.size() >= 3 && std::all_of(edges.begin(), edges.end(),
                                                            [](const Edge& edge) { return edge.distance > 0.0; });
  if (!around_axle) {
    throw InputError("points", "", "must go round the axle, which is their origin (0, 0)");
  }
  for (Vector2d& point : points) {
    const Edge* nearest = nullptr;
    double depth = std::numeric_limits<double>::infinity();
    for (const Edge& edge : edges) {
      const double below = edge.distance - point.dot(edge.normal);
      if (below < depth) {
        depth = below;
        nearest = &edge;
      }
    }
    if (depth > depth_of_a_hollow) {
      point += depth * nearest->normal;
    }
  }
  return points;
}

/// Support function of the hull itself: exact for the polygon, a first guess for the curve.
VectorXd hull_support(const std::vector<Vector2d>& points) {
  VectorXd support(grid_angles);
  for (Eigen::Index i = 0; i < grid_angles; ++i) {
    const Vector2d outward = normal(grid_angle(i));
    double farthest = -std::numeric_limits<double>::infinity();
    for (const Vector2d& point : points) {
      farthest = std::max(farthest, point.dot(outward));
    }
    support(i) = farthest;
  }
  return support;
}

/// Mean circle of the hull: harmonics 0 and 1 of its support function.
Eigen::Vector3d mean_circle(const VectorXd& support) {
  Eigen::Vector3d circle = Eigen::Vector3d::Zero();
  for (Eigen::Index i = 0; i < grid_angles; ++i) {
    circle(0) += support(i);
    circle.tail<2>() += 2.0 * support(i) * normal(grid_angle(i));
  }
  return circle / static_cast<double>(grid_angles);
}

VectorXd fitted_envelope(const std::vector<Vector2d>& points, const VectorXd& support, double mean_radius) {
  const auto count = points.size();
  const SmoothFit fit(mean_radius);
  std::optional<double> first_smoothing = 1e-8;
  VectorXd coefficients = fit.solve(fit.grid_distance(), support, first_smoothing);

  std::optional<double> smoothing;
  std::vector<double> angles(points.size(), 0.0);
  VectorXd values(count);
  for (int round = 0; round < 15; ++round) {
    const VectorXd grid_distance = fit.grid_distance() * coefficients;
    double largest_change = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double angle = foot_angle(points[i], coefficients, grid_distance);
      largest_change = std::max(largest_change, std::abs(angle - angles[i]));
      angles[i] = angle;
      values(i) = points[i].dot(normal(angle));
    }
    if (largest_change < 1e-7) {  // the residual changes by half its square times the radius
      break;
    }
    if (round < 5) {
      smoothing.reset();  // chosen anew while the angles still settle, then held
    }
    coefficients = fit.solve(angles, values, smoothing);
  }
  return coefficients;
}

/// Over two turns, so that both the ends of the spline and the seam between turns are seen.
double smallest_radius_over_two_turns(const SplineTrack& turn) {
  std::vector<double> distance = turn.distance;
  distance.insert(distance.end(), turn.distance.begin() + 1, turn.distance.end());
  const auto intervals = kernel::uniform_cubic_spline(turn.angle_step, distance);
  return kernel::smallest_radius(turn.first_angle, turn.angle_step, intervals).radius;
}

/// One turn from 0, with the first value repeated at 2π.
SplineTrack fitted_turn(const GrooveTrack& groove, int knots) {
  const std::vector<Vector2d> points = touched_points(groove);
  const VectorXd support = hull_support(points);
  const Eigen::Vector3d mean = mean_circle(support);
  const VectorXd coefficients = fitted_envelope(points, support, mean(0));

  SplineTrack spline{0.0, 2.0 * std::numbers::pi / knots, {}};
  std::vector<double> circle;
  for (int i = 0; i <= knots; ++i) {
    const Basis basis(spline.angle_step * (i % knots));
    spline.distance.push_back(basis.distance.dot(coefficients));
    circle.push_back(basis.distance.head<3>().dot(mean));
  }
  // What little the sampling leaves below half the aim goes by a blend towards the mean circle.
  const double least = 0.5 * smallest_share * mean(0);
  for (int round = 0; round < 10; ++round) {
    const double radius = smallest_radius_over_two_turns(spline);
    if (radius >= least) {
      break;
    }
    const double share = std::min(1.0, 1.01 * (least - radius) / (mean(0) - radius));
    for (std::size_t i = 0; i < circle.size(); ++i) {
      spline.distance[i] += share * (circle[i] - spline.distance[i]);
    }
  }
  return spline;
}

/// First and last knot of a spline, counted from the one at 0.
struct KnotRange {
  long first = 0, last = 0;
};

/// \throws InputError as spline_from_groove()
KnotRange knot_range(int knots, double first_angle, double last_angle) {
  constexpr double farthest = 16.0 * std::numbers::pi;
  constexpr double rounding = 1e-9;  // [knots]: an angle that is meant to be a knot's
  if (knots < 16) {
    throw InputError("knots", std::to_string(knots), "must be at least 16");
  }
  for (const auto& [name, angle] : {std::pair{"first_angle", first_angle}, std::pair{"last_angle", last_angle}}) {
    if (!(std::abs(angle) <= farthest)) {
      throw InputError(name, std::to_string(angle) + " rad", "must be within eight turns of zero");
    }
  }
  const double step = 2.0 * std::numbers::pi / knots;
  const KnotRange range{std::lround(std::floor(first_angle / step + rounding)),
                        std::lround(std::ceil(last_angle / step - rounding))};
  if (range.last - range.first < 3) {
    throw InputError("last_angle", std::to_string(last_angle) + " rad",
                     "must be at least three knots beyond first_angle");
  }
  return range;
}

}  // namespace

SplineTrack spline_from_groove(const GrooveTrack& groove, int knots, double first_angle, double last_angle) {
  const KnotRange range = knot_range(knots, first_angle, last_angle);
  const SplineTrack turn = fitted_turn(groove, knots);
  SplineTrack spline{turn.angle_step * static_cast<double>(range.first), turn.angle_step, {}};
  spline.distance.reserve(static_cast<std::size_t>(range.last - range.first) + 1);
  for (long i = range.first; i <= range.last; ++i) {
    const long in_turn = ((i % knots) + knots) % knots;
    spline.distance.push_back(turn.distance[static_cast<std::size_t>(in_turn)]);
  }
  return spline;
}

}  // namespace nockwise
