#include "setup/tried_ranges.hpp"

#include "demo_bows.hpp"
#include "nockwise/parameters.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace nockwise {
namespace {

using detail::within_tried_ranges;

TEST(TriedRanges, HoldEveryDemoBowForEitherHand) {
  for (const char* name : testing::demo_bow_names) {
    const nockwise::Setup setup = testing::demo_bow(name);
    EXPECT_TRUE(within_tried_ranges(setup)) << name;
    EXPECT_TRUE(within_tried_ranges(mirrored(setup))) << name << " for the other hand";
  }
}

// The largest and the smallest number that may be given, each alone on a bow that is tried.
TEST(TriedRanges, DoNotHoldANumberThatIsFarFromAnyBows) {
  const nockwise::Setup larkspur = testing::demo_bow("larkspur");
  std::size_t far_above = 0;
  std::size_t far_below = 0;
  for (const Parameter& parameter : parameters()) {
    if (!parameter.alias_of.empty() || (parameter.used && !parameter.used(larkspur))) {
      continue;
    }
    nockwise::Setup setup = larkspur;
    parameter.set(setup, parameter.maximum);
    const bool above = !within_tried_ranges(setup);
    setup = larkspur;
    parameter.set(setup, parameter.minimum);
    const bool below = !within_tried_ranges(setup);
    const Quantity q = parameter.quantity;
    if (q == Quantity::angle || q == Quantity::turns || parameter.path.starts_with("surroundings.")) {
      EXPECT_FALSE(above || below) << parameter.path << " says only where something is";
      continue;
    }
    if (parameter.minimum < 0.0) {
      EXPECT_TRUE(above && below) << parameter.path << " may be of either sign";
    }
    if (parameter.minimum == 0.0) {
      EXPECT_FALSE(below) << parameter.path << " may be nothing";
    }
    far_above += above ? 1 : 0;
    far_below += below ? 1 : 0;
  }
  EXPECT_GE(far_above, 100U);
  EXPECT_GE(far_below, 50U);
}

TEST(TriedRanges, KnowAMassCentreThatNoCamHas) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  setup.cams.upper.center_of_mass_x = -0.009;
  EXPECT_TRUE(within_tried_ranges(setup));
  setup.cams.upper.center_of_mass_x = -0.011;
  EXPECT_FALSE(within_tried_ranges(setup));
}

TEST(TriedRanges, HoldTheTwistsOfAWorkshop) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  setup.string.twists = -4.0;
  EXPECT_TRUE(within_tried_ranges(setup));
  setup.string.twists = 6.0;
  EXPECT_FALSE(within_tried_ranges(setup));
}

TEST(TriedRanges, HoldNoBowWithoutARest) {
  nockwise::Setup setup = testing::demo_bow("wheelwright");
  setup.rest.kind = RestKind::capture;
  EXPECT_TRUE(within_tried_ranges(setup));
  setup.rest.kind = RestKind::none;
  EXPECT_FALSE(within_tried_ranges(setup));
}

// What a setup makes no use of decides nothing.
TEST(TriedRanges, DoNotAskForWhatIsNotUsed) {
  nockwise::Setup setup = testing::demo_bow("alder");
  ASSERT_EQ(setup.rest.kind, RestKind::blade);
  setup.rest.arm.inertia = parameter("rest.arm.inertia").maximum;
  EXPECT_TRUE(within_tried_ranges(setup));
}

}  // namespace
}  // namespace nockwise
