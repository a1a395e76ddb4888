/// \file
/// Tracks against closed forms, each worked out twice independently of this library.
///
/// Ellipse: p = √(a² cos² φ + b² sin² φ), radius a² b² / p³, perimeter 4 a E(1 − b²/a²); the arcs are incomplete
/// elliptic integrals of the second kind. Eccentric circle: elementary tangent geometry, D = 600 mm from the axle to
/// the fixed point; moment arms R·D/(D ∓ e) at 0° and 180°.
#include "nockwise/track.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

namespace nockwise {
namespace {

constexpr double pi = std::numbers::pi;

// --- Ellipse a = 50 mm, b = 30 mm, axle at its centre --------------------------------------------

/// Knots every 0.05°, so that 30° and 90° are knots and the second derivative, second-order accurate, is good to 1e-8
/// m.
const CompiledTrack& ellipse() {
  static const CompiledTrack track = [] {
    SplineTrack spline{-pi / 36.0, pi / 3600.0, {}};
    for (int i = -100; i <= 7300; ++i) {
      spline.distance.push_back(
          std::hypot(0.05 * std::cos(i * spline.angle_step), 0.03 * std::sin(i * spline.angle_step)));
    }
    return CompiledTrack(spline);
  }();
  return track;
}

double ellipse_arc(double from, double to) {
  const TrackPoint start = ellipse().evaluate(from);
  const TrackPoint end = ellipse().evaluate(to);
  return end.area - start.area + end.slope - start.slope;
}

TEST(TrackReference, EllipsePerimeterAndArcs) {
  EXPECT_NEAR(ellipse_arc(0.0, 2.0 * pi), 255.26998863e-3, 1e-11);
  EXPECT_NEAR(ellipse_arc(0.0, pi / 6.0), 10.31788291e-3, 1e-11);
  EXPECT_NEAR(ellipse_arc(0.0, pi / 2.0), 63.81749716e-3, 1e-11);
}

TEST(TrackReference, EllipseAtThirtyDegrees) {
  const TrackPoint point = ellipse().evaluate(pi / 6.0);
  EXPECT_NEAR(point.distance, 45.82575695e-3, 1e-11);
  EXPECT_NEAR(point.slope, -15.11857892e-3, 1e-11);
  EXPECT_NEAR(point.distance + point.curvature, 23.38048824e-3, 2e-8);
  const double cosine = std::cos(pi / 6.0);
  const double sine = std::sin(pi / 6.0);
  EXPECT_NEAR(point.distance * cosine - point.slope * sine, 47.24555913e-3, 1e-11);
  EXPECT_NEAR(point.distance * sine + point.slope * cosine, 9.81980506e-3, 1e-11);
}

TEST(TrackReference, EllipseSmallestRadius) {
  // b²/a at the end of the long axis; there p''' = 0 and the smallest value lies on a knot.
  EXPECT_NEAR(ellipse().smallest_radius(), 0.03 * 0.03 / 0.05, 2e-8);
}

TEST(TrackReference, EllipseFromGroovePoints) {
  GrooveTrack groove;
  for (int i = 0; i < 120; ++i) {
    groove.points.push_back({0.05 * std::cos(2.0 * pi * i / 120), 0.03 * std::sin(2.0 * pi * i / 120)});
  }
  const CompiledTrack track(groove);
  const TrackPoint point = track.evaluate(pi / 6.0);
  EXPECT_NEAR(point.distance, 45.82575695e-3, 1e-8);
  EXPECT_NEAR(point.slope, -15.11857892e-3, 1e-7);
  EXPECT_NEAR(point.distance + point.curvature, 23.38048824e-3, 1e-5);
  EXPECT_NEAR(track.evaluate(2.0 * pi).area - track.evaluate(0.0).area, 255.26998863e-3, 1e-8);
}

// --- Eccentric circle and a line to a fixed point ------------------------------------------------

struct TautLine {
  double free_length;   ///< [m]
  double normal_angle;  ///< in space [rad]
  double moment_arm;    ///< [m]
  double total;         ///< straight part and wrapped part up to a constant: L = d·N − P [m]
};

/// Upper tangent from a track turned by `cam_angle` about the origin to (0.6, 0) m.
///
/// The line leaves in the direction d(u) = (cos u, sin u) with the outward normal n at φ = u + 90°. L(u) = d·N − P(φ −
/// α) is stationary at tangency: dL/du = n·N − p = 0 and d²L/du² = −(d·N + p′), minus the straight length.
TautLine taut_line(const CompiledTrack& track, double cam_angle) {
  const double reach = 0.6;
  double u = 0.0;
  for (int step = 0; step < 12; ++step) {
    const TrackPoint point = track.evaluate(u + pi / 2.0 - cam_angle);
    u += (-reach * std::sin(u) - point.distance) / (reach * std::cos(u) + point.slope);
  }
  const TrackPoint point = track.evaluate(u + pi / 2.0 - cam_angle);
  return {reach * std::cos(u) + point.slope, u + pi / 2.0, point.distance, reach * std::cos(u) - point.area};
}

struct TangentRow {
  double cam_angle, free_length, normal_angle, moment_arm;  // [deg], [m], [deg], [m]
};

/// R = 40 mm, e = 15 mm: worked twice from the right triangle of centre, contact and fixed point.
constexpr std::array<TangentRow, 4> tangent_rows{{
    {0.0, 0.583630876, 86.079281, 0.041025641},
    {30.0, 0.585693216, 85.361037, 0.048526051},
    {90.0, 0.598853070, 84.746546, 0.054936991},
    {180.0, 0.613697808, 86.270813, 0.039024390},
}};

CompiledTrack circle_track() { return CompiledTrack(CircleTrack{0.04, 0.015, 0.0}); }

/// The same circle through knots every 0.5° over a turn and a half.
CompiledTrack circle_spline() {
  SplineTrack spline{-1.5 * pi, pi / 360.0, {}};
  for (int i = 0; i <= 1080; ++i) {
    spline.distance.push_back(0.04 + 0.015 * std::cos(spline.first_angle + i * spline.angle_step));
  }
  return CompiledTrack(spline);
}

void expect_tangent_rows(const CompiledTrack& track) {
  for (const TangentRow& row : tangent_rows) {
    const TautLine line = taut_line(track, row.cam_angle * pi / 180.0);
    EXPECT_NEAR(line.free_length, row.free_length, 1e-9) << row.cam_angle;
    EXPECT_NEAR(line.normal_angle * 180.0 / pi, row.normal_angle, 1e-6) << row.cam_angle;
    EXPECT_NEAR(line.moment_arm, row.moment_arm, 1e-9) << row.cam_angle;
  }
}

TEST(TrackReference, EccentricCircleTangent) { expect_tangent_rows(circle_track()); }

TEST(TrackReference, EccentricCircleTangentBySpline) { expect_tangent_rows(circle_spline()); }

TEST(TrackReference, MomentArmIsTheDerivativeOfTheLineLength) {
  // Virtual work: d(free length + wrapped length)/d(rotation) = moment arm, central difference to 1e-8.
  const double h = 1e-4;
  for (const CompiledTrack& track : {circle_track(), circle_spline()}) {
    for (const double cam_angle : {-1.0, 0.0, 0.5, 1.5, 3.0}) {
      const double change = taut_line(track, cam_angle + h).total - taut_line(track, cam_angle - h).total;
      EXPECT_NEAR(change / (2.0 * h), taut_line(track, cam_angle).moment_arm, 1e-8) << cam_angle;
    }
  }
}

}  // namespace
}  // namespace nockwise
