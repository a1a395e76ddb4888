// Work that was done since the bow came in.

#include "lib/shots/tuning_bow.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;

Case parsed(const std::string& rest) {
  return parse_case("format = 1\nsetup = \"alder.toml\"\n" + rest, nockwise::source_folder("examples/setups"));
}

Adjustment named(const Setup& setup, const std::string& name) {
  for (const Adjustment& each : adjustments(setup)) {
    if (each.name == name) {
      return each;
    }
  }
  throw std::out_of_range(name);
}

TEST(Work, IsReadInOrder) {
  const Case observed = parsed(
      "[[work]]\n\"rest.height\" = -2\n[[work]]\n\"nocking_point\" = 1\n"
      "[[tears]]\nhigh = \"1/2 in\"\n[[tears]]\nlow = \"1/8 in\"\nafter = 2\n"
      "[checks]\narrow_square = { value = \"0 in\", error = \"1/32 in\", after = 1 }\n");
  ASSERT_EQ(observed.work.size(), 2U);
  EXPECT_EQ(observed.work[0], (WorkStep{"rest.height", -2.0}));
  EXPECT_EQ(observed.work[1].adjustment, "nocking_point");
  EXPECT_EQ(observed.tears[0].after, 0U);
  EXPECT_EQ(observed.tears[1].after, 2U);
  EXPECT_EQ(observed.tears[1].label, "after the work");
  EXPECT_EQ(observed.checks.front().after, 1U);
}

TEST(Work, RefusesWhatCannotBe) {
  const auto message = [](const std::string& text) {
    try {
      (void)parsed(text);
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_NE(message("[[work]]\n\"rest.hight\" = 1\n").find("rest.height"), std::string::npos);
  EXPECT_NE(message("[[work]]\n\"rest.height\" = 1\n\"nocking_point\" = 1\n").find("one step"), std::string::npos);
  EXPECT_NE(message("[[tears]]\nhigh = \"1/2 in\"\nafter = 1\n").find("0 steps under [[work]]"), std::string::npos);
  EXPECT_NE(message("[[work]]\n\"rest.height\" = 1\n[[tears]]\nhigh = \"1/2 in\"\nafter = -1\n").find("after"),
            std::string::npos);
  Case observed = parsed("[[tears]]\nhigh = \"1/2 in\"\n");
  observed.work = {{"no such part", 1.0}};
  EXPECT_THROW((void)explain(observed), InputError);
}

// A rest that stands high is put right: the holes before and after it agree with that cause, and the bow is left alone.
TEST(Work, ThatEndedCleanIsLeftAlone) {
  Case observed;
  observed.setup = tuning_bow();
  const Adjustment rest = named(observed.setup, "rest.height");
  const nockwise::Setup came_in = adjusted(observed.setup, rest, 2.0);
  const auto hole_of = [](const nockwise::Setup& bow, std::size_t after) {
    const Shot shot = shoot(bow);
    TearObservation tear;
    tear.up = shot.value[Output::tear_up];
    tear.right = shot.value[Output::tear_right];
    tear.after = after;
    return tear;
  };
  observed.tears = {hole_of(came_in, 0), hole_of(adjusted(came_in, rest, -2.0), 1)};
  observed.work = {{"rest.height", -2.0}};
  const Explanation e = explain(observed);
  ASSERT_GT(std::hypot(observed.tears[0].up, observed.tears[0].right), usual_reading_error);
  EXPECT_STREQ(name_of(e.verdict), "clean");
  EXPECT_TRUE(e.plan.steps.empty());
}

// Half of the work was done: the plan goes on from there.
TEST(Work, ThePlanGoesOnFromThere) {
  Case observed;
  observed.setup = tuning_bow();
  const Adjustment rest = named(observed.setup, "rest.height");
  const nockwise::Setup came_in = adjusted(observed.setup, rest, 4.0);
  const nockwise::Setup now = adjusted(came_in, rest, -2.0);
  for (const auto& [bow, after] : {std::pair{came_in, std::size_t{0}}, std::pair{now, std::size_t{1}}}) {
    const Shot shot = shoot(bow);
    TearObservation tear;
    tear.up = shot.value[Output::tear_up];
    tear.right = shot.value[Output::tear_right];
    tear.after = after;
    observed.tears.push_back(tear);
  }
  observed.work = {{"rest.height", -2.0}};
  const Explanation e = explain(observed);
  const Shot start = shoot(now);
  EXPECT_NEAR(e.plan.start[Output::tear_up], start.value[Output::tear_up], 0.1 * inch);
  nockwise::Setup repaired = now;
  for (const PlanStep& step : e.plan.steps) {
    repaired = adjusted(repaired, step.adjustment, step.steps);
  }
  const Shot end = shoot(repaired);
  EXPECT_LT(std::fabs(end.value[Output::tear_up]), usual_reading_error);
  EXPECT_LT(std::fabs(end.value[Output::tear_right]), usual_reading_error);
}

}  // namespace
}  // namespace nockwise
