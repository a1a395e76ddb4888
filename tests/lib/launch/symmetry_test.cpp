/// @file
/// Symmetries of whole launches: the other hand, the bow upside down, the symmetric bow, the shot yawed or rolled.
#include "launch/launch_alone.hpp"
#include "statics/model_access.hpp"
#include "wheelwright_bow.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

/// An ordinary bow that is not symmetric in any way: guard, yokes, shims, grip torque, arrow, rest, gravity, damping.
Setup ordinary_setup() {
  auto s = wheelwright_setup("unlike");
  const Setup defaults;
  s.arrow = defaults.arrow;
  s.arrow.nodes = 16;
  s.rest = defaults.rest;
  s.rest.height = 0.006;
  s.rest.center_shot = 0.0021;
  s.grip.damping_x = s.grip.damping_y = s.grip.damping_z = 30.0;
  s.string.damping = s.cables.upper.damping = s.cables.lower.damping = 2.0;
  s.cable_guard = defaults.cable_guard;
  s.cams.upper.shim = 0.001;
  s.cams.lower.shim = -0.0003;
  s.cams.upper.take_up_offset = s.cams.lower.take_up_offset = 0.008;
  s.cables.upper.yoke.left_twists = 1.5;
  s.cables.lower.yoke.right_twists = -0.5;
  s.hold.grip_torque = 0.3;
  s.surroundings.gravity = 9.80665;
  return s;
}

Setup symmetric_setup() {
  auto s = wheelwright_setup("symmetric");
  s.riser.center_of_mass_y = 0.0;
  return s;
}

LaunchOptions traced() {
  LaunchOptions options;
  options.step = 2e-5;
  options.trace = true;
  return options;
}

double largest(const std::vector<double>& values) {
  double result = 0.0;
  for (const double v : values) {
    result = std::fmax(result, std::fabs(v));
  }
  return result;
}

/// Largest |a + sign · b|.
double largest_sum(const std::vector<double>& a, const std::vector<double>& b, double sign = 1.0) {
  EXPECT_EQ(a.size(), b.size());
  double result = 0.0;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    result = std::fmax(result, std::fabs(a[i] + sign * b[i]));
  }
  return result;
}

// --- The other hand --------------------------------------------------------------------------------------------------

/// The string as a lump, and in pieces.
class Mirrored : public ::testing::TestWithParam<int> {};
class Swapped : public ::testing::TestWithParam<int> {};
class SymmetricBow : public ::testing::TestWithParam<int> {};
INSTANTIATE_TEST_SUITE_P(Pieces, Mirrored, ::testing::Values(1, 4));
INSTANTIATE_TEST_SUITE_P(Pieces, Swapped, ::testing::Values(1, 4));
INSTANTIATE_TEST_SUITE_P(Pieces, SymmetricBow, ::testing::Values(1, 4));

TEST_P(Mirrored, ShootsTheExactMirrorImage) {
  auto setup = ordinary_setup();
  setup.string.pieces = GetParam();
  const Launch right = launch(Model(setup), traced());
  const Launch left = launch(Model(mirrored(setup)), traced());
  ASSERT_GT(largest(right.trace.nock_z), 1e-3);
  // Not a bit of difference, from release to the end, in either plane.
  EXPECT_EQ(right.trace.time, left.trace.time);
  EXPECT_EQ(right.trace.nock_x, left.trace.nock_x);
  EXPECT_EQ(right.trace.nock_y, left.trace.nock_y);
  EXPECT_EQ(right.trace.cam_angle[0], left.trace.cam_angle[0]);
  EXPECT_EQ(right.free.velocity_y_nodes, left.free.velocity_y_nodes);
  EXPECT_EQ(largest_sum(right.trace.nock_z, left.trace.nock_z), 0.0);
  EXPECT_EQ(largest_sum(right.trace.riser_z, left.trace.riser_z), 0.0);
  EXPECT_EQ(largest_sum(right.trace.riser_yaw, left.trace.riser_yaw), 0.0);
  EXPECT_EQ(largest_sum(right.trace.riser_roll, left.trace.riser_roll), 0.0);
  EXPECT_EQ(largest_sum(right.trace.lean[0], left.trace.lean[0]), 0.0);
  EXPECT_EQ(largest_sum(right.trace.lean[1], left.trace.lean[1]), 0.0);
  EXPECT_EQ(largest_sum(right.trace.arrow_z, left.trace.arrow_z), 0.0);
  EXPECT_EQ(largest_sum(right.free.velocity_z_nodes, left.free.velocity_z_nodes), 0.0);
}

