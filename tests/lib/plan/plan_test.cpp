#include "plan/plan.hpp"

#include "demo_bows.hpp"

#include <gtest/gtest.h>

namespace nockwise::detail {
namespace {

/// A bow in a hand that twists it a little, with vanes that just clear the launcher because its rest stands a quarter
/// inch too low. Their lift is an ordinary vane's.
PlanProblem tall_vanes_on_a_low_rest() {
  nockwise::Setup supposed = testing::demo_bow("larkspur");
  supposed.hold.grip_torque += 0.3;
  nockwise::Setup low = adjusted(supposed, find_adjustment(adjustments(supposed), "rest.height"), -4.0);
  Fletching& vanes = low.arrow.fletching;
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
  const PlanProblem problem = tall_vanes_on_a_low_rest();
  const PlanSolution solution = solve_plan(problem);
  EXPECT_GT(solution.end.value[Output::fletching_clearance], -1e-3);
  ASSERT_FALSE(solution.reached);
  const Plan plan = write_plan(problem, solution);
  EXPECT_NE(plan.refusal.find("cannot be tuned within safe limits"), std::string::npos) << plan.refusal;
  EXPECT_NE(plan.refusal.find("Clearance: there are moves that take the tear away, but they drive the vanes into"),
            std::string::npos)
      << plan.refusal;
}

}  // namespace
}  // namespace nockwise::detail
