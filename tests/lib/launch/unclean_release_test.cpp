// A release that is not clean: a velocity that it leaves the nock with (lib/README.md, Eq. 47a).
#include "demo_bows.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/outputs.hpp"
#include "nockwise/sweep.hpp"
#include "nockwise/tear_matrix.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace nockwise {
namespace {

nockwise::Setup let_go(nockwise::Setup setup, double up, double right) {
  setup.hold.release_up = up;
  setup.hold.release_right = right;
  return setup;
}

double tear(const nockwise::Setup& setup, Output output) {
  const Shot shot = shoot(setup);
  EXPECT_TRUE(shot.flew) << shot.failure;
  return shot.value[output];
}

TEST(UncleanRelease, StartsTheNockAndNothingOfTheBow) {
  const EquationsOfMotion equations(Model(let_go(testing::demo_bow("larkspur"), 0.2, -0.3)));
  const std::vector<std::string> names = equations.names();
  const std::vector<double> state = equations.initial_state();
  const std::size_t n = names.size() / 2;
  for (std::size_t i = 0; i < n; ++i) {
    const double rate = state[n + i];
    if (names[i] == "string.y") {
      EXPECT_EQ(rate, 0.2);
    } else if (names[i] == "string.z") {
      EXPECT_EQ(rate, -0.3);
    } else if (!names[i].starts_with("arrow")) {
      EXPECT_EQ(rate, 0.0) << names[i];
    }
  }
}

TEST(UncleanRelease, ACleanOneChangesNothing) {
  const nockwise::Setup bow = testing::demo_bow("alder");
  EXPECT_EQ(tear(bow, Output::tear_up), tear(let_go(bow, 0.0, 0.0), Output::tear_up));
}

TEST(UncleanRelease, AnswersAlikeEitherWayAndInTheMirror) {
  for (const char* const name : testing::demo_bow_names) {
    const nockwise::Setup bow = testing::demo_bow(name);
    const double clean = tear(bow, Output::tear_right);
    const double right = tear(let_go(bow, 0.0, 0.1), Output::tear_right) - clean;
    const double left = tear(let_go(bow, 0.0, -0.1), Output::tear_right) - clean;
    EXPECT_GT(std::fabs(right), 1e-4) << name;
    EXPECT_NEAR(right, -left, 0.05 * std::fabs(right)) << name;
    const nockwise::Setup turned = mirrored(let_go(bow, 0.0, 0.1));
    EXPECT_EQ(turned.hold.release_right, -0.1);
    EXPECT_NEAR(tear(turned, Output::tear_right), -tear(let_go(bow, 0.0, 0.1), Output::tear_right), 1e-9) << name;
    EXPECT_EQ(swapped(let_go(bow, 0.1, 0.0)).hold.release_up, -0.1);
  }
}

// The blow's energy is in the balance from the start.
TEST(UncleanRelease, EnergyCloses) {
  LaunchOptions options;
  options.integrator = Integrator::dormand_prince;
  options.tolerance = 1e-9;
  const nockwise::Setup bow = testing::undamped(testing::demo_bow("larkspur"));
  const Launch clean = launch(Model(bow), options);
  const Launch shot = launch(Model(let_go(bow, 0.4, 0.5)), options);
  EXPECT_GT(shot.energy_start.total(), clean.energy_start.total());
  EXPECT_NEAR(shot.dissipated / shot.stored_energy, 0.0, 1e-6);
}

// Shots that differ by it alone share brace and draw.
TEST(UncleanRelease, IsTheSameInASweep) {
  const std::vector<double> right = {-0.2, 0.0, 0.1};
  const auto setup_of = [&](std::size_t i) { return let_go(testing::demo_bow("wheelwright"), 0.05, right[i]); };
  std::vector<double> yaw(right.size());
  sweep(right.size(), setup_of, [&](const SweepSample& sample) {
    ASSERT_NE(sample.launch, nullptr) << sample.failure;
    yaw[sample.index] = sample.launch->exit.yaw;
  });
  for (std::size_t i = 0; i < right.size(); ++i) {
    EXPECT_EQ(yaw[i], launch(Model(setup_of(i))).exit.yaw);
  }
  EXPECT_NE(yaw[0], yaw[2]);
}

}  // namespace
}  // namespace nockwise