TEST_P(SymmetricBow, HasNoLateralMotionToTheLastBit) {
  auto setup = ordinary_setup();
  setup.string.pieces = GetParam();
  setup.cable_guard.offset = setup.cable_guard.spacing = 0.0;
  setup.rest.center_shot = setup.hold.grip_torque = 0.0;
  for (Cam* cam : {&setup.cams.upper, &setup.cams.lower}) {
    cam->shim = cam->string_track_offset = cam->take_up_offset = cam->let_out_offset = 0.0;
  }
  setup.cables.upper.yoke.left_twists = setup.cables.lower.yoke.right_twists = 0.0;
  const Launch shot = launch(Model(setup), traced());
  EXPECT_EQ(largest(shot.trace.nock_z), 0.0);
  EXPECT_EQ(largest(shot.trace.arrow_z), 0.0);
  EXPECT_EQ(largest(shot.trace.riser_z), 0.0);
  EXPECT_EQ(largest(shot.trace.riser_yaw), 0.0);
  EXPECT_EQ(largest(shot.trace.riser_roll), 0.0);
  EXPECT_EQ(largest(shot.trace.lean[0]), 0.0);
  EXPECT_EQ(largest(shot.free.velocity_z_nodes), 0.0);
  EXPECT_GT(largest(shot.trace.nock_y), 1e-3);  // the vertical plane is not still
}

// --- Upside down -----------------------------------------------------------------------------------------------------

TEST_P(SymmetricBow, HasNoVerticalMotion) {
  auto setup = symmetric_setup();
  setup.string.pieces = GetParam();
  const Launch shot = launch(Model(setup), traced());
  // The statics are solved to 1e-11 rad; what is left of that grows with the launch.
  EXPECT_LT(largest(shot.trace.nock_y), 1e-9);
  EXPECT_LT(largest(shot.trace.riser_pitch), 1e-9);
  EXPECT_LT(largest(shot.free.velocity_y_nodes), 1e-6);
}

TEST_P(Swapped, TurnsTheVerticalTearOver) {
  auto setup = ordinary_setup();
  setup.string.pieces = GetParam();
  setup.surroundings.gravity = 0.0;
  setup.rest.kind = RestKind::capture;  // the only rest that holds from above as well
  setup.rest.height = 0.0;
  setup.string.nocking_point = 0.004;
  const Launch upright = launch(Model(setup), traced());
  const Launch over = launch(Model(swapped(setup)), traced());
  ASSERT_GT(largest(upright.trace.nock_y), 1e-3);
  ASSERT_GT(std::fabs(upright.free.pitch), 1e-4);
  EXPECT_LT(largest_sum(upright.trace.nock_y, over.trace.nock_y), 1e-9);
  EXPECT_LT(largest_sum(upright.trace.nock_x, over.trace.nock_x, -1.0), 1e-9);
  EXPECT_LT(largest_sum(upright.trace.riser_pitch, over.trace.riser_pitch), 1e-9);
  EXPECT_LT(largest_sum(upright.trace.cam_angle[0], over.trace.cam_angle[1], -1.0), 1e-7);
  EXPECT_LT(largest_sum(upright.trace.arrow_y, over.trace.arrow_y), 1e-9);
  EXPECT_NEAR(upright.free.pitch, -over.free.pitch, 1e-8);
  EXPECT_NEAR(upright.free.velocity_y, -over.free.velocity_y, 1e-7);
  // The lateral plane does not know up from down.
  EXPECT_LT(largest_sum(upright.trace.nock_z, over.trace.nock_z, -1.0), 1e-9);
  EXPECT_LT(largest_sum(upright.trace.riser_roll, over.trace.riser_roll), 1e-9);
}

// --- The whole shot turned -------------------------------------------------------------------------------------------

/// What a small turn of everything about the vertical (yaw) or the shot's direction (roll) does to a place: δz.
struct Turn {
  double yaw = 0.0, roll = 0.0;
  [[nodiscard]] double at(double x, double y) const { return roll * y - yaw * x; }
};

