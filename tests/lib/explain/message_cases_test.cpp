// The messages of examples/cases/: what a workshop would answer to each, with a bow that is only told.
#include "nockwise/explanation.hpp"
#include "nockwise/prediction.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;

Case message(const std::string& name) {
  return read_case(nockwise::source_folder("examples/cases/message-" + name + ".toml"));
}

const Explanation& answer(const std::string& name) {
  static std::map<std::string, Explanation> all;
  const auto found = all.find(name);
  return found != all.end() ? found->second : all.emplace(name, explain(message(name))).first->second;
}

constexpr const char* names[] = {"yoked", "left-hand", "two-distances", "bare-shaft", "short"};

// Every message is answered by one thing that its sender can do, and no hole is promised as if the bow were known.
TEST(MessageCases, AreAnsweredByOneThingToDo) {
  for (const char* name : names) {
    const Explanation& e = answer(name);
    EXPECT_TRUE(e.next.kind == NextKind::check || e.next.kind == NextKind::adjustment) << name << e.next.instruction;
    EXPECT_FALSE(e.next.instruction.empty()) << name;
    EXPECT_FALSE(e.next.outcomes.empty()) << name;
    EXPECT_LT(e.plan.confidence, 0.9) << name;
    EXPECT_NE(e.verdict, Verdict::contradictory) << name;
    EXPECT_FALSE(e.observed.assumed.empty()) << name;
  }
}

// A bow square that stands far out tells more than one in the middle, and the answer says what.
TEST(MessageCases, SayWhatAReadingFarOutWouldTell) {
  const std::vector<NextOutcome>& outcomes = answer("short").next.outcomes;
  const auto low = std::find_if(outcomes.begin(), outcomes.end(), [](const NextOutcome& each) {
    return each.seen.starts_with("nocking point -") && each.seen.ends_with("or less");
  });
  ASSERT_NE(low, outcomes.end());
  EXPECT_NE(low->means.find("the nocking point stands"), std::string::npos) << low->means;
  EXPECT_NE(low->means.find("too low"), std::string::npos) << low->means;
}

TEST(MessageCases, KeepToWhatTheSenderHas) {
  for (const PlanStep& step : answer("yoked").plan.steps) {
    EXPECT_FALSE(step.adjustment.needs_press) << step.instruction;
  }
}

// A rule of the trade, with the hand exchanged: on a blade a left-hander's tail-right is taken away by the rest, toward
// the riser.
TEST(MessageCases, ALeftHandersRestGoesTowardTheRiser) {
  const Explanation& e = answer("left-hand");
  ASSERT_FALSE(e.plan.steps.empty());
  EXPECT_EQ(e.plan.steps.front().adjustment.name, "center_shot");
  EXPECT_NE(e.plan.steps.front().instruction.find("toward the riser"), std::string::npos);
  EXPECT_LT(e.plan.steps.front().after[Output::tear_right], 0.4 * inch);
}

// Who says little is asked for a look before a wrench.
TEST(MessageCases, WhoSaysLittleIsAskedFirst) { EXPECT_EQ(answer("short").next.kind, NextKind::check); }

TEST(MessageCases, TheLessIsToldTheWiderIsTheAnswer) {
  const auto width = [](const Case& of) {
    const Prediction told = predict(of.setup, {Output::tear_up}, {.bows = 120});
    return told.outputs.front().high - told.outputs.front().low;
  };
  const std::string lines =
      "format = 1\n[bow]\ndraw_length = \"29 in\"\naxle_to_axle = \"32 in\"\nbrace_height = \"6 1/2 in\"\n"
      "peak_force = \"60 lbf\"\n";
  const std::string arrow = "\"arrow.spine\" = \"340 spine\"\n\"arrow.length\" = \"28 in\"\narrow_mass = \"398 gr\"\n";
  const std::string rest = "\"rest.arm.cord_slack\" = \"-1.5 mm\"\n\"rest.arm.cord_attachment\" = \"20 cm\"\n";
  const std::string hole = "[[tears]]\nhigh = \"1/2 in\"\n";
  const double little = width(parse_case(lines + hole, "."));
  const double more = width(parse_case(lines + arrow + rest + hole, "."));
  EXPECT_LT(more, 0.95 * little);
}

}  // namespace
}  // namespace nockwise
