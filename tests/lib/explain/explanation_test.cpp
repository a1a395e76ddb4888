#include "nockwise/explanation.hpp"

#include "demo_bows.hpp"
#include "lib/shots/tuning_bow.hpp"
#include "nockwise/error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;

Case case_of(double up, double right) {
  Case observed;
  observed.setup = tuning_bow();
  observed.tears.push_back({.up = up * inch, .right = right * inch});
  return observed;
}

/// The tears that a bow with this fault shows: as found, and with a bare shaft.
Case case_with(const std::string& fault, double steps) {
  Case observed;
  observed.setup = tuning_bow();
  const nockwise::Setup hidden = adjusted(observed.setup, find_adjustment(adjustments(observed.setup), fault), steps);
  const Shot shot = shoot(hidden);
  observed.tears.push_back({.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right]});
  nockwise::Setup bare = hidden;
  bare.arrow.fletching.count = 0;
  const Shot bare_shot = shoot(bare);
  observed.tears.push_back({.up = bare_shot.value[Output::tear_up],
                            .right = bare_shot.value[Output::tear_right],
                            .label = "bare shaft",
                            .changes = {bare_shaft()}});
  return observed;
}

const Cause& cause(const Explanation& e, const std::string& name) {
  const auto found =
      std::find_if(e.causes.begin(), e.causes.end(), [&](const Cause& c) { return c.adjustment.name == name; });
  if (found == e.causes.end()) {
    throw std::runtime_error("no cause " + name);
  }
  return *found;
}

TEST(Explanation, FindsAFaultAndRepairsIt) {
  Case observed = case_with("nocking_point", 2.5);
  observed.checks = {{"string.nocking_point", 2.5 * inch / 16.0, inch / 32.0}, {"stop_gap", 0.0, inch / 64.0}};
  const Explanation e = explain(observed);
  ASSERT_EQ(e.verdict, Verdict::explained) << e.summary;
  // A fixed rest bounces an arrow that is nocked low: there may be two amounts, and one of them is the truth.
  const bool found = std::any_of(e.causes.begin(), e.causes.end(), [](const Cause& c) {
    return c.adjustment.name == "nocking_point" && c.like_first && c.explains && c.low < 2.5 && c.high > 2.5;
  });
  EXPECT_TRUE(found);
  ASSERT_TRUE(e.plan.possible) << e.plan.refusal;
  nockwise::Setup hidden = adjusted(observed.setup, find_adjustment(adjustments(observed.setup), "nocking_point"), 2.5);
  for (const PlanStep& step : e.plan.steps) {
    EXPECT_EQ(step.steps, std::round(step.steps));
    EXPECT_GE(step.steps, step.adjustment.least_steps);
    EXPECT_LE(step.steps, step.adjustment.most_steps);
    hidden = adjusted(hidden, step.adjustment, step.steps);
  }
  const Shot repaired = shoot(hidden);
  ASSERT_TRUE(repaired.flew);
  EXPECT_LT(std::fabs(repaired.value[Output::tear_up]), usual_reading_error);
  EXPECT_LT(std::fabs(repaired.value[Output::tear_right]), usual_reading_error);
  EXPECT_FALSE(e.cautions.empty());
  EXPECT_FALSE(e.assumptions.empty());
  EXPECT_GT(e.plan.uncertainty_up, 0.0);
}

TEST(Explanation, KnowsWhatItCannotTellApart) {
  const Explanation e = explain(case_of(0.5, 0.0), {.plan = false});
  ASSERT_EQ(e.verdict, Verdict::explained) << e.summary;
  const auto alike = std::count_if(e.causes.begin(), e.causes.end(), [](const Cause& c) { return c.like_first; });
  EXPECT_GE(alike, 2);  // nocking point and rest height, at least
  ASSERT_FALSE(e.findings.empty());
  EXPECT_NE(e.findings.front().find("look the same"), std::string::npos);
  ASSERT_GE(e.next_checks.size(), 5U);
  for (std::size_t i = 1; i < e.next_checks.size(); ++i) {
    EXPECT_GE(e.next_checks[i - 1].merit, e.next_checks[i].merit);
  }
  EXPECT_GT(e.next_checks.front().information, 0.5);
}

