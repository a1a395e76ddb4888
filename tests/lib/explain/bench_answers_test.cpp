// Messages as they come to a technician: what the verdict must be, and what must stand first.

#include "demo_bows.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/setup_file.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;

Case message(const std::string& bow, double up, double right) {
  Case observed;
  observed.setup = testing::demo_bow(bow);
  observed.tears.push_back({.up = up * inch, .right = right * inch});
  return observed;
}

void add_hole(Case& observed, double up, double right, const std::string& archer) {
  observed.tears.push_back({.up = up * inch, .right = right * inch, .label = "shot by " + archer, .archer = archer});
}

const CheckObservation stops_touch{"stop_gap", 0.0, inch / 64.0};
const CheckObservation arrow_is_square{"arrow_square", 0.0, inch / 32.0};
const CheckObservation nock_as_set{"string.nocking_point", 0.0, inch / 32.0};

CheckObservation rest_as_set(const Case& observed) {
  return {"rest.center_shot", observed.setup.rest.center_shot, inch / 32.0};
}

double likelihood(const Explanation& e, const std::string& name) {
  double sum = 0.0;
  for (const Cause& each : e.causes) {
    sum += each.adjustment.name == name ? each.probability : 0.0;
  }
  return sum;
}

bool moves(const Plan& plan, const std::string& name) {
  return std::any_of(plan.steps.begin(), plan.steps.end(),
                     [&](const PlanStep& step) { return step.adjustment.name == name; });
}

bool takes_up_a_wrench(const Plan& plan) {
  return std::any_of(plan.steps.begin(), plan.steps.end(),
                     [](const PlanStep& step) { return step.adjustment.group != AdjustmentGroup::technique; });
}

double largest_part(const OutputValues& v) {
  return std::max(std::fabs(v[Output::tear_up]), std::fabs(v[Output::tear_right]));
}

/// An answer that somebody can use: no contradiction is claimed, and there is a way, or words that say why not.
void expect_an_answer(const Explanation& e) {
  EXPECT_NE(e.verdict, Verdict::contradictory) << e.summary;
  EXPECT_NE(e.verdict, Verdict::useless) << e.summary;
  EXPECT_FALSE(e.plan.steps.empty()) << e.plan.refusal;
  EXPECT_LT(largest_part(e.plan.end), largest_part(e.plan.start));
}

TEST(BenchAnswers, OneHoleToTheLeftIsNoContradiction) {
  for (const char* bow : {"alder", "larkspur"}) {
    const Explanation e = explain(message(bow, 0.0, -0.75), {.next_checks = false});
    expect_an_answer(e);
    EXPECT_FALSE(e.plan.remedy);
    EXPECT_FALSE(e.plan.first.empty());
  }
}

TEST(BenchAnswers, LeftTearWithThreeChecksFineLeavesThemAlone) {
  Case observed = message("larkspur", 0.0, -0.5);
  observed.checks = {stops_touch, arrow_is_square, rest_as_set(observed)};
  const Explanation e = explain(observed, {.next_checks = false});
  expect_an_answer(e);
  EXPECT_FALSE(moves(e.plan, "cable.upper"));
  EXPECT_FALSE(moves(e.plan, "cable.lower"));
}

TEST(BenchAnswers, HighTearWithAllCheckedGetsARemedy) {
  Case observed = message("larkspur", 1.5, 0.0);
  observed.checks = {stops_touch,
                     arrow_is_square,
                     rest_as_set(observed),
                     nock_as_set,
                     {"rest.height", observed.setup.rest.height, inch / 32.0},
                     {"rest.arm.cord_attachment", observed.setup.rest.arm.cord_attachment, inch / 8.0}};
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_TRUE(e.verdict == Verdict::unexplained || e.verdict == Verdict::unusual) << e.summary;
  expect_an_answer(e);
  EXPECT_EQ(e.plan.remedy, e.verdict == Verdict::unexplained);
  EXPECT_NEAR(e.plan.start[Output::tear_up], 1.5 * inch, usual_reading_error);
}

TEST(BenchAnswers, AHoleThatAFriendShootsCleanPointsAtTheArcher) {
  Case observed = message("larkspur", 0.0, -0.75);
  add_hole(observed, 0.0, 0.0, "a friend");
  const Explanation e = explain(observed);
  expect_an_answer(e);
  EXPECT_EQ(e.causes.front().adjustment.name, "grip.torque") << e.summary;
  EXPECT_FALSE(takes_up_a_wrench(e.plan));
  EXPECT_EQ(e.plan.steps.front().adjustment.group, AdjustmentGroup::technique);
  EXPECT_LT(largest_part(e.plan.end), usual_reading_error);
  for (const NextCheck& each : e.next_checks) {
    EXPECT_NE(each.name, "no_grip_torque");  // another hand has been tried
  }
}

TEST(BenchAnswers, TheSameTearFromTwoArchersIsTheBow) {
  Case observed = message("larkspur", 0.0, -0.5);
  const double alone = likelihood(explain(observed, {.next_checks = false, .plan = false}), "grip.torque");
  add_hole(observed, 0.0, -0.5, "a friend");
  const Explanation e = explain(observed, {.next_checks = false});
  expect_an_answer(e);
  EXPECT_LT(likelihood(e, "grip.torque"), alone);
  EXPECT_LT(likelihood(e, "grip.torque"), 0.05);
  EXPECT_TRUE(takes_up_a_wrench(e.plan));
}

