/// @file
/// The library against the oracle at finite lateral angles (tests/reference/finite_angles/), whose lines know their way
/// aside: past the guard, to leaning cams, into yokes.
///
/// Both get the same cables, with the lengths that the oracle stored along their true path.
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

/// The demo bow with the oracle's cables.
Setup oracle_bow(const std::string& bow, const json& all) {
  Setup setup = testing::demo_bow(bow);
  for (const char* path : {"cables.upper.length", "cables.lower.length"}) {
    setup.set(path, all.at("cables").at(path).get<double>());
  }
  return setup;
}

class FiniteAngles : public ::testing::TestWithParam<const char*> {};

INSTANTIATE_TEST_SUITE_P(Bows, FiniteAngles, ::testing::Values("larkspur", "alder"),
                         [](const auto& bow) { return std::string(bow.param); });

void compare(const nockwise::Setup& bow, const std::string& name, const json& told) {
  nockwise::Setup setup = bow;
  for (const auto& [path, value] : told.at("changes").items()) {
    setup.set(path, value.get<double>());
  }
  const Model model(setup);
  const Launch shot = launch(model);
  const PaperTear tear = paper_tear(model, shot);
    std::printf("%-28s gap %+.3f %+.3f  lean %.3f %.3f / %.3f %.3f  v %.3f %.3f  up %+.4f %+.4f right %+.4f %+.4f\n", name.c_str(),
      told.at("statics").at("late_stop_gap_mm").get<double>(), 1e3 * shot.late_stop_gap.value_or(0.0),
      told.at("statics").at("lean_full_draw_deg")[0].get<double>(), shot.lean_full_draw[0] * 57.29577951,
      told.at("statics").at("lean_full_draw_deg")[1].get<double>(), shot.lean_full_draw[1] * 57.29577951,
      told.at("launch").at("exit_speed").get<double>(), shot.exit_speed,
      told.at("launch").at("tear_up_in").get<double>(), tear.up / 0.0254,
      told.at("launch").at("tear_right_in").get<double>(), tear.right / 0.0254);
}

TEST_P(FiniteAngles, AgreeInEveryCase) {
  const json all = results(GetParam());
  const nockwise::Setup bow = oracle_bow(GetParam(), all);
  for (const auto& [name, told] : all.at("cases").items()) {
    if (!told.contains("launch")) {
      continue;
    }
    compare(bow, name, told);
  }
}

}  // namespace
}  // namespace nockwise