TEST(Explanation, ChecksSettleIt) {
  Case observed = case_with("rest.height", 2.0);
  observed.checks = {{"stop_gap", 0.0, inch / 64.0}, {"string.nocking_point", 0.0, inch / 32.0}};
  const Explanation e = explain(observed, {.next_checks = false, .plan = false, .ignorance = 0.0});
  EXPECT_EQ(e.causes.front().adjustment.name, "rest.height");
  EXPECT_GT(e.causes.front().probability, 0.6);
  EXPECT_NEAR(e.causes.front().steps, 2.0, 1.0);
  // Of a bow that is known less well it is first all the same, and not so sure.
  const Explanation less = explain(observed, {.next_checks = false, .plan = false});
  EXPECT_EQ(less.causes.front().adjustment.name, "rest.height");
  EXPECT_GT(less.causes.front().probability, 1.2 * less.causes[1].probability);
}

TEST(Explanation, TwoFaultsNeedTwoCauses) {
  // Known to the last digit; else one fault, and what is not known of the bow, make it as well.
  const Explanation e = explain(case_of(0.5, -0.4), {.next_checks = false, .plan = false, .ignorance = 0.0});
  EXPECT_FALSE(e.causes.front().explains);
  ASSERT_FALSE(e.pairs.empty());
  EXPECT_TRUE(e.pairs.front().explains);
}

TEST(Explanation, LeavesACleanBowAlone) {
  const Explanation e = explain(case_of(0.05, -0.1));
  EXPECT_EQ(e.verdict, Verdict::clean);
  EXPECT_TRUE(e.plan.steps.empty());
}

TEST(Explanation, AsksForMoreHolesBeforeItCallsAlmostATearClean) {
  Case thrice = case_of(0.02, 0.0);  // one hole alone is not enough where the bow's own tear is not known beforehand
  thrice.tears.resize(3, thrice.tears.front());
  const Explanation sure = explain(thrice);
  EXPECT_EQ(sure.verdict, Verdict::clean);
  EXPECT_GT(sure.plan.confidence, 0.95);
  EXPECT_TRUE(sure.next_checks.empty());
  const Explanation unsure =
      explain(case_of(0.12, 0.1), {.ignorance = 0.0});  // else it is a tear, more likely than not
  EXPECT_EQ(unsure.verdict, Verdict::clean);
  EXPECT_LT(unsure.plan.confidence, 0.95);
  ASSERT_EQ(unsure.next_checks.size(), 1U);
  EXPECT_EQ(unsure.next_checks.front().name, "more_holes");
  EXPECT_EQ(unsure.next_checks.front().tears.size(), 2U);
  EXPECT_FALSE(unsure.plan.first.empty());
}

TEST(Explanation, MoreHolesMakeThePlanSurer) {
  Case observed = case_of(0.5, 0.2);
  const ExplanationOptions known{.next_checks = false, .ignorance = 0.0};  // else it may be another plan
  const Explanation once = explain(observed, known);
  observed.tears.insert(observed.tears.end(), 3, observed.tears.front());
  const Explanation four = explain(observed, known);
  EXPECT_LT(four.plan.uncertainty_up, once.plan.uncertainty_up);
  EXPECT_LT(four.plan.uncertainty_right, once.plan.uncertainty_right);
  EXPECT_GE(four.plan.confidence, once.plan.confidence);
}

