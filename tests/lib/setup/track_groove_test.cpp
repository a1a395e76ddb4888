#include "nockwise/error.hpp"
#include "nockwise/track.hpp"
#include "setup/fitted_groove.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <vector>

namespace nockwise {
namespace {

constexpr double pi = std::numbers::pi;

/// p of an ellipse about its centre, the textbook support function √(a² cos² φ + b² sin² φ).
double ellipse(double angle, double a = 0.05, double b = 0.03) {
  return std::hypot(a * std::cos(angle), b * std::sin(angle));
}

GrooveTrack shuffled_points(const std::function<std::array<double, 2>(double)>& curve, int count, double noise,
                            unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> scatter(0.0, 1.0);
  GrooveTrack groove;
  for (int i = 0; i < count; ++i) {
    auto [x, y] = curve(2.0 * pi * (i + 0.3) / count);
    groove.points.push_back({x + noise * scatter(random), y + noise * scatter(random)});
  }
  std::shuffle(groove.points.begin(), groove.points.end(), random);
  return groove;
}

std::array<double, 2> ellipse_point(double t) { return {0.05 * std::cos(t), 0.03 * std::sin(t)}; }
/// Circle of radius 40 mm about (12, −9) mm: p = 0.04 + 0.012 cos φ − 0.009 sin φ.
std::array<double, 2> circle_point(double t) { return {0.012 + 0.04 * std::cos(t), -0.009 + 0.04 * std::sin(t)}; }
double circle_support(double angle) { return 0.04 + 0.012 * std::cos(angle) - 0.009 * std::sin(angle); }

struct Deviation {
  double largest;
  double root_mean_square;
};

Deviation deviation(const CompiledTrack& track, const std::function<double(double)>& truth) {
  double largest = 0.0;
  double sum = 0.0;
  const int count = 1440;
  for (int i = 0; i < count; ++i) {
    const double angle = -2.0 * pi + 4.0 * pi * (i + 0.37) / count;
    const double difference = track.evaluate(angle).distance - truth(angle);
    largest = std::max(largest, std::abs(difference));
    sum += difference * difference;
  }
  return {largest, std::sqrt(sum / count)};
}

TEST(Groove, ExactPointsOfAnEccentricCircleGiveItBack) {
  for (const int count : {8, 12, 40, 200}) {
    const CompiledTrack track(shuffled_points(circle_point, count, 0.0, 3));
    EXPECT_LT(deviation(track, circle_support).largest, 2e-10) << count << " points";
    EXPECT_NEAR(track.smallest_radius(), 0.04, 1e-5);
  }
}

TEST(Groove, ExactPointsOfAnEllipseConvergeFasterThanTheirSagitta) {
  // The polygon itself is low by up to ρ Δφ²/8; 24 points on 50 mm × 30 mm: about 0.7 mm.
  const auto support = [](double angle) { return ellipse(angle); };
  EXPECT_LT(deviation(CompiledTrack(shuffled_points(ellipse_point, 24, 0.0, 3)), support).largest, 5e-5);
  EXPECT_LT(deviation(CompiledTrack(shuffled_points(ellipse_point, 48, 0.0, 3)), support).largest, 1e-6);
  EXPECT_LT(deviation(CompiledTrack(shuffled_points(ellipse_point, 160, 0.0, 3)), support).largest, 1e-8);
}

TEST(Groove, ScatterOfFiveHundredthsOfAMillimetreStaysConvexAndIsAveraged) {
  const double noise = 5e-5;  // one standard deviation in x and in y [m]
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const CompiledTrack round(shuffled_points(circle_point, 120, noise, seed));
    EXPECT_GT(round.smallest_radius(), 0.0);
    EXPECT_LT(deviation(round, circle_support).root_mean_square, 0.5 * noise) << "circle, seed " << seed;
    const CompiledTrack oval(shuffled_points(ellipse_point, 120, noise, seed));
    EXPECT_GT(oval.smallest_radius(), 0.0);
    const Deviation error = deviation(oval, [](double angle) { return ellipse(angle); });
    EXPECT_LT(error.root_mean_square, 0.8 * noise) << "ellipse, seed " << seed;
    EXPECT_LT(error.largest, 3.0 * noise) << "ellipse, seed " << seed;
  }
}

TEST(Groove, FewNoisyPointsStayConvex) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const CompiledTrack track(shuffled_points(ellipse_point, 16, 1e-4, seed));
    EXPECT_GT(track.smallest_radius(), 0.0) << seed;
    EXPECT_LT(deviation(track, [](double angle) { return ellipse(angle); }).largest, 2e-3) << seed;
  }
}

