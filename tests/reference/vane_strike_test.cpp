// Vanes that strike the launcher: against closed forms, and facts of the trade (common practice, no source).
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "launch/launch_engine.hpp"
#include "launch/nystrom_method.hpp"
#include "launch/result.hpp"
#include "nockwise/error.hpp"
#include "nockwise/paper.hpp"
#include "statics/model_access.hpp"
#include "trade_shot.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace nockwise {
namespace {

using testing::demo_bow;
using trade::inch;
using trade::practice;

constexpr double degree = std::numbers::pi / 180.0;
const Source closed_form{"closed form, lib/README.md Eqs. (39a) to (39c)", "C"};

struct Struck {
  Launch launch;
  double up = 0.0, right = 0.0;  // [in]
};

Struck fly(const nockwise::Setup& setup, double step = LaunchOptions{}.step) {
  LaunchOptions options;
  options.step = step;
  const Model model(setup);
  Struck shot{launch(model, options)};
  const PaperTear tear = paper_tear(model, shot.launch);
  shot.up = tear.up / inch;
  shot.right = tear.right / inch;
  return shot;
}

/// The Larkspur with its cord let out until the launcher is still up as the vanes pass.
nockwise::Setup late_drop(double more = 0.02) {
  nockwise::Setup setup = demo_bow("larkspur");
  setup.rest.arm.cord_slack += more;
  return setup;
}

/// The Alder with its nock turned so that a vane points at the blade.
nockwise::Setup turned_nock() {
  nockwise::Setup setup = demo_bow("alder");
  setup.arrow.fletching.clocking = 60.0 * degree;
  return setup;
}

/// The Larkspur with its cables so near the shaft that a vane reaches them.
nockwise::Setup near_cables() {
  nockwise::Setup setup = demo_bow("larkspur");
  setup.cable_guard.offset = 0.012;
  return setup;
}

/// One vane straight down, so stiff that it folds all its length long, over a blade so wide that its ends do not
/// matter: the force is that of folding, its share over the length ½ of the front third, the whole of the next half, ½
/// of the rear sixth: three quarters of the length.
TEST(VaneStrike, OneFoldedVaneGivesItsForceForThreeQuartersOfItsLength) {
  nockwise::Setup setup = demo_bow("alder");
  Fletching& vanes = setup.arrow.fletching;
  vanes.count = 1;
  vanes.clocking = std::numbers::pi;
  vanes.edge_stiffness = 1.0e5;
  vanes.folding_force = 0.5;
  vanes.friction = 0.0;
  setup.rest.blade_width = 0.1;
  LaunchOptions options;
  options.trace = true;
  const Struck shot{launch(Model(setup), options)};
  // Of the arrow past the riser, which moves too.
  const Trace& t = shot.launch.trace;
  const std::size_t last = t.time.size() - 1;
  const double riser = (t.riser_x[last] - t.riser_x[last - 1]) / (t.time[last] - t.time[last - 1]);
  // A wide launcher presses nearly all of it into a vane.
  const double slip = 0.25 * vanes.height / (0.5 * setup.rest.blade_width);
  const double force = vanes.folding_force / (1.0 + slip * slip);
  const double expected = 0.75 * vanes.length * force / (shot.launch.free.speed - riser);
  check_relative("impulse of one folded vane on a blade, Alder", closed_form, 1e3 * expected,
                 1e3 * shot.launch.rest.vane_strike.value().impulse_up, 0.003, "mN·s");
  check_relative("largest force of one folded vane on a blade, Alder", closed_form, force,
                 shot.launch.rest.vane_strike.value().largest_force, 0.001, "N");
  EXPECT_NEAR(shot.launch.rest.vane_strike->impulse_right, 0.0, 0.02 * expected);
}

/// The arrow has nothing else on it there: what it gains in momentum is the impulse, and it turns by its lever.
TEST(VaneStrike, MovesTheArrowByItsImpulse) {
  nockwise::Setup soft = late_drop();
  soft.arrow.fletching.edge_stiffness = 1.0;
  soft.arrow.fletching.folding_force = 0.01;
  const Struck struck = fly(late_drop());
  const Struck clear = fly(soft);
  const VaneStrike& strike = struck.launch.rest.vane_strike.value();
  const ArrowProperties arrow = Model(late_drop()).arrow();
  const double gained = arrow.mass * (struck.launch.free.velocity_y - clear.launch.free.velocity_y);
  check_relative("momentum that a strike gives the arrow, Larkspur with a late drop", closed_form,
                 1e3 * strike.impulse_up, 1e3 * gained, 0.01, "mN·s");
  EXPECT_LT(struck.launch.free.pitch_rate - clear.launch.free.pitch_rate, -0.3) << "the tail goes up, the nose down";
}

/// Runs one launch and keeps its first and last states.
class Recorder {
 public:
  explicit Recorder(const detail::Release<1>& release) : release_(release), start_(detail::at_full_draw(release)) {}