/// A hand that is known to twist the bow, and one thing that is off and alone suspected.
Case case_of_twisted(const std::string& fault, double torque, double steps, double prior) {
  Case observed;
  observed.setup = testing::demo_bow("larkspur");
  observed.setup.hold.grip_torque += torque;
  const auto list = adjustments(observed.setup);
  const Shot shot = shoot(adjusted(observed.setup, find_adjustment(list, fault), steps));
  observed.tears.push_back({.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right]});
  for (const Adjustment& each : list) {
    observed.priors.push_back({each.name, each.name == fault ? prior : 0.0});
  }
  return observed;
}

/// Of a bow that is known: else a first round is offered in place of a refusal.
std::string refusal_of(const Case& observed, bool arrow_steps = true) {
  const Explanation e = explain(observed, {.next_checks = false, .arrow_steps = arrow_steps, .ignorance = 0.0});
  EXPECT_EQ(e.verdict, Verdict::explained) << e.summary;
  EXPECT_FALSE(e.plan.possible);
  EXPECT_LT(e.plan.confidence, 0.6);
  return e.plan.refusal;
}

void expect_words(const std::string& text, const std::vector<std::string>& wanted) {
  for (const std::string& each : wanted) {
    EXPECT_NE(text.find(each), std::string::npos) << "no \"" << each << "\" in: " << text;
  }
}

TEST(Explanation, SaysThatTheSpineIsWhyItCannotBeTuned) {
  // No sight follows what would take more of it away.
  expect_words(refusal_of(case_of_twisted("spine", 0.6, 4.0, 3.0)),
               {"cannot be tuned within safe limits", "The arrow's spine: most probably the shaft is", "too weak",
                "The sight: more of it"});
  expect_words(refusal_of(case_of_twisted("spine", 0.6, -2.0, 3.0), false),
               {"The arrow's spine: most probably the shaft is", "too stiff"});
}

/// To put the cause right takes more steps than the drawn bows can be shot with.
TEST(Explanation, ARepairThatCannotBeShotIsNotOffered) {
  const Explanation e = explain(case_of_twisted("spine", 0.9, 4.0, 3.0), {.next_checks = false});
  EXPECT_TRUE(e.plan.rounds || !e.plan.possible) << e.summary;
}

TEST(Explanation, NoWrenchStandsInForACleanRelease) {
  Case observed;
  observed.setup = testing::demo_bow("alder");
  nockwise::Setup hidden = observed.setup;
  hidden.hold.release_right = 1.2;
  const Shot shot = shoot(hidden);
  observed.tears.push_back({.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right]});
  for (const Adjustment& each : adjustments(observed.setup)) {
    observed.priors.push_back({each.name, 0.0});
  }
  observed.priors.push_back({"release.right", 6.0});
  const Explanation e = explain(observed, {.next_checks = false, .ignorance = 0.0});
  ASSERT_FALSE(e.causes.empty());
  EXPECT_EQ(e.causes.front().adjustment.name, "release.right");
  EXPECT_NEAR(e.causes.front().steps * 0.1524, 1.2, 0.3);
  expect_words(e.causes.front().words, {"the release throws the string", "ft/s to the right"});
  EXPECT_FALSE(e.plan.possible);
  expect_words(e.plan.refusal, {"The archer: most probably the release throws", "with a coach, before parts"});
}

TEST(Explanation, SaysThatALimitIsWhyItCannotBeTuned) {
  Case observed = case_of_twisted("center_shot", 1.3, -5.0, 3.0);
  observed.workshop.bow_press = false;  // or shims and yokes would do
  expect_words(
      refusal_of(observed, false),
      {"cannot be tuned within safe limits", "A limit: most probably the rest stands", "too far from the riser",
       "it may not be moved so far back (one to two sixteenths are harmless, more costs clearance)"});
}

TEST(Explanation, SaysThatLikelyExplanationsAskForOppositeWork) {
  Case observed = case_of(1.5, 0.0);
  observed.setup = testing::demo_bow("wheelwright");
  for (const Adjustment& each : adjustments(observed.setup)) {
    observed.priors.push_back({each.name, each.name == "nocking_point" ? 8.0 : 0.0});
  }
  expect_words(refusal_of(observed), {"No one plan suits every likely explanation"});
}

