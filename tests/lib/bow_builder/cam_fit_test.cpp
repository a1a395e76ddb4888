#include "nockwise/cam_fit.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "ordinary_measurements.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <optional>
#include <string>
#include <variant>

namespace nockwise {
namespace {

constexpr double pi = std::numbers::pi;

nockwise::Setup demo(const std::string& name) {
  return read_setup(nockwise::source_folder("examples/setups/") + name + ".toml");
}

DrawCycle on_board(const nockwise::Setup& setup) { return draw_cycle(Model(setup), {160, DrawHold::draw_board}); }

/// Draws the fitted bow anew, and holds it against what was asked.
void expect_fitted(const CamFit& fit, double axle_to_axle, double brace_height, double draw_length) {
  const DrawCycle cycle = draw_cycle(Model(fit.setup), {90, DrawHold::draw_board});
  EXPECT_NEAR(cycle.brace_axle_to_axle, axle_to_axle, 1e-5);
  EXPECT_NEAR(cycle.brace_height, brace_height, 1e-4);
  EXPECT_NEAR(cycle.draw_length, draw_length, 1e-5);
  ASSERT_TRUE(cycle.late_stop_gap);
  EXPECT_LT(*cycle.late_stop_gap, 2e-5);
  for (const MeasurementCheck& check : fit.checks) {
    EXPECT_TRUE(check.met()) << check.path << ' ' << check.achieved << ' ' << check.wanted;
  }
}

/// Lengths of a bow on the board, and how far its cams stand turned at brace, their mean.
CamAims lengths_of(const DrawCycle& cycle) {
  CamAims aims;
  aims.axle_to_axle = cycle.brace_axle_to_axle;
  aims.brace_height = cycle.brace_height;
  aims.draw_length = cycle.draw_length;
  aims.nock_height = cycle.points.front().nock_y;
  aims.cam_angle = 0.5 * (cycle.points.front().cam_angle.upper + cycle.points.front().cam_angle.lower);
  return aims;
}

std::optional<InputError> refusal(const nockwise::Setup& setup, const CamTracks& cam, const CamAims& aims = {}) {
  try {
    (void)fit_to_cam(setup, cam, aims);
  } catch (const InputError& error) {
    return error;
  }
  return std::nullopt;
}

class EveryDemoBow : public ::testing::TestWithParam<const char*> {};

/// A bow whose lines, posts and pegs have all been lost comes back from its cams and three lengths.
TEST_P(EveryDemoBow, ComesBackFromItsCamsAndLengths) {
  const nockwise::Setup original = demo(GetParam());
  const DrawCycle cycle = on_board(original);
  nockwise::Setup lost = original;
  lost.string.length += 0.031;
  lost.cables.upper.length -= 0.017;
  lost.cables.lower.length += 0.012;
  for (const Side side : {Side::upper, Side::lower}) {
    lost.cams[side].stop.angle += 0.4;
    lost.cams[side].string_anchor_angle += 2.0;  // in front of where the string leaves
    lost.cams[side].take_up_anchor_angle -= 2.0;
  }
  const CamFit fit = fit_to_cam(lost, CamTracks{}, lengths_of(cycle));
  expect_fitted(fit, cycle.brace_axle_to_axle, cycle.brace_height, cycle.draw_length);
  // The same bow: its draw is that of the original, by cams at (nearly) the same angle. The demo bows' own cams stand a
  // little apart at brace, the fitted ones alike.
  const DrawCycle again = on_board(fit.setup);
  EXPECT_NEAR(again.peak_force, cycle.peak_force, 3e-3 * cycle.peak_force);
  EXPECT_NEAR(again.let_off, cycle.let_off, 4e-3);
  EXPECT_NEAR(again.stored_energy, cycle.stored_energy, 2e-3 * cycle.stored_energy);
  EXPECT_NEAR(fit.brace_cam_angle.upper, fit.brace_cam_angle.lower, 1e-6);
}

INSTANTIATE_TEST_SUITE_P(Demo, EveryDemoBow, ::testing::Values("larkspur", "alder", "coppice", "withy"));

TEST(CamFit, UnchangedBowStaysAsItIs) {
  const nockwise::Setup bow = demo("larkspur");
  const DrawCycle before = on_board(bow);
  const CamFit fit = fit_to_cam(bow, CamTracks{}, lengths_of(before));
  expect_fitted(fit, before.brace_axle_to_axle, before.brace_height, before.draw_length);
  for (const MovedParameter& moved : fit.moved) {
    const bool line = moved.path.starts_with("string.") || moved.path.starts_with("cables.");
    EXPECT_TRUE(line || moved.path.ends_with("stop.angle")) << moved.path;
    // A demo bow's cams stand a little apart at brace and meet at the wall, the fitted ones the other way round.
    EXPECT_NEAR(moved.after, moved.before, line ? 3e-4 : 1e-2) << moved.path;
    EXPECT_EQ(moved.after, fit.setup.get(moved.path));
    EXPECT_EQ(moved.before, bow.get(moved.path));
  }
}

TEST(CamFit, EccentricStringGrooveTurnsToTheBraceHeight) {
  const nockwise::Setup bow = demo("larkspur");
  const DrawCycle before = on_board(bow);
  // 0.4 mm smaller than the bow's own, its centre turned by 6°: at 18 mm of eccentricity a turn of 6° more makes it
  // good.
  const auto circle = std::get<CircleTrack>(bow.cams.upper.string_track);
  CamTracks cam;
  cam.string_track = CircleTrack{circle.radius - 4e-4, circle.eccentricity, circle.angle + 0.1};
  CamAims aims;
  aims.brace_height = before.brace_height;
  const CamFit fit = fit_to_cam(bow, cam, aims);
  expect_fitted(fit, before.brace_axle_to_axle, before.brace_height, before.draw_length);
  EXPECT_EQ(fit.setup.limbs, bow.limbs);
  const CompiledTrack original(bow.cams.upper.string_track);
  const CompiledTrack own(*cam.string_track);
  EXPECT_NEAR(own.evaluate(pi - fit.brace_cam_angle.upper).distance,
              original.evaluate(pi - before.points.front().cam_angle.upper).distance, 2e-4);
}

TEST(CamFit, ConcentricStringGrooveIsRefusedOrMovesThePockets) {
  const nockwise::Setup bow = demo("larkspur");
  const DrawCycle before = on_board(bow);
  const CompiledTrack original(bow.cams.upper.string_track);
  const double radius = original.evaluate(pi).distance + 0.011;
  CamTracks cam;
  cam.string_track = CircleTrack{radius, 0.0, 0.0};
  const auto error = refusal(bow, cam);
  ASSERT_TRUE(error);
  EXPECT_EQ(error->path(), "brace_height");
  EXPECT_NE(error->allowed().find("11.0 mm from here"), std::string::npos) << error->what();
  CamAims aims;
  aims.brace_by = BraceRule::move_pockets;
  aims.draw_length = before.draw_length - 0.08;  // the take-up groove of the other cam ends before
  const CamFit fit = fit_to_cam(bow, cam, aims);
  expect_fitted(fit, before.brace_axle_to_axle, before.brace_height, *aims.draw_length);
  EXPECT_NEAR(fit.setup.limbs.upper.pivot_x - bow.limbs.upper.pivot_x, 0.011, 2e-4);
  EXPECT_NEAR(fit.brace_cam_angle.upper, 0.0, 1e-6);
}

TEST(CamFit, OwnLengthsAndPeakComeOut) {
  const nockwise::Setup bow = demo("larkspur");
  CamAims aims;
  aims.axle_to_axle = 0.845;
  aims.brace_height = 0.18;
  aims.draw_length = 0.72;
  aims.peak_force = 250.0;
  aims.brace_by = BraceRule::move_pockets;
  const CamFit fit = fit_to_cam(bow, CamTracks{}, aims);
  expect_fitted(fit, 0.845, 0.18, 0.72);
  EXPECT_NEAR(fit.peak_force, 250.0, 0.05);
  EXPECT_NEAR(on_board(fit.setup).peak_force, 250.0, 0.05);
  // Energy is the area under the curve: a check by the trapezoidal rule.
  const DrawCycle cycle = on_board(fit.setup);
  double area = 0.0;
  for (std::size_t i = 1; i <= cycle.touch_index; ++i) {
    const DrawPoint& a = cycle.points[i - 1];
    const DrawPoint& b = cycle.points[i];
    area -= 0.5 * (a.force_x + b.force_x) * (b.nock_x - a.nock_x);
  }
  EXPECT_NEAR(std::fabs(area), fit.stored_energy, 2e-3 * fit.stored_energy);
}

TEST(CamFit, PostsStandBehindAllThatTheDrawUnwinds) {
  nockwise::Setup bow = demo("alder");
  bow.cams.upper.string_anchor_angle = 4.0;
  bow.cams.lower.let_out_anchor_angle = 3.0;
  const DrawCycle whole = on_board(demo("alder"));
  const CamFit fit = fit_to_cam(bow, CamTracks{}, lengths_of(whole));
  const DrawCycle cycle = on_board(fit.setup);
  const double turned = cycle.points[cycle.touch_index].cam_angle.upper;
  // Where the string leaves at full draw: its run slants back by at most 60° from straight down.
  EXPECT_LT(fit.setup.cams.upper.string_anchor_angle, pi - turned);
  EXPECT_LT(fit.setup.cams.lower.let_out_anchor_angle, pi - turned);
  EXPECT_NEAR(cycle.peak_force, whole.peak_force, 2e-3 * whole.peak_force);
}

TEST(CamFit, WhatCannotBeDrawnSoFarSaysHowFar) {
  const nockwise::Setup bow = demo("larkspur");
  CamAims aims;
  aims.draw_length = 0.95;
  try {
    (void)fit_to_cam(bow, CamTracks{}, aims);
    FAIL() << "drawn to 37.4 in";
  } catch (const SolverError& error) {
    EXPECT_NE(error.why().find("they can be drawn to a draw length of"), std::string::npos) << error.what();
    EXPECT_NE(error.why().find("short"), std::string::npos) << error.what();
  }
}

/// Cams that would let off all, and stay drawn by themselves, do not come out as a bow.
TEST(CamFit, LetOffWithoutEndIsRefused) {
  const nockwise::Setup bow = demo("alder");
  const auto take_up = std::get<SplineTrack>(bow.cams.upper.take_up_track);
  CamTracks cam;
  for (const double shift : {0.004, 0.012}) {
    // Moved away from the axle where the cable leaves at the wall, a groove keeps its radii and loses lever there.
    constexpr double wall_normal = -2.458;  // [rad]
    SplineTrack moved = take_up;
    for (std::size_t i = 0; i < moved.distance.size(); ++i) {
      const double normal = moved.first_angle + moved.angle_step * static_cast<double>(i);
      moved.distance[i] -= shift * std::cos(normal - wall_normal);
    }
    cam.take_up_track = moved;
    if (shift < 0.01) {
      EXPECT_GT(fit_to_cam(bow, cam).let_off, on_board(bow).let_off + 0.05);
    } else {
      EXPECT_THROW((void)fit_to_cam(bow, cam), SolverError);
    }
  }
}

TEST(CamFit, StopThatDoesNotReachIsRefused) {
  nockwise::Setup bow = demo("coppice");
  bow.cams.upper.stop.radius = 0.002;
  bow.cams.lower.stop.radius = 0.002;
  CamAims aims;
  aims.axle_to_axle = 0.838;
  aims.brace_height = on_board(demo("coppice")).brace_height;
  aims.draw_length = on_board(demo("coppice")).draw_length;
  const auto error = refusal(bow, CamTracks{}, aims);
  ASSERT_TRUE(error);
  EXPECT_EQ(error->path(), "cams.upper.stop.radius") << error->what();
}

TEST(CamFit, WrongAimsAndTracksAreRefused) {
  const nockwise::Setup bow = demo("larkspur");
  CamAims aims;
  aims.axle_to_axle = 2.0;
  EXPECT_EQ(refusal(bow, {}, aims)->path(), "axle_to_axle");
  aims = {};
  aims.brace_height = 0.5;
  EXPECT_EQ(refusal(bow, {}, aims)->path(), "brace_height");
  aims = {};
  aims.draw_length = 0.2;
  EXPECT_EQ(refusal(bow, {}, aims)->path(), "draw_length");
  aims = {};
  aims.peak_force = 1e4;
  EXPECT_EQ(refusal(bow, {}, aims)->path(), "peak_force");
  CamTracks cam;
  cam.take_up_track = CircleTrack{-0.01, 0.0, 0.0};
  EXPECT_EQ(refusal(bow, cam)->path(), "cams.upper.take_up_track.radius");
  nockwise::Setup without = bow;
  without.cams.upper.stop.kind = StopKind::none;
  without.cams.lower.stop.kind = StopKind::none;
  CamAims all;
  all.axle_to_axle = 0.84;
  all.brace_height = 0.17;
  all.draw_length = 0.72;
  EXPECT_EQ(refusal(without, {}, all)->path(), "cams.upper.stop.kind");
}

TEST(CamFit, SheetGivesItsLengthsAndPeak) {
  const BowMeasurements sheet = testing::ordinary_measurements();
  CamTracks cam;
  cam.string_track = CircleTrack{0.046, 0.010, 0.4};
  const CamFit fit = fit_to_cam(sheet, cam);
  expect_fitted(fit, sheet.axle_to_axle, sheet.brace_height, sheet.draw_length);
  EXPECT_NEAR(fit.peak_force, *sheet.peak_force, 2e-4 * *sheet.peak_force);
}

}  // namespace
}  // namespace nockwise
