// Answers that keep to what is at hand, to what was measured, and to limits.

#include "demo_bows.hpp"
#include "lib/explain/bench_messages.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/setup_file.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace nockwise {
namespace {

TEST(BenchAnswers, WithoutAPressNoStepNeedsOne) {
  Case observed = message("larkspur", 0.75, 0.0);
  observed.workshop = {.bow_press = false, .draw_board = false, .second_arrow = false, .spare_spine = false};
  observed.workshop.distances = {observed.setup.surroundings.paper_distance};
  const Explanation e = explain(observed);
  expect_an_answer(e);
  for (const PlanStep& step : e.plan.steps) {
    EXPECT_FALSE(step.adjustment.needs_press) << step.instruction;
    EXPECT_NE(step.adjustment.group, AdjustmentGroup::arrow) << step.instruction;
  }
  ASSERT_FALSE(e.next_checks.empty());
  for (const NextCheck& each : e.next_checks) {
    for (const char* name : {"bare_shaft", "another_spine", "second_distance", "cam_lean"}) {
      EXPECT_NE(each.name, name);
    }
    EXPECT_EQ(each.instruction.find("on a draw board"), std::string::npos) << each.instruction;
  }
}

TEST(BenchAnswers, AnOpenStopWithoutAPressIsToldFirst) {
  Case observed = message("larkspur", 0.5, 0.0);
  observed.checks = {{"stop_gap", inch / 16.0, inch / 64.0}};
  observed.workshop.bow_press = false;
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_NE(e.verdict, Verdict::contradictory);
  EXPECT_TRUE(says(e.plan.first, "it takes a bow press")) << e.plan.refusal;
}

TEST(BenchAnswers, ANockThatWasMeasuredHighIsMovedDown) {
  Case observed = hidden_in("alder", [](nockwise::Setup& s) { s.string.nocking_point += 3.0 / 16.0 * inch; });
  observed.checks = {{"string.nocking_point", 3.0 / 16.0 * inch, inch / 32.0}, stops_touch};
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_EQ(e.verdict, Verdict::explained) << e.summary;
  EXPECT_EQ(e.causes.front().adjustment.name, "nocking_point");
  expect_an_answer(e);
  EXPECT_TRUE(moves(e.plan, "nocking_point"));
  // On a blade a nock that is right stands at a kink: lower or higher, the tail goes up. Another way is surer, and
  // told.
  const Explanation known = explain(observed, {.next_checks = false, .ignorance = 0.0});
  EXPECT_TRUE(known.plan.steps.size() == 1 || says(known.plan.first, "safer than only to put the cause right"))
      << ::testing::PrintToString(known.plan.first) << known.plan.steps.size();
  // How far the tear goes down with the nock is not known so well: nothing is promised of the nock alone, and it is the
  // next thing to do.
  add_lengths(observed, observed.setup);
  const NextStep next = next_step(observed);
  EXPECT_EQ(next.kind, NextKind::adjustment) << next.instruction;
  ASSERT_EQ(next.work.size(), 1U);
  EXPECT_EQ(next.work.front().adjustment, "nocking_point");
}

TEST(BenchAnswers, ARestThatIsSeenToComeUpLateIsTimedAsItIsSeen) {
  const nockwise::Setup larkspur = testing::demo_bow("larkspur");
  const double usual = shoot(larkspur).value[Output::rest_up_before_wall];
  EXPECT_GT(usual, 1.0 * inch);
  const auto later = [](nockwise::Setup& s) { s.rest.arm.cord_attachment += 1.5 * inch; };
  nockwise::Setup late = larkspur;
  later(late);
  const double seen = shoot(late).value[Output::rest_up_before_wall];
  EXPECT_GT(std::fabs(seen - usual), 0.5 * inch);
  Case observed = hidden_in("larkspur", later);
  observed.checks = {{"rest_up_before_wall", seen, inch / 4.0}, stops_touch, arrow_is_square};
  // Of a rest that is known: where only its cord's place is written down, a millimetre of slack and two degrees of its
  // arm bring it up as much later, and the cord is one suspect of several.
  const ExplanationOptions known{.next_checks = false, .plan = false, .ignorance = 0.0};
  const Explanation e = explain(observed, known);
  EXPECT_EQ(e.causes.front().adjustment.name, "cord.attachment") << e.summary;
  observed.checks.front().value = usual;  // and a rest that comes up where it should is not to blame
  EXPECT_LT(likelihood(explain(observed, known), "cord.attachment"), 0.1);
}

TEST(BenchAnswers, ThePlanIsCleanFromEveryDistance) {
  Case observed = message("larkspur", 0.0, 0.0);
  nockwise::Setup hidden = observed.setup;
  hidden.cables.upper.twists += 1.0;
  observed.tears.clear();
  for (const double feet : {12.0, 6.0}) {
    const Shot shot = shoot(hidden, {.distance = feet * 12.0 * inch});
    observed.tears.push_back(
        {.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right], .distance = feet * 12.0 * inch});
  }
  const Explanation e = explain(observed, {.next_checks = false});
  expect_an_answer(e);
  ASSERT_EQ(e.plan.elsewhere.size(), 1U);
  EXPECT_NEAR(e.plan.elsewhere.front().distance, 72.0 * inch, 1e-9);
  ASSERT_TRUE(e.plan.possible) << e.plan.refusal;
  EXPECT_LE(std::fabs(e.plan.elsewhere.front().up), usual_reading_error);
  EXPECT_LE(std::fabs(e.plan.elsewhere.front().right), usual_reading_error);
}

