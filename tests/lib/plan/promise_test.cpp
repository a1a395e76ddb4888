#include "plan/promise.hpp"

#include "demo_bows.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise::detail {
namespace {

Shot ends_at(double up, double right) {
  Shot shot;
  shot.flew = true;
  shot.value[Output::tear_up] = up;
  shot.value[Output::tear_right] = right;
  return shot;
}

PlausibleBow bow_of(double weight, double deviation) {
  PlausibleBow bow;
  bow.weight = weight;
  bow.spread = {0.0, 0.0, deviation, deviation};
  return bow;
}

PlanProblem problem_of(std::vector<PlausibleBow> bows) {
  PlanProblem problem;
  problem.bows = std::move(bows);
  problem.reading_error = 0.003;
  return problem;
}

TEST(Promise, IsTheNormalsShareWithinTheReadingError) {
  const PlanProblem problem = problem_of({bow_of(1.0, 0.003)});
  const std::vector<Shot> ends{ends_at(0.0, 0.0)};
  const double within = std::erf(1.0 / std::sqrt(2.0));  // one standard deviation either way
  EXPECT_NEAR(confidence_of(problem, ends), within * within, 1e-12);
  EXPECT_NEAR(half_widths_of(problem, ends)[0], 1.6448536 * 0.003, 1e-9);  // nine tenths of a normal
}

TEST(Promise, CountsABowThatDoesNotFlyAsFailure) {
  const PlanProblem problem = problem_of({bow_of(0.5, 1e-6), bow_of(0.5, 1e-6)});
  EXPECT_NEAR(confidence_of(problem, std::vector<Shot>{ends_at(0.0, 0.0), Shot{}}), 0.5, 1e-12);
}

TEST(Promise, ReachesToTheBowsThatEndElsewhere) {
  const PlanProblem problem = problem_of({bow_of(0.5, 1e-6), bow_of(0.3, 1e-6), bow_of(0.2, 1e-6)});
  const std::array<double, 2> half =
      half_widths_of(problem, std::vector<Shot>{ends_at(0.001, 0.0), ends_at(0.004, 0.0), ends_at(-0.009, 0.0)});
  EXPECT_NEAR(half[0], 0.010, 1e-5);  // eight tenths end within 3 mm of the first, the rest at 10 mm
  EXPECT_NEAR(half[1], 0.0, 1e-5);
}

/// Steps that suit the bows they were chosen on promise no more than they keep on others.
TEST(Promise, IsShotAnewOnOtherBows) {
  const nockwise::Setup usual = testing::demo_bow("larkspur");
  const Adjustment nock = find_adjustment(adjustments(usual), "nocking_point");
  PlanProblem problem = problem_of({});
  problem.supposed = usual;
  problem.distance = usual.surroundings.paper_distance;
  for (const double off : {0.0, 0.0, 4.0}) {  // [steps]
    PlausibleBow bow = bow_of(0.25, 1e-4);
    bow.bow = adjusted(usual, nock, off);
    const Shot shot = shoot(usual, {.distance = problem.distance});
    bow.unexplained = {-shot.value[Output::tear_up], -shot.value[Output::tear_right]};  // clean where nothing is off
    problem.bows.push_back(bow);
  }
  PlanSolution solution;
  solution.confidence = 1.0;
  promise(problem, solution);
  // Two bows of three end clean; a quarter of the weight is of bows that are not there, and ends so half as often.
  EXPECT_NEAR(solution.confidence, 0.5 + 0.25 * 0.5 * (2.0 / 3.0), 1e-6);
  const double off = shoot(problem.bows[2].bow, {.distance = problem.distance}).value[Output::tear_up] +
                     problem.bows[2].unexplained[0];
  EXPECT_NEAR(solution.half_width_up, std::fabs(off), 3e-4);
  EXPECT_EQ(solution.launches, 3u);
}

}  // namespace
}  // namespace nockwise::detail
