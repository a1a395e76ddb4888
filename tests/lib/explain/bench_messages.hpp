// What the tests of answers at the bench share: messages, and what is asked of an answer to them.
#pragma once

#include "demo_bows.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/model.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

namespace nockwise {

constexpr double inch = 0.0254;

inline Case message(const std::string& bow, double up, double right) {
  Case observed;
  observed.setup = testing::demo_bow(bow);
  observed.tears.push_back({.up = up * inch, .right = right * inch});
  return observed;
}

inline void add_hole(Case& observed, double up, double right, const std::string& archer) {
  observed.tears.push_back({.up = up * inch, .right = right * inch, .label = "shot by " + archer, .archer = archer});
}

inline const CheckObservation stops_touch{"stop_gap", 0.0, inch / 64.0};
inline const CheckObservation arrow_is_square{"arrow_square", 0.0, inch / 32.0};
inline const CheckObservation nock_as_set{"string.nocking_point", 0.0, inch / 32.0};

inline CheckObservation rest_as_set(const Case& observed) {
  return {"rest.center_shot", observed.setup.rest.center_shot, inch / 32.0};
}

/// Axle to axle and brace height of this bow, measured.
inline void add_lengths(Case& observed, const Setup& bow) {
  const BraceState brace = Model(bow).brace();
  observed.checks.push_back({"axle_to_axle", brace.axle_to_axle, inch / 8.0});
  observed.checks.push_back({"brace_height", brace.brace_height, inch / 16.0});
}

inline double likelihood(const Explanation& e, const std::string& name) {
  double sum = 0.0;
  for (const Cause& each : e.causes) {
    sum += each.adjustment.name == name ? each.probability : 0.0;
  }
  return sum;
}

inline bool moves(const Plan& plan, const std::string& name) {
  return std::any_of(plan.steps.begin(), plan.steps.end(),
                     [&](const PlanStep& step) { return step.adjustment.name == name; });
}

inline bool takes_up_a_wrench(const Plan& plan) {
  return std::any_of(plan.steps.begin(), plan.steps.end(),
                     [](const PlanStep& step) { return step.adjustment.group != AdjustmentGroup::technique; });
}

/// How far the hole tears.
inline double size_of_tear(const OutputValues& v) { return std::hypot(v[Output::tear_up], v[Output::tear_right]); }

inline double largest_part(const OutputValues& v) {
  return std::max(std::fabs(v[Output::tear_up]), std::fabs(v[Output::tear_right]));
}

/// An answer that somebody can use: no contradiction is claimed, and there is a way, or words that say why not.
inline void expect_an_answer(const Explanation& e) {
  EXPECT_NE(e.verdict, Verdict::contradictory) << e.summary;
  EXPECT_NE(e.verdict, Verdict::useless) << e.summary;
  EXPECT_FALSE(e.plan.steps.empty()) << e.plan.refusal;
  EXPECT_LT(size_of_tear(e.plan.end),
            size_of_tear(e.plan.start));  // one part first, if a round is all that is promised
}

/// The tears of a bow with something hidden, read exactly.
inline Case hidden_in(const std::string& bow, const std::function<void(nockwise::Setup&)>& fault) {
  Case observed = message(bow, 0.0, 0.0);
  nockwise::Setup hidden = observed.setup;
  fault(hidden);
  const Shot shot = shoot(hidden);
  EXPECT_TRUE(shot.flew) << shot.failure;
  observed.tears.front().up = shot.value[Output::tear_up];
  observed.tears.front().right = shot.value[Output::tear_right];
  return observed;
}

inline bool says(const std::vector<std::string>& sentences, const std::string& words) {
  return std::any_of(sentences.begin(), sentences.end(),
                     [&](const std::string& each) { return each.find(words) != std::string::npos; });
}

}  // namespace nockwise
