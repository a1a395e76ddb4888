// What a setup file may leave out: nothing whose default tears the paper otherwise.
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/model.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/tear_matrix.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

constexpr double reading_error = 0.003175;  // 1/8 in [m]

TEST(Required, WhatMayBeLeftOutDoesNotMoveTheTear) {
  for (const char* name : testing::demo_bow_names) {
    const nockwise::Setup bow = testing::demo_bow(name);
    const Shot whole = shoot(bow);
    ASSERT_TRUE(whole.flew);
    for (const Parameter& each : parameters()) {
      if (!each.alias_of.empty() || each.required || each.get(bow) == each.default_value()) {
        continue;
      }
      nockwise::Setup less = bow;
      each.set(less, each.default_value());
      const Shot shot = shoot(less);
      ASSERT_TRUE(shot.flew) << name << ": " << each.path;
      EXPECT_LT(std::hypot(shot.value[Output::tear_up] - whole.value[Output::tear_up],
                           shot.value[Output::tear_right] - whole.value[Output::tear_right]),
                reading_error)
          << name << ": " << each.path;
    }
  }
}

TEST(Required, ADefaultSetupIsNoBow) {
  EXPECT_NO_THROW(validate(nockwise::Setup{}));
  try {
    const Model model{nockwise::Setup{}};
    ADD_FAILURE() << "a bow without let-off was compiled";
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "cams.upper.take_up_track");
    EXPECT_NE(error.allowed().find("placeholder"), std::string::npos);
  }
}

TEST(Required, SpinesAreOfArrows) {
  nockwise::Setup setup;
  EXPECT_THROW(setup.set("arrow.spine", "250000 spine"), InputError);
  EXPECT_THROW(setup.set("arrow.spine", "26 spine"), InputError);
  EXPECT_NO_THROW(setup.set("arrow.spine", "150 spine"));
  EXPECT_NO_THROW(setup.set("arrow.spine", "2000 spine"));
  EXPECT_NO_THROW(validate(setup));
}

}  // namespace
}  // namespace nockwise
