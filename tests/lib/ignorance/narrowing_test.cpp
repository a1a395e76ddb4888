// What measurements leave of what is not known, against closed forms and against brute force.
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/ignorance.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

namespace nockwise {
namespace {

/// Directions that are names only: a linear case needs no bow.
Ignorance abstract(std::size_t count) {
  Ignorance ignorance;
  for (std::size_t i = 0; i < count; ++i) {
    ignorance.directions.push_back({"direction " + std::to_string(i), "", KnownBy::typical, "", {}, {}});
    ignorance.mean.push_back(0.0);
    for (std::size_t j = 0; j < count; ++j) {
      ignorance.covariance.push_back(i == j ? 1.0 : 0.0);
    }
  }
  return ignorance;
}

constexpr double per_deviation = 1.959964;

TEST(Narrowing, OneReadingOfTwoDirections) {
  // y = 10 + 3 z0 + 4 z1 with a standard deviation of 5: half of what the reading says is believed.
  const Sensitivity answer{{10.0}, {3.0, 4.0}, {0.0, 0.0}, {}};
  const std::vector<MeasuredReading> read{{20.0, 5.0 * per_deviation}};
  const Ignorance left = narrowed(abstract(2), answer, read);
  EXPECT_NEAR(left.mean[0], 3.0 * 10.0 / 50.0, 1e-12);
  EXPECT_NEAR(left.mean[1], 4.0 * 10.0 / 50.0, 1e-12);
  EXPECT_NEAR(left.covariance[0], 1.0 - 9.0 / 50.0, 1e-12);
  EXPECT_NEAR(left.covariance[1], -12.0 / 50.0, 1e-12);
  EXPECT_NEAR(left.covariance[3], 1.0 - 16.0 / 50.0, 1e-12);
  EXPECT_NEAR(reading_covariance(left, answer)[0], 25.0 * 25.0 / 50.0, 1e-10);
}

TEST(Narrowing, ReadingsOneByOneOrTogetherLeaveTheSame) {
  const Sensitivity first{{1.0}, {2.0, -1.0, 0.5}, std::vector<double>(3), {}};
  const Sensitivity second{{-2.0}, {0.3, 1.0, 1.5}, std::vector<double>(3), {}};
  const Sensitivity both{{1.0, -2.0}, {2.0, -1.0, 0.5, 0.3, 1.0, 1.5}, std::vector<double>(6), {}};
  const MeasuredReading a{2.5, 0.4};
  const MeasuredReading b{-1.0, 1.1};
  const Ignorance together = narrowed(abstract(3), both, std::vector{a, b});
  Ignorance in_turn = narrowed(abstract(3), first, std::vector{a});
  // What the second reading would be at the mean that the first one left.
  Sensitivity there = second;
  for (std::size_t k = 0; k < 3; ++k) {
    there.value[0] += second.slope[k] * in_turn.mean[k];
  }
  in_turn = narrowed(in_turn, there, std::vector{b});
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(in_turn.mean[i], together.mean[i], 1e-12);
  }
  for (std::size_t i = 0; i < 9; ++i) {
    EXPECT_NEAR(in_turn.covariance[i], together.covariance[i], 1e-12);
  }
}

TEST(Narrowing, RefusesReadingsThatCannotBeMeant) {
  const Sensitivity answer{{10.0}, {3.0}, {0.0}, {}};
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const MeasuredReading& read :
       {MeasuredReading{1.0, 0.0}, MeasuredReading{1.0, -1.0}, MeasuredReading{1.0, nan}, MeasuredReading{nan, 1.0}}) {
    EXPECT_THROW((void)narrowed(abstract(1), answer, std::vector{read}), InputError);
  }
  EXPECT_THROW((void)narrowed(abstract(1), answer, {}), InputError);
}

TEST(Narrowing, DrawsFollowThePosterior) {
  const Sensitivity answer{{0.0}, {1.0, 1.0}, {0.0, 0.0}, {}};
  const Ignorance left = narrowed(abstract(2), answer, std::vector<MeasuredReading>{{1.0, 0.2 * per_deviation}});
  double product = 0.0;
  double sum = 0.0;
  const auto places = drawn_places(left, 4000, 2);
  for (const auto& place : places) {
    product += (place[0] - left.mean[0]) * (place[1] - left.mean[1]);
    sum += place[0] + place[1];
  }
  EXPECT_NEAR(product / 4000.0, left.covariance[1], 0.03);
  EXPECT_NEAR(sum / 4000.0, left.mean[0] + left.mean[1], 0.02);
}

TEST(Narrowing, AgreesWithImportanceSamplingOfFullLaunches) {
  // A chronograph and a bare shaft's hole, on bows whose answers are not quite linear.
  const nockwise::Setup setup = testing::demo_bow("alder");
  const Ignorance before = ignorance_of(setup);
  const std::vector<WatchedShot> shots{
      {setup, {{Output::chronograph_speed}, {Output::let_off}, {Output::tear_up}, {Output::tear_right}}}};
  const Sensitivity here = sensitivity_of(before, shots);
  const double speed = here.value[0] + 1.0;
  const double let_off = here.value[1] + 0.001;
  constexpr double speed_error = 1.2;  // in 19 of 20
  constexpr double let_off_error = 0.006;

  const auto drawn = shoot_drawn(before, shots, drawn_places(before, 3000, 77));
  std::array<double, 4> mean{};
  std::array<double, 4> square{};
  double weights = 0.0;
  double squares = 0.0;
  for (const DrawnReadings& each : drawn) {
    ASSERT_EQ(each.failure, "");
    const double a = (each.value[0] - speed) / (speed_error / per_deviation);
    const double b = (each.value[1] - let_off) / (let_off_error / per_deviation);
    const double weight = std::exp(-0.5 * (a * a + b * b));
    weights += weight;
    squares += weight * weight;
    for (std::size_t i = 0; i < 4; ++i) {
      mean[i] += weight * each.value[i];
      square[i] += weight * each.value[i] * each.value[i];
    }
  }
  const double effective = weights * weights / squares;
  ASSERT_GT(effective, 300.0);

  const std::vector<WatchedShot> measured{{setup, {{Output::chronograph_speed}, {Output::let_off}}}};
  const Ignorance after =
      narrowed(before, measured, std::vector<MeasuredReading>{{speed, speed_error}, {let_off, let_off_error}});
  const Sensitivity there = sensitivity_of(after, shots);
  const auto covariance = reading_covariance(after, there);
  for (std::size_t i = 0; i < 4; ++i) {
    const double sampled_mean = mean[i] / weights;
    const double sampled = std::sqrt(square[i] / weights - sampled_mean * sampled_mean);
    const double linear = std::sqrt(covariance[i * 4 + i]);
    // Curvature moves a tear's mean by what the linear update does not see; a tenth of a width at most here.
    EXPECT_NEAR(there.value[i], sampled_mean, (3.0 / std::sqrt(effective) + (i < 2 ? 0.1 : 0.5)) * sampled) << i;
    EXPECT_NEAR(linear, sampled, (i < 2 ? 0.12 : 0.25) * sampled) << i;
    const auto wide = reading_covariance(before, here);
    EXPECT_LE(linear, std::sqrt(wide[i * 4 + i]) * 1.1) << i;
  }
  EXPECT_LT(std::sqrt(covariance[0]), 0.6 * std::sqrt(reading_covariance(before, here)[0]));
}

}  // namespace
}  // namespace nockwise
