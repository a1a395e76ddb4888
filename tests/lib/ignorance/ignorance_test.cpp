// What is not known of a bow: its directions, what they hold, and draws from them.
#include "nockwise/ignorance.hpp"

#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <string>

namespace nockwise {
namespace {

const IgnoranceDirection* find(const Ignorance& ignorance, const std::string& name) {
  const auto found = std::find_if(ignorance.directions.begin(), ignorance.directions.end(),
                                  [&](const IgnoranceDirection& each) { return each.name == name; });
  return found == ignorance.directions.end() ? nullptr : &*found;
}

/// What a workshop measures of a bow: on a draw board.
std::array<double, 5> measured(const nockwise::Setup& setup) {
  const Model model(setup);
  const DrawCycle cycle = draw_cycle(model, {.positions = 64, .hold = DrawHold::draw_board});
  const DrawPoint& touch = cycle.points[cycle.touch_index];
  return {model.brace().brace_height, model.brace().axle_to_axle, cycle.draw_length, cycle.peak_force,
          *touch.stop_gap.upper - *touch.stop_gap.lower};
}

TEST(Ignorance, DrawnBowsKeepWhatIsMeasured) {
  for (const char* const name : testing::demo_bow_names) {
    const nockwise::Setup setup = testing::demo_bow(name);
    const Ignorance ignorance = ignorance_of(setup, {.without = {"brace_height", "axle_to_axle", "brace_cam_angle",
                                                                 "draw_length", "peak_force", "stop_gap"}});
    EXPECT_TRUE(ignorance.notes.empty()) << ignorance.notes.front();
    EXPECT_GT(ignorance.directions.size(), 60U);
    const auto as_measured = measured(setup);
    std::array<double, 5> square{};
    const auto places = drawn_places(ignorance, 40, 11);
    for (const auto& place : places) {
      const nockwise::Setup bow = moved(ignorance, setup, place);
      EXPECT_NE(bow.string.axial_rigidity, setup.string.axial_rigidity);
      const auto now = measured(bow);
      for (std::size_t i = 0; i < now.size(); ++i) {
        square[i] += (now[i] - as_measured[i]) * (now[i] - as_measured[i]);
      }
    }
    const std::array<double, 5> allowed{1e-4, 1e-4, 2.5e-4, 1.5e-3 * as_measured[3], 2e-4};
    for (std::size_t i = 0; i < square.size(); ++i) {
      EXPECT_LT(std::sqrt(square[i] / 40.0), allowed[i]) << name << ", measure " << i;
    }
  }
}

TEST(Ignorance, WithoutHoldingAStringsRigidityMovesTheStops) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  Ignorance ignorance = ignorance_of(setup, {.without = {"draw_length"}});
  std::vector<double> place(ignorance.directions.size(), 0.0);
  for (std::size_t k = 0; k < place.size(); ++k) {
    if (ignorance.directions[k].name == "cables.both.axial_rigidity") {
      place[k] = 2.0;
      const double held = std::fabs(measured(moved(ignorance, setup, place))[2] - measured(setup)[2]);
      ignorance.directions[k].held.clear();
      const double loose = std::fabs(measured(moved(ignorance, setup, place))[2] - measured(setup)[2]);
      EXPECT_LT(held, 2e-5);
      EXPECT_GT(loose, 20.0 * held);
    }
  }
}

TEST(Ignorance, AMeasureMovesAloneByItsWidth) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance ignorance = ignorance_of(setup);
  const auto before = measured(setup);
  const std::array<std::pair<const char*, double>, 5> widths{{{"brace_height", 0.001},
                                                              {"axle_to_axle", 0.0015},
                                                              {"draw_length", 0.0015},
                                                              {"peak_force", 0.01 * before[3]},
                                                              {"stop_gap", 0.0005}}};
  for (std::size_t i = 0; i < widths.size(); ++i) {
    std::vector<double> place(ignorance.directions.size(), 0.0);
    const IgnoranceDirection* direction = find(ignorance, widths[i].first);
    ASSERT_NE(direction, nullptr);
    place[static_cast<std::size_t>(direction - ignorance.directions.data())] = 1.0;
    const auto after = measured(moved(ignorance, setup, place));
    for (std::size_t j = 0; j < after.size(); ++j) {
      // The first touch comes half a gap before the mean of both.
      const double expected = i == j ? widths[i].second : 0.0;
      const double slack = j == 2 && i == 4 ? 0.002 : 0.1 * widths[j].second;
      EXPECT_NEAR(after[j] - before[j], expected, slack) << widths[i].first << " on " << widths[j].first;
    }
  }
}

TEST(Ignorance, HalvesShareMostAndDifferByWhatIsStated) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance ignorance = ignorance_of(setup);
  const IgnoranceDirection* both = find(ignorance, "limbs.both.twist_stiffness");
  const IgnoranceDirection* difference = find(ignorance, "limbs.difference.twist_stiffness");
  ASSERT_TRUE(both != nullptr && difference != nullptr);
  const Knowledge& known = parameter("limbs.upper.twist_stiffness").known;
  EXPECT_NEAR(std::hypot(both->steps[0].deviation, difference->steps[0].deviation), known.width.value, 1e-15);
  EXPECT_NEAR(difference->steps[0].deviation / known.width.value, known.apart, 1e-15);
  EXPECT_EQ(difference->steps[0].deviation, -difference->steps[1].deviation);
  EXPECT_EQ(both->steps[0].deviation, both->steps[1].deviation);
  EXPECT_TRUE(both->steps[0].logarithmic);
}

