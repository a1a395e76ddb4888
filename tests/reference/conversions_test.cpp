/// @file
/// Arithmetic of the trade: spine, rating, draw length, let-off, kinetic energy.
#include "check_table.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/units.hpp"
#include "wheelwright_bow.hpp"

#include <gtest/gtest.h>

namespace nockwise {
namespace {

const Source astm_spine{"ASTM F2031 span and load, quoted by retail guides; EI = F L³/(48 δ)", "S2, C"};
const Source wood_spine{"AMO wood spine, quoted by a shaft maker; EI = F L³/(48 δ)", "S2, C"};
const Source rating{"ASTM F1544-11, §2.1.4", "S"};
const Source draw_length_standard{"AMO draw length standard, quoted in a blog", "S2"};
const Source let_off{"ASTM F1880 (examples from retail guides)", "S2"};
const Source definition{"definition of the units", "C"};

constexpr double inch = 0.0254;
constexpr double pound = 0.45359237;
constexpr double grain = 64.79891e-6;
constexpr double foot = 0.3048;
constexpr double foot_pound = 1.3558179483314;
constexpr double g0 = 9.80665;

/// Central load on a span: EI = F L³/(48 δ).
double stiffness_from_sag(double force, double span, double sag) { return force * span * span * span / (48.0 * sag); }

TEST(Spine, BecomesBendingStiffness) {
  // The list gives ten digits for 1 in, seven for the rest.
  check_relative("EI of spine 1.000 in", astm_spine, 2.54617609, bending_stiffness_from_spine(1.0 * inch), 1e-8,
                 "N·m²");
  check_relative("EI of spine 0.250 in", astm_spine, 10.184704, bending_stiffness_from_spine(0.250 * inch), 1e-7,
                 "N·m²");
  check_relative("EI of spine 0.340 in", astm_spine, 7.488753, bending_stiffness_from_spine(0.340 * inch), 1e-7,
                 "N·m²");
  check_relative("EI of spine 0.400 in", astm_spine, 6.365440, bending_stiffness_from_spine(0.400 * inch), 1e-7,
                 "N·m²");
  check_relative("EI of spine 0.500 in", astm_spine, 5.092352, bending_stiffness_from_spine(0.500 * inch), 1e-7,
                 "N·m²");
  EXPECT_NEAR(spine_from_bending_stiffness(bending_stiffness_from_spine(0.34 * inch)), 0.34 * inch, 1e-17);
}

/// The library speaks 28 in and 1.94 lb only; the older convention is another span and load on the same shaft.
TEST(Spine, AgreesWithTheWoodConvention) {
  const double wood = stiffness_from_sag(2.0 * pound * g0, 26.0 * inch, 1.0 * inch);
  check_relative("EI of 1 in sag, 26 in span, 2 lb", wood_spine, 2.10166093, wood, 1e-8, "N·m²");
  check_relative("EI of a 60 lb wood shaft", wood_spine, 4.849987, wood * 60.0 / 26.0, 1e-7, "N·m²");
  const double sag = spine_from_bending_stiffness(wood);  // of a shaft that sags 1 in in the wood test
  check_relative("sag in the 28 in test over that in the 26 in test", wood_spine, 1.21150660, sag / inch, 1e-8);
  check_absolute("spine of a 60 lb wood shaft", wood_spine, 0.524986,
                 spine_from_bending_stiffness(wood * 60.0 / 26.0) / inch, 1e-6, "in");
}

TEST(Rating, ArrowIsFiveGrainsPerPound) {
  const double peak = parse_quantity("70 lbf", Quantity::force);
  check_relative("70 lbf", rating, 311.3755, peak, 1e-6, "N");
  check_relative("arrow for a 70 lbf bow", rating, 22.67962e-3, 350.0 * grain, 1e-6, "kg");
  check_relative("5 grains per pound", rating, 0.07283687e-3, parse_quantity("350 gr", Quantity::mass) / peak, 1e-7,
                 "kg/N");
}

TEST(DrawLength, IsNockToPivotPlusOneAndThreeQuarterInches) {
  check_absolute("26.25 in nock to pivot", draw_length_standard, 28.0, (26.25 * inch + draw_length_allowance) / inch,
                 1e-12, "in");
  const DrawCycle cycle = draw_cycle(Model(wheelwright_setup("symmetric")));
  EXPECT_EQ(cycle.draw_length, -cycle.points[cycle.touch_index].nock_x + draw_length_allowance);
}

TEST(LetOff, IsTheShareOfThePeakNotHeld) {
  // The formula itself is remembered (M); the examples are second-hand.
  const auto holding = [](double peak, double share) { return peak * (1.0 - share); };
  check_absolute("holding weight of 60 lb at 80 %", let_off, 12.0, holding(60.0, 0.80), 1e-12, "lb");
  check_absolute("holding weight of 70 lb at 75 %", let_off, 17.5, holding(70.0, 0.75), 1e-12, "lb");
  const DrawCycle cycle = draw_cycle(Model(wheelwright_setup("symmetric")));
  EXPECT_NEAR(holding(cycle.peak_force, cycle.let_off), cycle.holding_force, 1e-10);
}

TEST(KineticEnergy, HasItsConstant) {
  const double constant = 2.0 * foot_pound / (grain * foot * foot);
  check_relative("m[gr] v²[ft/s] per ft·lbf", definition, 450436.68, constant, 1e-8);
  const double mass = parse_quantity("350 gr", Quantity::mass);
  const auto energy = [&](const char* speed) {
    const double v = parse_quantity(speed, Quantity::speed);
    return 0.5 * mass * v * v;
  };
  check_relative("350 gr at 300 ft/s", definition, 94.815, energy("300 ft/s"), 1e-5, "J");
  check_relative("350 gr at 320 ft/s", definition, 107.879, energy("320 ft/s"), 1e-5, "J");
  check_relative("350 gr at 340 ft/s", definition, 121.785, energy("340 ft/s"), 1e-5, "J");
  check_relative("350 gr at 340 ft/s, in ft·lbf", definition, 89.824, energy("340 ft/s") / foot_pound, 1e-5, "ft·lbf");
  check_relative("350 gr at 350 ft/s", definition, 129.054, energy("350 ft/s"), 1e-5, "J");
}

}  // namespace
}  // namespace nockwise
