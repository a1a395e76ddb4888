/// @file
/// The library against the oracle at finite lateral angles (tests/reference/finite_angles/), whose lines know their way
/// aside: past the guard, to leaning cams, into yokes.
///
/// Without lateral offsets both agree. With them they do not, and the rows of that say so with their size: in the
/// library a line's length does not know its way aside, so that guard, shims and yokes do not time the cams
/// (lib/limits.md). The bounds hold what is known of the difference, so that a change is noticed.
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/paper.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>

namespace nockwise {
namespace {

using nlohmann::json;

const Source oracle{"energies at finite lateral angles (finite_angles)", "O"};

json results(const std::string& bow) {
  std::ifstream stream(source_folder("tests/reference/finite_angles/" + bow + ".json"));
  return json::parse(stream);
}

struct KnownDifference {
  const char* name;
  double gap = 0.0;   // most [mm]
  double tear = 0.0;  // most, upward [in]
};

void compare(const std::string& bow, const json& all, const KnownDifference& known) {
  const json& told = all.at("cases").at(known.name);
  Setup setup = testing::demo_bow(bow);
  for (const auto& [path, value] : told.at("changes").items()) {
    setup.set(path, value.get<double>());
  }
  const Model model(setup);
  const Launch shot = launch(model);
  const std::string what = setup.name + ", " + known.name;
  check_absolute("late stop gap, " + what, disagreement(oracle),
                 told.at("statics").at("late_stop_gap_mm").get<double>(), 1e3 * shot.late_stop_gap.value_or(0.0),
                 known.gap, "mm");
  check_absolute("upward tear, " + what, disagreement(oracle), told.at("launch").at("tear_up_in").get<double>(),
                 paper_tear(model, shot).up / 0.0254, known.tear, "in");
  // Speed and what is sideways hardly depend on it.
  check_relative("exit speed, " + what, oracle, told.at("launch").at("exit_speed").get<double>(), shot.exit_speed, 0.01,
                 "m/s");
}

class FiniteAngles : public ::testing::TestWithParam<const char*> {};

INSTANTIATE_TEST_SUITE_P(Bows, FiniteAngles, ::testing::Values("larkspur", "alder"),
                         [](const auto& bow) { return std::string(bow.param); });

TEST_P(FiniteAngles, AgreeInTheVerticalPlane) {
  const json planar = results(GetParam()).at("planar_with_the_lengths_of_the_file");
  const Model model(testing::demo_bow(GetParam()));
  const Launch shot = launch(model);
  const std::string name = model.setup().name + ", vertical plane: ";
  check_absolute(name + "late stop gap", oracle, planar.at("late_stop_gap_mm").get<double>(),
                 1e3 * shot.late_stop_gap.value_or(0.0), 1e-4, "mm");
  check_relative(name + "stored energy", oracle, planar.at("stored_energy").get<double>(), shot.stored_energy, 1e-4,
                 "J");
  check_relative(name + "draw force at full draw", oracle, planar.at("draw_force").get<double>(), shot.full_draw_force,
                 1e-4, "N");
}

TEST(FiniteAnglesOfTheLarkspur, TimeItsCamsByTheWayOfItsCables) {
  const json all = results("larkspur");
  for (const KnownDifference& known :
       {KnownDifference{"reference", 1.3, 0.35}, KnownDifference{"guard_plus_10mm", 2.5, 0.35},
        KnownDifference{"guard_minus_10mm", 0.4, 0.15}, KnownDifference{"shim_upper_plus_3mm", 1.4, 0.45}}) {
    compare("larkspur", all, known);
  }
}

TEST(FiniteAnglesOfTheAlder, TimeItsCamsLess) {
  const json all = results("alder");
  for (const KnownDifference& known :
       {KnownDifference{"reference", 0.05, 0.02}, KnownDifference{"guard_plus_10mm", 0.2, 0.06}}) {
    compare("alder", all, known);
  }
}

}  // namespace
}  // namespace nockwise
