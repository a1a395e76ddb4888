#include "causes/case_ignorance.hpp"

#include "causes/weights.hpp"
#include "nockwise/error.hpp"
#include "nockwise/setup_file.hpp"
#include "numerics/dense_solvers.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace nockwise::detail {
namespace {

constexpr double inch = 0.0254;

Case two_holes() {
  Case observed;
  observed.setup = read_setup(nockwise::source_folder("examples/setups/alder.toml"));
  TearObservation found;
  found.up = 0.5 * inch;
  TearObservation bare;
  bare.up = 0.75 * inch;
  bare.label = "bare shaft";
  bare.changes = {bare_shaft()};
  observed.tears = {found, bare};
  return observed;
}

struct Answered {
  CaseModel model;
  CaseIgnorance ignorance;
};

Answered answered() {
  Answered a{CaseModel(two_holes(), Execution{}), {}};
  const Ignorance besides = ignorance_besides(a.model, 1.0, Execution{});
  a.ignorance = answer_to(besides, a.model, Eigen::VectorXd::Zero(a.model.size()), Execution{});
  a.model.scatter_by(a.ignorance.covariance);
  return a;
}

TEST(CaseIgnorance, LeavesOutWhatIsSuspected) {
  const Answered a = answered();
  ASSERT_FALSE(a.ignorance.empty());
  for (const Adjustment& each : a.model.unknowns()) {
    for (const ParameterStep& part : each.parameters) {
      for (const IgnoranceDirection& direction : a.ignorance.ignorance.directions) {
        EXPECT_NE(direction.name, part.path);
      }
    }
  }
}

// Holes of one bow scatter together: a bow that tears higher than its file does so bare and fletched.
TEST(CaseIgnorance, HolesOfOneBowGoTogether) {
  const Eigen::MatrixXd c = answered().ignorance.covariance;
  EXPECT_GT(std::sqrt(c(0, 0)), 0.001);  // [m] more than what a reader sees
  EXPECT_GT(c(0, 2) / std::sqrt(c(0, 0) * c(2, 2)), 0.5);
}

// Whitened by R + C, and what the reader's error then is, against the dense formulas for normal variables.
TEST(CaseIgnorance, WhitensByReadersAndBow) {
  const Answered a = answered();
  const Eigen::Index rows = a.ignorance.covariance.rows();
  Eigen::MatrixXd all = a.ignorance.covariance;
  Eigen::VectorXd read(rows);
  for (Eigen::Index r = 0; r < rows; ++r) {
    const Reading& reading = a.model.readings()[static_cast<std::size_t>(r)];
    all(r, r) += reading.standard_deviation * reading.standard_deviation;
    read[r] = reading.value;
  }
  const Eigen::VectorXd predicted = Eigen::VectorXd::LinSpaced(rows, -0.004, 0.006);
  const Eigen::VectorXd left = read - predicted;
  const Eigen::VectorXd solved = solve_symmetric(all, left);
  const Eigen::VectorXd residual = a.model.residual(predicted);
  EXPECT_NEAR(residual.squaredNorm(), left.dot(solved), 1e-9 * residual.squaredNorm());
  for (const int part : {0, 1}) {
    const double error = a.model.readings()[static_cast<std::size_t>(part)].standard_deviation;
    EXPECT_NEAR(a.model.first_error(part, residual), error * error * solved[part], 1e-12);
    const double left_open = error * error * (1.0 - error * error * inverse_of(all)(part, part));
    EXPECT_NEAR(a.model.first_error_variance(part), left_open, 1e-15);
  }
}

// Launched, the middle one of the drawn bows shoots the hole that it is believed to shoot, as far as launches are
// linear.
TEST(CaseIgnorance, DrawnBowsShootWhatTheReadingsLeave) {
  Answered a = answered();
  CaseIgnorance answer;
  const Fits fits = fit_case(a.model, a.ignorance.ignorance, Execution{}, answer);
  const SingleFit& first = fits.singles.front();
  Eigen::VectorXd state = Eigen::VectorXd::Zero(a.model.size());
  state[first.which] = first.steps;
  const auto bows = draw_bows(a.model, answer, state, first.predicted, curve_slopes(fits.curves, state), 2);
  ASSERT_EQ(bows.size(), 5U);
  double share = 0.0;
  for (const DrawnBow& each : bows) {
    share += each.share;
  }
  EXPECT_NEAR(share, 1.0, 1e-12);
  EXPECT_NEAR(bows.front().tear[0], a.model.readings()[0].value, 2.0 * a.model.readings()[0].standard_deviation);
  const Shot shot = shoot(bows.front().bow);
  ASSERT_TRUE(shot.flew);
  EXPECT_NEAR(shot.value[Output::tear_up], bows.front().tear[0], 0.0015);
  EXPECT_NEAR(shot.value[Output::tear_right], bows.front().tear[1], 0.0015);
}

// Who knows less promises less, whatever the number of threads.
TEST(CaseIgnorance, PromisesLess) {
  const Case observed = two_holes();
  const Explanation sure = explain(observed, {.next_checks = false, .ignorance = 0.0});
  ExplanationOptions less;
  less.ignorance = 1.0;
  less.threads = 1;
  const Explanation unsure = explain(observed, less);
  less.threads = 2;
  const Explanation again = explain(observed, less);
  EXPECT_LT(unsure.plan.confidence, sure.plan.confidence);
  // What the same cause amounts to is known less well.
  const Cause& first = unsure.causes.front();
  const auto same = std::find_if(sure.causes.begin(), sure.causes.end(),
                                 [&](const Cause& each) { return each.adjustment.name == first.adjustment.name; });
  ASSERT_NE(same, sure.causes.end());
  EXPECT_GT(first.high - first.low, same->high - same->low);
  EXPECT_EQ(unsure.plan.confidence, again.plan.confidence);
  EXPECT_EQ(unsure.plan.uncertainty_up, again.plan.uncertainty_up);
  ASSERT_EQ(unsure.causes.size(), again.causes.size());
  for (std::size_t i = 0; i < unsure.causes.size(); ++i) {
    EXPECT_EQ(unsure.causes[i].probability, again.causes[i].probability);
  }
}

// What is not known is the same for all shots of a bow: it makes no bow that tears an inch high and an inch low.
TEST(CaseIgnorance, MakesNoBowThatShootsBoth) {
  Case observed = two_holes();
  observed.tears = {observed.tears.front(), observed.tears.front()};
  observed.tears[0].up = inch;
  observed.tears[1].up = -inch;
  ExplanationOptions options;
  options.ignorance = 1.0;
  options.next_checks = false;
  EXPECT_EQ(explain(observed, options).verdict, Verdict::contradictory);
  observed.tears[1].up = inch;
  EXPECT_NE(explain(observed, options).verdict, Verdict::contradictory);
}

TEST(CaseIgnorance, RefusesALevelThatCannotBe) {
  ExplanationOptions options;
  for (const double level : {-1.0, 5.0, std::nan("")}) {
    options.ignorance = level;
    EXPECT_THROW((void)explain(two_holes(), options), InputError) << level;
  }
}

}  // namespace
}  // namespace nockwise::detail
