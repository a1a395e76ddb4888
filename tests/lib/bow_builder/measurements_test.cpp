#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "ordinary_measurements.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <string>
#include <utility>

namespace nockwise {
namespace {

const std::string setups = nockwise::source_folder("examples/setups/");

TEST(Measurements, RoundTrip) {
  BowMeasurements m = testing::ordinary_measurements();
  m.name = "a \"bow\"";
  m.provenance = "measured\nby a test";
  m.axle_to_axle = 0.1 + 0.7381234567890123;
  m.limb.torsion_stiffness = 251.3;
  m.cabling = Cabling::crossed;
  m.stop = StopPegs::cable;
  m.chronograph = ChronographReading{80.1, 0.0247};
  EXPECT_EQ(parse_measurements(format_measurements(m)), m);
  BowMeasurements curve = read_measurements(setups + "larkspur-measured.toml");
  EXPECT_EQ(parse_measurements(format_measurements(curve)), curve);
}

/// The error that a file, given without its first two lines and the measurements of every bow, is refused with.
InputError error_of(const std::string& lines) {
  std::string text = "format = 1\n[measurements]\n" + lines;
  for (const auto& [name, value] :
       {std::pair{"axle_to_axle", "33 in"}, std::pair{"brace_height", "6.75 in"}, std::pair{"draw_length", "29 in"},
        std::pair{"stop", "limb"}, std::pair{"cabling", "yoke"}}) {
    text += lines.find(name) == std::string::npos ? std::string(name) + " = \"" + value + "\"\n" : "";
  }
  try {
    (void)parse_measurements(text, "bow.toml");
  } catch (const InputError& error) {
    EXPECT_EQ(error.file(), "bow.toml");
    return error;
  }
  ADD_FAILURE() << "accepted: " << lines;
  return {"", "", ""};
}

void expect_error(const std::string& lines, const std::string& path, const std::string& allowed, int line, int column) {
  const InputError error = error_of(lines);
  EXPECT_EQ(error.path(), path) << lines;
  EXPECT_NE(error.allowed().find(allowed), std::string::npos) << lines << "\nsays: " << error.what();
  EXPECT_EQ(error.line(), line) << lines;
  EXPECT_EQ(error.column(), column) << lines;
}

TEST(Measurements, WhatIsMeasuredAtEveryBowHasNoDefault) {
  const std::string file = format_measurements(testing::ordinary_measurements());
  for (const char* name : {"axle_to_axle", "brace_height", "draw_length", "stop", "cabling"}) {
    std::string text = file;
    const std::size_t at = text.find('\n' + std::string(name) + " = ");
    ASSERT_NE(at, std::string::npos) << name;
    text.erase(at, text.find('\n', at + 1) - at);
    try {
      (void)parse_measurements(text, "bow.toml");
      ADD_FAILURE() << "accepted without " << name;
    } catch (const InputError& error) {
      EXPECT_EQ(error.path(), std::string("measurements.") + name);
      EXPECT_EQ(error.allowed(), "must be given");
    }
  }
  BowMeasurements m = testing::ordinary_measurements();
  m.draw_length = BowMeasurements{}.draw_length;
  EXPECT_THROW(validate(m), InputError);
}

TEST(Measurements, ErrorsSayWhereAndWhat) {
  const std::string both = "peak_force = \"62 lbf\"\nlet_off = \"78 %\"\n";
  expect_error("brace_hight = \"7 in\"\n", "measurements.brace_hight", "the nearest is brace_height", 3, 1);
  expect_error("limb.brace_angel = \"7 deg\"\n", "measurements.limb.brace_angel", "the nearest is brace_angle", 3, 6);
  expect_error("brace_height = 7\n", "measurements.brace_height", "must have a unit", 3, 1);
  expect_error("brace_height = \"7 lbf\"\n", "measurements.brace_height", "in", 3, 1);
  expect_error(both + "let_of = 1\n", "measurements.let_of", "nearest is let_off", 5, 1);
  expect_error("peak_force = \"62 lbf\"\nlet_off = \"108 %\"\n", "measurements.let_off", "must be from 30 % to 95 %", 4,
               1);
  expect_error("peak_force = \"62 lbf\"\n", "measurements.let_off", "must be given", 2, 2);
  expect_error(both + "stop = \"none\"\n", "measurements.stop", "must be limb, cable or both", 5, 1);
  expect_error(both + "chronograph.speed = \"280 ft/s\"\n", "measurements.chronograph.arrow_mass", "must be given", 5,
               1);
  expect_error("draw_curve = [[\"9 in\", \"6 lbf\"], [\"10 in\"]]\n", "measurements.draw_curve[1]", "list of readings",
               3, 34);
  expect_error("draw_curve = [[\"9 in\", \"6 in\"]]\n", "measurements.draw_curve[0][1]", "lbf", 3, 24);
  expect_error("draw_curve = [[\"9 in\", \"6 lbf\"]]\n", "measurements.draw_curve", "at least 8 readings", 3, 1);
  // A share is answered in per cent, and a number as it was written.
  expect_error("let_off = 0.8\n", "measurements.let_off", "write \"80 %\"", 3, 1);
  EXPECT_EQ(error_of("let_off = 0.8\n").value(), "0.8");
  expect_error("let_off = 80\n", "measurements.let_off", "write \"80 %\"", 3, 1);
  expect_error("brace_height = 6.8\n", "measurements.brace_height", "write \"6.8 in\"", 3, 1);
  EXPECT_THROW((void)parse_measurements("[measurements]\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = 2\n[measurements]\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = 1\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = 1\n[measurement]\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = \n"), InputError);
  EXPECT_THROW((void)read_measurements("/no/such/file"), InputError);
}

}  // namespace
}  // namespace nockwise