TEST(Groove, ATautLineSpansAHollow) {
  // A bite of up to 3 mm out of the circle between 60° and 90°; the line rests on both rims of it.
  GrooveTrack bitten;
  for (int i = 0; i < 180; ++i) {
    const double t = 2.0 * pi * i / 180;
    const double in_bite = (t - pi / 3.0) / (pi / 6.0);
    const double depth = in_bite > 0.0 && in_bite < 1.0 ? 0.003 * std::sin(pi * in_bite) : 0.0;
    bitten.points.push_back({0.012 + (0.04 - depth) * std::cos(t), -0.009 + (0.04 - depth) * std::sin(t)});
  }
  const CompiledTrack track(bitten);
  EXPECT_GT(track.smallest_radius(), 0.0);
  // On the far side the circle is untouched; over the bite the chord lies R (1 − cos 15°) = 1.36 mm inside.
  EXPECT_NEAR(track.evaluate(4.4).distance, circle_support(4.4), 5e-5);
  const double chord = circle_support(5.0 * pi / 12.0) - 0.04 * (1.0 - std::cos(pi / 12.0));
  EXPECT_NEAR(track.evaluate(5.0 * pi / 12.0).distance, chord, 3e-4);
}

TEST(Groove, CornersBecomeSmallRounds) {
  // A Reuleaux triangle 80 mm wide: arcs of 80 mm about its corners, radius 0 over the 60° of normals at each corner.
  GrooveTrack reuleaux;
  const double to_corner = 0.08 / std::sqrt(3.0);
  for (int corner = 0; corner < 3; ++corner) {
    const double direction = 2.0 * pi * corner / 3.0;
    for (int i = 0; i < 20; ++i) {
      const double t = direction + pi - pi / 6.0 + pi / 3.0 * i / 20;
      reuleaux.points.push_back(
          {to_corner * std::cos(direction) + 0.08 * std::cos(t), to_corner * std::sin(direction) + 0.08 * std::sin(t)});
    }
  }
  const CompiledTrack track(reuleaux);
  EXPECT_GT(track.smallest_radius(), 0.0);
  EXPECT_LT(track.smallest_radius(), 0.001);
  EXPECT_NEAR(track.evaluate(0.0).distance, to_corner, 5e-4);
  EXPECT_NEAR(track.evaluate(pi).distance, 0.08 - to_corner, 2e-4);
  for (double angle = 0.0; angle < pi; angle += 0.1) {
    EXPECT_NEAR(track.evaluate(angle).distance + track.evaluate(angle + pi).distance, 0.08, 5e-4) << angle;
  }
}

TEST(Groove, FlatSidesStayConvex) {
  GrooveTrack square;  // 60 mm × 60 mm, ten points a side
  for (int i = 0; i < 10; ++i) {
    const double s = -0.03 + 0.006 * i;
    square.points.insert(square.points.end(), {{s, -0.03}, {0.03, s}, {-s, 0.03}, {-0.03, -s}});
  }
  const CompiledTrack track(square);
  EXPECT_GT(track.smallest_radius(), 0.0);
  EXPECT_NEAR(track.evaluate(0.0).distance, 0.03, 2e-3);
  EXPECT_NEAR(track.evaluate(pi / 4.0).distance, 0.03 * std::numbers::sqrt2, 2e-3);
}

TEST(Groove, IsPeriodicOverTwoTurnsEitherWayAndIgnoresTheOrderOfPoints) {
  const GrooveTrack groove = shuffled_points(ellipse_point, 60, 2e-5, 4);
  const CompiledTrack track(groove);
  EXPECT_NEAR(track.first_angle(), -4.0 * pi, 1e-12);
  EXPECT_NEAR(track.last_angle(), 4.0 * pi, 1e-11);
  const double turn = track.evaluate(1.0).area - track.evaluate(1.0 - 2.0 * pi).area;
  EXPECT_NEAR(track.evaluate(4.0).area - track.evaluate(4.0 - 2.0 * pi).area, turn, 1e-13);
  EXPECT_NEAR(track.evaluate(1.0).distance, track.evaluate(1.0 + 2.0 * pi).distance, 1e-13);

  GrooveTrack sorted = groove;
  std::sort(sorted.points.begin(), sorted.points.end());
  sorted.points.push_back(sorted.points.front());  // a point measured twice does no harm
  EXPECT_NEAR(CompiledTrack(sorted).evaluate(0.7).distance, track.evaluate(0.7).distance, 2e-5);
}

