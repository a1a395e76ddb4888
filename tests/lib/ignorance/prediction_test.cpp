// Predictions with what is not known: intervals, shares, and how often the truth lies inside.
#include "nockwise/prediction.hpp"

#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/tear_matrix.hpp"
#include "numerics/random_numbers.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>

namespace nockwise {
namespace {

const std::vector<Output> both_parts{Output::tear_up, Output::tear_right};

TEST(Prediction, SharesSumToOneAndAreOrdered) {
  for (const char* const name : testing::demo_bow_names) {
    const Prediction prediction =
        predict(testing::demo_bow(name), {Output::tear_up, Output::tear_right, Output::exit_speed}, {.bows = 20});
    ASSERT_EQ(prediction.outputs.size(), 3U);
    for (const PredictedOutput& each : prediction.outputs) {
      double sum = 0.0;
      double last = 2.0;
      for (const PredictionShare& share : each.shares) {
        sum += share.share;
        EXPECT_GE(share.share, 0.0);
        EXPECT_LE(share.share, last);
        last = share.share;
      }
      EXPECT_NEAR(sum, 1.0, 1e-12) << name;
    }
  }
}

TEST(Prediction, WithLittleIgnoranceIsAStraightLines) {
  // At a twentieth of the widths bows answer in straight lines: the closed form of a normal distribution.
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Prediction prediction = predict(setup, both_parts, {.bows = 1000, .level = 0.05});
  for (const PredictedOutput& each : prediction.outputs) {
    EXPECT_TRUE(each.linear);
    // Four standard errors of a standard deviation, of a median and of a quantile.
    EXPECT_NEAR(each.deviation / each.linear_deviation, 1.0, 4.0 / std::sqrt(2000.0));
    EXPECT_NEAR((each.median - each.value) / each.linear_deviation, 0.0, 4.0 * 1.2533 / std::sqrt(1000.0));
    EXPECT_NEAR((each.high - each.value) / each.linear_deviation, 1.6449, 4.0 * 2.11 / std::sqrt(1000.0));
    EXPECT_NEAR((each.low - each.value) / each.linear_deviation, -1.6449, 4.0 * 2.11 / std::sqrt(1000.0));
  }
}

TEST(Prediction, SaysWhereStraightLinesAreNotIt) {
  const Prediction wide = predict(testing::demo_bow("wheelwright"), {Output::tear_up}, {.bows = 200});
  EXPECT_FALSE(wide.outputs[0].linear);
  EXPECT_NE(prediction_markdown(wide).find("do not answer in straight lines"), std::string::npos);
}

TEST(Prediction, IsTheSameForAnyNumberOfThreads) {
  const nockwise::Setup setup = testing::demo_bow("alder");
  const Prediction one = predict(setup, both_parts, {.bows = 50, .threads = 1});
  const Prediction two = predict(setup, both_parts, {.bows = 50, .threads = 2});
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_EQ(one.outputs[i].low, two.outputs[i].low);
    EXPECT_EQ(one.outputs[i].high, two.outputs[i].high);
    EXPECT_EQ(one.outputs[i].linear_deviation, two.outputs[i].linear_deviation);
  }
  EXPECT_EQ(prediction_markdown(one), prediction_markdown(two));
}

TEST(Prediction, OfAMirroredBowIsMirrored) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Prediction right = predict(setup, both_parts, {.bows = 60});
  const Prediction left = predict(mirrored(setup), both_parts, {.bows = 60});
  EXPECT_NEAR(right.outputs[0].low, left.outputs[0].low, 1e-7);
  EXPECT_NEAR(right.outputs[0].high, left.outputs[0].high, 1e-7);
  EXPECT_NEAR(right.outputs[1].low, -left.outputs[1].high, 1e-7);
  EXPECT_NEAR(right.outputs[1].high, -left.outputs[1].low, 1e-7);
}

TEST(Prediction, WhatItSaysWouldNarrowItDoes) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  const Prediction before = predict(setup, {Output::exit_speed}, {.bows = 20});
  const std::vector<NarrowingMeasurement>& all = before.outputs[0].narrowing;
  const auto number =
      std::find_if(all.begin(), all.end(), [](const auto& each) { return find_parameter(each.what) != nullptr; });
  ASSERT_NE(number, all.end());
  EXPECT_EQ(number->what, "string.serving_and_loop_mass");
  setup.known = {{number->what, KnownBy::measured}};
  const Prediction after = predict(setup, {Output::exit_speed}, {.bows = 20});
  EXPECT_NEAR(after.outputs[0].linear_deviation / before.outputs[0].linear_deviation, number->remaining, 0.01);
  EXPECT_EQ(all.front().what, "chronograph_speed") << "which is the speed itself, but for three feet of air";
}

