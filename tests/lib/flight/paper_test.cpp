#include "nockwise/paper.hpp"

#include "demo_bows.hpp"
#include "free_arrow.hpp"
#include "nockwise/error.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

using testing::demo_bow;
using testing::free_arrow;
using testing::in_vacuum;

TEST(PaperTear, NoseDownIsTailHigh) {
  const Model model(in_vacuum());
  const double span = model.setup().arrow.length - model.setup().arrow.fletching.distance;
  const PaperTear high = paper_tear(model, free_arrow(model, -0.01, 0.0, 0.0));
  EXPECT_NEAR(high.up, 0.01 * span, 1e-12);
  EXPECT_NEAR(high.right, 0.0, 1e-12);
  const PaperTear right = paper_tear(model, free_arrow(model, 0.0, 0.0, -0.01));
  EXPECT_NEAR(right.right, 0.01 * span, 1e-12);
  EXPECT_NEAR(right.up, 0.0, 1e-12);
}

TEST(PaperTear, EachSectionCrossesAtItsOwnTime) {
  const Model model(in_vacuum());
  const double rate = 1.0;
  const PaperTear tear = paper_tear(model, free_arrow(model, 0.0, rate, 0.0));
  const double balance = model.arrow().balance_point;
  const double length = model.setup().arrow.length;
  const double tail = model.setup().arrow.fletching.distance;
  const double start = tear.point_time - (model.setup().surroundings.paper_distance - 0.03 - length) / 80.0;
  const double expected =
      rate * ((tear.tail_time - start) * (tail - balance) - (tear.point_time - start) * (length - balance));
  EXPECT_NEAR(tear.up, expected, 1e-10);
  EXPECT_NEAR(tear.tail_time - tear.point_time, (length - tail) / 80.0, 1e-12);
}

TEST(PaperTear, SaysItInWords) {
  PaperTear tear;
  EXPECT_EQ(describe_tear(tear), "clean");
  tear.up = 0.0127;
  tear.right = -0.00635;
  EXPECT_EQ(describe_tear(tear), "tail-high 0.50 in, tail-left 0.25 in");
  tear.up = -0.0127;
  tear.right = 0.001;
  EXPECT_EQ(describe_tear(tear), "tail-low 0.50 in");
}

TEST(PaperTear, RefusesAPaperThatTheArrowAlreadyTouches) {
  const Model model(demo_bow("larkspur"));
  const Launch shot = launch(model);
  EXPECT_THROW((void)paper_tear(model, shot, 0.5), InputError);
  EXPECT_THROW((void)FreeFlight(model, shot, std::nan("")), InputError);
}

TEST(FreeFlight, SlowsExponentiallyWithDistance) {
  // v = v0 exp(−k x), k = ρ C_D A / (2 m): quadratic drag, horizontal (references, §10H).
  nockwise::Setup setup = in_vacuum();
  setup.surroundings.air_density = 1.225;
  const Model model(setup);
  const Launch shot = free_arrow(model, 0.0, 0.0, 0.0);
  const FreeFlight flight(model, shot, 20.0);
  const auto& first = flight.points().front();
  const auto& last = flight.points().back();
  const double area = 0.25 * M_PI * setup.arrow.diameter * setup.arrow.diameter;
  const double k = 1.225 * setup.arrow.drag_coefficient * area / (2.0 * model.arrow().mass);
  EXPECT_NEAR(last.speed / first.speed, std::exp(-k * (last.x - first.x)), 1e-11);
}

TEST(FreeFlight, PitchWavelengthDoesNotDependOnSpeed) {
  nockwise::Setup setup = in_vacuum();
  setup.surroundings.air_density = 1.225;
  setup.arrow.drag_coefficient = 0.0;
  const Model model(setup);
  const auto first_zero = [&](double speed) {
    Launch shot = free_arrow(model, 0.01, 0.0, 0.0);
    shot.free.speed = speed;
    const FreeFlight flight(model, shot, 60.0);
    const auto& p = flight.points();
    std::size_t i = 1;
    while (i + 1 < p.size() && p[i].pitch > 0.0) {
      ++i;
    }
    double before = p[i - 1].time;
    double after = p[i].time;
    for (int halving = 0; halving < 40; ++halving) {
      const double middle = 0.5 * (before + after);
      (flight.at(middle).pitch > 0.0 ? before : after) = middle;
    }
    return flight.at(before).x - p.front().x;
  };
  const double slow = first_zero(50.0);
  EXPECT_GT(slow, 1.0);
  EXPECT_NEAR(first_zero(100.0) / slow, 1.0, 1e-6);
}

TEST(FreeFlight, FallsFreelyWithoutAir) {
  nockwise::Setup setup = in_vacuum();
  setup.surroundings.gravity = 9.80665;
  const Model model(setup);
  const Launch shot = free_arrow(model, 0.0, 0.0, 0.0);
  const Impact impact = target_impact(model, shot, 18.288);
  const double time = (18.288 - 0.03 - setup.arrow.length) / 80.0;
  EXPECT_NEAR(impact.time - shot.free.time, time, 1e-12);
  EXPECT_NEAR(impact.y, -0.5 * 9.80665 * time * time, 1e-9);
}

}  // namespace
}  // namespace nockwise
