#include "nockwise/target.hpp"

#include "demo_bows.hpp"
#include "free_arrow.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

using nockwise::testing::demo_bow;
using nockwise::testing::free_arrow;
using nockwise::testing::in_vacuum;

/// As the flight to paper: one drag coefficient, no cross-flow, no spin.
FlightConditions as_to_paper(const Model& model) {
  FlightConditions conditions;
  conditions.drag_laminar = conditions.drag_turbulent = model.setup().arrow.drag_coefficient;
  conditions.cross_flow_drag = conditions.vane_cant = 0.0;
  return conditions;
}

class TargetOfDemoBows : public ::testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(Bows, TargetOfDemoBows, ::testing::ValuesIn(nockwise::testing::demo_bow_names),
                         [](const auto& bow) { return std::string(bow.param); });

TEST_P(TargetOfDemoBows, IsTheFlightToPaperWhereThatHolds) {
  const Model model(demo_bow(GetParam()));
  const Launch shot = launch(model);
  const FlightConditions conditions = as_to_paper(model);
  const double eye = model.setup().rest.height + conditions.eye_height;
  for (const double distance : {3.6576, 18.288}) {
    const Impact small_angles = target_impact(model, shot, distance);
    const Arrival arrival = fly_to(model, shot, distance, {}, conditions);
    // That flight has drag along x alone; it also slows the fall, by a share k x / 3 of 0.26 m over 18 m, and less to
    // paper.
    const double allowed = distance < 10.0 ? 2e-4 : 5e-3;
    EXPECT_NEAR(arrival.up + eye, small_angles.y, allowed) << distance;
    EXPECT_NEAR(arrival.right, small_angles.z, allowed) << distance;
    EXPECT_NEAR(arrival.time, small_angles.time, 1e-4) << distance;
    EXPECT_NEAR(arrival.pitch, small_angles.pitch, 1e-3) << distance;
  }
}

TEST_P(TargetOfDemoBows, TheUsualStepIsEnough) {
  const Model model(demo_bow(GetParam()));
  const Launch shot = launch(model);
  FlightConditions conditions;
  conditions.wind_right = 5.0;
  TargetFlightOptions fine;
  fine.step = 1e-4;
  for (const double bend : {0.0, 2e-4}) {
    TargetFlightOptions usual;
    usual.fault.bend = fine.fault.bend = bend;
    const Arrival a = fly_to(model, shot, 91.44, {}, conditions, usual);
    const Arrival b = fly_to(model, shot, 91.44, {}, conditions, fine);
    EXPECT_NEAR(a.up, b.up, 1e-4);
    EXPECT_NEAR(a.right, b.right, 1e-4);
  }
}

TEST_P(TargetOfDemoBows, SightsInFromTwentyToAHundredYards) {
  const Model model(demo_bow(GetParam()));
  const Launch shot = launch(model);
  const std::vector<double> distances{18.288, 36.576, 54.864, 73.152, 91.44};
  const std::vector<SightMark> marks = sight_marks(model, shot, distances);
  ASSERT_EQ(marks.size(), distances.size());
  EXPECT_EQ(marks.front().below_first, 0.0);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    EXPECT_NEAR(marks[i].arrival.up, 0.0, 1e-8);
    EXPECT_NEAR(marks[i].arrival.right, 0.0, 1e-8);
    if (i > 0) {
      EXPECT_GT(marks[i].below_first, marks[i - 1].below_first);
      EXPECT_LT(marks[i].arrival.speed, marks[i - 1].arrival.speed);
    }
  }
}

TEST(Target, MirrorsWithTheArrow) {
  const Model model(demo_bow("larkspur"));
  Launch shot = launch(model);
  Launch other = shot;
  ArrowState& a = other.free;
  a.velocity_z = -a.velocity_z;
  a.yaw = -a.yaw;
  a.yaw_rate = -a.yaw_rate;
  for (std::size_t i = 0; i < a.z.size(); ++i) {
    a.z[i] = -a.z[i];
    a.velocity_z_nodes[i] = -a.velocity_z_nodes[i];
  }
  FlightConditions conditions;
  conditions.wind_right = 4.0;
  conditions.wind_along = -2.0;
  FlightConditions mirrored = conditions;
  mirrored.wind_right = -4.0;
  mirrored.vane_cant = -conditions.vane_cant;
  TargetFlightOptions options;
  options.aim = {.up = 1e-3, .right = 2e-3, .cant = 0.05};
  options.fault = {.bend = 1e-4, .bend_angle = 0.7, .vane_cant = 0.01};
  TargetFlightOptions there;
  there.aim = {.up = 1e-3, .right = -2e-3, .cant = -0.05};
  there.fault = {.bend = 1e-4, .bend_angle = -0.7, .vane_cant = -0.01};
  const Arrival here = fly_to(model, shot, 60.0, {0.02, 0.001}, conditions, options);
  const Arrival mirror = fly_to(model, other, 60.0, {0.02, -0.001}, mirrored, there);
  EXPECT_NEAR(here.up, mirror.up, 1e-12);
  EXPECT_NEAR(here.right, -mirror.right, 1e-12);
  EXPECT_NEAR(here.spin, -mirror.spin, 1e-9);
  EXPECT_NE(here.right, 0.0);
}

TEST(Target, ACantedBowShootsToThatSideAndLow) {
  const Model model(demo_bow("larkspur"));
  const Launch shot = launch(model);
  const double distance = 45.72;
  const Sight sight = sight_in(model, shot, distance);
  TargetFlightOptions canted;
  canted.aim.cant = 0.0175;
  const Arrival arrival = fly_to(model, shot, distance, sight, {}, canted);
  // The bow points above the line of sight by the elevation; turned about that line, it points aside by a share of it.
  EXPECT_NEAR(arrival.right, distance * std::sin(canted.aim.cant) * sight.elevation, 0.01);
  EXPECT_LT(arrival.up, 0.0);
}

