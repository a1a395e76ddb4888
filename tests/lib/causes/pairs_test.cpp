#include "causes/pairs.hpp"

#include "demo_bows.hpp"
#include "nockwise/adjustment.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace nockwise::detail {
namespace {

Eigen::VectorXd effect(double a, double b) {
  Eigen::VectorXd e(2);
  e << a * b, std::sin(a) * b * b;
  return e;
}

TEST(Interaction, GoesThroughWhatWasLaunchedAndVanishesWhereOneIsZero) {
  Interaction interaction;
  EXPECT_TRUE(interaction.empty());
  for (const double a : {-1.2, 1.2}) {
    for (const double b : {-1.2, 1.2}) {
      interaction.add(a, b, effect(a, b));
    }
  }
  const Eigen::VectorXd seconds = Eigen::VectorXd::LinSpaced(3, -1.2, 1.2);
  const Eigen::MatrixXd there = interaction.at(1.2, seconds);
  EXPECT_NEAR((there.col(0) - effect(1.2, -1.2)).norm(), 0.0, 1e-4);
  EXPECT_NEAR((there.col(2) - effect(1.2, 1.2)).norm(), 0.0, 1e-4);
  EXPECT_EQ(there.col(1).norm(), 0.0);
  EXPECT_EQ(interaction.at(0.0, seconds).norm(), 0.0);
}

TEST(Interaction, MorePlacesBringItNearer) {
  Interaction interaction;
  const auto error = [&] {
    double largest = 0.0;
    for (double a = 0.3; a < 1.6; a += 0.1) {
      const Eigen::VectorXd seconds = Eigen::VectorXd::LinSpaced(14, 0.3, 1.6);
      const Eigen::MatrixXd found = interaction.at(a, seconds);
      for (Eigen::Index j = 0; j < seconds.size(); ++j) {
        largest = std::max(largest, (found.col(j) - effect(a, seconds[j])).norm());
      }
    }
    return largest;
  };
  interaction.add(1.2, 1.2, effect(1.2, 1.2));
  const double first = error();
  for (const double a : {0.4, 0.9, 1.5}) {
    for (const double b : {0.4, 0.9, 1.5}) {
      interaction.add(a, b, effect(a, b));
    }
  }
  EXPECT_LT(error(), 0.15 * first);
}

TEST(Interaction, SwappedIsTheSameInTheOtherOrder) {
  Interaction interaction;
  interaction.add(0.7, -1.1, effect(0.7, -1.1));
  interaction.add(-0.4, 0.9, effect(-0.4, 0.9));
  const Eigen::VectorXd one = Eigen::VectorXd::Constant(1, -0.6);
  const Eigen::VectorXd other = Eigen::VectorXd::Constant(1, 0.5);
  EXPECT_NEAR((interaction.at(0.5, one) - interaction.swapped().at(-0.6, other)).norm(), 0.0, 1e-12);
}

/// The holes of a bow with these two deviations, read without error.
Case case_of(const nockwise::Setup& bow, const char* first, double first_steps, const char* second,
             double second_steps) {
  const std::vector<Adjustment> all = adjustments(bow);
  const nockwise::Setup hidden =
      adjusted(adjusted(bow, find_adjustment(all, first), first_steps), find_adjustment(all, second), second_steps);
  Case observed;
  observed.setup = bow;
  TearObservation found;
  TearObservation bare;
  bare.label = "bare shaft";
  bare.changes = {bare_shaft()};
  for (TearObservation* tear : {&found, &bare}) {
    ShotRequest request{.setup = hidden, .distance = tear->distance, .statics = false};
    for (const ParameterChange& change : tear->changes) {
      request.setup.set(change.path, change.value);
    }
    const Shot shot = shoot_many({&request, 1}, {1}).front();
    tear->up = shot.value[Output::tear_up];
    tear->right = shot.value[Output::tear_right];
  }
  observed.tears = {found, bare};
  return observed;
}

/// From its blade the arrow bounces: nocked an eighth high it shows the holes of one nocked a sixteenth low. Each mode
/// is an explanation with an interval of its own, for each wants its own repair.
TEST(PairStudy, FindsBothModesOfAnArrowThatBounces) {
  const Case observed = case_of(testing::demo_bow("wheelwright"), "center_shot", 1.0, "nocking_point", 1.9);
  CaseModel model(observed, {1});
  std::vector<ResponseCurve> curves = launch_curves(model);
  (void)fit_each(model, curves);
  PairStudy study(model, curves);
  study.launch_likely(16);
  bool high = false;
  bool low = false;
  for (const PairFit& fit : study.fits()) {
    if (!fit.launched()) {
      continue;
    }
    const std::string first = model.unknowns()[static_cast<std::size_t>(fit.which[0])].name;
    const std::string second = model.unknowns()[static_cast<std::size_t>(fit.which[1])].name;
    if (first == "nocking_point" && second == "center_shot") {
      high = high || (fit.low[0] < 1.9 && 1.9 < fit.high[0] && fit.low[1] < 1.0 && 1.0 < fit.high[1]);
      low = low || fit.high[0] < 0.0;
      EXPECT_LT(fit.high[0] - fit.low[0], 1.0);
      EXPECT_LT(fit.chi_square, 1.5);
    }
  }
  EXPECT_TRUE(high);
  EXPECT_TRUE(low);
  for (std::size_t i = 1; i < study.fits().size(); ++i) {
    EXPECT_LE(study.fits()[i - 1].score, study.fits()[i].score);
  }
}

}  // namespace
}  // namespace nockwise::detail
