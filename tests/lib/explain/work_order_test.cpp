// What comes first, and what only if the hole still tears.

#include "nockwise/explanation.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;

/// The demo case: the stops are known to be open, and either cable explains it.
const Explanation& came_in() {
  static const Explanation e = explain(read_case(nockwise::source_folder("examples/cases/came-in.toml")));
  return e;
}

// Either cable closes the gap. The one that is turned leaves the draw length where the setup has it, and the plan says
// so.
TEST(WorkOrder, TimingIsSetByTheCableThatKeepsTheDrawLength) {
  const Explanation& e = came_in();
  ASSERT_FALSE(e.plan.steps.empty());
  const PlanStep& first = e.plan.steps.front();
  EXPECT_EQ(first.adjustment.name, "cable.lower");
  EXPECT_LT(std::fabs(first.after[Output::stop_gap]), inch / 32.0);
  const double supposed = shoot(e.observed.setup).value[Output::draw_length];
  EXPECT_NEAR(first.after[Output::draw_length], supposed, inch / 32.0);
  EXPECT_NE(first.reason.find("may as well be the cause"), std::string::npos) << first.reason;
}

// A step that follows one after which the hole should be clean is told to depend on it.
TEST(WorkOrder, StepsAfterACleanHoleAreConditional) {
  const Plan& plan = came_in().plan;
  bool clean = false;
  for (const PlanStep& step : plan.steps) {
    EXPECT_EQ(step.reason.starts_with("only if the hole still tears after step "), clean) << step.instruction;
    clean = clean || (std::fabs(step.after[Output::tear_up]) <= plan.reading_error &&
                      std::fabs(step.after[Output::tear_right]) <= plan.reading_error);
  }
}

// Nobody turns a cable because of holes alone: where that is what explains them, the stops are looked at first.
TEST(WorkOrder, StopsAreLookedAtBeforeACableIsTurned) {
  Case observed = came_in().observed;
  std::erase_if(observed.checks, [](const CheckObservation& check) { return check.what == "stop_gap"; });
  const nockwise::Setup hidden = [&] {
    nockwise::Setup bow = observed.setup;
    bow.set("cables.lower.twists", bow.get("cables.lower.twists") - 1.0);
    return bow;
  }();
  for (TearObservation& tear : observed.tears) {
    nockwise::Setup bow = hidden;
    for (const ParameterChange& change : tear.changes) {
      bow.set(change.path, change.value);
    }
    const Shot shot = shoot(bow);
    tear.up = shot.value[Output::tear_up];
    tear.right = shot.value[Output::tear_right];
  }
  const Explanation e = explain(observed);
  const bool turns = std::any_of(e.plan.steps.begin(), e.plan.steps.end(),
                                 [](const PlanStep& step) { return step.adjustment.group == AdjustmentGroup::sync; });
  ASSERT_TRUE(turns) << e.summary;
  EXPECT_TRUE(e.plan.check_first);
  ASSERT_FALSE(e.next_checks.empty());
  EXPECT_EQ(e.next_checks.front().name, "draw_board");
}

}  // namespace
}  // namespace nockwise
