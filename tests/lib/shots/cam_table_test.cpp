#include "nockwise/cam_table.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/outputs.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/tear_matrix.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <cmath>
#include <numbers>
#include <string>
#include <variant>
#include <vector>

namespace nockwise {
namespace {

nockwise::Setup demo(const std::string& name) {
  return read_setup(nockwise::source_folder("examples/setups/") + name + ".toml");
}

/// Larkspur's own cam and two with another string groove; the third has no groove that braces.
std::vector<NamedCam> family() {
  const auto own = std::get<CircleTrack>(demo("larkspur").cams.upper.string_track);
  std::vector<NamedCam> cams{{"own", {}}};
  cams.push_back({"rounder", {}});
  cams.back().tracks.string_track = CircleTrack{own.radius - 0.001, own.eccentricity - 0.001, own.angle};
  cams.push_back({"no cam", {}});
  cams.back().tracks.take_up_track = CircleTrack{0.0, 0.0, 0.0};
  return cams;
}

TEST(CamTable, CamsStandSideBySideAtTheSameLengths) {
  const nockwise::Setup bow = demo("larkspur");
  CamTableOptions options;
  options.threads = 1;
  const CamTable table = compare_cams(bow, family(), options);
  ASSERT_EQ(table.rows.size(), 3U);
  const DrawCycle cycle = draw_cycle(Model(bow), {160, DrawHold::draw_board});
  for (std::size_t i = 0; i < 2; ++i) {
    const CamRow& row = table.rows[i];
    EXPECT_TRUE(row.failure.empty()) << row.failure;
    EXPECT_NEAR(row.axle_to_axle, cycle.brace_axle_to_axle, 1e-5);
    EXPECT_NEAR(row.draw_length, cycle.draw_length, 1e-5);
    EXPECT_NEAR(row.brace_height, cycle.brace_height, 1e-4);
    EXPECT_NEAR(row.let_off, 1.0 - row.holding_force / row.peak_force, 1e-12);
    EXPECT_NEAR(row.fullness, row.stored_energy / (row.peak_force * (row.draw_length - 0.04445 - row.brace_height)),
                1e-9);
    double largest = 0.0;
    for (const DrawForceReading& reading : row.draw_curve) {
      largest = std::max(largest, reading.force);
    }
    EXPECT_NEAR(largest, row.peak_force, 2e-3 * row.peak_force);
    EXPECT_NEAR(row.draw_curve.back().draw_length, row.draw_length, 1e-9);
    EXPECT_GT(row.exit_speed, 50.0);
    EXPECT_GT(row.cam_turn, 1.0);
  }
  EXPECT_EQ(table.rows[0].name, "own");
  EXPECT_NE(table.rows[1].peak_force, table.rows[0].peak_force);
  EXPECT_NE(table.rows[2].failure.find("take_up_track.radius"), std::string::npos) << table.rows[2].failure;
  EXPECT_EQ(table.rows[2].exit_speed, 0.0);
}

TEST(CamTable, DoesNotDependOnThreads) {
  const nockwise::Setup bow = demo("larkspur");
  CamTableOptions one;
  one.threads = 1;
  CamTableOptions three;
  three.threads = 3;
  EXPECT_EQ(compare_cams(bow, family(), one).rows, compare_cams(bow, family(), three).rows);
}

/// The chain against the tear matrix, whose step of a cable is half a twist, and against geometry.
TEST(CamTable, ChainAgreesWithTheTearMatrixAndIsSigned) {
  const nockwise::Setup bow = demo("alder");
  CamTableOptions options;
  options.threads = 1;
  const CamTable table = compare_bows(std::vector<nockwise::Setup>{bow}, options);
  const CamRow& row = table.rows.front();
  ASSERT_TRUE(row.failure.empty()) << row.failure;
  std::vector<Adjustment> rows;
  for (const Adjustment& each : adjustments(bow)) {
    if (each.name == "cable.upper") {
      rows.push_back(each);
    }
  }
  ASSERT_EQ(rows.size(), 1U);
  TearMatrixOptions matrix;
  matrix.step_fraction = 0.5;
  matrix.threads = 1;
  const OutputValues step = tear_matrix(bow, rows, matrix).rows.front().per_step;
  EXPECT_NEAR(row.chain.tear_up, 0.5 * step[Output::tear_up], 1e-9);
  EXPECT_NEAR(row.chain.tear_right, 0.5 * step[Output::tear_right], 1e-9);
  // The draw board holds the bow elsewhere than the hand does.
  EXPECT_NEAR(row.chain.stop_gap, 0.5 * step[Output::stop_gap], 0.05 * std::fabs(row.chain.stop_gap));
  EXPECT_NEAR(row.chain.nock_travel, 0.5 * step[Output::nock_travel], 0.2 * std::fabs(row.chain.nock_travel) + 2e-6);
  // A twist shortens the cable: π d per turn of the helix, (π d)² n / L for the n-th.
  const Cable& cable = bow.cables.upper;
  const double turn = std::numbers::pi * cable.diameter;
  EXPECT_NEAR(row.chain.cable_length, -turn * turn * (cable.lay_twists + cable.twists) * 0.25 / cable.length, 1e-7);
  // A shorter cable holds its cam back: the upper cam is late, its gap larger.
  EXPECT_LT(row.chain.cam_angle, 0.0);
  EXPECT_GT(row.chain.stop_gap, 0.0);
  EXPECT_NEAR(row.chain.stop_gap, -row.chain.cam_angle * bow.cams.upper.stop.radius, 0.3 * row.chain.stop_gap);
}

TEST(CamTable, NockTravelHasASign) {
  DrawCycle cycle;
  for (const double height : {0.0, 0.001, 0.004, 0.002, 0.0}) {
    DrawPoint point;
    point.nock_x = -0.2 - 0.1 * static_cast<double>(cycle.points.size());
    point.nock_y = height;
    cycle.points.push_back(point);
  }
  cycle.touch_index = 4;
  EXPECT_DOUBLE_EQ(signed_nock_travel(cycle), 0.007 / 4.0);  // the trapezoids' mean
  for (DrawPoint& point : cycle.points) {
    point.nock_y = -point.nock_y - 0.1 * point.nock_x;  // bowed down, on a slanting line
  }
  EXPECT_NEAR(signed_nock_travel(cycle), -0.007 / 4.0, 1e-15);
}

TEST(CamTable, WrongArgumentsAreRefused) {
  const nockwise::Setup bow = demo("larkspur");
  EXPECT_THROW((void)compare_cams(bow, std::vector<NamedCam>{}), InputError);
  EXPECT_THROW((void)compare_bows(std::vector<nockwise::Setup>{}), InputError);
  CamTableOptions options;
  options.threads = 0;
  EXPECT_THROW((void)compare_cams(bow, family(), options), InputError);
  options.threads = 1;
  options.distance = -1.0;
  EXPECT_THROW((void)compare_cams(bow, family(), options), InputError);
  options.distance = {};
  options.aims.peak_force = 1.0;
  EXPECT_THROW((void)compare_cams(bow, family(), options), InputError);
  options.aims.peak_force = {};
  const std::atomic<bool> stop{true};
  options.stop = &stop;
  EXPECT_THROW((void)compare_cams(bow, family(), options), Interrupted);
}

}  // namespace
}  // namespace nockwise