TEST(Groove, SplineHasTheKnotsAskedFor) {
  const SplineTrack spline = spline_from_groove(shuffled_points(circle_point, 40, 0.0, 1), 64, 0.0, 2.0 * pi);
  ASSERT_EQ(spline.distance.size(), 65U);
  EXPECT_EQ(spline.distance.front(), spline.distance.back());
  EXPECT_DOUBLE_EQ(spline.angle_step, 2.0 * pi / 64.0);
  EXPECT_NEAR(spline.distance[16], circle_support(pi / 2.0), 1e-10);
}

TEST(Groove, SplineCoversTheAnglesAskedForAndByDefaultWhatTheGrooveCovers) {
  const GrooveTrack groove = shuffled_points(ellipse_point, 60, 0.0, 4);
  const SplineTrack part = spline_from_groove(groove, 256, -1.1, 3.5);
  const CompiledTrack track(part);
  EXPECT_LE(track.first_angle(), -1.1);
  EXPECT_GT(track.first_angle(), -1.1 - part.angle_step);
  EXPECT_GE(track.last_angle(), 3.5);
  EXPECT_LT(track.last_angle(), 3.5 + part.angle_step);
  EXPECT_NEAR(track.evaluate(-1.012).distance, ellipse(-1.012), 1e-6);  // −58°, before the turn from 0

  const CompiledTrack whole(spline_from_groove(groove));
  const CompiledTrack itself(groove);
  EXPECT_EQ(whole.first_angle(), itself.first_angle());
  EXPECT_EQ(whole.last_angle(), itself.last_angle());
  EXPECT_EQ(whole.coefficients(), itself.coefficients());  // to the bit
}

TEST(Groove, SameGrooveIsFittedOnce) {
  const GrooveTrack groove = shuffled_points(ellipse_point, 50, 1e-5, 77);
  const std::size_t before = detail::groove_fits();
  const CompiledTrack first(groove);
  EXPECT_EQ(detail::groove_fits(), before + 1);
  const CompiledTrack second(groove, "another place");
  EXPECT_EQ(detail::groove_fits(), before + 1);
  EXPECT_EQ(&first.coefficients(), &second.coefficients());
  GrooveTrack other = groove;
  other.points[3][0] += 1e-9;  // another groove
  EXPECT_NE(&CompiledTrack(other).coefficients(), &first.coefficients());
  EXPECT_EQ(detail::groove_fits(), before + 2);
}

TEST(Groove, WhatIsKeptIsBounded) {
  const GrooveTrack groove = shuffled_points(circle_point, 20, 0.0, 5);
  (void)CompiledTrack(groove);
  for (std::size_t i = 0; i < detail::grooves_kept; ++i) {
    GrooveTrack other = groove;
    other.points[0][0] += 1e-7 * static_cast<double>(i + 1);
    (void)CompiledTrack(other);
  }
  const std::size_t before = detail::groove_fits();
  (void)CompiledTrack(groove);  // the oldest has been dropped, and is fitted again
  EXPECT_EQ(detail::groove_fits(), before + 1);
}

TEST(Groove, WrongPointsAreRefused) {
  GrooveTrack aside = shuffled_points(circle_point, 40, 0.0, 1);
  for (auto& point : aside.points) {
    point[0] += 0.1;
  }
  EXPECT_THROW(static_cast<void>(spline_from_groove(aside)), InputError);
  GrooveTrack straight;
  for (int i = 0; i < 10; ++i) {
    straight.points.push_back({0.01 * i - 0.05, 0.0});
  }
  EXPECT_THROW(static_cast<void>(spline_from_groove(straight)), InputError);
  EXPECT_THROW(static_cast<void>(spline_from_groove(GrooveTrack{std::vector<std::array<double, 2>>(9)})), InputError);
  EXPECT_THROW(static_cast<void>(spline_from_groove(shuffled_points(circle_point, 7, 0.0, 1))), InputError);
  EXPECT_THROW(static_cast<void>(spline_from_groove(shuffled_points(circle_point, 40, 0.0, 1), 15)), InputError);
  try {
    static_cast<void>(spline_from_groove(shuffled_points(circle_point, 20001, 0.0, 1)));
    FAIL() << "not refused";
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "points");
    EXPECT_NE(error.allowed().find("at most 20000"), std::string::npos) << error.what();
  }
}

}  // namespace
}  // namespace nockwise
