#include "nockwise/units.hpp"

#include "nockwise/error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cctype>
#include <clocale>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <random>
#include <string>
#include <utility>

namespace nockwise {
namespace {

std::uint64_t bits(double value) { return std::bit_cast<std::uint64_t>(value); }

std::string refusal(std::string_view text, Quantity quantity) {
  try {
    const double value = parse_quantity(text, quantity);
    return "accepted as " + std::to_string(value);
  } catch (const InputError& error) {
    EXPECT_EQ(error.value(), text);
    EXPECT_TRUE(error.path().empty());
    return error.allowed();
  }
}

double factor(Quantity quantity, std::string_view unit) { return to_si(1.0, quantity, unit); }

TEST(Units, DefinitionsAreExact) {
  EXPECT_EQ(parse_quantity("1 lb", Quantity::mass), 0.45359237);
  EXPECT_EQ(parse_quantity("16 oz", Quantity::mass), 0.45359237);
  EXPECT_EQ(parse_quantity("7000 gr", Quantity::mass), 0.45359237);
  EXPECT_EQ(parse_quantity("1 gr", Quantity::mass), 64.79891e-6);
  EXPECT_EQ(parse_quantity("1 g", Quantity::acceleration), 9.80665);
  EXPECT_EQ(parse_quantity("1 lbf", Quantity::force), 4.4482216152605);
  EXPECT_EQ(parse_quantity("1 in", Quantity::length), 0.0254);
  EXPECT_EQ(parse_quantity("25.4 mm", Quantity::length), 0.0254);
  EXPECT_EQ(parse_quantity("1 ft", Quantity::length), 0.3048);
  EXPECT_EQ(parse_quantity("1 yd", Quantity::length), 0.9144);
  EXPECT_EQ(parse_quantity("1 ft·lbf", Quantity::energy), 1.3558179483314004);
  EXPECT_EQ(parse_quantity("180 deg", Quantity::angle), std::numbers::pi);
  EXPECT_EQ(parse_quantity("36 km/h", Quantity::speed), 10.0);
  EXPECT_EQ(parse_quantity("78 %", Quantity::percent), 0.78);
  EXPECT_EQ(parse_quantity("340 spine", Quantity::spine), parse_quantity("0.340 in", Quantity::length));
  EXPECT_EQ(parse_quantity("0.340 in", Quantity::spine), parse_quantity("340 spine", Quantity::spine));
}

// Every compound factor follows from the definitions of inch, pound, grain and standard gravity.
TEST(Units, CompoundFactorsFollowFromTheDefinitions) {
  const double inch = 0.0254;
  const double pound = 0.45359237;
  const double grain = 64.79891e-6;
  const double pound_force = 0.45359237 * 9.80665;
  const double degree = std::numbers::pi / 180.0;
  struct Case {
    Quantity quantity;
    std::string_view unit;
    double expected;
  };
  const std::array cases{
      Case{Quantity::force, "lbf", pound_force},
      Case{Quantity::stiffness, "lbf/in", pound_force / inch},
      Case{Quantity::torsion_stiffness, "N·m/deg", 1.0 / degree},
      Case{Quantity::torsion_stiffness, "lbf·in/rad", pound_force * inch},
      Case{Quantity::torsion_stiffness, "lbf·in/deg", pound_force * inch / degree},
      Case{Quantity::compliance, "deg/(N·m)", degree},
      Case{Quantity::compliance, "deg/(lbf·in)", degree / (pound_force * inch)},
      Case{Quantity::damping, "lbf·s/in", pound_force / inch},
      Case{Quantity::torsion_damping, "lbf·in·s/rad", pound_force * inch},
      Case{Quantity::inertia, "lb·in²", pound * inch * inch},
      Case{Quantity::inertia, "gr·in²", grain * inch * inch},
      Case{Quantity::inertia, "g·cm²", 1e-7},
      Case{Quantity::density, "lb/in³", pound / (inch * inch * inch)},
      Case{Quantity::density, "g/cm³", 1000.0},
      Case{Quantity::linear_density, "gr/in", grain / inch},
      Case{Quantity::bending_stiffness, "lbf·in²", pound_force * inch * inch},
      Case{Quantity::torque, "lbf·in", pound_force * inch},
      Case{Quantity::torque, "lbf·ft", pound_force * inch * 12.0},
      Case{Quantity::energy, "ft·lbf", pound_force * inch * 12.0},
      Case{Quantity::angular_speed, "rpm", 6.0 * degree},
      Case{Quantity::angular_speed, "deg/s", degree},
      Case{Quantity::acceleration, "ft/s²", 0.3048},
      Case{Quantity::spine, "spine", inch / 1000.0},
  };
  for (const Case& c : cases) {
    EXPECT_NEAR(factor(c.quantity, c.unit) / c.expected, 1.0, 4e-16 * 4) << c.unit;
  }
}

// Worked figures of the trade.
TEST(Units, AgreeWithPublishedFigures) {
  // KE[ft·lbf] = m[gr] v²[ft/s] / 450436.68
  const double energy = 0.5 * factor(Quantity::mass, "gr") * std::pow(factor(Quantity::speed, "ft/s"), 2);
  EXPECT_NEAR(factor(Quantity::energy, "ft·lbf") / energy, 450436.68, 0.005);
  const double launch =
      0.5 * parse_quantity("350 gr", Quantity::mass) * std::pow(parse_quantity("340 ft/s", Quantity::speed), 2);
  EXPECT_NEAR(from_si(launch, Quantity::energy, "ft·lbf"), 89.824, 5e-4);

  EXPECT_NEAR(parse_quantity("350 gr", Quantity::mass), 22.67962e-3, 5e-9);
  EXPECT_NEAR(parse_quantity("70 lbf", Quantity::force), 311.3755, 5e-5);
  EXPECT_NEAR(5.0 * factor(Quantity::mass, "gr") / factor(Quantity::force, "lbf"), 0.07283687e-3, 5e-12);
  EXPECT_NEAR(parse_quantity("1.94 lbf", Quantity::force), 8.629550, 5e-7);
  EXPECT_NEAR(parse_quantity("1 3/4 in", Quantity::length), 44.45e-3, 1e-16);
  EXPECT_NEAR(parse_quantity("8.5 gr/in", Quantity::linear_density), 0.0216846746, 5e-11);
  EXPECT_NEAR(from_si(7.488753, Quantity::bending_stiffness, "lbf·in²"), 2609.490, 5e-4);
  EXPECT_NEAR(from_si(5.092352, Quantity::bending_stiffness, "lbf·in²"), 1774.453, 5e-4);
}

TEST(Units, EveryUnitRoundTripsToTheSameBits) {
  std::mt19937_64 random(20260101);
  std::uniform_real_distribution<double> exponent(-9.0, 9.0);
  for (const Quantity quantity : all_quantities()) {
    for (const Unit& unit : units_of(quantity)) {
      int in_si = 0;
      for (int i = 0; i < 500; ++i) {
        const double si = (i % 2 == 0 ? 1.0 : -1.0) * std::pow(10.0, exponent(random));
        const std::string text = format_quantity(si, quantity, unit.symbol);
        ASSERT_EQ(bits(parse_quantity(text, quantity)), bits(si)) << text;
        in_si += text.ends_with(unit.symbol) ? 0 : 1;
      }
      // Where a number in the unit spaces values wider than doubles are spaced, some cannot be written in it.
      EXPECT_LT(in_si, 300) << name_of(quantity) << " in " << unit.symbol;
    }
  }
}

TEST(Units, WhatAPersonWroteComesBackAsWritten) {
  std::mt19937_64 random(7);
  std::uniform_int_distribution<int> thousandths(-99999, 99999);
  for (const Quantity quantity : all_quantities()) {
    for (const Unit& unit : units_of(quantity)) {
      for (int i = 0; i < 200; ++i) {
        const double number = thousandths(random) / 1000.0;
        const double si = to_si(number, quantity, unit.symbol);
        const std::string text = format_quantity(si, quantity, unit.symbol);
        EXPECT_EQ(bits(parse_quantity(text, quantity)), bits(si)) << text;
        EXPECT_TRUE(text.ends_with(unit.symbol)) << text;
        EXPECT_LE(text.size(), std::string("-99.999 ").size() + unit.symbol.size()) << text;
      }
    }
  }
}

TEST(Units, ExtremeValuesRoundTrip) {
  using Limits = std::numeric_limits<double>;
  for (const Quantity quantity : all_quantities()) {
    for (const Unit& unit : units_of(quantity)) {
      for (const double si : {0.0, -0.0, 1.0, Limits::max(), Limits::lowest(), Limits::min(), Limits::denorm_min()}) {
        const std::string text = format_quantity(si, quantity, unit.symbol);
        EXPECT_EQ(bits(parse_quantity(text, quantity)), bits(si)) << text;
      }
    }
  }
}

TEST(Units, FormatIsShortAndPlain) {
  EXPECT_EQ(format_quantity(parse_quantity("6 3/4 in", Quantity::length), Quantity::length), "6.75 in");
  EXPECT_EQ(format_quantity(parse_quantity("62 lbf", Quantity::force), Quantity::force), "62 lbf");
  EXPECT_EQ(format_quantity(0.5, Quantity::twists), "0.5 twist");
  EXPECT_EQ(format_quantity(0.78, Quantity::percent), "78 %");
  EXPECT_EQ(format_quantity(100000.0, Quantity::dimensionless), "100000");
  EXPECT_EQ(format_quantity(-2.5e-7, Quantity::dimensionless), "-2.5e-07");
  EXPECT_EQ(format_quantity(0.1, Quantity::length, "m"), "0.1 m");
  EXPECT_EQ(format_quantity(parse_quantity("0.340 in", Quantity::spine), Quantity::spine), "340 spine");
  EXPECT_EQ(format_quantity(90.0, Quantity::torsion_stiffness, "N*m/rad"), "90 N·m/rad");
}

TEST(Units, ReadsFractions) {
  EXPECT_EQ(parse_quantity("13/16 in", Quantity::length), 0.8125 * 0.0254);
  EXPECT_EQ(parse_quantity("6 3/4 in", Quantity::length), parse_quantity("6.75 in", Quantity::length));
  EXPECT_EQ(parse_quantity("-6 3/4in", Quantity::length), parse_quantity("-6.75 in", Quantity::length));
  EXPECT_EQ(parse_quantity("+1/2 twist", Quantity::twists), 0.5);
  EXPECT_EQ(parse_quantity("1 1/4 turns", Quantity::turns), 1.25);
}

TEST(Units, ReadsOtherSpellings) {
  for (const std::string_view text :
       {"90 N·m/rad", "90 N⋅m/rad", "90 N*m/rad", "90 N.m/rad", "90N·m/rad", " 9e1\tN·m/rad "}) {
    EXPECT_EQ(parse_quantity(text, Quantity::torsion_stiffness), 90.0) << text;
  }
  EXPECT_EQ(parse_quantity("2 kg*m^2", Quantity::inertia), 2.0);
  EXPECT_EQ(parse_quantity("2 kg.m²", Quantity::inertia), 2.0);
  EXPECT_EQ(parse_quantity("1 g/cm^3", Quantity::density), 1000.0);
  EXPECT_EQ(parse_quantity("5 us", Quantity::time), 5e-6);
  EXPECT_EQ(parse_quantity("5 μs", Quantity::time), 5e-6);
  EXPECT_EQ(parse_quantity("5 1/s", Quantity::frequency), 5.0);
  EXPECT_EQ(parse_quantity("90°", Quantity::angle), parse_quantity("90 deg", Quantity::angle));
  EXPECT_EQ(parse_quantity("1 in·lbf", Quantity::torque), parse_quantity("1 lbf·in", Quantity::torque));
  EXPECT_EQ(parse_quantity("1 twist", Quantity::twists), parse_quantity("1 twists", Quantity::twists));
  EXPECT_EQ(parse_quantity("−3 N·m/rad", Quantity::torsion_stiffness), -3.0);
  EXPECT_EQ(parse_quantity(".5", Quantity::dimensionless), 0.5);
}

TEST(Units, RefusesWhatIsNotTheQuantity) {
  const std::string lengths = "must be a length in m, cm, mm, µm, in, ft or yd";
  EXPECT_EQ(refusal("6.75", Quantity::length), lengths + " (the unit is missing: write \"6.75 in\", if that is meant)");
  EXPECT_EQ(refusal("62 kg", Quantity::force), "must be a force in N, kN or lbf (kg is a unit of mass)");
  EXPECT_EQ(refusal("1 J", Quantity::angle), "must be an angle in rad, mrad or deg (J is a unit of energy)");
  for (const std::string_view text :
       {"",       " ",      "in",    "6,75 in", "6.75 inche", "6.75 InInch",  "6.75 in in", "6.75 in;",  "nan in",
        "inf in", "-inf m", "--1 m", "+-1 m",   "0x10 m",     "1 3/4 3/4 in", "6.5 3/4 in", "6--3/4 in", "1/0 in",
        "1/ in",  "/2 in",  "1 m 2", "1e m",    "1 e3 m",     "- 1 m",        "1e400 m",    "1e-400 m"}) {
    EXPECT_EQ(refusal(text, Quantity::length).substr(0, lengths.size()), lengths) << text;
  }
  EXPECT_EQ(refusal("1/2 m", Quantity::length), lengths + " (a fraction may be used only with in, turn and twist)");
  EXPECT_EQ(refusal("1e308 lbf", Quantity::force),
            "must be a force in N, kN or lbf (this one is beyond what a computer can hold)");
  EXPECT_EQ(refusal("1e-320 µm", Quantity::length), lengths + " (this one is beyond what a computer can hold)");
  EXPECT_EQ(refusal("0.78", Quantity::percent),
            "must be a percentage in fraction or % (the unit is missing: write \"78 %\", if that is meant)");
  EXPECT_EQ(refusal("2'9\"", Quantity::length), lengths + " (feet and inches: write all of it in inches, \"33 in\")");
  EXPECT_EQ(refusal("2 ft 9 1/2 in", Quantity::length),
            lengths + " (feet and inches: write all of it in inches, \"33.5 in\")");
  EXPECT_EQ(refusal("1 m", Quantity::dimensionless), "must be a plain number without a unit (m is a unit of length)");
  EXPECT_EQ(refusal("1/2", Quantity::dimensionless),
            "must be a plain number without a unit (a fraction may be used only with in, turn and twist)");
}

TEST(Units, ReadsWhatWorkshopsWrite) {
  const double half = 28.5 * 0.0254;
  for (const std::string_view text :
       {"28.5 in", "28.5\"", "28.5 inches", "28.5 inch", "28.5 IN", "28.5 Inches", "28 1/2 in", "28-1/2 in", "28½ in",
        "28 ½ in", "28½\"", "28-½ in", "28 1⁄2 in", "28.5″", "28.5''"}) {
    EXPECT_EQ(parse_quantity(text, Quantity::length), half) << text;
  }
  EXPECT_EQ(parse_quantity("½ in", Quantity::length), 0.0127);
  EXPECT_EQ(parse_quantity("-6-3/4 in", Quantity::length), -6.75 * 0.0254);
  EXPECT_EQ(parse_quantity("12'", Quantity::length), parse_quantity("12 ft", Quantity::length));
  EXPECT_EQ(parse_quantity("20 yards", Quantity::length), parse_quantity("20 yd", Quantity::length));
  for (const std::string_view text : {"60 lbf", "60 lb", "60 lbs", "60 LBS", "60 #", "60#", "60 pounds"}) {
    EXPECT_EQ(parse_quantity(text, Quantity::force), 60.0 * 4.4482216152605) << text;
  }
  for (const std::string_view text : {"5 lb", "5 lbs", "5 pounds"}) {
    EXPECT_DOUBLE_EQ(parse_quantity(text, Quantity::mass), 5.0 * 0.45359237) << text;
  }
  for (const std::string_view text : {"280 ft/s", "280 fps", "280 FPS"}) {
    EXPECT_EQ(parse_quantity(text, Quantity::speed), parse_quantity("280 ft/s", Quantity::speed)) << text;
  }
  for (const std::string_view text : {"100 gr", "100 grain", "100 grains", "100 Grains"}) {
    EXPECT_EQ(parse_quantity(text, Quantity::mass), parse_quantity("100 gr", Quantity::mass)) << text;
  }
  for (const std::string_view text : {"8.1 gpi", "8.1 GPI", "8.1 grains/in"}) {
    EXPECT_EQ(parse_quantity(text, Quantity::linear_density), parse_quantity("8.1 gr/in", Quantity::linear_density))
        << text;
  }
  EXPECT_EQ(parse_quantity("70 ft-lbs", Quantity::energy), parse_quantity("70 ft·lbf", Quantity::energy));
  EXPECT_EQ(parse_quantity("2 in-lb", Quantity::torque), parse_quantity("2 lbf·in", Quantity::torque));
}

TEST(Units, AnswersWithTheSpellingToUse) {
  const auto says = [](std::string_view text, Quantity quantity, const std::string& words) {
    const std::string said = refusal(text, quantity);
    EXPECT_NE(said.find(words), std::string::npos) << text << ": " << said;
  };
  says("28,5 in", Quantity::length, "write a point or nothing, as in 28.5 or 1500");
  says("1,500 gr", Quantity::mass, "write a point or nothing");
  says("1/2", Quantity::twists, "write \"1/2 twist\", if that is meant");
  says("29", Quantity::length, "write \"29 in\", if that is meant");
  says("5#", Quantity::mass, "# is a unit of force");
  says("100 gr", Quantity::force, "gr is a unit of mass");
  says("300 fps", Quantity::length, "fps is a unit of speed");
  says("5'6\"", Quantity::length, "must be a length");
}

TEST(Units, NoSpellingStandsForTwoUnits) {
  for (const Quantity quantity : all_quantities()) {
    for (const Unit& unit : units_of(quantity)) {
      for (std::string_view rest = unit.aliases; !rest.empty();) {
        const std::string_view alias = rest.substr(0, rest.find(' '));
        EXPECT_EQ(factor(quantity, alias), unit.numerator / unit.denominator) << alias;
        rest.remove_prefix(std::min(alias.size() + 1, rest.size()));
      }
      std::string capitals(unit.symbol);
      std::transform(capitals.begin(), capitals.end(), capitals.begin(),
                     [](unsigned char c) { return std::toupper(c); });
      try {
        EXPECT_EQ(factor(quantity, capitals), unit.numerator / unit.denominator) << capitals;
      } catch (const InputError&) {
        const bool milli_or_micro = unit.symbol.starts_with('m') || unit.symbol.starts_with("µ");
        EXPECT_TRUE(milli_or_micro) << capitals;
      }
    }
  }
  EXPECT_THROW((void)parse_quantity("5 MG", Quantity::mass), InputError);  // milligrams? tonnes?
  EXPECT_THROW((void)parse_quantity("5 MS", Quantity::time), InputError);
}

TEST(Units, RefusesUnitsOfAnotherQuantity) {
  EXPECT_THROW((void)to_si(1.0, Quantity::force, "kg"), InputError);
  EXPECT_THROW((void)from_si(1.0, Quantity::mass, "lbf"), InputError);
  EXPECT_THROW((void)format_quantity(1.0, Quantity::length, ""), InputError);
  EXPECT_THROW((void)display(1.0, Quantity::dimensionless, "m", 1), InputError);
}

TEST(Units, DisplayRoundsForReading) {
  EXPECT_EQ(display(0.17145, Quantity::length, "in", 2), "6.75 in");
  EXPECT_EQ(display(-1e-9, Quantity::length, "in", 2), "0.00 in");
  EXPECT_EQ(display(-0.0254, Quantity::length, "in", 0), "-1 in");
  EXPECT_EQ(display(0.784, Quantity::percent, "%", 1), "78.4 %");
  EXPECT_EQ(display(2.0, Quantity::dimensionless, "", 3), "2.000");
  EXPECT_EQ(display(std::numeric_limits<double>::quiet_NaN(), Quantity::length, "in", 2), "nan in");
  EXPECT_EQ(display(-std::numeric_limits<double>::infinity(), Quantity::length, "in", 2), "-inf in");
  EXPECT_EQ(format_quantity(std::numeric_limits<double>::infinity(), Quantity::length), "inf in");
}

TEST(Units, EveryQuantityHasNameAndUnits) {
  for (const Quantity quantity : all_quantities()) {
    EXPECT_FALSE(name_of(quantity).empty());
    EXPECT_EQ(factor(quantity, si_unit(quantity)), 1.0) << name_of(quantity);
    EXPECT_NO_THROW((void)factor(quantity, workshop_unit(quantity))) << name_of(quantity);
  }
}

// A host program may have set a locale with a decimal comma; without such a locale installed this checks nothing more.
TEST(Units, DoNotDependOnTheLocale) {
  const std::string before = std::setlocale(LC_ALL, nullptr);
  for (const char* const name : {"de_DE.UTF-8", "fr_FR.UTF-8"}) {
    std::setlocale(LC_ALL, name);
    EXPECT_EQ(format_quantity(parse_quantity("6.75 in", Quantity::length), Quantity::length), "6.75 in");
  }
  std::setlocale(LC_ALL, before.c_str());
}

TEST(Errors, SayWhereWhatAndWhy) {
  const InputError error("limbs.upper.torsion_stiffness", "-3 N·m/rad", "must be at least 0.1 N·m/rad",
                         {.file = "larkspur.toml", .line = 12, .column = 15});
  EXPECT_STREQ(error.what(),
               R"(larkspur.toml:12:15: limbs.upper.torsion_stiffness = "-3 N·m/rad": must be at least 0.1 N·m/rad)");
  EXPECT_EQ(error.line(), 12);
  EXPECT_EQ(error.column(), 15);
  EXPECT_EQ(error.file(), "larkspur.toml");

  EXPECT_STREQ(InputError("", "6", "must have a unit").what(), R"("6": must have a unit)");
  EXPECT_STREQ(InputError("", "6", "must have a unit").with_path("limbs").what(), R"(limbs = "6": must have a unit)");
  EXPECT_STREQ(InputError("limbs", "", "is missing").what(), "limbs: is missing");
  EXPECT_STREQ(SolverError("brace", "the string went slack").what(), "brace: the string went slack");
}

}  // namespace
}  // namespace nockwise
