/// @file
/// A spine that differs around the shaft, shot (lib/README.md, Eq. 26b).
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/outputs.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/sweep.hpp"
#include "nockwise/tear_matrix.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

namespace nockwise {
namespace {

constexpr double quarter = 0.5 * std::numbers::pi;

nockwise::Setup around(nockwise::Setup bow, double difference, double direction) {
  bow.arrow.spine_difference = difference;
  bow.arrow.spine_direction = direction;
  return bow;
}

PaperTear tear(const nockwise::Setup& bow) {
  const Model model(bow);
  return paper_tear(model, launch(model));
}

TEST(SpineAround, AnEvenShaftHasNoStiffSide) {
  for (const char* const name : testing::demo_bow_names) {
    const nockwise::Setup bow = testing::demo_bow(name);
    const PaperTear even = tear(bow);
    const PaperTear turned = tear(around(bow, 0.0, 1.1));
    EXPECT_EQ(even.up, turned.up) << name;
    EXPECT_EQ(even.right, turned.right) << name;
  }
}

TEST(SpineAround, IsTheSameHalfATurnOnAndExchangedAQuarterOn) {
  for (const char* const name : testing::demo_bow_names) {
    const nockwise::Setup bow = testing::demo_bow(name);
    const PaperTear here = tear(around(bow, 0.05, 0.4));
    for (const nockwise::Setup& same : {around(bow, 0.05, 0.4 - 2.0 * quarter), around(bow, -0.05, 0.4 + quarter),
                                        around(bow, -0.05, 0.4 - quarter)}) {
      const PaperTear there = tear(same);
      EXPECT_NEAR(there.up, here.up, 1e-8) << name;
      EXPECT_NEAR(there.right, here.right, 1e-8) << name;
    }
    EXPECT_GT(std::fabs(tear(bow).up - here.up) + std::fabs(tear(bow).right - here.right), 1e-5) << name;
  }
}

TEST(SpineAround, AnswersInTheMirror) {
  for (const char* const name : testing::demo_bow_names) {
    nockwise::Setup bow = around(testing::demo_bow(name), 0.06, 0.7);
    bow.hold.grip_torque = 0.2;
    bow.arrow.nock_stiffness = 1.0;
    const nockwise::Setup other = mirrored(bow);
    EXPECT_EQ(other.arrow.spine_direction, -0.7);
    EXPECT_EQ(other.arrow.spine_difference, 0.06);
    const PaperTear here = tear(bow);
    const PaperTear there = tear(other);
    EXPECT_NEAR(there.up, here.up, 1e-9) << name;
    EXPECT_NEAR(there.right, -here.right, 1e-9) << name;
  }
}

/// The nock's turn takes the stiff side with it: what counts is where it stands on the bow.
TEST(SpineAround, TurnsWithTheNock) {
  nockwise::Setup bow = around(testing::demo_bow("withy"), 0.05, 0.9);
  bow.arrow.fletching.count = 0;
  const PaperTear here = tear(bow);
  bow.arrow.fletching.clocking = 0.6;
  bow.arrow.spine_direction = 0.3;
  const PaperTear there = tear(bow);
  EXPECT_NEAR(there.up, here.up, 1e-9);
  EXPECT_NEAR(there.right, here.right, 1e-9);
}

/// Upright, each plane is a shaft of its own: up and down it answers as a stiffer shaft, sideways as a weaker one.
TEST(SpineAround, UprightIsAStifferShaftUpAndAWeakerOneAside) {
  for (const char* const name : {"larkspur", "alder", "withy"}) {
    const nockwise::Setup bow = testing::demo_bow(name);
    constexpr double part = 0.01;
    const auto change = [&](double PaperTear::*way, const nockwise::Setup& one, const nockwise::Setup& other) {
      return tear(one).*way - tear(other).*way;
    };
    const auto scaled = [&](double by) {
      nockwise::Setup stiff = bow;
      stiff.arrow.bending_stiffness *= 1.0 + by;
      return stiff;
    };
    const double up = change(&PaperTear::up, scaled(part), scaled(-part));
    const double right = change(&PaperTear::right, scaled(part), scaled(-part));
    const nockwise::Setup stiff_up = around(bow, part, 0.0);
    const nockwise::Setup stiff_aside = around(bow, part, quarter);
    EXPECT_NEAR(change(&PaperTear::up, stiff_up, stiff_aside), up, 0.03 * std::fabs(up) + 5e-6) << name;
    EXPECT_NEAR(change(&PaperTear::right, stiff_up, stiff_aside), -right, 0.03 * std::fabs(right) + 5e-6) << name;
  }
}

TEST(SpineAround, WithoutDampingTheEnergyCloses) {
  LaunchOptions options;
  options.integrator = Integrator::dormand_prince;
  options.tolerance = 1e-9;
  for (const char* const name : testing::demo_bow_names) {
    const Launch shot = launch(Model(around(testing::undamped(testing::demo_bow(name)), 0.2, 0.5)), options);
    EXPECT_NEAR(shot.dissipated / shot.stored_energy, 0.0, 1e-6) << name;
  }
}

TEST(SpineAround, LanesShootItAsAlone) {
  std::vector<nockwise::Setup> setups;
  for (int i = 0; i < 9; ++i) {
    for (const char* const name : testing::demo_bow_names) {
      setups.push_back(around(testing::demo_bow(name), 0.01 * i, 0.7 * i - 3.0));
    }
  }
  std::size_t shot = 0;
  sweep(
      setups.size(), [&](std::size_t i) { return setups[i]; },
      [&](const SweepSample& sample) {
        ASSERT_NE(sample.launch, nullptr) << sample.failure;
        const Launch alone = launch(Model(setups[sample.index]));
        EXPECT_EQ(sample.launch->steps, alone.steps);
        EXPECT_EQ(sample.launch->free.pitch, alone.free.pitch);
        EXPECT_EQ(sample.launch->free.yaw_rate, alone.free.yaw_rate);
        EXPECT_EQ(sample.launch->dissipated, alone.dissipated);
        ++shot;
      },
      {1});
  EXPECT_EQ(shot, setups.size());
}

/// Hanging between nock and launcher, it bends aside as far as leaves no force that way: with the stiff side at 45°, by
/// the difference of what its weight bends it down.
TEST(SpineAround, HangsAsideUnderItsOwnWeight) {
  constexpr double difference = 0.4;
  const EquationsOfMotion equations(Model(around(testing::demo_bow("larkspur"), difference, 0.5 * quarter)));
  const std::vector<std::string> names = equations.names();
  const std::vector<double> state = equations.initial_state();
  const auto mode = [&](const std::string& plane, int k) {
    const auto found = std::find(names.begin(), names.end(), "arrow." + plane + ".mode[" + std::to_string(k) + "]");
    EXPECT_NE(found, names.end());
    return state[static_cast<std::size_t>(found - names.begin())];
  };
  EXPECT_GT(std::fabs(mode("y", 2)), 1e-6);
  for (int k = 2; k < 8; ++k) {
    EXPECT_NEAR(mode("z", k), -difference * mode("y", k), 1e-9 * std::fabs(mode("y", 2))) << k;
  }
}

TEST(SpineAround, RefusesWhatIsOutOfRange) {
  EXPECT_THROW((void)Model(around(testing::demo_bow("alder"), 0.51, 0.0)), InputError);
  EXPECT_THROW((void)Model(around(testing::demo_bow("alder"), 0.1, 3.3)), InputError);
}

}  // namespace
}  // namespace nockwise