TEST(Prediction, AnyOutputAnyDistance) {
  const nockwise::Setup setup = testing::demo_bow("alder");
  std::vector<Output> all;
  for (const OutputDescription& each : output_descriptions()) {
    all.push_back(each.output);
  }
  const Prediction far = predict(setup, all, {.bows = 20, .distance = 4.5});
  ASSERT_EQ(far.outputs.size(), output_count);
  for (const PredictedOutput& each : far.outputs) {
    EXPECT_TRUE(std::isfinite(each.low) && each.low <= each.median && each.median <= each.high);
  }
  EXPECT_EQ(far.outputs[0].value, shoot(setup, {.distance = 4.5}).value[Output::tear_up]);
  // What is measured is known as well as it is measured.
  const PredictedOutput& brace = far.outputs[static_cast<std::size_t>(Output::brace_height)];
  EXPECT_NEAR(brace.linear_deviation, 0.001, 0.0001);
}

TEST(Prediction, RefusesOptionsThatCannotBeMeant) {
  const nockwise::Setup setup = testing::demo_bow("alder");
  EXPECT_THROW((void)predict(setup, {}, {.bows = 3}), InputError);
  EXPECT_THROW((void)predict(setup, {}, {.level = 9.0}), InputError);
  EXPECT_THROW((void)predict(setup, {}, {.distance = 1000.0}), InputError);
  EXPECT_THROW((void)predict(setup, {}, {.threads = -1}), InputError);
}

/// How many of the bows at these places have their tear's height and side within 90 % intervals.
std::array<double, 2> coverage(const Ignorance& ignorance, const Prediction& prediction,
                               const std::vector<std::vector<double>>& places) {
  const std::vector<WatchedShot> shots{{ignorance.setup, {{Output::tear_up}, {Output::tear_right}}}};
  std::array<double, 2> inside{};
  double count = 0.0;
  for (const DrawnReadings& each : shoot_drawn(ignorance, shots, places)) {
    if (each.failure.empty()) {
      ++count;
      for (std::size_t i = 0; i < 2; ++i) {
        inside[i] += each.value[i] >= prediction.outputs[i].low && each.value[i] <= prediction.outputs[i].high ? 1 : 0;
      }
    }
  }
  EXPECT_GE(count, 0.97 * static_cast<double>(places.size()));
  return {inside[0] / count, inside[1] / count};
}

TEST(Prediction, HoldsTheTruthAsOftenAsItSaysAndNotMuchLessWhereTailsAreHeavier) {
  for (const char* const name : testing::demo_bow_names) {
    const nockwise::Setup setup = testing::demo_bow(name);
    const Ignorance ignorance = ignorance_of(setup);
    const Prediction prediction = predict(ignorance, both_parts, {.bows = 1000, .seed = 1});
    constexpr std::uint64_t unseen = 424242;
    constexpr std::size_t truths = 600;
    auto places = drawn_places(ignorance, truths, unseen);
    const auto as_assumed = coverage(ignorance, prediction, places);
    // Student's t with four degrees of freedom: a thirtieth of all things that are not known is off by three widths.
    for (std::size_t i = 0; i < truths; ++i) {
      for (std::size_t k = 0; k < places[i].size(); ++k) {
        detail::RandomNumbers random = detail::random_numbers_of(unseen, ignorance.directions[k].name + " tail", i);
        double square = 0.0;
        for (int j = 0; j < 4; ++j) {
          square += std::pow(random.normal(), 2.0);
        }
        places[i][k] /= std::sqrt(0.25 * square);
      }
    }
    const auto heavier = coverage(ignorance, prediction, places);
    for (std::size_t i = 0; i < 2; ++i) {
      const std::string part = std::string(name) + (i == 0 ? "_up" : "_right");
      RecordProperty(part, std::to_string(as_assumed[i]) + " and, with heavier tails, " + std::to_string(heavier[i]));
      std::printf("%s: %.3f, with heavier tails %.3f\n", part.c_str(), as_assumed[i], heavier[i]);
      EXPECT_NEAR(as_assumed[i], 0.9, 0.045) << part;  // 3.5 standard errors of truths and of quantiles
      EXPECT_GT(heavier[i], 0.72) << part;
    }
  }
}

}  // namespace
}  // namespace nockwise