TEST(Explanation, RelaxesAHandThatNoAdjustmentStandsInFor) {
  // Only the hand is suspected, and of all the adjustments no one moves the tear so far sideways.
  Case hand = case_of(0.0, 0.0);
  nockwise::Setup twisted = hand.setup;
  twisted.hold.grip_torque -= 1.5;
  const Shot shot = shoot(twisted);
  hand.tears.front() = {.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right]};
  for (const Adjustment& each : adjustments(hand.setup)) {
    hand.priors.push_back({each.name, each.group == AdjustmentGroup::technique ? 20.0 : 0.0});
  }
  hand.priors.back().steps = 0.0;  // height of the hand's pressure
  const Explanation e = explain(hand, {.next_checks = false});
  ASSERT_EQ(e.verdict, Verdict::explained) << e.summary;
  ASSERT_EQ(e.plan.steps.size(), 1U);
  EXPECT_EQ(e.plan.steps.front().adjustment.group, AdjustmentGroup::technique);
  EXPECT_TRUE(e.plan.possible);
  EXPECT_FALSE(e.plan.first.empty());  // a relaxed hand comes before any turn of a wrench
}

TEST(Explanation, RefusesWhatCannotBeExplained) {
  Case observed;
  observed.setup = tuning_bow();
  EXPECT_EQ(explain(observed).verdict, Verdict::useless);
  EXPECT_FALSE(explain(observed).plan.possible);
  const Explanation foot = explain(case_of(12.0, 0.0));
  EXPECT_EQ(foot.verdict, Verdict::useless);
  EXPECT_TRUE(foot.plan.steps.empty());
  EXPECT_FALSE(foot.plan.refusal.empty());
  Case both = case_of(0.75, 0.0);
  both.tears.push_back({.up = -0.75 * inch});
  const Explanation e = explain(both);
  EXPECT_EQ(e.verdict, Verdict::contradictory);
  EXPECT_TRUE(e.plan.steps.empty());
  EXPECT_FALSE(e.findings.empty());
}

TEST(Explanation, StopsWhenAsked) {
  const std::atomic<bool> stop{true};
  EXPECT_THROW((void)explain(case_of(0.5, 0.0), {.stop = &stop}), Interrupted);
}

TEST(Explanation, ThrowsForWhatCannotBeMeant) {
  Case observed = case_of(std::numeric_limits<double>::quiet_NaN(), 0.0);
  EXPECT_THROW((void)explain(observed), InputError);
  observed = case_of(0.5, 0.0);
  observed.tears.front().reading_error = 0.0;
  EXPECT_THROW((void)explain(observed), InputError);
  observed = case_of(0.5, 0.0);
  observed.priors = {{"cabel.upper", 1.0}};
  EXPECT_THROW((void)explain(observed), InputError);
  observed = case_of(0.5, 0.0);
  observed.checks = {{"stop_gab", 0.0, 0.001}};
  EXPECT_THROW((void)explain(observed), InputError);
  observed = case_of(0.5, 0.0);
  observed.tears.front().changes = {{"arrow.fletching.kount", 0.0, false}};
  EXPECT_THROW((void)explain(observed), InputError);
}

TEST(Explanation, MirrorsForTheOtherHand) {
  const Case right = case_of(0.0, -0.4);
  Case left = case_of(0.0, 0.4);
  left.setup = mirrored(right.setup);
  const ExplanationOptions only_causes{.next_checks = false, .plan = false};
  const Explanation a = explain(right, only_causes);
  const Explanation b = explain(left, only_causes);
  EXPECT_NEAR(cause(a, "center_shot").steps, cause(b, "center_shot").steps, 1e-6);
  EXPECT_EQ(cause(a, "center_shot").words, cause(b, "center_shot").words);
}

}  // namespace
}  // namespace nockwise