TEST(BenchAnswers, AMachineHasNoHandToSuspect) {
  Case observed = message("larkspur", 0.0, -0.4);
  observed.tears.front().archer = "machine";
  const Explanation e = explain(observed, {.next_checks = false, .plan = false});
  EXPECT_NE(e.verdict, Verdict::contradictory);
  EXPECT_EQ(likelihood(e, "grip.torque"), 0.0);
}

TEST(BenchAnswers, TheFriendsOwnHandIsNotTheBows) {
  Case observed = message("larkspur", 0.0, 0.0);
  add_hole(observed, 0.0, -0.6, "a friend");
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_NE(e.verdict, Verdict::contradictory) << e.summary;
  EXPECT_EQ(e.causes.front().adjustment.name, "grip.torque@a friend") << e.summary;
  EXPECT_FALSE(takes_up_a_wrench(e.plan));
}

TEST(BenchAnswers, AnOpenStopIsSetFirst) {
  Case observed = message("larkspur", 0.5, 0.0);
  observed.checks = {{"stop_gap", inch / 16.0, inch / 64.0}};
  const Explanation e = explain(observed, {.next_checks = false});
  expect_an_answer(e);
  ASSERT_FALSE(e.plan.steps.empty());
  EXPECT_EQ(e.plan.steps.front().adjustment.group, AdjustmentGroup::sync);
  EXPECT_LE(std::fabs(e.plan.steps.front().after[Output::stop_gap]), inch / 32.0);
}

TEST(BenchAnswers, StopsThatTouchTogetherStayAsTheyAre) {
  Case observed = message("alder", 0.6, 0.0);
  observed.checks = {stops_touch};
  const Explanation e = explain(observed, {.next_checks = false});
  expect_an_answer(e);
  for (const PlanStep& step : e.plan.steps) {
    EXPECT_NE(step.adjustment.group, AdjustmentGroup::sync) << step.instruction;
  }
}

TEST(BenchAnswers, ACordThatWasFoundOffIsPutRight) {
  Case observed = message("larkspur", 0.0, 0.0);
  const double found = observed.setup.rest.arm.cord_attachment + 1.5 * inch;
  nockwise::Setup hidden = observed.setup;
  hidden.rest.arm.cord_attachment = found;
  const Shot shot = shoot(hidden);
  ASSERT_TRUE(shot.flew) << shot.failure;
  observed.tears.front().up = shot.value[Output::tear_up];
  observed.tears.front().right = shot.value[Output::tear_right];
  observed.checks = {{"rest.arm.cord_attachment", found, inch / 8.0}, stops_touch, nock_as_set};
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_EQ(e.causes.front().adjustment.name, "cord.attachment");
  if (e.verdict != Verdict::clean) {
    EXPECT_TRUE(moves(e.plan, "cord.attachment")) << e.summary;
  }
}

TEST(BenchAnswers, HolesThatNoOneBowShootsAreContradictory) {
  Case observed = message("alder", 0.75, 0.0);
  observed.tears.push_back({.up = -0.75 * inch});
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_EQ(e.verdict, Verdict::contradictory) << e.summary;
  EXPECT_TRUE(e.plan.steps.empty());
}

TEST(BenchAnswers, ChecksThatDisagreeAreContradictory) {
  Case observed = message("alder", 0.4, 0.0);
  observed.checks = {nock_as_set, {"string.nocking_point", 0.5 * inch, inch / 32.0}};
  EXPECT_EQ(explain(observed, {.next_checks = false}).verdict, Verdict::contradictory);
}

/// Left-handed, and both holes of a bow whose rest and cables look right.
Case bare_shaft_far_out(bool left_handed) {
  Case observed = message("larkspur", 0.0, left_handed ? 0.375 : -0.375);
  TearObservation bare{.right = left_handed ? inch : -inch, .label = "bare shaft", .changes = {bare_shaft()}};
  observed.tears.push_back(bare);
  observed.setup = left_handed ? mirrored(observed.setup) : observed.setup;
  return observed;
}

TEST(BenchAnswers, ABareShaftFarOutIsNoContradictionForEitherHand) {
  const Explanation right = explain(bare_shaft_far_out(false), {.next_checks = false});
  const Explanation left = explain(bare_shaft_far_out(true), {.next_checks = false});
  expect_an_answer(right);
  expect_an_answer(left);
  // The mirrored case gives the mirrored answer: the same words but for the sides, and the same steps.
  EXPECT_EQ(right.verdict, left.verdict);
  ASSERT_EQ(right.plan.steps.size(), left.plan.steps.size());
  EXPECT_NEAR(right.plan.end[Output::tear_up], left.plan.end[Output::tear_up], 1e-5);
  EXPECT_NEAR(right.plan.end[Output::tear_right], -left.plan.end[Output::tear_right], 1e-5);
  for (std::size_t i = 0; i < right.plan.steps.size(); ++i) {
    EXPECT_EQ(right.plan.steps[i].adjustment.name, left.plan.steps[i].adjustment.name);
  }
}

TEST(BenchAnswers, ALabelAloneMakesNoBowForTheOtherHand) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  EXPECT_TRUE(handedness_doubts(setup).empty());
  EXPECT_TRUE(handedness_doubts(mirrored(setup)).empty());
  setup.handedness = Handedness::left;
  EXPECT_FALSE(handedness_doubts(setup).empty());
}

}  // namespace
}  // namespace nockwise
