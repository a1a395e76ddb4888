// The string in pieces: what must hold of the chain, whatever it says of a launch (that is
// tests/reference/string_launch_test.cpp).
#include "demo_bows.hpp"
#include "launch/launch_alone.hpp"
#include "nockwise/error.hpp"
#include "statics/model_access.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

using testing::demo_bow;

nockwise::Setup in_pieces(nockwise::Setup setup, int pieces) {
  setup.string.pieces = pieces;
  return setup;
}

/// Demo bows of one link per limb and of two: a flexing riser end, two segments.
std::vector<nockwise::Setup> bows() {
  std::vector<nockwise::Setup> all;
  for (const char* name : testing::demo_bow_names) {
    all.push_back(demo_bow(name));
  }
  all.push_back(demo_bow("larkspur"));
  all.back().set("riser.upper_end_compliance", 2e-5);
  all.back().set("riser.end_inertia", 1e-2);
  all.push_back(demo_bow("wheelwright"));
  all.back().limbs.upper.segments = all.back().limbs.lower.segments = 2;
  return all;
}

TEST(StringInPieces, WithoutDampingTheEnergyCloses) {
  LaunchOptions options;
  options.integrator = Integrator::dormand_prince;
  options.tolerance = 1e-8;
  for (const nockwise::Setup& bow : bows()) {
    for (const int pieces : {2, 4, 8}) {
      const Launch shot = launch(Model(in_pieces(testing::undamped(bow), pieces)), options);
      EXPECT_EQ(shot.ended_by, LaunchEnd::arrow_clear) << bow.name << " " << pieces;
      EXPECT_NEAR(shot.dissipated / shot.stored_energy, 0.0, 1e-8) << bow.name << " " << pieces;
    }
  }
}

/// A half's pieces under one tension are the elastic line that they were cut from.
TEST(StringInPieces, StartsWithTheStrainOfTheWholeString) {
  for (const nockwise::Setup& bow : bows()) {
    const Launch lump = launch(Model(bow));
    for (const int pieces : {2, 16}) {
      const Launch cut = launch(Model(in_pieces(bow, pieces)));
      EXPECT_EQ(cut.full_draw_force, lump.full_draw_force);
      EXPECT_EQ(cut.stored_energy, lump.stored_energy);
      EXPECT_NEAR(cut.energy_start.lines, lump.energy_start.lines, 1e-10 * lump.stored_energy) << bow.name;
    }
  }
}

/// What accelerates the masses at full draw, their weight apart [m/s²].
double largest_at_full_draw(const nockwise::Setup& setup) {
  const Model model(in_pieces(setup, 8));
  const auto& constants = std::get<kernel::Constants<double, 1>>(detail::data_of(model).constants);
  const auto release = detail::prepare_release(detail::data_of(model), constants);
  const detail::Snapshot<1> start = detail::at_full_draw(release);
  detail::Snapshot<1> rate;
  kernel::RunDirections<double> run_directions = release.run_directions;
  kernel::accelerations(release.constants, release.topology, release.chain, 1.0, start.q, start.v, rate.q,
                        run_directions);
  const double* a = rate.q + kernel::Layout<1>{release.topology.modes}.size();
  double largest = 0.0;
  for (int i = 0; i < release.chain.coordinates(); ++i) {
    const double weight = i % 3 == 1 ? setup.surroundings.gravity : 0.0;
    largest = std::fmax(largest, std::fabs(a[i] + weight));
  }
  return largest;
}

/// At full draw the masses hang in the straight string: but for their weight, what is left of forces of hundreds of
/// newtons on a fifth of a gram is rounding. Where a cam leans, its groove's last piece of string is bent by a ten
/// thousandth of its direction (lib/README.md, Eq. 34).
TEST(StringInPieces, TheMassesAreAtRestAtFullDraw) {
  nockwise::Setup setup = demo_bow("larkspur");
  EXPECT_LT(largest_at_full_draw(setup), 40.0);
  setup.cable_guard.offset = setup.cable_guard.spacing = 0.0;
  for (Cam* cam : {&setup.cams.upper, &setup.cams.lower}) {
    cam->take_up_offset = cam->let_out_offset = 0.0;
  }
  EXPECT_LT(largest_at_full_draw(setup), 1e-2);
}

/// The nock's share and the masses along the halves are what is free of the string at brace, but for the two thirds of
/// each run's piece that its end on the cam holds.
TEST(StringInPieces, CarriesTheMassThatIsFreeAtBrace) {
  const Model model(in_pieces(demo_bow("alder"), 5));
  const auto& constants = std::get<kernel::Constants<double, 1>>(detail::data_of(model).constants);
  const auto release = detail::prepare_release(detail::data_of(model), constants);
  const BowString& string = model.setup().string;
  const auto free = detail::free_at_brace(detail::data_of(model), constants);
  const double whole =
      string.axial_rigidity * (1.0 / constants.string[0].stiffness + 1.0 / constants.string[1].stiffness);
  double carried = release.constants.nock_mass - string.serving_and_loop_mass;
  for (int h = 0; h < 2; ++h) {
    for (int i = 0; i < release.chain.masses(); ++i) {
      carried += release.chain.mass[h][i];
    }
  }
  const double pieces = 5.0;
  EXPECT_NEAR(carried, string.mass * (free[0] + free[1]) / whole * (1.0 - 2.0 / (3.0 * pieces)), 1e-12);
}

/// Half the step gives the same shot: the step that the pieces set is short enough for them. Where nothing damps them,
/// the integrator damps the quickest waves, and not alike at either step.
bool says_that_it_does_not_settle(const Model& model) {
  try {
    (void)launch(model);
    return false;
  } catch (const SolverError& error) {
    EXPECT_NE(std::string(error.what()).find("the hole does not settle"), std::string::npos) << error.what();
    return true;
  }
}

TEST(StringInPieces, TheStepHolds) {
  for (const nockwise::Setup& bow : bows()) {
    for (const double damping : {0.0, 1.0, 3.0}) {  // with ten times as much a launch proves its step itself
      nockwise::Setup setup = in_pieces(bow, 4);
      setup.string.damping *= damping;
      const Model model(setup);
      LaunchOptions fine;
      if (damping == 0.0 && says_that_it_does_not_settle(model)) {
        continue;  // pieces that nothing damps ring for ever, and then no step makes the hole sure
      }
      const Launch usual = launch(model);
      fine.step = 0.5 * usual.free.time / static_cast<double>(usual.steps);
      const Launch half = launch(model, fine);
      EXPECT_GT(half.steps, 3 * usual.steps / 2);
      EXPECT_NEAR(usual.exit_speed, half.exit_speed, damping > 0.0 ? 1e-3 : 0.05) << bow.name << " " << damping;
    }
  }
}

TEST(StringInPieces, RefusesPiecesThatAreTooQuick) {
  nockwise::Setup setup = in_pieces(demo_bow("larkspur"), 16);
  setup.string.damping = 1000.0;
  EXPECT_THROW((void)launch(Model(setup)), InputError);
}

TEST(StringInPieces, ItsEquationsAreNotGivenOut) {
  EXPECT_THROW(EquationsOfMotion{Model(in_pieces(demo_bow("alder"), 2))}, InputError);
}

}  // namespace
}  // namespace nockwise