TEST(Ignorance, WhatTheBowHasNotIsNotUnknown) {
  const Ignorance ignorance = ignorance_of(testing::demo_bow("wheelwright"));
  EXPECT_EQ(find(ignorance, "cams.both.bearing_damping"), nullptr) << "zero is a bearing without friction";
  for (const IgnoranceDirection& each : ignorance.directions) {
    for (const IgnoranceStep& step : each.steps) {
      const Parameter& number = parameter(step.path);
      EXPECT_TRUE(!number.used || number.used(ignorance.setup)) << step.path;
    }
  }
}

TEST(Ignorance, KnownNarrowsAndWithoutLeavesOut) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  const double usual = find(ignorance_of(setup), "riser.mass")->steps[0].deviation;
  setup.known = {{"riser.mass", KnownBy::measured}, {"cables.upper.damping", KnownBy::exact}};
  const Ignorance own = ignorance_of(setup, {.without = {"rest.height", "hand_damping"}});
  EXPECT_DOUBLE_EQ(find(own, "riser.mass")->steps[0].deviation, 0.1 * usual);
  EXPECT_EQ(find(own, "riser.mass")->by, KnownBy::measured);
  EXPECT_EQ(find(own, "rest.height"), nullptr);
  EXPECT_EQ(find(own, "hand_damping"), nullptr);
  for (const IgnoranceStep& step : find(own, "line_damping")->steps) {
    EXPECT_NE(step.path, "cables.upper.damping");
  }
  EXPECT_TRUE(ignorance_of(setup, {.level = 0.0}).directions.empty());
  EXPECT_DOUBLE_EQ(find(ignorance_of(setup, {.level = 2.0}), "riser.mass")->steps[0].deviation, 0.2 * usual);
}

TEST(Ignorance, RefusesOptionsThatCannotBeMeant) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  EXPECT_THROW((void)ignorance_of(setup, {.level = -1.0}), InputError);
  EXPECT_THROW((void)ignorance_of(setup, {.level = std::nan("")}), InputError);
  EXPECT_THROW((void)ignorance_of(setup, {.without = {"rest.hight"}}), InputError);
  EXPECT_THROW((void)ignorance_of(setup, {.threads = 0}), InputError);
  EXPECT_THROW((void)moved(ignorance_of(setup), setup, std::array{1.0}), InputError);
}

TEST(Ignorance, NothingLeavesItsRangeHoweverFarItIsMoved) {
  const nockwise::Setup setup = testing::demo_bow("alder");
  const Ignorance ignorance = ignorance_of(setup);
  for (const double z : {-1e6, -40.0, 40.0, 1e6}) {
    const nockwise::Setup bow = moved(ignorance, setup, std::vector<double>(ignorance.directions.size(), z));
    for (const Parameter& each : parameters()) {
      if (each.alias_of.empty()) {
        EXPECT_NO_THROW(each.check(each.get(bow))) << each.path;
      }
    }
  }
  EXPECT_EQ(moved(ignorance, setup, ignorance.mean), setup);
}

TEST(Ignorance, DrawsAreNormalAndCommonToWhatIsNamedAlike) {
  const nockwise::Setup setup = testing::demo_bow("alder");
  const Ignorance all = ignorance_of(setup);
  const Ignorance some = ignorance_of(setup, {.without = {"riser.mass", "string.mass"}});
  const auto places = drawn_places(all, 2000, 5);
  EXPECT_EQ(places[7], drawn_places(all, 1, 5, 7).front());
  EXPECT_NE(places[7], drawn_places(all, 1, 6, 7).front());
  const auto fewer = drawn_places(some, 3, 5);
  double sum = 0.0;
  double square = 0.0;
  double beside = 0.0;
  for (std::size_t k = 0; k < all.directions.size(); ++k) {
    const IgnoranceDirection* same = find(some, all.directions[k].name);
    if (same != nullptr) {
      EXPECT_EQ(fewer[2][static_cast<std::size_t>(same - some.directions.data())], places[2][k]);
    }
    for (std::size_t i = 0; i + 1 < places.size(); ++i) {
      sum += places[i][k];
      square += places[i][k] * places[i][k];
      beside += places[i][k] * places[i + 1][k];
    }
  }
  const double count = static_cast<double>(all.directions.size() * (places.size() - 1));
  const double four = 4.0 / std::sqrt(count);  // four standard errors
  EXPECT_NEAR(sum / count, 0.0, four);
  EXPECT_NEAR(square / count, 1.0, four * std::sqrt(2.0));
  EXPECT_NEAR(beside / count, 0.0, four);
}

TEST(Ignorance, IsTheSameForAnyNumberOfThreads) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance one = ignorance_of(setup, {.threads = 1});
  const Ignorance two = ignorance_of(setup, {.threads = 2});
  EXPECT_EQ(one.directions, two.directions);
}

TEST(Ignorance, AMirroredBowHasMirroredDraws) {
  const nockwise::Setup setup = testing::demo_bow("larkspur");
  const Ignorance right = ignorance_of(setup);
  const Ignorance left = ignorance_of(mirrored(setup));
  ASSERT_EQ(right.directions.size(), left.directions.size());
  const auto place = drawn_places(right, 1, 3).front();
  const nockwise::Setup there = mirrored(moved(right, setup, place));
  const nockwise::Setup here = moved(left, mirrored(setup), drawn_places(left, 1, 3).front());
  for (const Parameter& each : parameters()) {
    EXPECT_NEAR(each.get(here), each.get(there), 1e-9 * (1.0 + std::fabs(each.get(there)))) << each.path;
  }
}

}  // namespace
}  // namespace nockwise