/// Turn bow, arrow, and the hand with its preload. The hand's springs must not hold the world's directions: alike along
/// the axes that the turn mixes, and none against turning. Nor must gravity, for a roll.
detail::Release<1> turned(detail::Release<1> r, const Turn& turn) {
  using L = kernel::Layout<1>;
  const auto at = [&r](int i) -> double& { return r.q[static_cast<std::size_t>(i)]; };
  at(L::riser_yaw) += turn.yaw;
  at(L::riser_roll) += turn.roll;
  at(L::string_z) += turn.at(at(L::string_x), at(L::string_y));
  const int z = L{r.topology.modes}.arrow_z();
  const auto& arrow = r.constants.arrow;
  for (int k = 0; k < r.topology.modes; ++k) {
    at(z + k) += turn.roll * at(L::arrow_y + k);
  }
  at(z) -= turn.yaw * arrow.root_mass * (at(L::arrow_x) + arrow.balance);
  at(z + 1) -= turn.yaw * arrow.root_inertia;
  auto& hand = r.constants.hand;
  hand.force_z += turn.roll * hand.force_y - turn.yaw * hand.force_x;
  // Moments go with the riser's coordinates, half way to its tilted normal.
  hand.moment_roll += 0.5 * turn.yaw * hand.moment_pitch;
  hand.moment_yaw -= 0.5 * turn.roll * hand.moment_pitch;
  return r;
}

/// Largest deviation from the turned shot, per radian of turn [m or rad per rad].
double deviation_of_turned_shot(Setup setup, const Turn& turn, double step) {
  setup.grip.pitch_stiffness = setup.grip.pitch_damping = 0.0;
  setup.grip.yaw_stiffness = setup.grip.yaw_damping = 0.0;
  setup.grip.roll_stiffness = setup.grip.roll_damping = 0.0;
  setup.grip.stiffness_x = setup.grip.stiffness_y = setup.grip.stiffness_z = 2000.0;
  setup.grip.damping_x = setup.grip.damping_y = setup.grip.damping_z = 25.0;
  const Model model(setup);
  const auto& constants = std::get<kernel::Constants<double, 1>>(detail::data_of(model).constants);
  const auto release = detail::prepare_release(detail::data_of(model), constants);
  const auto moved = turned(release, turn);
  LaunchOptions options = traced();
  options.step = step;
  const Trace straight = detail::launch_alone(release, options).trace;
  const Trace askew = detail::launch_alone(moved, options).trace;
  EXPECT_EQ(straight.time.size(), askew.time.size());
  double worst = 0.0;
  for (std::size_t i = 0; i < std::min(straight.time.size(), askew.time.size()); ++i) {
    if (straight.time[i] != askew.time[i]) {
      continue;  // where an event ended a step
    }
    const auto compare = [&](const std::vector<double>& a, const std::vector<double>& b, double expected) {
      worst = std::fmax(worst, std::fabs(b[i] - a[i] - expected));
    };
    compare(straight.riser_yaw, askew.riser_yaw, turn.yaw);
    compare(straight.riser_roll, askew.riser_roll, turn.roll);
    compare(straight.riser_z, askew.riser_z, turn.at(straight.riser_x[i], straight.riser_y[i]));
    compare(straight.nock_z, askew.nock_z, turn.at(straight.nock_x[i], straight.nock_y[i]));
    compare(straight.lean[0], askew.lean[0], 0.0);
    compare(straight.lean[1], askew.lean[1], 0.0);
  }
  return worst / (std::fabs(turn.yaw) + std::fabs(turn.roll));
}

Setup restless_setup(const char* variant) {
  // `turned` turns to first order in all that is lateral.
  constexpr double small = 0.1;
  auto s = wheelwright_setup(variant);
  s.cable_guard = CableGuard{};
  s.cams.upper.shim = small * 0.001;
  s.cams.upper.take_up_offset = s.cams.lower.take_up_offset = small * 0.008;
  // Both, or one cable would be shorter.
  s.cables.upper.yoke.left_twists = s.cables.lower.yoke.left_twists = small * 1.5;
  s.cable_guard.offset *= small;
  s.cable_guard.spacing *= small;
  return s;
}

constexpr double slight = 1e-5;  // [rad]

TEST(TurnedShot, OfASymmetricBowIsTheSame) {
  auto setup = restless_setup("symmetric");
  setup.riser.center_of_mass_y = 0.0;
  EXPECT_LT(deviation_of_turned_shot(setup, {.yaw = slight}, 2e-5), 1e-5);   // measured: 6e-6
  EXPECT_LT(deviation_of_turned_shot(setup, {.roll = slight}, 2e-5), 1e-5);  // measured: 6e-6
}

/// Also of a shaft that swings up and down, whose bending couples to the thrust in both planes alike.
TEST(TurnedShot, OfAnUnlikeBowIsTheSame) {
  auto setup = restless_setup("unlike");
  EXPECT_LT(deviation_of_turned_shot(setup, {.roll = slight}, 2e-5), 1e-5);  // measured: 6e-6
  setup.surroundings.gravity = 9.80665;
  EXPECT_LT(deviation_of_turned_shot(setup, {.yaw = slight}, 2e-5), 1e-5);  // measured: 6e-6
}

}  // namespace
}  // namespace nockwise
