// How shots answer to what is not known.
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/ignorance.hpp"
#include "nockwise/tear_matrix.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace nockwise {
namespace {

std::vector<WatchedShot> fletched_and_bare(const nockwise::Setup& setup) {
  nockwise::Setup bare = setup;
  bare.arrow.fletching.count = 0;
  return {{setup, {{Output::tear_up}, {Output::tear_right}, {Output::tear_up, 2.0}, {Output::exit_speed}}},
          {bare, {{Output::tear_up}, {Output::tear_right}}}};
}

TEST(Sensitivity, RowsAreReadingsInTheirOrder) {
  const nockwise::Setup setup = testing::demo_bow("alder");
  const Ignorance ignorance = ignorance_of(setup);
  const auto shots = fletched_and_bare(setup);
  const Sensitivity answer = sensitivity_of(ignorance, shots);
  EXPECT_TRUE(answer.doubts.empty());
  ASSERT_EQ(answer.value.size(), 6U);
  ASSERT_EQ(answer.slope.size(), 6U * ignorance.directions.size());
  const Shot fletched = shoot(setup);
  const Shot near = shoot(setup, {.distance = 2.0});
  const Shot bare = shoot(shots[1].setup);
  EXPECT_EQ(answer.value[0], fletched.value[Output::tear_up]);
  EXPECT_EQ(answer.value[1], fletched.value[Output::tear_right]);
  EXPECT_EQ(answer.value[2], near.value[Output::tear_up]);
  EXPECT_EQ(answer.value[3], fletched.value[Output::exit_speed]);
  EXPECT_EQ(answer.value[5], bare.value[Output::tear_right]);
}

TEST(Sensitivity, IsTheSlopeOfFullLaunches) {
  const nockwise::Setup setup = testing::demo_bow("alder");
  const Ignorance ignorance = ignorance_of(setup);
  const auto shots = fletched_and_bare(setup);
  const Sensitivity answer = sensitivity_of(ignorance, shots);
  const std::size_t count = ignorance.directions.size();
  for (std::size_t k = 0; k < count; k += 9) {
    // Which stop touches first changes the slope within what is not known of their gap: there it is the mean one.
    const double step = ignorance.directions[k].name == "stop_gap" ? 0.6 : 0.1;
    std::vector<std::vector<double>> places(2, std::vector<double>(count, 0.0));
    places[0][k] = step;
    places[1][k] = -step;
    const auto drawn = shoot_drawn(ignorance, shots, places);
    for (std::size_t r = 0; r < answer.value.size(); ++r) {
      const double slope = (drawn[0].value[r] - drawn[1].value[r]) / (2.0 * step);
      const double scale = r == 3 ? 1.0 : 0.005;  // [m/s], [m]
      EXPECT_NEAR(answer.slope[r * count + k], slope, 0.02 * scale + 0.1 * std::fabs(slope))
          << ignorance.directions[k].name << ", reading " << r;
    }
  }
}

TEST(Sensitivity, IsTheSameForAnyNumberOfThreads) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance ignorance = ignorance_of(setup);
  const auto shots = fletched_and_bare(setup);
  const Sensitivity one = sensitivity_of(ignorance, shots, {.threads = 1});
  const Sensitivity two = sensitivity_of(ignorance, shots, {.threads = 2});
  EXPECT_EQ(one.value, two.value);
  EXPECT_EQ(one.slope, two.slope);
  EXPECT_EQ(one.curvature, two.curvature);
}

TEST(Sensitivity, OfAMirroredBowIsMirrored) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance right = ignorance_of(setup);
  const Ignorance left = ignorance_of(mirrored(setup));
  const std::vector<ShotReading> readings{{Output::tear_up}, {Output::tear_right}};
  const std::vector<WatchedShot> here{{setup, readings}};
  const std::vector<WatchedShot> there{{mirrored(setup), readings}};
  const Sensitivity a = sensitivity_of(right, here);
  const Sensitivity b = sensitivity_of(left, there);
  const std::size_t count = right.directions.size();
  for (std::size_t k = 0; k < count; ++k) {
    EXPECT_NEAR(a.slope[k], b.slope[k], 1e-7) << right.directions[k].name;
    EXPECT_NEAR(a.slope[count + k], -b.slope[count + k], 1e-7) << right.directions[k].name;
  }
}

TEST(Sensitivity, ReducedKeepsWhatMatters) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance ignorance = ignorance_of(setup);
  const std::vector<WatchedShot> shots{{setup, {{Output::tear_up}, {Output::tear_right}}}};
  const Sensitivity all = sensitivity_of(ignorance, shots);
  const Ignorance few = reduced(ignorance, all, 0.02);
  EXPECT_LT(few.directions.size(), ignorance.directions.size() / 2);
  const auto before = reading_covariance(ignorance, all);
  const auto after = reading_covariance(few, sensitivity_of(few, shots));
  for (const std::size_t i : {0U, 3U}) {
    EXPECT_LE(after[i], before[i] * (1.0 + 1e-12));
    EXPECT_GE(after[i], 0.98 * before[i]);
  }
}

TEST(Sensitivity, SaysWhatCannotBeShotAndRefusesWhatCannotBeRead) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance ignorance = ignorance_of(setup, {.level = 0.0});
  const std::vector<WatchedShot> far{{setup, {{Output::tear_up, 1e3}}}};
  EXPECT_THROW((void)sensitivity_of(ignorance, far), InputError);
  const std::vector<WatchedShot> deep{{setup, {{Output::tear_up, {}, -1.0}}}};
  EXPECT_THROW((void)sensitivity_of(ignorance, deep), InputError);
  setup.string.length *= 1.3;
  const std::vector<WatchedShot> slack{{setup, {{Output::tear_up}}}};
  EXPECT_THROW((void)sensitivity_of(ignorance, slack), SolverError);
}

}  // namespace
}  // namespace nockwise
