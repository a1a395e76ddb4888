#include "plan/plan.hpp"

#include "demo_bows.hpp"
#include "plan/responses.hpp"
#include "plan/wall.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <numbers>

namespace nockwise::detail {
namespace {

/// A bow in a hand that twists it a little, with so many vanes, one of them straight down, that just clear the launcher
/// because its rest stands a quarter inch too low. Their lift is an ordinary vane's.
PlanProblem tall_vanes_on_a_low_rest(int count, bool soft) {
  nockwise::Setup supposed = testing::demo_bow("larkspur");
  supposed.hold.grip_torque += 0.3;
  nockwise::Setup low = adjusted(supposed, find_adjustment(adjustments(supposed), "rest.height"), -4.0);
  Fletching& vanes = low.arrow.fletching;
  vanes.normal_force_slope *= static_cast<double>(vanes.count) / count;
  vanes.mass_each *= static_cast<double>(vanes.count) / count;
  vanes.count = count;
  vanes.clocking = count % 2 == 0 ? 0.0 : std::numbers::pi;
  if (soft) {  // so soft that a strike does not show in the hole
    vanes.edge_stiffness = 1.0;
    vanes.folding_force = 0.01;
  }
  const double usual = vanes.height;
  vanes.height += shoot(low).value[Output::fletching_clearance];
  vanes.normal_force_slope *= usual / vanes.height;
  PlanProblem problem;
  problem.supposed = supposed;
  problem.bows = {{low, 1.0, {0.0, 0.0, 8e-4, 8e-4}}};
  problem.distance = supposed.surroundings.paper_distance;
  problem.reading_error = usual_reading_error;
  problem.gap_known = true;
  problem.arrow_steps = false;
  return problem;
}

TEST(Plan, NeverDrivesVanesIntoTheRestAndSaysThatClearanceIsWhy) {
  const PlanProblem problem = tall_vanes_on_a_low_rest(8, true);  // no turn of the nock helps
  const PlanSolution solution = solve_plan(problem);
  EXPECT_GT(solution.end.value[Output::fletching_clearance], -1e-3);
  ASSERT_FALSE(solution.reached);
  const Plan plan = write_plan(problem, solution);
  EXPECT_NE(plan.refusal.find("cannot be tuned within safe limits"), std::string::npos) << plan.refusal;
  EXPECT_NE(plan.refusal.find("Clearance: there are moves that take the tear away, but they drive the vanes into"),
            std::string::npos)
      << plan.refusal;
}

TEST(Plan, TurnsTheNockWhereThatGivesTheVanesRoom) {
  const PlanProblem problem = tall_vanes_on_a_low_rest(3, false);
  const PlanSolution solution = solve_plan(problem);
  const Plan plan = write_plan(problem, solution);
  const auto turned = std::find_if(plan.steps.begin(), plan.steps.end(),
                                   [](const PlanStep& step) { return step.adjustment.name == "vanes.clocking"; });
  ASSERT_NE(turned, plan.steps.end());
  EXPECT_NE(turned->instruction.find("turn the nock"), std::string::npos);
  EXPECT_TRUE(std::any_of(turned->cautions.begin(), turned->cautions.end(), [](const Caution& caution) {
    return caution.words.find("powder or lipstick") != std::string::npos;
  }));
  EXPECT_GT(solution.end.value[Output::fletching_clearance], 0.0);
}

TEST(Plan, TellsWhatALateCamDoesToTheWall) {
  const nockwise::Setup together = testing::demo_bow("larkspur");
  nockwise::Setup late = together;
  late.cables.upper.twists += 0.5;  // opens the upper stop by an eighth of an inch
  const std::string words = wall_words(together, late);
  EXPECT_NE(words.find("the wall gives 0."), std::string::npos) << words;
  EXPECT_NE(words.find("under 10 lbf more, where it gave 0."), std::string::npos) << words;
  EXPECT_TRUE(words.find("the second stop knocks") != std::string::npos ||
              words.find("one stop carries the wall alone") != std::string::npos)
      << words;
}

TEST(Plan, KnowsTheLeastDetourOfAllOrders) {
  const std::vector<Change> parts = {{0.01, 0.0, 0.0, 0.0}, {-0.02, 0.0, 0.0, 0.0}};
  EXPECT_NEAR(least_detour(0.01, 0.0, parts), 0.0, 1e-12);  // the one that takes away first
  EXPECT_NEAR(least_detour(0.0, 0.0, parts), 0.01, 1e-12);
  EXPECT_EQ(least_detour(0.0, 0.0, {}), 0.0);
}

}  // namespace
}  // namespace nockwise::detail
