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
  figure("Larkspur, cord 2 in nearer", 0.0, response("larkspur", {{"rest.arm.cord_attachment", -2.0 * inch}}).up);
  figure("Larkspur, cord 1/8 in nearer", 0.0, response("larkspur", {{"rest.arm.cord_attachment", -inch / 8.0}}).up);
}

TEST(TradePage, SaysWhatSpineDoesAside) {
  nockwise::Setup weak = demo_bow("larkspur");
  weak.set("arrow.spine", weak.get("arrow.spine") + 0.05 * inch);
  figure("Larkspur, a class weaker", 0.0, shoot(weak, {}).right - shoot("larkspur").right);
  for (const std::string bow : {"larkspur", "alder"}) {
    nockwise::Setup hand = in_a_hand(bow);
    const double before = shoot(hand, {}).right;
    hand.set("arrow.spine", hand.get("arrow.spine") + 0.05 * inch);
    figure(bow + ", a class weaker in a hand", 0.0, shoot(hand, {}).right - before);
    figure(bow + ", an inch off the arrow in a hand", 0.0, aside(in_a_hand(bow), {{"arrow.length", -inch}}));
  }
}

TEST(TradePage, SaysHowFarRestShimsAndYokesReachAside) {
  for (const std::string bow : {"larkspur", "alder"}) {
    figure(bow + ", rest 1/16 in to the riser", 0.0, aside(demo_bow(bow), rest_in));
    figure(bow + ", cams 1/32 in to the left", 0.0, aside(demo_bow(bow), cams_left));
  }
  figure("Larkspur, half a twist in the top yoke", 0.0, aside(demo_bow("larkspur"), yoke_left));
}

}  // namespace
}  // namespace nockwise::trade
