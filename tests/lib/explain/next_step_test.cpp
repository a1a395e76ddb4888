// The one next thing to do, and a setup that is not this bow.

#include "demo_bows.hpp"
#include "explain/take_back.hpp"
#include "lib/explain/bench_messages.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace nockwise {
namespace {

void expect_meanings(const NextStep& next) {
  EXPECT_FALSE(next.outcomes.empty());
  for (const NextOutcome& each : next.outcomes) {
    EXPECT_FALSE(each.seen.empty());
    EXPECT_FALSE(each.means.empty());
    EXPECT_GE(each.probability, 0.0);
    EXPECT_LE(each.probability, 1.0 + 1e-9);
  }
}

void expect_interval(const ForetoldHole& hole) {
  EXPECT_LT(hole.up_low, hole.up);
  EXPECT_LT(hole.up, hole.up_high);
  EXPECT_LT(hole.right_low, hole.right);
  EXPECT_LT(hole.right, hole.right_high);
}

TEST(NextStep, ACheapCheckComesBeforeAWrenchThatIsUnsure) {
  const NextStep next = next_step(message("larkspur", 0.5, 0.0));
  ASSERT_EQ(next.kind, NextKind::check) << next.instruction;
  EXPECT_FALSE(next.checks.empty() && next.tears.empty());
  EXPECT_TRUE(next.work.empty());
  EXPECT_LT(next.effort, 10.0);
  expect_meanings(next);
}

TEST(NextStep, OneAdjustmentIsForetoldWithWhatElseWouldMean) {
  Case observed = message("alder", 0.5, 0.0);
  observed.checks = {stops_touch, nock_as_set, rest_as_set(observed)};
  observed.checks.push_back({"rest.height", observed.setup.rest.height - 0.15 * inch, inch / 32.0});
  add_lengths(observed, observed.setup);
  const NextStep next = next_step(observed);
  ASSERT_EQ(next.kind, NextKind::adjustment) << next.instruction;
  ASSERT_EQ(next.work.size(), 1U);
  ASSERT_EQ(next.tears.size(), 1U);
  EXPECT_EQ(next.tears.front().after, 1U);
  ASSERT_TRUE(next.foretold);
  expect_interval(*next.foretold);
  EXPECT_LT(std::fabs(next.foretold->up), 0.5 * inch);
  expect_meanings(next);
  const auto says_so = [&](const std::string& words) {
    return std::any_of(next.outcomes.begin(), next.outcomes.end(),
                       [&](const NextOutcome& each) { return each.means.find(words) != std::string::npos; });
  };
  EXPECT_TRUE(says_so("the work is done"));
  EXPECT_TRUE(says_so("not this bow"));
}

TEST(NextStep, TheHandComesBeforeTheWrench) {
  const NextStep next = next_step(message("larkspur", 0.0, -0.75));
  EXPECT_TRUE(next.kind == NextKind::hand ||
              (next.kind == NextKind::check && !next.tears.empty() && !next.tears.front().changes.empty()))
      << next.instruction;
  ASSERT_TRUE(next.foretold);
  expect_interval(*next.foretold);
}

/// A hole that another hand has shot is what a relaxed one is expected to shoot.
TEST(NextStep, ARelaxedHandIsExpectedToShootWhatTheFriendShot) {
  Case observed = message("larkspur", 0.0, -0.75);
  add_hole(observed, 0.0, 0.0, "a friend");
  const NextStep next = next_step(observed);
  ASSERT_EQ(next.kind, NextKind::hand) << next.instruction;
  ASSERT_EQ(next.work.size(), 1U);  // it was tried: now it is to stay
  EXPECT_EQ(next.work.front().adjustment, "grip.torque");
  EXPECT_EQ(next.tears.front().after, 1U);
  ASSERT_TRUE(next.foretold);
  EXPECT_NEAR(next.foretold->up, 0.0, inch / 16.0);
  EXPECT_NEAR(next.foretold->right, 0.0, inch / 16.0);
  EXPECT_GT(next.foretold->clean, 0.5);
}

TEST(NextStep, AHandThatWasRelaxedIsNotRelaxedAgain) {
  Case observed = message("larkspur", 0.0, -0.75);
  add_hole(observed, 0.0, -0.6, "a friend");
  observed.work = {{"grip.torque", 2.0}};
  observed.tears.push_back({.right = -0.5 * inch, .after = 1});
  const Explanation e = explain(observed);
  EXPECT_NE(e.next.kind, NextKind::hand) << e.next.instruction;
  EXPECT_FALSE(moves(e.plan, "grip.torque"));
}

TEST(NextStep, StopsThatWereSeenOpenAreSetFirst) {
  Case observed = hidden_in("larkspur", [](nockwise::Setup& s) { s.cables.lower.twists -= 1.0; });
  nockwise::Setup hidden = observed.setup;
  hidden.cables.lower.twists -= 1.0;
  observed.checks = {{"stop_gap", shoot(hidden).value[Output::stop_gap], inch / 64.0}};
  add_lengths(observed, hidden);
  const NextStep next = next_step(observed);
  ASSERT_EQ(next.kind, NextKind::adjustment) << next.instruction;
  ASSERT_EQ(next.work.size(), 1U);
  EXPECT_TRUE(next.work.front().adjustment.starts_with("cable.")) << next.instruction;
}

TEST(NextStep, CleanHolesEndIt) {
  Case observed = message("larkspur", 0.02, 0.0);
  EXPECT_EQ(next_step(observed).kind, NextKind::check);  // one hole alone does not tell
  observed.tears.resize(3, observed.tears.front());
  const NextStep next = next_step(observed);
  EXPECT_EQ(next.kind, NextKind::stop) << next.instruction;
  EXPECT_TRUE(next.work.empty());
}

TEST(NextStep, IsToldOnlyOfWhatIsWorkedOut) {
  EXPECT_TRUE(explain(message("alder", 0.5, 0.0), {.next_checks = false}).next.instruction.empty());
  Case nothing;
  nothing.setup = testing::demo_bow("alder");
  EXPECT_EQ(next_step(nothing).kind, NextKind::nothing);
  EXPECT_THROW((void)next_step(message("alder", 0.5, 0.0), {.ignorance = 5.0}), InputError);
}

/// A nock moved down that brings the tail up by an inch is not what this bow does.
Case unforetold() {
  Case observed = message("larkspur", 0.6, 0.0);
  observed.work = {{"nocking_point", -2.0}};
  observed.tears.push_back({.up = 1.5 * inch, .label = "after the work", .after = 1});
  return observed;
}

TEST(NotThisBow, IsToldWhereWhatWasForetoldDoesNotCome) {
  const Explanation e = explain(unforetold());
  ASSERT_EQ(e.verdict, Verdict::not_this_bow) << e.summary;
  EXPECT_NE(e.summary.find("The setup is not this bow"), std::string::npos);
  EXPECT_TRUE(says(e.findings, "was to be expected"));
  EXPECT_TRUE(says(e.findings, "peak weight, brace height"));
  EXPECT_TRUE(says(e.findings, "stop peg"));
  EXPECT_EQ(e.next.kind, NextKind::look_at_setup);
  for (const PlanStep& step : e.plan.steps) {
    EXPECT_FALSE(step.adjustment.needs_press) << step.instruction;
  }
}

TEST(NotThisBow, TakesBackWhatMadeTheHoleWorse) {
  const NextStep next = explain(unforetold()).next;
  ASSERT_EQ(next.kind, NextKind::look_at_setup) << next.instruction;
  ASSERT_EQ(next.work, (std::vector<WorkStep>{{"nocking_point", 2.0}})) << next.instruction;
  EXPECT_TRUE(next.instruction.starts_with("Take back")) << next.instruction;
  EXPECT_NE(next.reason.find("tail-high 0.60 in"), std::string::npos) << next.reason;
  ASSERT_EQ(next.tears.size(), 1U);
  EXPECT_EQ(next.tears.front().after, 2U);
}

TEST(TakeBack, GoesToTheSmallestHoleAndLeavesASmallerOneAlone) {
  Case observed = message("larkspur", 0.6, 0.0);
  observed.work = {{"nocking_point", -2.0}, {"rest.height", 1.0}, {"center_shot", -1.0}};
  observed.tears.front().label = "as found";
  const auto hole = [](double up, std::size_t after) {
    return TearObservation{.up = up * inch, .label = "later", .after = after};
  };
  const auto back = [&](std::vector<TearObservation> tears) {
    Case now = observed;
    tears.push_back(observed.tears.front());
    now.tears = std::move(tears);
    return detail::to_take_back(now).work;
  };
  const std::vector<WorkStep> last_two{{"center_shot", 1.0}, {"rest.height", -1.0}};
  EXPECT_EQ(back({hole(0.9, 3), hole(0.3, 1)}), last_two);
  EXPECT_EQ(back({hole(-0.9, 3)}),
            (std::vector<WorkStep>{{"center_shot", 1.0}, {"rest.height", -1.0}, {"nocking_point", 2.0}}));
  EXPECT_TRUE(back({hole(0.5, 3)}).empty());                // smaller than it came in
  EXPECT_TRUE(back({hole(0.7, 3)}).empty());                // within what readers err
  EXPECT_TRUE(back({hole(0.9, 1), hole(0.3, 0)}).empty());  // nobody has seen the bow as it stands
  TearObservation bare = hole(0.1, 2);
  bare.changes = {bare_shaft()};
  EXPECT_EQ(back({hole(0.9, 3), bare}).size(), 3U);  // another arrow is no measure of the work
}

TEST(NotThisBow, IsNotSaidOfWorkThatDoesWhatItShould) {
  Case observed = message("larkspur", 0.6, 0.0);
  nockwise::Setup hidden = observed.setup;
  hidden.string.nocking_point += 2.5 * inch / 16.0;
  const auto read = [&](const nockwise::Setup& bow, std::size_t after) {
    const Shot shot = shoot(bow);
    return TearObservation{.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right], .after = after};
  };
  observed.tears = {read(hidden, 0)};
  hidden.string.nocking_point -= 2.0 * inch / 16.0;
  observed.work = {{"nocking_point", -2.0}};
  observed.tears.push_back(read(hidden, 1));
  const Explanation e = explain(observed, {.next_checks = false, .plan = false});
  EXPECT_NE(e.verdict, Verdict::not_this_bow) << e.summary;
  EXPECT_FALSE(says(e.findings, "not what this bow does"));
}

TEST(NotThisBow, IsNotSaidOfHolesThatContradictEachOther) {
  Case observed = unforetold();
  observed.tears.push_back({.up = -1.0 * inch, .label = "after the work, again", .after = 1});
  EXPECT_EQ(explain(observed).verdict, Verdict::contradictory);
}

}  // namespace
}  // namespace nockwise
