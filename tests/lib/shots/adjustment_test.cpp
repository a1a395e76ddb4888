#include "nockwise/adjustment.hpp"

#include "lib/shots/tuning_bow.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <set>

namespace nockwise {
namespace {

bool has(const std::vector<Adjustment>& list, const std::string& name) {
  return std::any_of(list.begin(), list.end(), [&](const Adjustment& a) { return a.name == name; });
}

TEST(Adjustment, EveryEntryIsComplete) {
  std::set<std::string> names;
  for (const RestKind rest : {RestKind::blade, RestKind::limb_driven, RestKind::cable_driven}) {
    for (const Adjustment& a : adjustments(tuning_bow(rest))) {
      names.insert(a.name);
      EXPECT_FALSE(a.title.empty() || a.limit.empty() || a.side_effects.empty()) << a.name;
      EXPECT_GT(a.effort, 0.0) << a.name;
      EXPECT_GT(a.amount_per_step, 0.0) << a.name;
      EXPECT_LE(a.least_steps, 0.0) << a.name;
      EXPECT_GE(a.most_steps, 0.0) << a.name;
      ASSERT_FALSE(a.parameters.empty()) << a.name;
      for (const ParameterStep& step : a.parameters) {
        EXPECT_NE(find_parameter(step.path), nullptr) << step.path;
        EXPECT_NE(step.per_step, 0.0) << step.path;
      }
      for (const std::string& words : {a.positive, a.negative, a.cause_positive, a.cause_negative}) {
        EXPECT_NE(words.find("{}"), std::string::npos) << a.name << ": " << words;
      }
    }
  }
  EXPECT_GE(names.size(), 28U);
}

TEST(Adjustment, OffersWhatTheBowHas) {
  nockwise::Setup bow = tuning_bow();
  EXPECT_TRUE(has(adjustments(bow), "yoke.top.cross"));
  EXPECT_TRUE(has(adjustments(bow), "yokes.cross"));
  EXPECT_FALSE(has(adjustments(bow), "cord.attachment"));
  bow.cables.lower.end = CableEnd::let_out;  // that cable's yoke was on the upper axle
  EXPECT_FALSE(has(adjustments(bow), "yoke.top.cross"));
  EXPECT_TRUE(has(adjustments(bow), "yoke.bottom.cross"));
  EXPECT_FALSE(has(adjustments(bow), "yokes.cross"));
  bow.rest.kind = RestKind::none;
  EXPECT_FALSE(has(adjustments(bow), "center_shot"));
  EXPECT_TRUE(has(adjustments(tuning_bow(RestKind::limb_driven)), "cord.attachment"));
  bow.cams.upper.stop.kind = StopKind::none;
  EXPECT_FALSE(has(adjustments(bow), "stop.upper"));
}

TEST(Adjustment, WordsFollowTheHand) {
  const nockwise::Setup right = tuning_bow();
  const nockwise::Setup left = mirrored(right);
  const auto of_right = adjustments(right);
  const auto of_left = adjustments(left);
  const Adjustment& a = find_adjustment(of_right, "center_shot");
  const Adjustment& b = find_adjustment(of_left, "center_shot");
  EXPECT_EQ(describe_steps(a, 1.0), "move the rest 1/16 in toward the riser");
  EXPECT_EQ(describe_steps(b, 1.0), "move the rest 1/16 in toward the riser");
  EXPECT_DOUBLE_EQ(adjusted(right, a, 1.0).rest.center_shot, 0.0015875);
  EXPECT_DOUBLE_EQ(adjusted(left, b, 1.0).rest.center_shot, -0.0015875);
  EXPECT_EQ(mirrored(adjusted(right, a, 2.0)), adjusted(left, b, 2.0));
}

TEST(Adjustment, CountsAsTheTradeDoes) {
  const auto list = adjustments(tuning_bow());
  const Adjustment& cable = find_adjustment(list, "cable.upper");
  EXPECT_EQ(describe_steps(cable, 1.0), "put half a twist into the upper cam's cable");
  EXPECT_EQ(describe_steps(cable, -3.0), "take 1 1/2 twists out of the upper cam's cable");
  EXPECT_EQ(describe_amount(cable, 0.5), "a quarter twist");
  EXPECT_EQ(describe_cause(cable, 1.7), "0.8 twist too much in the upper cam's cable");
  const Adjustment& height = find_adjustment(list, "arrow.height");
  EXPECT_EQ(describe_steps(height, -2.0), "move nocking point and rest down together by 1/8 in");
  EXPECT_EQ(describe_cause(height, 1.3), "nocking point and rest stand 0.08 in too high");
  EXPECT_EQ(describe_steps(find_adjustment(list, "point.mass"), 1.0), "use points 25 grains heavier");
}

TEST(Adjustment, PairsMoveTogether) {
  const nockwise::Setup bow = tuning_bow();
  const auto list = adjustments(bow);
  const nockwise::Setup high = adjusted(bow, find_adjustment(list, "arrow.height"), 2.0);
  EXPECT_DOUBLE_EQ(high.rest.height - bow.rest.height, 0.003175);
  EXPECT_DOUBLE_EQ(high.string.nocking_point - bow.string.nocking_point, 0.003175);
  const nockwise::Setup crossed = adjusted(bow, find_adjustment(list, "yoke.top.cross"), 1.0);
  EXPECT_DOUBLE_EQ(crossed.cables.lower.yoke.left_twists, 0.5);
  EXPECT_DOUBLE_EQ(crossed.cables.lower.yoke.right_twists, -0.5);
}

TEST(Adjustment, YokeTurnsAreLimitedAsAWhole) {
  nockwise::Setup bow = tuning_bow();
  bow.cables.lower.yoke.left_twists = 1.0;
  bow.cables.lower.yoke.right_twists = -1.0;
  const auto list = adjustments(bow);
  EXPECT_DOUBLE_EQ(find_adjustment(list, "yoke.top.cross").most_steps, 2.0);
  EXPECT_DOUBLE_EQ(find_adjustment(list, "yoke.top.cross").least_steps, -4.0);
  EXPECT_DOUBLE_EQ(find_adjustment(list, "yokes.cross").most_steps, 2.0);
}

TEST(Adjustment, RefusesUnknownNamesAndRanges) {
  const nockwise::Setup bow = tuning_bow();
  const auto list = adjustments(bow);
  try {
    (void)find_adjustment(list, "cable.uper");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("cable.upper"), std::string::npos);
  }
  EXPECT_THROW((void)adjusted(bow, find_adjustment(list, "bolt.upper"), -1.0), InputError);
  EXPECT_EQ(find_adjustment(list, "bolt.upper").least_steps, 0.0);  // the bolt is fully in already
}

}  // namespace
}  // namespace nockwise
