#include "nockwise/tear_matrix.hpp"

#include "lib/shots/tuning_bow.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"

#include <gtest/gtest.h>

#include <array>
#include <atomic>
#include <cmath>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;

const TearMatrix& whole_matrix() {
  static const TearMatrix matrix = tear_matrix(tuning_bow());
  return matrix;
}

const TearMatrixRow& row(const TearMatrix& matrix, const std::string& name) {
  for (const TearMatrixRow& each : matrix.rows) {
    if (each.adjustment.name == name) {
      return each;
    }
  }
  throw std::runtime_error("no row " + name);
}

TEST(TearMatrix, CoversEveryAdjustmentInOrder) {
  const auto list = adjustments(tuning_bow());
  ASSERT_EQ(whole_matrix().rows.size(), list.size());
  for (std::size_t i = 0; i < list.size(); ++i) {
    EXPECT_EQ(whole_matrix().rows[i].adjustment.name, list[i].name);
  }
  EXPECT_TRUE(whole_matrix().base.flew);
  EXPECT_EQ(output_descriptions().size(), output_count);
}

TEST(TearMatrix, SameBitsForAnyNumberOfThreads) {
  const auto list = adjustments(tuning_bow());
  const std::vector<Adjustment> some(list.begin(), list.begin() + 4);
  const TearMatrix one = tear_matrix(tuning_bow(), some, {.threads = 1});
  for (const int threads : {2, 4}) {
    const TearMatrix more = tear_matrix(tuning_bow(), some, {.threads = threads});
    for (std::size_t i = 0; i < some.size(); ++i) {
      for (const OutputDescription& each : output_descriptions()) {
        EXPECT_EQ(one.rows[i].per_step[each.output], more.rows[i].per_step[each.output]) << each.name;
      }
    }
  }
}

/// Where a row claims to be linear, halving the step and extrapolating to none must not tell another story.
TEST(TearMatrix, AgreesWithRichardsonAndOneSidedDifferences) {
  const auto list = adjustments(tuning_bow());
  const TearMatrix half = tear_matrix(tuning_bow(), list, {.step_fraction = 0.5});
  const TearMatrix quarter = tear_matrix(tuning_bow(), list, {.step_fraction = 0.25});
  const TearMatrix& whole = whole_matrix();
  int compared = 0;
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (!whole.rows[i].linear || !half.rows[i].linear || !quarter.rows[i].linear) {
      continue;
    }
    ++compared;
    for (const Output output : {Output::tear_up, Output::tear_right}) {
      const double richardson = (4.0 * quarter.rows[i].per_step[output] - half.rows[i].per_step[output]) / 3.0;
      EXPECT_NEAR(whole.rows[i].per_step[output], richardson, 0.02 * inch + 0.1 * std::fabs(richardson))
          << list[i].name;
      const double ahead = whole.rows[i].plus.value[output] - whole.base.value[output];
      EXPECT_NEAR(whole.rows[i].per_step[output], ahead, inch / 64.0 + 0.25 * std::fabs(ahead)) << list[i].name;
    }
  }
  EXPECT_GE(compared, 10);
}

TEST(TearMatrix, KeepsTheTradesSignsOfSync) {
  const TearMatrix& m = whole_matrix();
  // A shorter cable holds its cam back: its stop stays open, and the tail goes high when that is the upper one.
  EXPECT_GT(row(m, "cable.upper").per_step[Output::stop_gap], 0.0);
  EXPECT_GT(row(m, "cable.upper").per_step[Output::tear_up], 0.0);
  EXPECT_LT(row(m, "cable.lower").per_step[Output::stop_gap], 0.0);
  EXPECT_LT(row(m, "cable.lower").per_step[Output::tear_up], 0.0);
  EXPECT_GT(row(m, "arrow.height").per_step[Output::tear_up], 0.0);
  for (const char* cross : {"yoke.top.cross", "yoke.bottom.cross"}) {
    // Legs alone would leave the timing; the cam that leans by them moves it a little.
    const double gap = std::fabs(row(m, cross).per_step[Output::stop_gap]);
    EXPECT_GT(gap, 1e-4) << cross;
    EXPECT_LT(gap, 0.5 * std::fabs(row(m, "cable.upper").per_step[Output::stop_gap])) << cross;
    EXPECT_GT(std::fabs(row(m, cross).per_step[Output::lean_upper] + row(m, cross).per_step[Output::lean_lower]),
              0.002);
  }
}

constexpr double twenty_yards = 18.288;
constexpr double free_fall = 9.80665;

/// An arrow that soon stops ringing, through air of that density.
Setup calm_bow(double air_density) {
  Setup bow = tuning_bow();
  bow.arrow.damping_ratio = 0.2;
  bow.surroundings.air_density = air_density;
  return bow;
}

/// Where the point strikes a target at 20 yd, by hand: without air an arrow that no longer rings falls freely and turns
/// at a constant rate.
double impact_without_air(const Setup& bow) {
  const Model model(bow);
  const Launch shot = launch(model);
  const ArrowState& free = shot.free;
  const double centre = FreeFlight(model, shot, 2.0).points().front().y;
  const double time = (twenty_yards - free.nock_x - bow.arrow.length) / free.speed;
  const double ahead = bow.arrow.length - model.arrow().balance_point;  // of the mass centre
  return centre + free.velocity_y * time - 0.5 * free_fall * time * time +
         ahead * (free.pitch + free.pitch_rate * time);
}

