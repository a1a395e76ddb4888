#include "nockwise/track.hpp"

#include "nockwise/error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <string>

namespace nockwise {
namespace {

constexpr double pi = std::numbers::pi;

/// A one-sided cam with a valley, made for these tests: smooth, not periodic, radius between 20 mm and 65 mm.
double valley(double angle) {
  return 0.035 + 0.012 * std::sin(0.8 * angle) + 0.005 * std::exp(-2.0 * (angle - 2.0) * (angle - 2.0));
}

SplineTrack sampled(const std::function<double(double)>& distance, double first, double last, int intervals) {
  SplineTrack spline{first, (last - first) / intervals, {}};
  for (int i = 0; i <= intervals; ++i) {
    spline.distance.push_back(distance(first + i * spline.angle_step));
  }
  return spline;
}

/// Composite Gauss-Legendre quadrature of p with four points a panel.
double quadrature(const CompiledTrack& track, double from, double to, int panels) {
  const double inner = std::sqrt(3.0 / 7.0 - 2.0 / 7.0 * std::sqrt(6.0 / 5.0));
  const double outer = std::sqrt(3.0 / 7.0 + 2.0 / 7.0 * std::sqrt(6.0 / 5.0));
  const double inner_weight = (18.0 + std::sqrt(30.0)) / 36.0;
  const double half = 0.5 * (to - from) / panels;
  double sum = 0.0;
  for (int i = 0; i < panels; ++i) {
    const double middle = from + (2 * i + 1) * half;
    for (const double side : {-1.0, 1.0}) {
      sum += half * inner_weight * track.evaluate(middle + side * inner * half).distance;
      sum += half * (1.0 - inner_weight) * track.evaluate(middle + side * outer * half).distance;
    }
  }
  return sum;
}

GrooveTrack oval_points() {
  GrooveTrack groove;
  for (int i = 0; i < 60; ++i) {
    groove.points.push_back({0.05 * std::cos(2.0 * pi * i / 60), 0.03 * std::sin(2.0 * pi * i / 60)});
  }
  return groove;
}

std::string message_of(const std::function<void()>& action) {
  try {
    action();
  } catch (const Error& error) {
    return error.what();
  }
  return "nothing was thrown";
}

// --- Circle --------------------------------------------------------------------------------------

TEST(Track, CircleIsTheClosedFormAtAnyAngle) {
  const CompiledTrack track(CircleTrack{0.04, 0.015, 0.5});
  EXPECT_TRUE(track.is_circle());
  EXPECT_EQ(track.smallest_radius(), 0.04);
  for (const double angle : {-40.0, -3.0, 0.5, 1.7, 100.0}) {
    const TrackPoint point = track.evaluate(angle);
    EXPECT_DOUBLE_EQ(point.distance, 0.04 + 0.015 * std::cos(angle - 0.5));
    EXPECT_DOUBLE_EQ(point.slope, -0.015 * std::sin(angle - 0.5));
    EXPECT_DOUBLE_EQ(point.curvature, -0.015 * std::cos(angle - 0.5));
    EXPECT_DOUBLE_EQ(point.area, 0.04 * angle + 0.015 * std::sin(angle - 0.5));
  }
}

TEST(Track, CircleMayLeaveTheAxleOutside) {
  const CompiledTrack track(CircleTrack{0.01, 0.03, 0.0});
  EXPECT_NEAR(track.evaluate(pi).distance, -0.02, 1e-17);
}

// --- Consistency of p, p′, p″ and P --------------------------------------------------------------

class TrackConsistency : public testing::TestWithParam<Track> {};

TEST_P(TrackConsistency, DerivativesAreThoseOfTheValue) {
  const CompiledTrack track(GetParam());
  const double h = 1e-4;
  for (double angle = 0.013; angle < 3.0; angle += 0.0507) {
    const TrackPoint low = track.evaluate(angle - h);
    const TrackPoint middle = track.evaluate(angle);
    const TrackPoint high = track.evaluate(angle + h);
    // A spline's p‴ jumps at the knots, so the difference of p′ is first-order there: |jump| h / 2.
    EXPECT_NEAR((high.distance - low.distance) / (2.0 * h), middle.slope, 2e-9) << angle;
    EXPECT_NEAR((high.slope - low.slope) / (2.0 * h), middle.curvature, 5e-6) << angle;
    EXPECT_NEAR((high.area - low.area) / (2.0 * h), middle.distance, 1e-9) << angle;
  }
}

TEST_P(TrackConsistency, AreaIsTheIntegral) {
  const CompiledTrack track(GetParam());
  const double wanted = quadrature(track, 0.1, 2.9, 2000);
  EXPECT_NEAR(track.evaluate(2.9).area - track.evaluate(0.1).area, wanted, 1e-13);
}

INSTANTIATE_TEST_SUITE_P(Kinds, TrackConsistency,
                         testing::Values(Track(CircleTrack{0.04, 0.015, 0.5}), Track(sampled(valley, 0.0, 3.2, 24)),
                                         Track(oval_points())));

TEST(Track, SplineIsTwiceContinuouslyDifferentiable) {
  const SplineTrack spline = sampled(valley, -0.4, 3.2, 12);
  const CompiledTrack track(spline);
  const double h = spline.angle_step;
  const auto& intervals = track.coefficients();
  ASSERT_EQ(intervals.size(), 12U);
  for (std::size_t i = 0; i + 1 < intervals.size(); ++i) {
    const auto& [c0, c1, c2, c3, area] = intervals[i];
    EXPECT_NEAR(c0 + h * (c1 + h * (c2 + h * c3)), intervals[i + 1][0], 1e-16);
    EXPECT_NEAR(c1 + h * (2.0 * c2 + h * 3.0 * c3), intervals[i + 1][1], 1e-15);
    EXPECT_NEAR(c2 + h * 3.0 * c3, intervals[i + 1][2], 1e-15);
    EXPECT_NEAR(area + h * (c0 + h * (c1 / 2.0 + h * (c2 / 3.0 + h * c3 / 4.0))), intervals[i + 1][4], 1e-16);
  }
  // Not a knot: one cubic over the first two intervals, and over the last two.
  EXPECT_NEAR(intervals[0][3], intervals[1][3], 1e-13);
  EXPECT_NEAR(intervals[10][3], intervals[11][3], 1e-13);
  EXPECT_EQ(track.evaluate(-0.4).area, 0.0);
}

TEST(Track, SplineThroughFourOrMoreKnotsReproducesACubic) {
  const auto cubic = [](double x) { return 0.05 + x * (0.01 + x * (-0.004 + x * 0.002)); };
  for (const int intervals : {3, 4, 5, 9}) {
    const CompiledTrack track(sampled(cubic, -0.7, 1.9, intervals));
    for (double x = -0.7; x < 1.9; x += 0.09) {
      const TrackPoint point = track.evaluate(x);
      EXPECT_NEAR(point.distance, cubic(x), 1e-16) << intervals << " intervals at " << x;
      EXPECT_NEAR(point.slope, 0.01 + x * (-0.008 + x * 0.006), 1e-15);
      EXPECT_NEAR(point.curvature, -0.008 + x * 0.012, 1e-14);
    }
  }
}

TEST(Track, SplineOfACircleConvergesAtFourthOrderUpToTheEnds) {
  const CompiledTrack circle(CircleTrack{0.04, 0.015, 0.6});
  const auto errors = [&circle](int intervals) {
    const CompiledTrack spline(sampled([&](double x) { return circle.evaluate(x).distance; }, -0.5, 4.0, intervals));
    const double start = circle.evaluate(-0.5).area;
    std::array<double, 4> largest{};
    for (int i = 0; i <= 5000; ++i) {
      const double angle = -0.5 + 4.5 * i / 5000;
      const TrackPoint got = spline.evaluate(angle);
      const TrackPoint wanted = circle.evaluate(angle);
      largest[0] = std::max(largest[0], std::abs(got.distance - wanted.distance));
      largest[1] = std::max(largest[1], std::abs(got.slope - wanted.slope));
      largest[2] = std::max(largest[2], std::abs(got.curvature - wanted.curvature));
      largest[3] = std::max(largest[3], std::abs(got.area - (wanted.area - start)));
    }
    return largest;
  };
  const auto coarse = errors(20);
  const auto fine = errors(40);
  const auto finer = errors(80);
  const std::array<double, 4> order{4.0, 3.0, 2.0, 4.0};
  for (std::size_t i = 0; i < order.size(); ++i) {
    EXPECT_GT(std::log2(coarse[i] / fine[i]), order[i] - 0.4) << i;
    EXPECT_GT(std::log2(fine[i] / finer[i]), order[i] - 0.4) << i;
  }
  EXPECT_LT(finer[0], 1e-8);  // 10 nm with a knot every 3.2°
}

// --- Bad input -----------------------------------------------------------------------------------

TEST(Track, OutsideTheRangeIsASolverErrorThatNamesTrackAngleAndRange) {
  const CompiledTrack track(sampled(valley, 0.0, pi / 2.0, 12), "cams.upper.take_up_track");
  const std::string message = message_of([&] { static_cast<void>(track.evaluate(1.75)); });
  EXPECT_EQ(
      message,
      "cams.upper.take_up_track: the line leaves the track at a normal angle of 100.268°, the track covers 0° to 90°");
  EXPECT_THROW(static_cast<void>(track.evaluate(-1e-6)), SolverError);
  EXPECT_THROW(static_cast<void>(track.evaluate(std::numeric_limits<double>::quiet_NaN())), SolverError);
  EXPECT_NO_THROW(static_cast<void>(track.evaluate(0.0)));
  EXPECT_NEAR(track.evaluate(track.last_angle()).distance, valley(pi / 2.0), 1e-16);
  EXPECT_THROW(static_cast<void>(CompiledTrack(CircleTrack{}).evaluate(std::numeric_limits<double>::infinity())),
               SolverError);
}

TEST(Track, ConvexityIsCheckedBetweenTheKnots) {
  // p = −0.021 + 0.01 φ² has p + p″ = −0.001 + 0.01 φ²: positive at the knots ±0.5, negative only between them.
  const SplineTrack spline = sampled([](double x) { return -0.021 + 0.01 * x * x; }, -1.5, 1.5, 3);
  const std::string message = message_of([&] { CompiledTrack(spline, "cams.lower.string_track"); });
  EXPECT_NE(message.find("cams.lower.string_track"), std::string::npos) << message;
  EXPECT_NE(message.find("radius of curvature -0.001 m at"), std::string::npos) << message;
  EXPECT_NE(message.find("convex"), std::string::npos) << message;
}

TEST(Track, ConvexityFailureIsPlaced) {
  SplineTrack spline = sampled([](double) { return 0.03; }, 0.0, pi, 36);
  spline.distance[18] += 0.002;  // a bump at 90°
  try {
    const CompiledTrack track(spline, "bumpy");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "bumpy");
    EXPECT_NE(error.value().find("90°"), std::string::npos) << error.value();
  }
}

TEST(Track, DistanceMayPassBelowZeroWhenConvex) {
  // An aggressive valley: a circle of 30 mm whose centre lies 32 mm away.
  const auto distance = [](double x) { return 0.03 - 0.032 * std::cos(x); };
  const CompiledTrack track(sampled(distance, -0.5, 2.5, 60));
  EXPECT_NEAR(track.evaluate(0.0).distance, -0.002, 1e-9);
  EXPECT_NEAR(track.smallest_radius(), 0.03, 1e-4);
}

TEST(Track, BadValuesAreInputErrorsWithTheirPath) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto path_of = [](const Track& track) -> std::string {
    try {
      const CompiledTrack compiled(track, "t");
    } catch (const InputError& error) {
      return error.path();
    }
    return "none";
  };
  EXPECT_EQ(path_of(CircleTrack{0.0, 0.01, 0.0}), "t.radius");
  EXPECT_EQ(path_of(CircleTrack{nan, 0.01, 0.0}), "t.radius");
  EXPECT_EQ(path_of(CircleTrack{0.03, -0.01, 0.0}), "t.eccentricity");
  EXPECT_EQ(path_of(CircleTrack{0.03, 0.01, nan}), "t.angle");
  EXPECT_EQ(path_of(SplineTrack{nan, 0.1, {0.03, 0.03, 0.03, 0.03}}), "t.first_angle");
  EXPECT_EQ(path_of(SplineTrack{0.0, 0.0, {0.03, 0.03, 0.03, 0.03}}), "t.angle_step");
  EXPECT_EQ(path_of(SplineTrack{0.0, 0.1, {0.03, 0.03, 0.03}}), "t.distance");
  EXPECT_EQ(path_of(SplineTrack{0.0, 0.1, {0.03, 0.03, nan, 0.03}}), "t.distance[2]");
  EXPECT_EQ(path_of(GrooveTrack{}), "t.points");
  GrooveTrack groove = oval_points();
  groove.points[7][1] = nan;
  EXPECT_EQ(path_of(groove), "t.points[7]");
}

}  // namespace
}  // namespace nockwise
