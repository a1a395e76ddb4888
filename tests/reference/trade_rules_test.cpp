// Facts of the trade (common practice, no source), on the demo bows. Where a bow disagrees, the test says so and why.
#include "trade_shot.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise::trade {
namespace {

using testing::demo_bow;

TEST(TradeRules, ALateUpperCamTearsTailHighAndALateLowerCamTailLow) {
  for (const std::string bow : {"withy", "alder"}) {
    const Shot late_upper = response(bow, half_twist("upper"));
    const Shot late_lower = response(bow, half_twist("lower"));
    EXPECT_GT(late_upper.gap, 0.0) << bow;
    EXPECT_LT(late_lower.gap, 0.0) << bow;
    EXPECT_GT(late_upper.up, 0.02) << bow;
    EXPECT_LT(late_lower.up, -0.02) << bow;
  }
}

TEST(TradeRules, AnEighthOfAnInchOpenMakesAboutAHalfInchTear) {
  // Alder 37 is left out: its slaved cams open 0.01 in for the half twist that opens 0.12 in on the yoked Larkspur.
  const Shot late = response("withy", half_twist("upper"));
  check_range("tear per 1/8 in of open upper stop, Withy 35 (rule: about 1/2 in)", practice, 0.25, 1.0,
              late.up / late.gap * 0.125, "in");
  // The Larkspur's cams lean twice as far past its guard. In the plane of the string it would tear 0.5 in.
  const Shot little = response("larkspur", half_twist("upper"));
  check_range("tear per 1/8 in of open upper stop, Larkspur 33 (rule: about 1/2 in)", disagreement(practice), -0.05,
              0.05, little.up / little.gap * 0.125, "in");
  const Shot soon = response("larkspur", half_twist("upper", -1.0));
  check_range("tear per 1/8 in of open lower stop, Larkspur 33 (rule: about 1/2 in tail-low)", disagreement(practice),
              -0.15, -0.03, soon.up / std::fabs(soon.gap) * 0.125, "in");
}

TEST(TradeRules, YokeLegsMoveTheStopGapOrLeaveItAlone) {
  // Alder 37 has no yokes.
  for (const std::string bow : {"larkspur", "wheelwright"}) {
    const std::string name = demo_bow(bow).name;
    const Shot leg = response(bow, {{"cables.upper.yoke.left_twists", 0.5}});
    check_range("stop gap by half a twist in one yoke leg, " + name + " (rule: about 1/16 in)", practice, 0.03, 0.13,
                std::fabs(leg.gap), "in");
    const auto pair = [&](double turns) {
      return response(bow, {{"cables.upper.yoke.left_twists", turns}, {"cables.upper.yoke.right_twists", -turns}});
    };
    // The cam that leans by them takes its cables another way.
    check_range("stop gap by half a twist into one leg and out of the other, " + name + " (rule: none)",
                disagreement(practice), 0.015, 0.06, std::fabs(pair(0.5).gap), "in");
    // A helix shortens with the square of its twists: what one leg loses the other does not give back exactly. Over
    // several turns the rule fails.
    const Shot three = pair(3.0);
    check_range("stop gap by three twists into one leg and out of the other, " + name + " (rule: none; but a helix)",
                disagreement(practice), 0.2, 0.9, std::fabs(three.gap), "in");
    // The upper cam's cable is yoked to the lower axle.
    check_range("lean of the cam by three twists into one leg and out of the other, " + name +
                    " (rule: more than two or three lean dangerously)",
                practice, 1.0, 5.0, three.lean[1] * 180.0 / 3.14159265358979, "deg");
  }
}

/// The same bow on another rest.
nockwise::Setup on_rest(const std::string& bow, const std::string& kind) {
  nockwise::Setup setup = demo_bow(bow);
  setup.set("rest.kind", kind);
  return setup;
}

double tear_per_eighth(const nockwise::Setup& setup, const std::string& rest) {
  const Shot open = shoot(setup, half_twist("upper"));
  const Shot closed = shoot(setup, half_twist("upper", -1.0));
  const double slope = 0.125 * (open.up - closed.up) / (open.gap - closed.gap);
  check_range("tear per 1/8 in of open upper stop, " + setup.name + " on a " + rest, practice, -2.0, 2.0, slope, "in");
  return slope;
}

/// Which way it goes is not a matter of the cabling alone: the same bow turns round with the rest. A drop-away lets go
/// of the front, and the late upper cam's climbing nock lifts the tail; a capture holds the shaft until its tail has
/// passed, and what counts is how fast the nock still moves up or down as it parts, and how the shaft bends between
/// them.
TEST(TradeRules, ThereAreDesignsInWhichOpeningTheUpperCamTakesTailHighAway) {
  EXPECT_GT(tear_per_eighth(on_rest("larkspur", "limb_driven"), "drop-away"), 0.02);
  EXPECT_GT(tear_per_eighth(on_rest("larkspur", "capture"), "capture"), 0.05);
  EXPECT_GT(tear_per_eighth(on_rest("wheelwright", "capture"), "capture"), 0.1);
  EXPECT_LT(tear_per_eighth(on_rest("wheelwright", "limb_driven"), "drop-away"), -0.1);
}

TEST(TradeRules, FlexingRiserEndsActLikeASyncErrorAlthoughTheStopsTouchTogether) {
  for (const std::string bow : {"larkspur", "wheelwright"}) {
    nockwise::Setup setup = demo_bow(bow);
    setup.riser.upper_end_compliance = 2e-5;
    // Somebody moves the upper stop until both touch together again (secant).
    double gap = shoot(setup, {}).gap;
    const double rigid_gap = shoot(demo_bow(bow), {}).gap;
    for (int i = 0; i < 8 && std::fabs(gap - rigid_gap) > 1e-4; ++i) {
      setup.cams.upper.stop.angle -= (gap - rigid_gap) * inch / setup.cams.upper.stop.radius;
      gap = shoot(setup, {}).gap;
    }
    ASSERT_NEAR(gap, rigid_gap, 2e-4) << bow;
    const double tear = shoot(setup, {}).up - shoot(demo_bow(bow), {}).up;
    check_range("tear by an upper riser end that gives 0.02 mrad per N·m, stops touching together, " + setup.name,
                practice, -2.0, 2.0, tear, "in");
    EXPECT_GT(std::fabs(tear), 0.02) << bow;
  }
}

TEST(TradeRules, SquareAtBraceNeedNotBeSquareAtFullDraw) {
  for (const std::string bow : {"larkspur", "wheelwright"}) {
    const nockwise::Setup setup = demo_bow(bow);
    check_range("the nock rises from brace to full draw, " + setup.name, practice, -0.5, 0.5,
                shoot(setup, {}).nock_rise, "in");
    // The hand lower on the grip, and the line of the draw tilts.
    const Shot low = shoot(setup, {{"grip.pressure_point_y", -inch}});
    EXPECT_GT(std::fabs(low.nock_rise), 0.02) << bow;
  }
}

}  // namespace
}  // namespace nockwise::trade
