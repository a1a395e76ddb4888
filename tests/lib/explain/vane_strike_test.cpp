// A vane that strikes as a cause: found by its marks, and cured by a turn of the nock.
#include "demo_bows.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/tear_matrix.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <numbers>
#include <string>

namespace nockwise {
namespace {

/// The hole of the Alder with its nock turned, and how far the marks on its vanes reach.
Case case_of_turned_nock(double degrees) {
  Case observed;
  observed.setup = testing::demo_bow("alder");
  nockwise::Setup bow = observed.setup;
  bow.arrow.fletching.clocking = degrees * std::numbers::pi / 180.0;
  const Shot shot = shoot(bow);
  EXPECT_TRUE(shot.vane_strike);
  observed.tears.push_back({.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right]});
  observed.checks = {{"vane_marks", shot.value[Output::vane_marks], 0.002}};
  return observed;
}

TEST(VaneStrikeCause, IsFoundByItsMarksAndCuredByATurnOfTheNock) {
  const Explanation e = explain(case_of_turned_nock(35.0));
  EXPECT_EQ(e.verdict, Verdict::unusual) << e.summary;
  ASSERT_FALSE(e.causes.empty());
  EXPECT_EQ(e.causes.front().adjustment.name, "vanes.clocking");
  EXPECT_NE(e.causes.front().words.find("degrees too far clockwise"), std::string::npos) << e.causes.front().words;
  EXPECT_FALSE(e.causes.front().adjustment.prior_reason.empty());
  const auto turned = std::find_if(e.plan.steps.begin(), e.plan.steps.end(),
                                   [](const PlanStep& step) { return step.adjustment.name == "vanes.clocking"; });
  ASSERT_NE(turned, e.plan.steps.end());
  EXPECT_LT(turned->steps, 0.0);
}

/// With a rest that drops so late that an ordinary fault lets its vanes strike.
TEST(VaneStrikeCause, IsAskedForByPowderOrLipstick) {
  Case observed;
  observed.setup = testing::demo_bow("larkspur");
  observed.setup.rest.arm.cord_slack += 0.016;
  ASSERT_FALSE(shoot(observed.setup).vane_strike);
  observed.tears.push_back({.up = 0.0127});
  const Explanation e = explain(observed, {.plan = false, .ignorance = 0.0});
  const auto asked = std::find_if(e.next_checks.begin(), e.next_checks.end(),
                                  [](const NextCheck& check) { return check.name == "vane_marks"; });
  ASSERT_NE(asked, e.next_checks.end());
  EXPECT_NE(asked->instruction.find("powder"), std::string::npos);
  EXPECT_NE(asked->instruction.find("lipstick"), std::string::npos);
}

TEST(VaneStrikeCause, IsNotThoughtOfWhereVanesHaveRoom) {
  Case observed;
  observed.setup = testing::demo_bow("larkspur");
  observed.tears.push_back({.up = 0.07, .right = -0.05});
  const Explanation e = explain(observed, {.plan = false});
  for (const Deviation& each : e.deviations) {
    EXPECT_NE(each.adjustment.group, AdjustmentGroup::clearance);
  }
}

}  // namespace
}  // namespace nockwise
