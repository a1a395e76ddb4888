/// \file
/// Tracks of a cam as support functions (lib/README.md, section "Tracks").
///
/// A track is p(φ): the distance [m] from the axle to the tangent line whose outward normal makes the angle φ [rad]
/// with the cam's own x axis. The tangent point is p n + p′ n′, the radius of curvature is p + p″ and the lever arm of
/// a taut line is p.
#pragma once

#include "nockwise/export.hpp"

#include <array>
#include <memory>
#include <numbers>
#include <string>
#include <variant>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

namespace detail {
struct SplineRows;
}  // namespace detail

/// An eccentric circle, p(φ) = radius + eccentricity · cos(φ − angle), exactly.
struct CircleTrack {
  double radius = 0.03;       ///< [m], positive.
  double eccentricity = 0.0;  ///< Distance of the circle's centre from the axle [m], at least 0.
  double angle = 0.0;         ///< Direction of the circle's centre in the cam's frame [rad].
  bool operator==(const CircleTrack&) const = default;
};

/// A C² cubic spline of p(φ) through equally spaced knots.
///
/// Its ends are "not a knot" (p‴ is continuous at the second and the last but one knot too): knots that sample a smooth
/// p are then matched to fourth order over the whole range, where a natural spline would be wrong by second order near
/// both ends.
struct SplineTrack {
  double first_angle = 0.0;      ///< Normal angle of the first knot [rad].
  double angle_step = 0.0;       ///< Spacing of the knots [rad], positive.
  std::vector<double> distance;  ///< p at the knots [m], at least four; zero or less is allowed as long as p + p″ > 0.
  bool operator==(const SplineTrack&) const = default;
};

/// Measured points of a groove in the cam's frame, in any order.
///
/// Compiled through the tangent envelope of their convex hull (`spline_from_groove`), which is periodic: it may be
/// evaluated for two full turns either side of zero. The fit takes some tens of milliseconds and is kept: the same
/// points, wherever they come from, are fitted once (the last 64 grooves of a process). How well they were fitted,
/// and points from a CSV file: nockwise/groove.hpp.
struct GrooveTrack {
  std::vector<std::array<double, 2>> points;  ///< (x, y) [m] with the axle at the origin, 8 to 20,000.
  bool operator==(const GrooveTrack&) const = default;
};

using Track = std::variant<CircleTrack, SplineTrack, GrooveTrack>;

/// Everything a taut line needs to know of a track at one normal angle.
struct TrackPoint {
  double distance;   ///< p [m]
  double slope;      ///< p′ [m/rad]
  double curvature;  ///< p″ [m/rad²]; the radius of curvature is p + p″
  double area;       ///< P = ∫p dφ [m·rad], zero at the track's first angle (circle: sine term zero at `angle`)
};

/// A track ready to be evaluated: the exact circle, or spline coefficients on a uniform grid. Immutable.
class CompiledTrack {
 public:
  /// \throws InputError when the track is not convex (p + p″ > 0 is checked on every point of the range, not on
  /// samples), has too few points, or is not finite. `path` names it in the message.
  explicit CompiledTrack(const Track& track, const std::string& path = "track");

  /// Value at the normal angle `angle` [rad].
  /// \throws SolverError outside a spline's range (see `check_range`).
  [[nodiscard]] TrackPoint evaluate(double angle) const;
  /// Range of normal angles [rad]; infinite for a circle.
  [[nodiscard]] double first_angle() const { return first_angle_; }
  [[nodiscard]] double last_angle() const { return last_angle_; }
  /// Smallest radius of curvature p + p″ over the range [m].
  [[nodiscard]] double smallest_radius() const { return smallest_radius_; }

  /// \throws SolverError naming the track, the angle and the range in degrees when `angle` [rad] is outside the range.
  void check_range(double angle) const;

  [[nodiscard]] bool is_circle() const { return coefficients_ == nullptr; }
  [[nodiscard]] const CircleTrack& circle() const { return circle_; }
  [[nodiscard]] double angle_step() const { return angle_step_; }
  /// Per interval, p = c0 + c1 t + c2 t² + c3 t³ with t in [0, angle_step), and P at the interval's start: c0 c1 c2 c3
  /// P0. Copies of a track share them. Not for a circle, which has none.
  [[nodiscard]] const std::vector<std::array<double, 5>>& coefficients() const { return *coefficients_; }

 private:
  void take_rows(const detail::SplineRows& rows);

  std::string path_;
  CircleTrack circle_;
  double first_angle_ = 0.0;
  double last_angle_ = 0.0;
  double angle_step_ = 0.0;
  double smallest_radius_ = 0.0;
  std::shared_ptr<const std::vector<std::array<double, 5>>> coefficients_;  // null for a circle
};

/// Smooth periodic support function of measured groove points, sampled on equally spaced normal angles, `knots` to a
/// full turn, one of them at 0.
///
/// Points more than 0.3 mm inside the convex hull are moved out to the line that spans their hollow. The tangent
/// envelope is then fitted through the points, a Fourier series smoothed as much as their own scatter asks for
/// (generalised cross-validation), with the radius of curvature kept above 0.5 % of the mean radius: scatter does not
/// destroy convexity, and a sharp corner becomes a small round. Meant for a scatter up to about 0.05 mm. Exact points
/// of an ellipse of 50 mm × 30 mm come back within 0.05 mm from 24 of them, within 1 µm from 48; scattered by 0.05 mm
/// in x and y, within 0.03 mm (root mean square) from 120.
///
/// The spline covers `first_angle` to `last_angle` [rad], to the next knots outside. As called by default it covers all
/// that a setup can ask for, two turns either side of zero, and gives the launches of the GrooveTrack itself, to the
/// bit.
/// \param knots at least 16, to a full turn
/// \throws InputError with fewer than eight points, more than 20,000, fewer than 16 knots, an axle outside the hull,
///         angles that are not finite, in the wrong order, nearer than three knots or beyond eight turns; its path is
///         relative to the track ("points", "knots", "last_angle").
[[nodiscard]] SplineTrack spline_from_groove(const GrooveTrack& groove, int knots = 256,
                                             double first_angle = -4.0 * std::numbers::pi,
                                             double last_angle = 4.0 * std::numbers::pi);

}  // namespace nockwise
