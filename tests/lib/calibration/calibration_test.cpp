#include "nockwise/calibration.hpp"

#include "lib/shots/tuning_bow.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <random>

namespace nockwise {
namespace {

/// What a workshop would write down of this bow, with the errors of its instruments.
Measurements measured(const Setup& bow, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  const auto noisy = [&](double value, double nineteen_of_twenty) {
    return value + nineteen_of_twenty / 1.96 * normal(random);
  };
  Measurements m;
  const DrawCycle cycle = draw_cycle(Model(bow));
  for (std::size_t i = 10; i < cycle.touch_index; i += 10) {
    const DrawPoint& p = cycle.points[i];
    m.draw_forces.push_back({draw_length_allowance - p.nock_x, noisy(p.draw_force, 1.0), 1.0});
  }
  for (const double heavier : {0.0, 0.004}) {
    nockwise::Setup other = bow;
    other.arrow.point_mass += heavier;
    const Model model(other);
    m.speeds.push_back(
        {noisy(chronograph_speed(model, launch(model)), 0.4), 0.4, {{"arrow.point_mass", heavier, true}}});
  }
  const Shot shot = shoot(bow);
  m.tears.push_back({.up = shot.value[Output::tear_up], .right = shot.value[Output::tear_right]});
  m.checks = {{"stop_gap", noisy(shot.value[Output::stop_gap], 4e-4), 4e-4},
              {"brace_height", noisy(Model(bow).brace().brace_height, 1e-3), 1e-3},
              {"axle_to_axle", noisy(Model(bow).brace().axle_to_axle, 1e-3), 1e-3}};
  return m;
}

const CalibratedParameter& fitted(const Calibration& c, const std::string& title) {
  for (const CalibratedParameter& each : c.parameters) {
    if (each.parameter.title == title) {
      return each;
    }
  }
  throw std::runtime_error("no parameter " + title);
}

TEST(Calibration, StopsWhenAsked) {
  const std::atomic<bool> stop{true};
  EXPECT_THROW((void)calibrate(tuning_bow(), measured(tuning_bow(), 3), {}, {}, &stop), Interrupted);
}

TEST(Calibration, RecoversWhatTheDataHold) {
  const nockwise::Setup supposed = tuning_bow();
  nockwise::Setup bow = supposed;
  for (Limb* limb : {&bow.limbs.upper, &bow.limbs.lower}) {
    limb->torsion_stiffness *= 1.04;
    limb->effective_mass *= 1.2;
  }
  bow.cables.upper.twists = 0.6;
  const Calibration c = calibrate(supposed, measured(bow, 3));
  EXPECT_LT(c.misfit, 2.0);
  const CalibratedParameter& sync = fitted(c, "upper cam's cable against the lower");
  EXPECT_TRUE(sync.determined);
  EXPECT_NEAR(sync.change, 0.6, 3.0 * sync.deviation + 0.02);
  for (const CalibratedParameter& each : c.parameters) {
    double truth = 0.0;
    if (each.parameter.title == "stiffness of the limbs") {
      truth = 0.04 * supposed.limbs.upper.torsion_stiffness;
    } else if (each.parameter.title == "moving mass of the limbs") {
      truth = 0.2 * supposed.limbs.upper.effective_mass;
    } else if (each.parameter.title == "upper cam's cable against the lower") {
      truth = 0.6;
    }
    EXPECT_NEAR(each.change, truth, 3.5 * each.deviation) << each.parameter.title;
  }
  // The calibrated bow shoots what was measured.
  const DrawCycle was = draw_cycle(Model(bow));
  const DrawCycle is = draw_cycle(Model(c.setup));
  EXPECT_NEAR(is.peak_force, was.peak_force, 0.01 * was.peak_force);
  EXPECT_NE(c.setup.provenance.find("Calibrated"), std::string::npos);
}

TEST(Calibration, SaysWhatTheDataCannotFix) {
  const nockwise::Setup bow = tuning_bow();
  Measurements only_speed;
  const Model model(bow);
  only_speed.speeds.push_back({chronograph_speed(model, launch(model)), 0.4});
  const Calibration c = calibrate(bow, only_speed);
  for (const char* title :
       {"inertia of the cams", "rest height", "centre shot", "upper cam's cable against the lower"}) {
    EXPECT_FALSE(fitted(c, title).determined) << title;
  }
  EXPECT_GE(c.findings.size(), 4U);
}

TEST(Calibration, StaysWithinItsBounds) {
  const nockwise::Setup supposed = tuning_bow();
  nockwise::Setup bow = supposed;
  bow.cables.upper.twists = 1.0;
  const CalibrationParameter twists{"upper cable", {"cables.upper.twists"}, 0.2, 2.0};
  const Calibration c = calibrate(supposed, measured(bow, 5), {twists});
  ASSERT_EQ(c.parameters.size(), 1U);
  EXPECT_TRUE(c.parameters.front().at_bound);
  EXPECT_LE(std::fabs(c.parameters.front().change), 0.4);
  EXPECT_GT(c.misfit, 2.0);
  const bool told = std::any_of(c.findings.begin(), c.findings.end(), [](const std::string& text) {
    return text.find("At its bound: upper cable") != std::string::npos;
  });
  EXPECT_TRUE(told);
}

TEST(Calibration, RefusesNonsense) {
  const nockwise::Setup bow = tuning_bow();
  EXPECT_THROW((void)calibrate(bow, {}), InputError);
  Measurements m;
  m.speeds.push_back({-3.0, 0.4});
  EXPECT_THROW((void)calibrate(bow, m), InputError);
  m.speeds = {{76.0, 0.0}};
  EXPECT_THROW((void)calibrate(bow, m), InputError);
  m.speeds = {{76.0, 0.4}};
  EXPECT_THROW((void)calibrate(bow, m, {{"x", {"no.such.path"}, 1.0}}), InputError);
}

TEST(Calibration, LeavesLessUnknownOfWhatWasMeasured) {
  const nockwise::Setup bow = tuning_bow();
  const Measurements measurements = measured(bow, 5);
  const Calibration calibration = calibrate(bow, measurements);
  const std::size_t count = calibration.parameters.size();
  ASSERT_EQ(calibration.covariance.size(), count * count);
  for (std::size_t i = 0; i < count; ++i) {
    EXPECT_DOUBLE_EQ(std::sqrt(calibration.covariance[i * count + i]), calibration.parameters[i].deviation);
  }
  const Ignorance after = ignorance_after(calibration, measurements);
  const Ignorance before = ignorance_of(calibration.setup);
  const auto spread = [&](const Ignorance& ignorance, Output output) {
    const std::vector<WatchedShot> shots{{calibration.setup, {{output}}}};
    return std::sqrt(reading_covariance(ignorance, sensitivity_of(ignorance, shots)).front());
  };
  // A speed that was read twice to 0.4 m/s in 19 of 20 is known to about 0.2 m/s.
  EXPECT_LT(spread(after, Output::exit_speed), 0.25);
  EXPECT_GT(spread(before, Output::exit_speed), 3.0 * spread(after, Output::exit_speed));
  EXPECT_LT(spread(after, Output::tear_up), spread(before, Output::tear_up));
  // A check replaces the usual width of what it measures, and the draw curve tells of the brace height too.
  EXPECT_LT(spread(after, Output::brace_height), 1e-3 / 1.96);
  EXPECT_LT(spread(after, Output::stop_gap), spread(before, Output::stop_gap));
  EXPECT_EQ(after.mean, before.mean);
}

}  // namespace
}  // namespace nockwise