TEST(BenchAnswers, AHoleAfterATrialIsToldFromThePlansStart) {
  Case observed = hidden_in("larkspur", [](nockwise::Setup& s) { s.cables.upper.twists += 1.0; });
  TearObservation after = observed.tears.front();
  nockwise::Setup tried = observed.setup;
  tried.cables.upper.twists += 0.5;
  after.up = shoot(tried).value[Output::tear_up];
  after.right = shoot(tried).value[Output::tear_right];
  after.changes = {{"cables.upper.twists", -0.5, true}};
  after.label = "after a trial";
  observed.tears.push_back(after);
  const Explanation e = explain(observed, {.next_checks = false});
  expect_an_answer(e);
  EXPECT_TRUE(says(e.plan.first, "before shot 2 (after a trial)"));
}

TEST(BenchAnswers, ACordThatIsTooTightIsCautionedAbout) {
  Case observed = message("larkspur", 0.4, 0.0);
  observed.setup.rest.arm.cord_slack = -0.012;
  const Explanation e = explain(observed, {.next_checks = false});
  EXPECT_TRUE(std::any_of(e.cautions.begin(), e.cautions.end(),
                          [](const Caution& each) { return each.kind == CautionKind::rest_cord; }));
}

TEST(BenchAnswers, TheArrowIsNotPlannedOntoTheShelf) {
  Case observed = hidden_in("larkspur", [](nockwise::Setup& s) { s.rest.height += 0.3125 * inch; });
  observed.checks = {nock_as_set, stops_touch};
  const ExplanationOptions known{.next_checks = false, .ignorance = 0.0};  // else a first round lowers it by less
  const auto lowered = [](const Explanation& e) {
    double sum = 0.0;
    for (const PlanStep& step : e.plan.steps) {
      for (const ParameterStep& part : step.adjustment.parameters) {
        sum += part.path == "rest.height" ? step.steps * part.per_step : 0.0;
      }
    }
    return -sum;
  };
  EXPECT_GT(lowered(explain(observed, known)), 2.5 / 16.0 * inch);
  observed.shelf_clearance = inch / 8.0;
  EXPECT_LT(lowered(explain(observed, known)), 2.5 / 16.0 * inch);
}

TEST(BenchAnswers, AHighTearFromAMachineIsTheBow) {
  Case observed = message("alder", 0.6, 0.0);
  observed.tears.front().archer = "machine";
  const Explanation e = explain(observed, {.next_checks = false});
  expect_an_answer(e);
  EXPECT_TRUE(takes_up_a_wrench(e.plan));
  EXPECT_FALSE(says(e.plan.first, "relaxed"));
}

TEST(BenchAnswers, NoStepMakesANewTearUntold) {
  for (const double right : {-0.5, 0.4}) {
    Case observed = message("larkspur", 0.6, right);
    const Explanation e = explain(observed, {.next_checks = false});
    expect_an_answer(e);
    for (const PlanStep& step : e.plan.steps) {
      const double up = std::fabs(step.after[Output::tear_up]) - std::fabs(e.plan.start[Output::tear_up]);
      const double aside = std::fabs(step.after[Output::tear_right]) - std::fabs(e.plan.start[Output::tear_right]);
      const bool told = std::any_of(step.cautions.begin(), step.cautions.end(), [](const Caution& each) {
        return each.words.find("larger after this step") != std::string::npos;
      });
      EXPECT_TRUE(told || (up <= 0.3 * inch && aside <= 0.3 * inch)) << step.instruction;
    }
  }
}

}  // namespace
}  // namespace nockwise