TEST(TearMatrix, ImpactFollowsFreeFallWithoutAir) {
  const nockwise::Setup bow = calm_bow(0.0);
  const auto list = adjustments(bow);
  for (const char* name : {"arrow.height", "rest.height", "point.mass", "cable.upper"}) {
    const Adjustment& a = find_adjustment(list, name);
    const TearMatrix m = tear_matrix(bow, {&a, 1});
    const double by_hand =
        0.5 * (impact_without_air(adjusted(bow, a, 1.0)) - impact_without_air(adjusted(bow, a, -1.0)));
    EXPECT_NEAR(m.rows.front().per_step[Output::impact_up], by_hand, 2e-5) << name;
  }
}

/// A slower arrow flies longer: in air, too, its drop is what a heavier point costs at 20 yd.
TEST(TearMatrix, HeavierPointStrikesLowerByItsLongerFall) {
  const nockwise::Setup bow = calm_bow(1.225);
  const Adjustment point = find_adjustment(adjustments(bow), "point.mass");
  const TearMatrix m = tear_matrix(bow, {&point, 1});
  const auto drop = [](const nockwise::Setup& setup) {
    const Launch shot = launch(Model(setup));
    const double time = (twenty_yards - shot.free.nock_x - setup.arrow.length) / shot.free.speed;
    return std::array{shot.free.velocity_y * time, -0.5 * free_fall * time * time};
  };
  const auto heavy = drop(adjusted(bow, point, 1.0));
  const auto light = drop(adjusted(bow, point, -1.0));
  const double fall = 0.5 * (heavy[1] - light[1]);
  const double departure = 0.5 * (heavy[0] - light[0]);
  EXPECT_NEAR(fall, -0.0129, 5e-4);  // 25 grains
  EXPECT_GT(std::fabs(fall), 5.0 * std::fabs(departure));
  EXPECT_NEAR(m.rows.front().per_step[Output::impact_up], fall + departure, 0.05 * std::fabs(fall));
}

TEST(TearMatrix, ImpactOfTheOtherHandIsMirrored) {
  const auto list = adjustments(tuning_bow());
  const auto others = adjustments(mirrored(tuning_bow()));
  const TearMatrix m = tear_matrix(tuning_bow(), {&find_adjustment(list, "center_shot"), 1});
  const TearMatrix o = tear_matrix(mirrored(tuning_bow()), {&find_adjustment(others, "center_shot"), 1});
  const auto right = [](const TearMatrix& matrix) { return matrix.rows.front().per_step[Output::impact_right]; };
  EXPECT_GT(std::fabs(right(m)), 1e-3);
  EXPECT_NEAR(right(m), -right(o), 1e-9);
}

TEST(TearMatrix, WarnsOfKinks) {
  EXPECT_FALSE(row(whole_matrix(), "bolts.both").both_sides);  // the bolts are fully in
  EXPECT_FALSE(row(whole_matrix(), "bolts.both").warnings.empty());
  int warned = 0;
  for (const TearMatrixRow& each : whole_matrix().rows) {
    EXPECT_TRUE(each.linear || !each.warnings.empty()) << each.adjustment.name;
    warned += each.linear ? 0 : 1;
  }
  EXPECT_GT(warned, 0);
}

TEST(TearMatrix, MirrorsForTheOtherHand) {
  const auto list = adjustments(tuning_bow());
  const auto others = adjustments(mirrored(tuning_bow()));
  const std::vector<Adjustment> some{find_adjustment(list, "center_shot"), find_adjustment(list, "cable.upper")};
  const std::vector<Adjustment> mirror{find_adjustment(others, "center_shot"), find_adjustment(others, "cable.upper")};
  const TearMatrix m = tear_matrix(tuning_bow(), some);
  const TearMatrix o = tear_matrix(mirrored(tuning_bow()), mirror);
  for (std::size_t i = 0; i < some.size(); ++i) {
    EXPECT_NEAR(m.rows[i].per_step[Output::tear_right], -o.rows[i].per_step[Output::tear_right], 1e-9);
    EXPECT_NEAR(m.rows[i].per_step[Output::tear_up], o.rows[i].per_step[Output::tear_up], 1e-9);
  }
}

TEST(TearMatrix, StopsWhenAsked) {
  const std::atomic<bool> stop{true};
  EXPECT_THROW((void)tear_matrix(tuning_bow(), {.stop = &stop}), Interrupted);
  EXPECT_THROW((void)shoot(tuning_bow(), {.stop = &stop}), Interrupted);
}

TEST(TearMatrix, TellsWhatCannotBeShot) {
  nockwise::Setup bow = tuning_bow();
  bow.arrow.length = 0.5;
  const Shot shot = shoot(bow);
  EXPECT_FALSE(shot.flew);
  EXPECT_NE(shot.failure.find("arrow.length"), std::string::npos);
  EXPECT_THROW((void)tear_matrix(bow), SolverError);
  EXPECT_THROW((void)tear_matrix(tuning_bow(), {.step_fraction = 0.0}), InputError);
  try {
    (void)tear_matrix(tuning_bow(), {.step_fraction = -1e-9});
    ADD_FAILURE() << "accepted";
  } catch (const InputError& error) {
    EXPECT_EQ(error.value(), "-1e-09");  // not "-0.000000"
  }
}

}  // namespace
}  // namespace nockwise
