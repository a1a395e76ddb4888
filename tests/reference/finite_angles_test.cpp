/// @file
/// The library against the oracle at finite lateral angles (tests/reference/finite_angles/), whose lines know their way
/// aside: past the guard, to leaning cams, into yokes.
///
/// Both get the same cables: the bows of the oracle with the lengths that it stored along their true path.
#include "check_table.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"
#include "string_lump.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <numbers>

namespace nockwise {
namespace {

using nlohmann::json;

const Source oracle{"energies at finite lateral angles (finite_angles)", "O"};

json results(const std::string& bow) {
  std::ifstream stream(source_folder("tests/reference/finite_angles/" + bow + ".json"));
  return json::parse(stream);
}

/// The oracle's bow, with its cables' lengths along their true path.
nockwise::Setup oracle_bow(const std::string& bow, const json& all) {
  nockwise::Setup setup = read_setup(source_folder("tests/reference/finite_angles/" + bow + ".toml"));
  for (const char* path : {"cables.upper.length", "cables.lower.length"}) {
    setup.set(path, all.at("cables").at(path).get<double>());
  }
  return with_free_string(setup, setup.string.mass);  // the oracle's string puts a third of all at the nock
}

/// Three twists in one leg of one yoke alone put the stops 20 mm apart; slopes of the fourth order then count.
bool out_of_time(const std::string& name) {
  return name == "yoke_upper_cable_plus_3" || name == "yoke_lower_cable_plus_3";
}

void compare(const nockwise::Setup& bow, const std::string& name, const json& told) {
  nockwise::Setup setup = bow;
  for (const auto& [path, value] : told.at("changes").items()) {
    setup.set(path, value.get<double>());
  }
  const Model model(setup);
  const Launch shot = launch(model);
  const PaperTear tear = paper_tear(model, shot);
  const std::string what = setup.name + ", " + name;
  const json& statics = told.at("statics");
  const json& flown = told.at("launch");
  check_absolute("late stop gap, " + what, oracle, statics.at("late_stop_gap_mm").get<double>(),
                 1e3 * shot.late_stop_gap.value_or(0.0), out_of_time(name) ? 0.06 : 0.03, "mm");
  for (int h = 0; h < 2; ++h) {
    check_absolute(std::string("lean at full draw, ") + (h == 0 ? "upper" : "lower") + " cam, " + what, oracle,
                   statics.at("lean_full_draw_deg").at(h).get<double>(),
                   shot.lean_full_draw[h] * 180.0 / std::numbers::pi, 0.012, "deg");
  }
  check_relative("exit speed, " + what, oracle, flown.at("exit_speed").get<double>(), shot.exit_speed, 5e-4, "m/s");
  check_absolute("upward tear, " + what, oracle, flown.at("tear_up_in").get<double>(), tear.up / 0.0254,
                 out_of_time(name) ? 0.02 : 0.01, "in");
  check_absolute("tear to the right, " + what, oracle, flown.at("tear_right_in").get<double>(), tear.right / 0.0254,
                 0.01, "in");
}

class FiniteAngles : public ::testing::TestWithParam<const char*> {};

INSTANTIATE_TEST_SUITE_P(Bows, FiniteAngles, ::testing::Values("larkspur", "alder"),
                         [](const auto& bow) { return std::string(bow.param); });

TEST_P(FiniteAngles, AgreeInTheVerticalPlane) {
  const json planar = results(GetParam()).at("planar_with_the_lengths_of_the_file");
  nockwise::Setup setup =
      read_setup(source_folder("tests/reference/finite_angles/" + std::string(GetParam()) + ".toml"));
  setup.cable_guard.offset = setup.cable_guard.spacing = 0.0;
  for (Cam* cam : {&setup.cams.upper, &setup.cams.lower}) {
    cam->take_up_offset = cam->let_out_offset = 0.0;
  }
  const Launch shot = launch(Model(setup));
  const std::string name = setup.name + ", vertical plane: ";
  check_absolute(name + "late stop gap", oracle, planar.at("late_stop_gap_mm").get<double>(),
                 1e3 * shot.late_stop_gap.value_or(0.0), 1e-4, "mm");
  check_relative(name + "stored energy", oracle, planar.at("stored_energy").get<double>(), shot.stored_energy, 1e-4,
                 "J");
  check_relative(name + "draw force at full draw", oracle, planar.at("draw_force").get<double>(), shot.full_draw_force,
                 1e-4, "N");
}

/// Guard, shims, yokes, leans and grip torque. A torque under which the wall is felt ("at touch") is not the library's
/// hold: it puts the torque on at full draw.
TEST_P(FiniteAngles, AgreeInEveryCase) {
  const json all = results(GetParam());
  const nockwise::Setup bow = oracle_bow(GetParam(), all);
  int cases = 0;
  for (const auto& [name, told] : all.at("cases").items()) {
    if (told.contains("launch") && !name.ends_with("_at_touch")) {
      compare(bow, name, told);
      ++cases;
    }
  }
  EXPECT_GE(cases, 13);
}

}  // namespace
}  // namespace nockwise
