// Messages as they come to a technician: what the verdict must be, and what must stand first.

#include "demo_bows.hpp"
#include "lib/explain/bench_messages.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/setup_file.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace nockwise {
namespace {

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
  const Explanation known = explain(observed, {.next_checks = false, .ignorance = 0.0});
  EXPECT_TRUE(known.verdict == Verdict::unexplained || known.verdict == Verdict::unusual) << known.summary;
  expect_an_answer(known);
  EXPECT_EQ(known.plan.remedy, known.verdict == Verdict::unexplained);
  EXPECT_NEAR(known.plan.start[Output::tear_up], 1.5 * inch, usual_reading_error);
  // Where the bow is known as well as a workshop knows it, it may tear so with everything as it should be, or nearly:
  // no ordinary fault is claimed, and there is a way all the same.
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_TRUE(e.verdict == Verdict::unusual || e.verdict == Verdict::not_this_bow ||
              e.summary.find("Nothing need be off") != std::string::npos)
      << e.summary;
  expect_an_answer(e);
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
  const ExplanationOptions known{.next_checks = false, .ignorance = 0.0};
  const double alone = likelihood(explain(observed, known), "grip.torque");
  add_hole(observed, 0.0, -0.5, "a friend");
  const Explanation e = explain(observed, known);
  expect_an_answer(e);
  EXPECT_LT(likelihood(e, "grip.torque"), alone);
  EXPECT_LT(likelihood(e, "grip.torque"), 0.05);
  EXPECT_TRUE(takes_up_a_wrench(e.plan));
  // Where the bow is not known, a little of a hand's torque is as likely as before, and a check may come before a
  // wrench that moves this bow's hole by so little; it is not the hand's turn all the same.
  const Explanation less = explain(observed);
  EXPECT_NE(less.verdict, Verdict::contradictory) << less.summary;
  EXPECT_LT(likelihood(less, "grip.torque"), 0.1);
  EXPECT_TRUE(less.next.kind == NextKind::adjustment || !less.next.checks.empty()) << less.next.instruction;
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

/// Every message for the other hand: the same answer, with the sides changed.
TEST(BenchAnswers, MessagesOfTheOtherHandGetTheMirroredAnswer) {
  for (const char* bow : {"larkspur", "alder", "wheelwright"}) {
    Case right = message(bow, 0.4, -0.5);
    right.checks = {stops_touch, rest_as_set(right)};
    Case left = right;
    left.setup = mirrored(right.setup);
    left.tears.front().right = -right.tears.front().right;
    left.checks.back().value = left.setup.rest.center_shot;
    const Explanation a = explain(right, {.next_checks = false});
    const Explanation b = explain(left, {.next_checks = false});
    EXPECT_EQ(a.verdict, b.verdict) << bow;
    ASSERT_EQ(a.causes.size(), b.causes.size()) << bow;
    const auto side_of = [](const std::string& name) {  // a left leg is the other's right one
      std::string other = name;
      if (name.ends_with(".left")) {
        other.replace(name.size() - 4, 4, "right");
      } else if (name.ends_with(".right")) {
        other.replace(name.size() - 5, 5, "left");
      }
      return other;
    };
    ASSERT_EQ(a.plan.steps.size(), b.plan.steps.size()) << bow;
    for (std::size_t i = 0; i < a.plan.steps.size(); ++i) {
      EXPECT_EQ(a.plan.steps[i].adjustment.name, side_of(b.plan.steps[i].adjustment.name)) << bow;
      EXPECT_NEAR(a.plan.steps[i].after[Output::tear_right], -b.plan.steps[i].after[Output::tear_right], 1e-5) << bow;
    }
    for (const Caution& each : b.cautions) {
      EXPECT_EQ(each.words.find("handedness alone"), std::string::npos) << each.words;
    }
  }
}

/// One cable with a yoke, the other on the other cam's let-out track, in time.
nockwise::Setup hybrid_bow() {
  nockwise::Setup hybrid = testing::demo_bow("alder");
  hybrid.name = "Alder 37, as a hybrid";
  hybrid.cables.lower.end = CableEnd::yoke;
  const auto gap_with = [&](double length) {
    hybrid.cables.lower.length = length;
    return shoot(hybrid).value[Output::stop_gap];
  };
  const double crossed = hybrid.cables.lower.length;
  double length = crossed - 0.010;  // [m] where the yoke takes up what the other cam let out
  double before = length + 0.001;
  double gap_before = gap_with(before);
  for (int i = 0; i < 4; ++i) {
    const double gap = gap_with(length);
    const double next = length - gap * (length - before) / (gap - gap_before);
    before = length;
    gap_before = gap;
    length = next;
  }
  EXPECT_NEAR(gap_with(length), 0.0, 1e-5);
  return hybrid;
}

TEST(BenchAnswers, AHybridWithOneYokeIsAnsweredByThatYoke) {
  Case observed;
  observed.setup = hybrid_bow();
  const std::vector<Adjustment> all = adjustments(observed.setup);
  const Adjustment& yoke = find_adjustment(all, "yoke.top.cross");
  EXPECT_GT(yoke.prior, 0.0);
  EXPECT_TRUE(std::none_of(all.begin(), all.end(), [](const Adjustment& a) {
    return a.name == "yokes.cross" || a.name == "yoke.bottom.cross";
  }));
  const Shot right = shoot(observed.setup);
  const Shot shot = shoot(adjusted(observed.setup, yoke, 4.0));
  ASSERT_TRUE(right.flew && shot.flew) << right.failure << shot.failure;
  const OutputValues& v = shot.value;
  observed.tears.push_back({.up = v[Output::tear_up], .right = v[Output::tear_right], .reading_error = 0.001});
  observed.checks = {{"lean_upper", v[Output::lean_upper], 0.003},
                     {"lean_lower", v[Output::lean_lower], 0.003},
                     {"stop_gap", v[Output::stop_gap], inch / 64.0}};
  const Explanation e = explain(observed, {.next_checks = false, .plan = false});
  EXPECT_NE(e.verdict, Verdict::contradictory) << e.summary;
  EXPECT_EQ(e.causes.front().adjustment.name, "yoke.top.cross") << e.summary;
}

/// Ends of the riser that give: nothing ordinary makes such a tear of a bow in time, and an unusual cause is told.
TEST(BenchAnswers, ARiserEndThatGivesIsThoughtOfWhenAllElseIsRight) {
  Case observed = message("larkspur", 0.0, 0.0);
  nockwise::Setup hidden = observed.setup;
  hidden.riser.upper_end_compliance = 2.5e-4;
  const Shot shot = shoot(hidden);
  ASSERT_TRUE(shot.flew) << shot.failure;
  const OutputValues& v = shot.value;
  observed.tears.front() = {.up = v[Output::tear_up], .right = v[Output::tear_right], .reading_error = inch / 32.0};
  observed.checks = {{"stop_gap", v[Output::stop_gap], inch / 64.0},
                     {"arrow_square", v[Output::arrow_square], inch / 64.0},
                     {"string.nocking_point", observed.setup.string.nocking_point, inch / 64.0},
                     {"rest.height", observed.setup.rest.height, inch / 64.0},
                     {"peak_force", v[Output::peak_force], 2.0},
                     {"cables.upper.twists", observed.setup.cables.upper.twists, 0.1},
                     {"cables.lower.twists", observed.setup.cables.lower.twists, 0.1}};
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_NE(e.verdict, Verdict::contradictory) << e.summary;
  EXPECT_TRUE(e.verdict == Verdict::explained || likelihood(e, "riser.upper_end") > 0.02) << e.summary;
  for (const PlanStep& step : e.plan.steps) {
    EXPECT_NE(step.adjustment.name, "riser.upper_end");  // no wrench moves it
  }
}

}  // namespace
}  // namespace nockwise