TEST(Target, UphillAndDownhillAskForLessElevation) {
  const Model model(demo_bow("larkspur"));
  const Launch shot = launch(model);
  const auto elevation = [&](double slope) {
    FlightConditions conditions;
    conditions.slope = slope;
    return sight_in(model, shot, 45.72, conditions).elevation;
  };
  EXPECT_LT(elevation(0.5), elevation(0.0));
  EXPECT_LT(elevation(-0.5), elevation(0.0));
  EXPECT_GT(elevation(0.5), elevation(-0.5));  // uphill it is slowed on the way
}

TEST(Target, VanesSpinTheArrowUpToTheirAngle) {
  const Model model(in_vacuum());
  FlightConditions conditions;
  conditions.temperature = 288.15;
  const Arrival arrival = fly_to(model, free_arrow(model, 0.0, 0.0, 0.0), 90.0, {}, conditions);
  const Arrow& arrow = model.setup().arrow;
  const double steady = conditions.vane_cant * arrival.speed / (0.5 * (arrow.diameter + arrow.fletching.height));
  EXPECT_NEAR(arrival.spin / steady, 1.0, 0.05);
}

TEST(Target, RollTakesABendAway) {
  // A bent shaft that does not spin flies off to where it bulges least; one that spins comes back every turn.
  const Model model(in_vacuum());
  const Launch shot = free_arrow(model, 0.0, 0.0, 0.0);
  TargetFlightOptions bent;
  bent.fault.bend = 3e-4;
  const auto off = [&](double cant) {
    FlightConditions conditions;
    conditions.temperature = 288.15;
    conditions.vane_cant = cant;
    const Arrival with = fly_to(model, shot, 60.0, {}, conditions, bent);
    const Arrival without = fly_to(model, shot, 60.0, {}, conditions);
    return std::hypot(with.up - without.up, with.right - without.right);
  };
  EXPECT_GT(off(0.0), 3.0 * off(0.05));
}

TEST(Target, GustsAreOfTheirSeed) {
  const Model model(demo_bow("larkspur"));
  const Launch shot = launch(model);
  FlightConditions conditions;
  conditions.gust = 2.0;
  const auto right = [&](std::uint64_t seed) {
    conditions.gust_seed = seed;
    return fly_to(model, shot, 50.0, {}, conditions).right;
  };
  EXPECT_EQ(right(3), right(3));
  EXPECT_NE(right(3), right(4));
}

TEST(Target, RefusesWhatCannotBeShot) {
  const Model model(demo_bow("larkspur"));
  const Launch shot = launch(model);
  EXPECT_THROW((void)fly_to(model, shot, 0.3), InputError);
  EXPECT_THROW((void)fly_to(model, shot, 201.0), InputError);
  EXPECT_THROW((void)fly_to(model, shot, std::nan("")), InputError);
  FlightConditions conditions;
  conditions.wind_right = 31.0;
  EXPECT_THROW((void)fly_to(model, shot, 20.0, {}, conditions), InputError);
  conditions = {};
  conditions.altitude = std::nan("");
  EXPECT_THROW((void)fly_to(model, shot, 20.0, {}, conditions), InputError);
  TargetFlightOptions options;
  options.step = 0.0;
  EXPECT_THROW((void)fly_to(model, shot, 20.0, {}, {}, options), InputError);
  EXPECT_THROW((void)air_at(100.0, 0.0), InputError);
  Launch stuck = shot;
  stuck.ended_by = LaunchEnd::time_limit;
  EXPECT_THROW((void)fly_to(model, stuck, 20.0), InputError);
}

TEST(Target, SaysWhereAWindTurnsTheArrow) {
  nockwise::Setup setup = in_vacuum();
  setup.surroundings.air_density = 1.225;
  const Model model(setup);
  Launch slow = free_arrow(model, 0.0, 0.0, 0.0);
  slow.free.speed = 20.0;
  FlightConditions conditions;
  conditions.wind_right = 12.0;
  try {
    (void)fly_to(model, slow, 20.0, {}, conditions);
    FAIL();
  } catch (const SolverError& error) {
    EXPECT_NE(std::string(error.what()).find("the air meets the arrow"), std::string::npos) << error.what();
  }
}

TEST(Target, SaysThatABowCannotBeSightedIn) {
  nockwise::Setup setup = in_vacuum();
  setup.surroundings.gravity = 9.80665;
  const Model model(setup);
  Launch slow = free_arrow(model, 0.0, 0.0, 0.0);
  slow.free.speed = 42.0;  // 180 m are its farthest way without air, at 45 degrees
  try {
    (void)sight_in(model, slow, 180.0);
    FAIL();
  } catch (const SolverError& error) {
    EXPECT_NE(std::string(error.what()).find("cannot be sighted in"), std::string::npos) << error.what();
  }
}

TEST(Target, TellsItsNumbers) {
  const FlightConditions defaults;
  for (const FlightNumber& each : flight_numbers()) {
    const double value = each.get(defaults);
    EXPECT_GE(value, each.minimum) << each.name;
    EXPECT_LE(value, each.maximum) << each.name;
    EXPECT_FALSE(each.doc.empty() || each.source.empty()) << each.name;
    FlightConditions changed;
    each.set(changed, 0.5 * (each.minimum + each.maximum));
    EXPECT_EQ(each.get(changed), 0.5 * (each.minimum + each.maximum)) << each.name;
  }
}

}  // namespace
}  // namespace nockwise
