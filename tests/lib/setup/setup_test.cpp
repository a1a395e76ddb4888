#include "nockwise/setup.hpp"

#include "lib/launch/random_setup.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

TEST(Setup, TheDefaultHasNoLateralOrVerticalBiasFromItsHalves) {
  const nockwise::Setup setup;
  EXPECT_EQ(setup.limbs.upper, setup.limbs.lower);
  EXPECT_EQ(setup.cams.upper, setup.cams.lower);
  EXPECT_EQ(setup.cables.upper, setup.cables.lower);
}

TEST(Setup, MirroredTwiceIsTheSame) {
  for (unsigned seed = 0; seed < 50; ++seed) {
    const nockwise::Setup setup = random_setup(seed);
    EXPECT_EQ(mirrored(mirrored(setup)), setup);
    EXPECT_NE(mirrored(setup), setup);
  }
}

TEST(Setup, SwappedTwiceIsTheSame) {
  for (unsigned seed = 0; seed < 50; ++seed) {
    const nockwise::Setup setup = random_setup(seed);
    EXPECT_EQ(swapped(swapped(setup)), setup);
    EXPECT_NE(swapped(setup), setup);
  }
}

TEST(Setup, MirroringAndSwappingDoNotMindTheirOrder) {
  for (unsigned seed = 0; seed < 20; ++seed) {
    const nockwise::Setup setup = random_setup(seed);
    EXPECT_EQ(mirrored(swapped(setup)), swapped(mirrored(setup)));
  }
}

TEST(Setup, MirroringTurnsTheSidesOver) {
  nockwise::Setup setup;
  setup.rest.center_shot = 0.001;
  setup.cams.lower.shim = -0.002;
  setup.cables.upper.yoke = {.left_twists = 1.0, .right_twists = -2.0};
  const nockwise::Setup other = mirrored(setup);
  EXPECT_EQ(other.handedness, Handedness::left);
  EXPECT_EQ(other.rest.center_shot, -0.001);
  EXPECT_EQ(other.cams.lower.shim, 0.002);
  EXPECT_EQ(other.cams.upper.take_up_offset, -setup.cams.upper.take_up_offset);
  EXPECT_EQ(other.cable_guard.offset, -setup.cable_guard.offset);
  EXPECT_EQ(other.cables.upper.yoke.left_twists, -2.0);
  EXPECT_EQ(other.cables.upper.yoke.right_twists, 1.0);
  EXPECT_EQ(other.rest.height, setup.rest.height);
}

TEST(Setup, SwappingTurnsTheBowUpsideDown) {
  nockwise::Setup setup = random_setup(1);
  setup.riser.upper_end_compliance = 1e-5;
  setup.riser.lower_end_compliance = 2e-5;
  setup.rest.arm.cord_side = Side::lower;
  const nockwise::Setup other = swapped(setup);
  EXPECT_NE(setup.cams.upper, setup.cams.lower);
  EXPECT_EQ(other.cams.lower, setup.cams.upper);
  EXPECT_EQ(other.cams.upper, setup.cams.lower);
  EXPECT_EQ(other.limbs.upper, setup.limbs.lower);
  EXPECT_EQ(other.cables.upper, setup.cables.lower);
  EXPECT_EQ(other.riser.lower_end_compliance, 1e-5);
  EXPECT_EQ(other.riser.upper_end_compliance, 2e-5);
  EXPECT_EQ(other.rest.height, -setup.rest.height);
  EXPECT_EQ(other.string.nocking_point, -setup.string.nocking_point);
  EXPECT_EQ(other.rest.arm.cord_side, Side::upper);
  EXPECT_EQ(other.handedness, setup.handedness);
  EXPECT_EQ(other.rest.center_shot, setup.rest.center_shot);
}

// A riser is weighed in kilograms, a point in grains.
TEST(Setup, ProposesTheUnitOfTheParameterWhereNoneIsWritten) {
  nockwise::Setup setup;
  const auto refusal = [&](const char* path, const char* text) {
    try {
      setup.set(path, std::string(text));
    } catch (const InputError& error) {
      return error.allowed();
    }
    return std::string("taken");
  };
  EXPECT_NE(refusal("riser.mass", "2.3").find("write \"2.3 kg\""), std::string::npos) << refusal("riser.mass", "2.3");
  EXPECT_NE(refusal("arrow.point_mass", "100").find("write \"100 gr\""), std::string::npos);
  EXPECT_NE(refusal("rest.height", "18").find("write \"18 mm\""), std::string::npos) << refusal("rest.height", "18");
  // Fractions are of inches.
  EXPECT_NE(refusal("rest.height", "1/8").find("write \"1/8 in\""), std::string::npos) << refusal("rest.height", "1/8");
}

TEST(Setup, ZeroKeepsItsSign) {
  EXPECT_FALSE(std::signbit(mirrored(nockwise::Setup{}).rest.center_shot));
  EXPECT_FALSE(std::signbit(swapped(nockwise::Setup{}).string.nocking_point));
}

}  // namespace
}  // namespace nockwise