  bool next(int /*lane*/, detail::LaneStart<1>& start) {
    if (started_) {
      return false;
    }
    started_ = true;
    start.constants = &release_.constants;
    start.q = start_.q;
    start.v = start_.v;
    start.run_directions = &release_.run_directions;
    start.step = 1e-6;
    return true;
  }
  detail::LaunchRecord<1>& record(int /*lane*/) { return record_; }
  void met(int /*lane*/, const detail::EventRecord& /*event*/) {}
  void trace(double /*time*/, const double* /*q*/, const double* /*v*/, const kernel::Diagnostics<double>& d,
             bool /*attached*/, bool /*always*/) {
    pressed_ = std::fmax(pressed_, std::fmax(d.rest.vanes.press, d.cables.loads.press));
  }
  void done(int /*lane*/, bool /*diverged*/) {}
  [[nodiscard]] double pressed() const { return pressed_; }

 private:
  const detail::Release<1>& release_;
  detail::Snapshot<1> start_;
  bool started_ = false;
  double pressed_ = 0.0;
  detail::LaunchRecord<1> record_;
};

TEST(VaneStrike, ClosesTheBalanceOfEnergyWithoutFriction) {
  for (nockwise::Setup setup :
       {testing::undamped(late_drop()), testing::undamped(turned_nock()), testing::undamped(near_cables())}) {
    double left[2] = {};
    for (const double friction : {0.0, 0.3}) {
      setup.arrow.fletching.friction = friction;
      const Model model(setup);
      const auto& constants = std::get<kernel::Constants<double, 1>>(detail::data_of(model).constants);
      const auto release = detail::prepare_release(detail::data_of(model), constants);
      Recorder recorder(release);
      detail::LaunchLimits limits;
      limits.time = 0.1;
      detail::LaunchEngine<double, 1, detail::Nystrom<double>, Recorder>(
          release.topology, kernel::Layout<1>{release.topology.modes}.size(), limits, detail::Nystrom<double>{},
          recorder)
          .run();
      EXPECT_GT(recorder.pressed(), 0.5);
      const auto& record = recorder.record(0);
      const detail::Snapshot<1>& end = record.end;
      const auto start = detail::at_full_draw(release);
      left[friction > 0.0 ? 1 : 0] =
          detail::energy_at(release, 0.0, end.q, end.v, end.run_directions).total() -
          detail::energy_at(release, 1.0, start.q, start.v, record.start_run_directions).total();
    }
    check_absolute("energy that a launch with vanes that strike makes or loses without damping, " + setup.name,
                   closed_form, 0.0, 1e3 * left[0], 0.02, "mJ");
    EXPECT_LT(left[1] - left[0], -1e-3) << "friction takes some";
  }
}

TEST(VaneStrike, IsTheSameWithHalfTheStep) {
  for (const nockwise::Setup& setup : {late_drop(), turned_nock(), near_cables()}) {
    const Struck usual = fly(setup);
    for (const double step : {1.125e-4, 2e-5}) {
      const Struck finer = fly(setup, step);
      EXPECT_NEAR(usual.up, finer.up, 0.1e-3 / inch);
      EXPECT_NEAR(usual.right, finer.right, 0.1e-3 / inch);
    }
  }
}

TEST(VaneStrike, IsMirroredInTheOtherHand) {
  for (const nockwise::Setup& setup : {late_drop(), turned_nock(), near_cables()}) {
    const Struck right = fly(setup);
    const Struck left = fly(mirrored(setup));
    EXPECT_NEAR(right.up, left.up, 1e-9);
    EXPECT_NEAR(right.right, -left.right, 1e-9);
    const auto strike = [](const Struck& shot) {
      return shot.launch.rest.vane_strike ? *shot.launch.rest.vane_strike : shot.launch.cable_strike.value();
    };
    EXPECT_NEAR(strike(right).impulse_right, -strike(left).impulse_right, 1e-12);
  }
}

TEST(VaneStrike, ALateDropKicksTheTailUpAndASoonerOneCuresIt) {
  const Struck late = fly(late_drop());
  const Struck sooner = fly(late_drop(0.016));
  ASSERT_TRUE(late.launch.rest.fletching_contact);
  EXPECT_FALSE(sooner.launch.rest.fletching_contact);
  check_range("tear by a cord 4 mm shorter where a late drop lets vanes strike, Larkspur 33 (rule: less tail-high)",
              practice, -1.0, -0.1, sooner.up - late.up, "in");
  EXPECT_EQ(late.launch.cautions.front().kind, CautionKind::vane_strikes_rest);
}

TEST(VaneStrike, ATurnedNockStrikesOrClears) {
  const Struck turned = fly(turned_nock());
  const Struck up = fly(demo_bow("alder"));
  EXPECT_TRUE(turned.launch.rest.fletching_contact);
  EXPECT_FALSE(up.launch.rest.fletching_contact);
  check_range("tear by a nock turned by 60 degrees on a blade, Alder 37 (rule: changes it)", practice, 0.05, 1.5,
              std::hypot(turned.up - up.up, turned.right - up.right), "in");
}

TEST(VaneStrike, LowerVanesCureIt) {
  nockwise::Setup low = late_drop(0.019);
  low.arrow.fletching.height = 0.004;
  low.arrow.fletching.normal_force_slope *= 0.0115 / 0.004;  // which steer as well
  const Struck high = fly(late_drop(0.019));
  const Struck lower = fly(low);
  EXPECT_TRUE(high.launch.rest.fletching_contact);
  EXPECT_FALSE(lower.launch.rest.fletching_contact);
  check_range("tear by lower vanes where a late drop lets them strike, Larkspur 33 (rule: less tail-high)", practice,
              -1.0, -0.1, lower.up - high.up, "in");
}

TEST(VaneStrike, CablesPushTheTailAwayAndLowerVanesClearThem) {
  const Struck struck = fly(near_cables());
  const VaneStrike& strike = struck.launch.cable_strike.value();
  EXPECT_GT(near_cables().cable_guard.offset, 0.0) << "on the right";
  EXPECT_LT(strike.impulse_right, -1e-5);
  EXPECT_EQ(strike.impulse_up, 0.0);
  EXPECT_GT(strike.depth, 1e-4);
  EXPECT_EQ(struck.launch.cautions.front().kind, CautionKind::cable_strike);
  nockwise::Setup lower = near_cables();
  lower.arrow.fletching.height = 0.006;
  EXPECT_FALSE(fly(lower).launch.cable_strike);
}

TEST(VaneStrike, RefusesVanesThatLieOnTheRestAtFullDraw) {
  nockwise::Setup setup = demo_bow("larkspur");
  setup.arrow.fletching.length = 0.2;
  setup.arrow.fletching.distance = 0.5;
  setup.arrow.length = 0.9;
  setup.rest.position_x = -0.1;
  try {
    (void)launch(Model(setup));
    ADD_FAILURE() << "vanes ahead of the rest at full draw";
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "arrow.fletching.distance");
    EXPECT_NE(error.allowed().find("behind the rest at full draw"), std::string::npos);
  }
}

}  // namespace
}  // namespace nockwise
