// How well numbers are known: the table, its classes, and what a setup may say of it.
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>

namespace nockwise {
namespace {

TEST(Knowledge, EveryNumberHasAWidthOrIsExactAndSaysWhy) {
  for (const Parameter& each : parameters()) {
    EXPECT_FALSE(each.known.reason.empty()) << each.path;
    EXPECT_EQ(each.known.width.value > 0.0, each.known.by != KnownBy::exact) << each.path;
    EXPECT_GE(each.known.apart, 0.0) << each.path;
    EXPECT_LT(each.known.apart, 1.0) << each.path;
    if (each.whole) {
      EXPECT_EQ(each.known.by, KnownBy::exact) << each.path << " is counted";
    }
  }
}

TEST(Knowledge, AnAliasIsAsWellKnownAsTheNumber) {
  EXPECT_EQ(parameter("arrow.spine").known.width, parameter("arrow.bending_stiffness").known.width);
}

TEST(Knowledge, WidthsFitTheRanges) {
  for (const Parameter& each : parameters()) {
    const Width& width = each.known.width;
    if (width.relative) {
      EXPECT_LE(width.value, 0.5) << each.path;
    } else {
      EXPECT_LT(width.value, 0.1 * (each.maximum - each.minimum)) << each.path;
    }
  }
}

TEST(Knowledge, HalvesAreKnownAlike) {
  for (const Parameter& each : parameters()) {
    const auto place = each.path.find(".upper.");
    if (place == std::string::npos) {
      continue;
    }
    std::string other = each.path;
    other.replace(place, 7, ".lower.");
    EXPECT_EQ(each.known.width, parameter(other).known.width) << each.path;
    EXPECT_EQ(each.known.apart, parameter(other).known.apart) << each.path;
  }
}

TEST(Knowledge, ClassesAreOrderedAndHaveNames) {
  const Knowledge& usual = parameter("riser.mass").known;
  double last = -1.0;
  for (const KnownBy by : {KnownBy::exact, KnownBy::measured, KnownBy::specified, KnownBy::typical, KnownBy::guessed}) {
    EXPECT_GT(width_known(usual, by).value, last) << name_of(by);
    last = width_known(usual, by).value;
    EXPECT_EQ(find_known_by(name_of(by)), by);
  }
  EXPECT_EQ(width_known(usual, KnownBy::typical), usual.width);
  EXPECT_DOUBLE_EQ(width_known(usual, KnownBy::measured).value, 0.1 * usual.width.value);
  EXPECT_FALSE(find_known_by("certain"));
}

TEST(Knowledge, ASetupSaysItsOwn) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  const Parameter& mass = parameter("riser.mass");
  EXPECT_DOUBLE_EQ(standard_deviation(setup, mass), mass.known.width.value * setup.riser.mass);
  setup.known = {{"riser.mass", KnownBy::measured, Width{0.05, false}}};
  EXPECT_EQ(standard_deviation(setup, mass), 0.05);
  setup.known = {{"riser.mass", KnownBy::exact}};
  EXPECT_EQ(standard_deviation(setup, mass), 0.0);
  EXPECT_NO_THROW(validate(setup));
}

void expect_refused(const KnownValue& known, const std::string& path, const std::string& part_of_message) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  setup.known = {known};
  try {
    validate(setup);
    FAIL() << known.path;
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), path);
    EXPECT_NE(std::string(error.what()).find(part_of_message), std::string::npos) << error.what();
  }
}

TEST(Knowledge, RefusesWhatCannotBeMeant) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto width = [](double value, bool relative) { return Width{value, relative}; };
  expect_refused({"riser.mass", KnownBy::measured, width(-0.1, false)}, "known.riser.mass", "from 0 to");
  expect_refused({"riser.mass", KnownBy::measured, width(nan, false)}, "known.riser.mass", "nan");
  expect_refused({"riser.mass", KnownBy::measured, width(9.0, false)}, "known.riser.mass", "half of the range");
  expect_refused({"riser.mass", KnownBy::measured, width(1.5, true)}, "known.riser.mass", "0 to 100 %");
  expect_refused({"riser.mass", KnownBy::measured, width(nan, true)}, "known.riser.mass", "0 to 100 %");
  expect_refused({"peak_force", KnownBy::measured, width(1e4, false)}, "known.peak_force", "standard deviation");
  expect_refused({"string.length", KnownBy::measured}, "known.string.length", "follows from what is measured");
  expect_refused({"riser.weight", KnownBy::measured}, "riser.weight", "riser.");
  expect_refused({"arrow.spine", KnownBy::measured}, "known.arrow.spine", "arrow.bending_stiffness");
}

TEST(Knowledge, IsGivenOnce) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  setup.known = {{"riser.mass", KnownBy::measured}, {"riser.mass", KnownBy::guessed}};
  EXPECT_THROW(validate(setup), InputError);
}

TEST(Knowledge, GoesWithItsNumberInTheMirrorAndUpsideDown) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  setup.known = {{"limbs.upper.twist_stiffness", KnownBy::measured}, {"riser.mass", KnownBy::measured}};
  EXPECT_EQ(mirrored(setup).known, setup.known);
  const nockwise::Setup turned = swapped(setup);
  EXPECT_EQ(turned.known.front().path, "limbs.lower.twist_stiffness");
  EXPECT_EQ(turned.known.back().path, "riser.mass");
  EXPECT_EQ(swapped(turned).known, setup.known);
}

}  // namespace
}  // namespace nockwise
