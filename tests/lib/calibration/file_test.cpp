#include "nockwise/calibration.hpp"
#include "nockwise/error.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <string>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;
const std::filesystem::path setups = nockwise::source_folder("examples/setups");

constexpr const char* everything = R"(format = 1
setup = "larkspur.toml"
[draw_board]
error = "0.5 lbf"
readings = [["10 in", "16.5 lbf"], ["711.2 mm", "14 lbf"]]
[[speeds]]
speed = "252 ft/s"
error = "1 ft/s"
[[speeds]]
speed = "240 ft/s"
changes_by = { "arrow.point_mass" = "50 gr" }
[[tears]]
high = "1/2 in"
[[tears]]
low = "1/8 in"
left = "1/16 in"
changes_by = { "cables.upper.twists" = "-1/2 twist" }
[checks]
stop_gap = { value = "0.1 in", error = "1/64 in" }
)";

TEST(CalibrationFile, ReadsEverything) {
  const CalibrationCase c = parse_calibration_case(everything, setups);
  EXPECT_EQ(c.setup, read_setup(setups / "larkspur.toml"));
  const Measurements& m = c.measurements;
  ASSERT_EQ(m.draw_forces.size(), 2U);
  EXPECT_NEAR(m.draw_forces[0].draw_length, 10.0 * inch, 1e-12);
  EXPECT_NEAR(m.draw_forces[1].draw_length, 28.0 * inch, 1e-12);
  EXPECT_NEAR(m.draw_forces[0].force, 16.5 * 4.4482216152605, 1e-9);
  EXPECT_NEAR(m.draw_forces[1].error, 0.5 * 4.4482216152605, 1e-9);
  ASSERT_EQ(m.speeds.size(), 2U);
  EXPECT_NEAR(m.speeds[0].speed, 252.0 * 0.3048, 1e-9);
  EXPECT_TRUE(m.speeds[0].changes.empty());
  ASSERT_EQ(m.speeds[1].changes.size(), 1U);
  EXPECT_EQ(m.speeds[1].changes[0].path, "arrow.point_mass");
  EXPECT_TRUE(m.speeds[1].changes[0].relative);
  ASSERT_EQ(m.tears.size(), 2U);
  EXPECT_NEAR(m.tears[1].up, -inch / 8.0, 1e-12);
  EXPECT_EQ(m.tears[1].changes.size(), 1U);
  ASSERT_EQ(m.checks.size(), 1U);
  EXPECT_EQ(m.checks[0].what, "stop_gap");
}

void expect_refused(const std::string& old_text, const std::string& new_text, std::size_t line,
                    const std::string& says) {
  std::string text = everything;
  text.replace(text.find(old_text), old_text.size(), new_text);
  try {
    (void)parse_calibration_case(text, setups, "m.toml");
    FAIL() << new_text;
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("m.toml:" + std::to_string(line)), std::string::npos) << error.what();
    EXPECT_NE(std::string(error.what()).find(says), std::string::npos) << error.what();
  }
}

TEST(CalibrationFile, ComplainsWithThePlace) {
  expect_refused("\"16.5 lbf\"", "16.5", 5, "lbf");
  expect_refused("\"16.5 lbf\"", "\"-1 lbf\"", 5, "must be from");
  expect_refused("[\"10 in\", \"16.5 lbf\"]", "[\"10 in\"]", 5, "list of readings");
  expect_refused("error = \"0.5 lbf\"\n", "", 3, "their error");
  expect_refused("speed = \"240 ft/s\"\n", "", 9, "must be given");
  expect_refused("speed = \"252 ft/s\"", "speed = \"252 in\"", 7, "ft/s");
  expect_refused("arrow.point_mass", "arrow.point_mas", 11, "arrow.point_mass");
  expect_refused("[draw_board]", "[draw_bord]", 3, "draw_board");
  EXPECT_THROW((void)parse_calibration_case("format = 1\nsetup = \"larkspur.toml\"\n", setups), InputError);
  EXPECT_THROW((void)read_calibration_case(setups / "no such file.toml"), InputError);
}

/// The demo file was made from a bow with these deviations, see its head.
TEST(CalibrationFile, TheDemoFindsWhatItsBowHas) {
  const CalibrationCase c = read_calibration_case(nockwise::source_folder("examples/cases/larkspur-calibration.toml"));
  const Calibration fit = calibrate(c.setup, c.measurements);
  EXPECT_LT(fit.misfit, 1.5);
  for (const CalibratedParameter& each : fit.parameters) {
    const std::string& title = each.parameter.title;
    const double truth = title == "stiffness of the limbs"                ? 0.03 * c.setup.limbs.upper.torsion_stiffness
                         : title == "moving mass of the limbs"            ? 0.15 * c.setup.limbs.upper.effective_mass
                         : title == "upper cam's cable against the lower" ? 0.5
                                                                          : 0.0;
    EXPECT_NEAR(each.change, truth, 3.0 * each.deviation) << title;
  }
  const std::string text = calibration_markdown(fit);
  EXPECT_NE(text.find("Not determined by these measurements: rest height."), std::string::npos);
  EXPECT_NE(text.find("draw force at 24.0 in"), std::string::npos);
  // What is written can be read again, and says where it comes from.
  const nockwise::Setup again = parse_setup(format_setup(fit.setup));
  EXPECT_EQ(again, fit.setup);
  EXPECT_NE(again.provenance.find("Calibrated by nockwise"), std::string::npos);
}

}  // namespace
}  // namespace nockwise
