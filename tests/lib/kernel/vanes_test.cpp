// The law by which vanes strike the launcher: a potential, nothing where they clear, no more than they bear.
#include "kernel/vanes.hpp"

#include "compile/model_data.hpp"
#include "random_mechanism.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace nockwise {
namespace {

using kernel::VaneLoads;
using kernel::VanePlace;

constexpr double degree = std::numbers::pi / 180.0;
constexpr double middle = 0.05;  // of the vanes, where they have all their height [m]

Setup with_vanes(int count, double clocking, double friction = 0.0) {
  nockwise::Setup setup;
  setup.arrow.fletching.count = count;
  setup.arrow.fletching.clocking = clocking;
  setup.arrow.fletching.friction = friction;
  return setup;
}

VaneLoads<double> loads_of(const Setup& setup, double half_width, const VanePlace<double>& at) {
  return kernel::vane_loads(detail::compile_vanes(setup, half_width), setup.arrow.fletching.count, half_width, at);
}

TEST(Vanes, WithTheOddOneUpStraddleABladeAndStrikeAWideLauncher) {
  const nockwise::Setup up = with_vanes(3, 0.0);
  const VaneLoads<double> blade = loads_of(up, 0.003, {middle, 0.0, 0.0, 0.0});
  EXPECT_EQ(blade.press, 0.0);
  EXPECT_EQ(blade.energy, 0.0);
  EXPECT_EQ(blade.depth, 0.0);
  const VaneLoads<double> wide = loads_of(up, 0.012, {middle, 0.0, 0.0, 0.0});
  EXPECT_GT(wide.up, 0.5);
  EXPECT_NEAR(wide.aside, 0.0, 1e-12) << "both of them alike";
  // The tips stand 4.1 mm below the underside of the shaft.
  EXPECT_NEAR(wide.depth, 0.5 * (0.00325 + 0.0115) - 0.00325, 1e-9);
  EXPECT_EQ(loads_of(up, 0.012, {middle, 0.0, 0.0042, 0.0}).press, 0.0) << "it has dropped far enough";
}

TEST(Vanes, OneThatPointsDownStrikesUntilTheLauncherIsItsHeightBelow) {
  const nockwise::Setup down = with_vanes(3, 180.0 * degree);
  EXPECT_GT(loads_of(down, 0.003, {middle, 0.0, 0.0, 0.0}).up, 1.0);
  EXPECT_GT(loads_of(down, 0.003, {middle, 0.0, 0.011, 0.0}).up, 0.0);
  EXPECT_EQ(loads_of(down, 0.003, {middle, 0.0, 0.0116, 0.0}).press, 0.0);
  EXPECT_EQ(loads_of(with_vanes(1, 0.0), 0.05, {middle, 0.0, 0.0, 0.0}).press, 0.0) << "one straight up";
}

TEST(Vanes, FeelNothingAheadAndBehindOfThem) {
  const nockwise::Setup down = with_vanes(1, 180.0 * degree);
  for (const double reach : {-0.01, 0.0299, 0.0801, 0.4}) {
    const VaneLoads<double> loads = loads_of(down, 0.003, {reach, -70.0, -0.0004, 0.0});
    EXPECT_EQ(loads.press, 0.0) << reach;
    EXPECT_EQ(loads.along, 0.0) << reach;
    EXPECT_EQ(loads.energy, 0.0) << reach;
  }
}

TEST(Vanes, FoldAtTheirForce) {
  nockwise::Setup down = with_vanes(1, 180.0 * degree);
  down.arrow.fletching.edge_stiffness = 5000.0;
  const double deep = loads_of(down, 0.05, {middle, 0.0, 0.0, 0.0}).press;
  EXPECT_LT(deep, down.arrow.fletching.folding_force);
  EXPECT_GT(deep, 0.99 * down.arrow.fletching.folding_force);
  // At first as stiff as it is stated.
  EXPECT_NEAR(loads_of(down, 0.05, {middle, 0.0, 0.0115 - 1e-5, 0.0}).press, 5000.0 * 1e-5, 2e-4);
  // A blade no wider than a quarter of its height it slips off with a half and less.
  EXPECT_NEAR(loads_of(down, 0.002875, {middle, 0.0, 0.0, 0.0}).press, 0.5 * deep, 0.01 * deep);
}

/// Forces are the gradient of the energy, wherever the launcher stands.
TEST(Vanes, PressWithTheGradientOfTheirEnergy) {
  std::mt19937 random(7);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  int struck = 0;
  for (int i = 0; i < 400; ++i) {
    const nockwise::Setup setup = with_vanes(1 + i % 8, between(-3.1, 3.1));
    const double width = between(0.002, 0.015);
    const VanePlace<double> at{between(0.031, 0.079), 0.0, i % 4 == 0 ? between(-5e-4, -1e-5) : between(1e-5, 6e-3),
                               between(-3e-3, 3e-3)};
    const VaneLoads<double> here = loads_of(setup, width, at);
    struck += here.press > 0.0 ? 1 : 0;
    const auto energy = [&](double reach, double gap, double aside) {
      return loads_of(setup, width, {at.reach + reach, 0.0, at.gap + gap, at.aside + aside}).energy;
    };
    constexpr double step = 1e-7;
    EXPECT_NEAR(here.along, -slope_of(step, [&](double d) { return energy(d, 0.0, 0.0); }), 1e-5);
    EXPECT_NEAR(here.up, -slope_of(step, [&](double d) { return energy(0.0, d, 0.0); }), 1e-5);
    EXPECT_NEAR(here.aside, -slope_of(step, [&](double d) { return energy(0.0, 0.0, d); }), 1e-5);
  }
  EXPECT_GT(struck, 150);
}

TEST(Vanes, RubAgainstTheWayThatTheyGo) {
  const VanePlace<double> at{middle, -70.0, 0.0, 0.0};
  const VaneLoads<double> smooth = loads_of(with_vanes(1, 180.0 * degree), 0.003, at);
  const VaneLoads<double> rough = loads_of(with_vanes(1, 180.0 * degree, 0.3), 0.003, at);
  // The launcher goes backward along the shaft and is pulled forward; the arrow is held back.
  EXPECT_NEAR(rough.along - smooth.along, 0.3 * smooth.press, 1e-5);
  EXPECT_EQ(rough.up, smooth.up);
}

TEST(Vanes, AreMirroredToTheBit) {
  for (const int count : {1, 3, 5, 7}) {
    const nockwise::Setup right = with_vanes(count, 0.7);
    const nockwise::Setup left = mirrored(right);
    EXPECT_EQ(left.arrow.fletching.clocking, -0.7);
    const VaneLoads<double> a = loads_of(right, 0.01, {middle, -70.0, 1e-3, 2e-3});
    const VaneLoads<double> b = loads_of(left, 0.01, {middle, -70.0, 1e-3, -2e-3});
    EXPECT_NEAR(a.up, b.up, 1e-14);
    EXPECT_NEAR(a.aside, -b.aside, 1e-14);
  }
}

}  // namespace
}  // namespace nockwise
