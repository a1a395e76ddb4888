// The figures of lib/trade.md: what the demo bows answer where a technician would expect something else.
#include "trade_shot.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <iostream>

namespace nockwise::trade {
namespace {

using testing::demo_bow;

/// A figure of the page [in].
void figure(const std::string& what, double written, double found) {
  EXPECT_NEAR(found, written, 0.006) << what;
  if (std::getenv("NOCKWISE_TRADE_FIGURES") != nullptr) {
    std::cout << what << ": " << found << " in\n";
  }
}

nockwise::Setup in_a_hand(const std::string& bow) {
  nockwise::Setup setup = demo_bow(bow);
  setup.hold.grip_torque = 0.3;
  return setup;
}

double aside(const nockwise::Setup& setup, const Change& change) { return response(setup, change).right; }

const Change rest_in = {{"rest.center_shot", inch / 16.0}};
const Change cams_left = {{"cams.upper.shim", -inch / 32.0}, {"cams.lower.shim", -inch / 32.0}};
const Change yoke_left = {{"cables.lower.yoke.left_twists", 0.5}, {"cables.lower.yoke.right_twists", -0.5}};

TEST(TradePage, SaysWhatTheCordOfADropAwayDoes) {
  figure("Larkspur, cord 2 in nearer", 0.15, response("larkspur", {{"rest.arm.cord_attachment", -2.0 * inch}}).up);
  figure("Larkspur, cord 1/8 in nearer", 0.01, response("larkspur", {{"rest.arm.cord_attachment", -inch / 8.0}}).up);
}

TEST(TradePage, SaysWhatALateDropDoes) {
  nockwise::Setup late = demo_bow("larkspur");
  late.rest.arm.cord_slack += 0.02;
  figure("Larkspur, cord 20 mm longer, then 4 mm shorter", -0.23, response(late, {{"rest.arm.cord_slack", -0.004}}).up);
}

TEST(TradePage, SaysWhatSpineDoesAside) {
  nockwise::Setup weak = demo_bow("larkspur");
  weak.set("arrow.spine", weak.get("arrow.spine") + 0.05 * inch);
  figure("Larkspur, a class weaker", 0.0, shoot(weak, {}).right - shoot("larkspur").right);
  const auto weaker_in_a_hand = [](const std::string& bow) {
    nockwise::Setup hand = in_a_hand(bow);
    const double before = shoot(hand, {}).right;
    hand.set("arrow.spine", hand.get("arrow.spine") + 0.05 * inch);
    return shoot(hand, {}).right - before;
  };
  figure("Larkspur, a class weaker in a hand", 0.01, weaker_in_a_hand("larkspur"));
  figure("Alder, a class weaker in a hand", -0.03, weaker_in_a_hand("alder"));
  figure("Larkspur, an inch off the arrow in a hand", 0.02, aside(in_a_hand("larkspur"), {{"arrow.length", -inch}}));
}

TEST(TradePage, SaysHowFarRestShimsAndYokesReachAside) {
  figure("Larkspur, rest 1/16 in to the riser", 0.07, aside(demo_bow("larkspur"), rest_in));
  figure("Alder, rest 1/16 in to the riser", 0.26, aside(demo_bow("alder"), rest_in));
  figure("Larkspur, cams 1/32 in to the left", 0.07, aside(demo_bow("larkspur"), cams_left));
  figure("Alder, cams 1/32 in to the left", 0.10, aside(demo_bow("alder"), cams_left));
  figure("Larkspur, half a twist in the top yoke", 0.03, aside(demo_bow("larkspur"), yoke_left));
}

}  // namespace
}  // namespace nockwise::trade
