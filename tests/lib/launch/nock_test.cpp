// A nock that grips the string: stiffness and friction against turning on it, and its hold (lib/README.md, Eq. 26a).
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/outputs.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/sweep.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace nockwise {
namespace {

nockwise::Setup gripping(nockwise::Setup setup, double stiffness, double friction) {
  setup.arrow.nock_stiffness = stiffness;
  setup.arrow.nock_friction = friction;
  return setup;
}

PaperTear tear(const nockwise::Setup& setup, double step = LaunchOptions{}.step) {
  const Model model(setup);
  LaunchOptions options;
  options.step = step;
  return paper_tear(model, launch(model, options));
}

TEST(Nock, ThatHardlyGripsHardlyMatters) {
  for (const char* const name : testing::demo_bow_names) {
    const nockwise::Setup bow = testing::demo_bow(name);
    const PaperTear free = tear(bow);
    const PaperTear held = tear(gripping(bow, 1e-7, 1e-9));
    EXPECT_NEAR(held.up, free.up, 2e-5) << name;
    EXPECT_NEAR(held.right, free.right, 2e-5) << name;
  }
}

/// Turned about the nock by its spring alone, a shaft that nothing else holds: θ̈ follows from the moment's power, and
/// what the spring gives the arrow and the bow have.
TEST(Nock, StiffnessLosesNothingAndFrictionTakes) {
  nockwise::Setup bow = testing::demo_bow("larkspur");
  bow.arrow.damping_ratio = 0.0;
  const auto lost = [&](double stiffness, double friction, double step) {
    LaunchOptions options;
    options.step = step;
    return launch(Model(gripping(bow, stiffness, friction)), options).dissipated;
  };
  constexpr double fine = 2e-5;
  const double free = lost(0.0, 0.0, fine);
  // A shaft that is held otherwise rattles otherwise: the rest's and the string's dampers take a few millijoules more
  // or less.
  EXPECT_NEAR(lost(3.0, 0.0, fine), free, 0.02);
  EXPECT_NEAR(lost(3.0, 0.0, 0.5 * fine), lost(3.0, 0.0, fine), 1e-4);
  EXPECT_GT(lost(0.0, 0.1, fine), free + 1e-3);
}

TEST(Nock, AnswersInTheMirrorAndToHalfTheStep) {
  for (const char* const name : testing::demo_bow_names) {
    nockwise::Setup bow = gripping(testing::demo_bow(name), 2.0, 0.05);
    bow.hold.grip_torque = 0.3;
    const PaperTear here = tear(bow);
    const PaperTear there = tear(mirrored(bow));
    EXPECT_NEAR(there.up, here.up, 1e-9) << name;
    EXPECT_NEAR(there.right, -here.right, 1e-9) << name;
    const PaperTear finer = tear(bow, 5e-5);
    EXPECT_NEAR(finer.up, here.up, 1e-4) << name;
    EXPECT_NEAR(finer.right, here.right, 1e-4) << name;
  }
}

TEST(Nock, LanesShootItAsAlone) {
  std::vector<nockwise::Setup> setups;
  for (int i = 0; i < 12; ++i) {
    for (const char* const name : testing::demo_bow_names) {
      setups.push_back(gripping(testing::demo_bow(name), 0.4 * i, i % 2 == 0 ? 0.0 : 0.02 * i));
      setups.back().hold.grip_torque = 0.05 * i;
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

/// F = 4 T y / L.
TEST(Nock, HoldIsTheShopsTest) {
  for (const char* const name : testing::demo_bow_names) {
    nockwise::Setup bow = testing::demo_bow(name);
    const BraceState brace = Model(bow).brace();
    const double length = bow.arrow.nock_hold * brace.string_tension > 0.0
                              ? 4.0 * brace.string_tension * brace.nock_pull_off / bow.arrow.nock_hold
                              : 0.0;
    EXPECT_GT(length, 0.85 * brace.axle_to_axle) << name;  // from where the string leaves one cam to the other
    EXPECT_LT(length, 1.05 * brace.axle_to_axle) << name;
    bow.arrow.nock_hold *= 3.0;
    EXPECT_NEAR(Model(bow).brace().nock_pull_off, 3.0 * brace.nock_pull_off, 1e-12) << name;
  }
}

TEST(Nock, RefusesWhatIsOutOfRange) {
  nockwise::Setup bow = testing::demo_bow("alder");
  bow.arrow.nock_stiffness = 21.0;
  EXPECT_THROW((void)Model(bow), InputError);
  bow.arrow.nock_stiffness = 0.0;
  bow.arrow.nock_friction = -0.1;
  EXPECT_THROW((void)Model(bow), InputError);
}

}  // namespace
}  // namespace nockwise
