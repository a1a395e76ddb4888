/// @file
/// The library's integration against SciPy's stiff solvers on the exported right-hand side
/// (tests/reference/stiff_solvers/make_reference.py): the state as the nock leaves the string.
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/launch.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>

namespace nockwise {
namespace {

using nlohmann::json;

const Source solvers{"SciPy: Radau, BDF, LSODA on the exported equations", "O"};

const json& reference() {
  static const json document = [] {
    std::ifstream stream(nockwise::source_folder("tests/reference/stiff_solvers/reference.json"));
    return json::parse(stream);
  }();
  return document.at("bows");
}

class StiffSolvers : public ::testing::TestWithParam<const char*> {};

INSTANTIATE_TEST_SUITE_P(Bows, StiffSolvers, ::testing::ValuesIn(nockwise::testing::demo_bow_names),
                         [](const auto& bow) { return std::string(bow.param); });

TEST_P(StiffSolvers, AgreeAmongThemselves) {
  const json& bow = reference().at(GetParam());
  EXPECT_GE(bow.at("solvers").size(), 2U);
  EXPECT_LT(bow.at("agreement").at("time").get<double>(), 1e-9);
  EXPECT_LT(bow.at("agreement").at("d/dt string.x").get<double>(), 1e-5);
}

TEST_P(StiffSolvers, MeetTheLaunchToItsTolerance) {
  const json& expected = reference().at(GetParam()).at("reference");
  const auto number = [&](const char* name) { return expected.at(name).get<double>(); };
  const Model model(nockwise::testing::demo_bow(GetParam()));
  LaunchOptions options;
  options.integrator = Integrator::dormand_prince;
  options.tolerance = 1e-9;
  options.trace = true;
  const Launch shot = launch(model, options);
  const Trace& t = shot.trace;
  const auto exit = static_cast<std::size_t>(std::find(t.time.begin(), t.time.end(), shot.exit_time) - t.time.begin());
  ASSERT_LT(exit, t.time.size());
  const std::string bow = model.setup().name + ", as the nock leaves the string: ";
  check_absolute(bow + "time", solvers, 1e3 * number("time"), 1e3 * shot.exit_time, 1e-6, "ms");
  check_absolute(bow + "nock x", solvers, number("string.x"), t.nock_x[exit], 1e-9, "m");
  check_absolute(bow + "nock y", solvers, number("string.y"), t.nock_y[exit], 1e-9, "m");
  check_absolute(bow + "nock z", solvers, number("string.z"), t.nock_z[exit], 1e-9, "m");
  check_absolute(bow + "nock's velocity in y", solvers, number("d/dt string.y"), shot.exit.nock_velocity_y, 1e-6,
                 "m/s");
  check_absolute(bow + "riser's pitch", solvers, number("riser.pitch"), t.riser_pitch[exit], 1e-9, "rad");
  check_absolute(bow + "upper cam", solvers, number("cams.upper"), t.cam_angle[0][exit], 1e-8, "rad");
  check_absolute(bow + "lower cam", solvers, number("cams.lower"), t.cam_angle[1][exit], 1e-8, "rad");

  // The fixed step that everybody uses (225 µs at most): two microseconds and 2 mm/s.
  const Launch usual = launch(model);
  EXPECT_NEAR(usual.exit_time, number("time"), 2e-6);
  EXPECT_NEAR(usual.exit.nock_velocity_y, number("d/dt string.y"), 2e-3);
}

}  // namespace
}  // namespace nockwise
