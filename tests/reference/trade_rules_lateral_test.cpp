// Facts of the trade (common practice, no source) about left and right: remedies, spine, grip. Where a bow disagrees,
// the test says so and why.
#include "nockwise/model.hpp"
#include "trade_shot.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace nockwise::trade {
namespace {

using testing::demo_bow;

const std::string bows[] = {"larkspur", "alder", "wheelwright"};

TEST(LateralRules, MovingTheCamsLeftOrTheRestTowardTheRiserTakesTailLeftAway) {
  // The demo bows are right-handed: the riser's window is on the archer's right of the arrow.
  for (const std::string bow : {"larkspur", "alder"}) {
    EXPECT_GT(response(bow, {{"cams.upper.shim", -0.001}, {"cams.lower.shim", -0.001}}).right, 0.02) << bow;
    EXPECT_GT(response(bow, {{"rest.center_shot", inch / 16.0}}).right, 0.02) << bow;
  }
}

TEST(LateralRules, TurnsIntoTheLeftYokeLegAndOutOfTheRightTakeTailLeftAway) {
  for (const std::string bow : {"larkspur", "wheelwright"}) {
    Change change;
    for (const std::string cable : {"upper", "lower"}) {
      change.emplace_back("cables." + cable + ".yoke.left_twists", 1.0);
      change.emplace_back("cables." + cable + ".yoke.right_twists", -1.0);
    }
    // Wheelwright's cables pull less and its limbs twist less: the same turns do a tenth of the Larkspur's work.
    EXPECT_GT(response(bow, change).right, bow == "larkspur" ? 0.02 : 0.002) << bow;
  }
}

TEST(LateralRules, RemediesTurnRoundForALeftHandedBow) {
  for (const std::string& bow : bows) {
    const nockwise::Setup setup = demo_bow(bow);
    const Shot shim = response(setup, {{"cams.upper.shim", -0.001}, {"cams.lower.shim", -0.001}});
    const Shot rest = response(setup, {{"rest.center_shot", inch / 16.0}});
    const nockwise::Setup left = mirrored(setup);
    EXPECT_EQ(response(left, {{"cams.upper.shim", 0.001}, {"cams.lower.shim", 0.001}}).right, -shim.right) << bow;
    EXPECT_EQ(response(left, {{"rest.center_shot", -inch / 16.0}}).right, -rest.right) << bow;
    EXPECT_EQ(shoot(left, {}).up, shoot(setup, {}).up) << bow;
  }
}

TEST(LateralRules, ASixteenthOfRestMatters) {
  // Least on the Larkspur, whose drop-away lets the shaft go before the rest can steer it far.
  for (const std::string& bow : bows) {
    const Shot rest = response(bow, {{"rest.center_shot", inch / 16.0}});
    check_range(
        "tear by the rest 1/16 in toward the riser, " + demo_bow(bow).name + " (rule: it matters, to the right)",
        practice, 0.02, 0.6, rest.right, "in");
  }
}

/// A hand that turns the bow tears; moving the rest or the cams shifts both of a left and a right shot alike, so that
/// what a hand that is not steady tears stays.
TEST(LateralRules, NoAdjustmentRemovesWhatAHardHandTears) {
  const auto scatter = [](const nockwise::Setup& setup) {
    return shoot(setup, {{"hold.grip_torque", -0.5}}).right - shoot(setup, {{"hold.grip_torque", 0.5}}).right;
  };
  for (const std::string& bow : bows) {
    const nockwise::Setup setup = demo_bow(bow);
    const double found = scatter(setup);
    check_range("tear from a grip torque of -0.5 less that from +0.5 N·m, " + setup.name, practice, 0.2, 2.0, found,
                "in");
    nockwise::Setup rest = setup;
    rest.rest.center_shot += inch / 16.0;
    nockwise::Setup shims = setup;
    shims.cams.upper.shim -= 0.001;
    shims.cams.lower.shim -= 0.001;
    EXPECT_NEAR(scatter(rest) / found, 1.0, 0.1) << bow;
    // Shims re-time the Larkspur's cams besides, and it then answers its hand by a fifth more.
    EXPECT_NEAR(scatter(shims) / found, 1.0, bow == "larkspur" ? 0.2 : 0.1) << bow;
  }
}

/// Right-handed archer, mechanical release: weak tears to the left, stiff to the right. In the model a shaft adds no
/// side of its own, it enlarges or lessens what the bow does to it: so the rule holds with the hand that tears
/// tail-left, as a right hand on the grip does, and turns round with a rest that stands too far right.
TEST(LateralRules, AWeakShaftTearsFartherToTheSideThatItIsPushedTo) {
  const auto spine = [](nockwise::Setup setup, double value) {
    setup.set("arrow.spine", value * inch);
    return shoot(setup, {}).right;
  };
  for (const std::string& bow : bows) {
    nockwise::Setup hand = demo_bow(bow);
    hand.hold.grip_torque = 0.4;
    const std::string what = ", " + hand.name + " in a hand of 0.4 N·m";
    const double stiff = spine(hand, 0.25);
    const double weak = spine(hand, 0.5);
    const double weaker = spine(hand, 0.7);
    check_range("tear of a 0.500 less that of a 0.250 spine" + what + " (rule: to the left)", practice, -1.0, -0.05,
                weak - stiff, "in");
    check_range("tear of a 0.700 less that of a 0.250 spine" + what + " (rule: to the left)", practice, -1.0, -0.1,
                weaker - stiff, "in");
    nockwise::Setup rest = demo_bow(bow);
    rest.rest.center_shot += 0.003;
    EXPECT_GT(spine(rest, 0.5) - spine(rest, 0.25), 0.05) << bow;
    // With nothing that pushes, next to nothing happens.
    EXPECT_LT(std::fabs(spine(demo_bow(bow), 0.5) - spine(demo_bow(bow), 0.25)), 0.02) << bow;
  }
}

TEST(LateralRules, SpineHasToBeFarOffBeforePaperShowsItVertically) {
  const auto range = [](const std::string& bow) {
    double least = 1e9;
    double most = -1e9;
    for (const double spine : {0.25, 0.3, 0.34, 0.4, 0.5}) {
      nockwise::Setup setup = demo_bow(bow);
      setup.set("arrow.spine", spine * inch);
      const double up = shoot(setup, {}).up;
      least = std::min(least, up);
      most = std::max(most, up);
    }
    return most - least;
  };
  for (const std::string bow : {"alder", "wheelwright"}) {
    check_range("vertical tear over spines from 0.250 to 0.500, " + demo_bow(bow).name + " (rule: hardly any)",
                practice, 0.0, 0.06, range(bow), "in");
  }
  // The Larkspur disagrees: its drop-away leaves the shaft to swing by itself for the last 6 ms on the string, and what
  // the tear shows is the phase of that swing at the paper. A blade carries and damps the others' shafts to the end.
  check_range("vertical tear over spines from 0.250 to 0.500, Larkspur 33 (rule: hardly any)", disagreement(practice),
              0.2, 1.5, range("larkspur"), "in");
}

TEST(LateralRules, AnInchOffTheArrowMakesItStiffer) {
  for (const std::string& bow : bows) {
    const double longer = Model(demo_bow(bow)).arrow().frequencies.front();
    nockwise::Setup cut = demo_bow(bow);
    cut.arrow.length -= inch;
    const double shorter = Model(cut).arrow().frequencies.front();
    check_range("first bending frequency by an inch off the arrow, " + cut.name, practice, 1.03, 1.12,
                shorter / longer);
  }
}

TEST(LateralRules, CentreShotIsAboutThirteenSixteenthsToSevenEighths) {
  for (const char* name : testing::demo_bow_names) {
    const nockwise::Setup setup = demo_bow(name);
    check_range(setup.name + ": centre shot from the riser's window", practice, 0.75, 0.95,
                (setup.riser.window_offset - setup.rest.center_shot) / inch, "in");
  }
}

}  // namespace
}  // namespace nockwise::trade
