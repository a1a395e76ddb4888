/// @file
/// Mass on the string and on the arrow, on the demo bows: Hickman's third, Klopsteg's virtual mass, and the size of
/// what a launch gives. The bands come from other bows than these: ranges, not values.
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/launch.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace nockwise {
namespace {

constexpr double grain = 64.79891e-6;

class DemoBow : public ::testing::TestWithParam<const char*> {
 protected:
  [[nodiscard]] std::string name(const std::string& what) const { return std::string(GetParam()) + ", " + what; }
  [[nodiscard]] static double speed(const nockwise::Setup& setup) { return launch(Model(setup)).exit_speed; }
};

INSTANTIATE_TEST_SUITE_P(Bows, DemoBow, ::testing::ValuesIn(testing::demo_bow_names),
                         [](const auto& bow) { return std::string(bow.param); });

/// Δ on the string slows the arrow like a share of Δ on the arrow: 1/3 for a straight string that turns about its ends,
/// which the library puts in; what is checked is that it comes out, of a whole launch.
TEST_P(DemoBow, StringMassCountsAThird) {
  const auto setup = testing::demo_bow(GetParam());
  const double added = 30.0 * grain;
  auto heavier_string = setup;
  heavier_string.string.mass += added;
  auto heavier_arrow = setup;
  heavier_arrow.arrow.nock_mass += added / 3.0;
  const double base = speed(setup);
  const double by_string = base - speed(heavier_string);
  const double by_arrow = (base - speed(heavier_arrow)) * 3.0;
  EXPECT_GT(by_string, 0.1);
  check_range(name("share of 30 gr on the string that counts on the arrow"),
              {"Hickman 1947, measured with 108 and 254 gr strings: 0.225 to 0.390", "S"}, 0.22, 0.40,
              by_string / by_arrow);
}

/// v = √(2E/(m + K)) with K from two arrows foretells a third.
TEST_P(DemoBow, VirtualMassForetellsAnotherArrow) {
  const auto setup = testing::demo_bow(GetParam());
  const auto shoot = [&](double added) {
    auto loaded = setup;
    loaded.arrow.point_mass += added;
    return launch(Model(loaded));
  };
  const double mass = Model(setup).arrow().mass;
  const double light = shoot(0.0).exit_speed;
  const double heavy = shoot(0.008).exit_speed;
  // v₁² (m + K) = v₂² (m + 8 g + K)
  const double ratio = light * light / (heavy * heavy);
  const double virtual_mass = (0.008 - (ratio - 1.0) * mass) / (ratio - 1.0);
  const double foretold = light * std::sqrt((mass + virtual_mass) / (mass + 0.004 + virtual_mass));
  EXPECT_GT(virtual_mass, 0.0);
  check_range(name("speed with 4 g more over that foretold by virtual mass"),
              {"Klopsteg 1943, as explained elsewhere", "S2"}, 0.995, 1.005, shoot(0.004).exit_speed / foretold);
}

TEST_P(DemoBow, LaunchHasOrdinarySizes) {
  const auto setup = testing::demo_bow(GetParam());
  const Model model(setup);
  LaunchOptions options;
  options.trace = true;
  options.trace_interval = 0.0;
  const Launch shot = launch(model, options);
  const DrawCycle cycle = draw_cycle(model);
  const double peak = *std::max_element(shot.trace.acceleration.begin(), shot.trace.acceleration.end());
  check_range(name("peak acceleration of the arrow"), {"Park, Flex in free flight: around 1000 g", "S"}, 700.0, 1400.0,
              peak / 9.80665, "g");
  const double per_pound = cycle.stored_energy / 1.3558179483314 / (cycle.peak_force / 4.4482216152605);
  // Remembered bands, 1.2 to 1.7 and 0.75 to 0.90, with room below: the demo bows have gentle cams, and their riser,
  // hand and lines take and damp what the bands leave out.
  check_range(name("stored energy per pound of peak force"), {"general knowledge: 1.2 to 1.7, widened", "M"}, 1.0, 1.7,
              per_pound, "ft·lbf/lbf");
  check_range(name("efficiency"), {"general knowledge: 0.75 to 0.90, widened", "M"}, 0.70, 0.90, shot.efficiency);
}

/// Rules of thumb of older speed ratings: sign and rough size, a factor of two either way.
TEST_P(DemoBow, FiveGrainsAreWorthAFootPerSecond) {
  const auto setup = testing::demo_bow(GetParam());
  auto heavier = setup;
  heavier.arrow.point_mass += 5.0 * grain;
  check_range(name("speed lost to 5 gr"), {"retail rule of thumb: 1 ft/s", "S2"}, 0.5, 2.0,
              (speed(setup) - speed(heavier)) / 0.3048, "ft/s");
}

}  // namespace
}  // namespace nockwise
