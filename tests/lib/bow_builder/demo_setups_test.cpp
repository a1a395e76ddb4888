#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <string>
#include <utility>

namespace nockwise {
namespace {

const std::string setups = nockwise::source_folder("examples/setups/");

class DemoSetup : public ::testing::TestWithParam<const char*> {};

TEST_P(DemoSetup, IsShootableAsFound) {
  const nockwise::Setup setup = read_setup(setups + GetParam());
  EXPECT_NE(setup.provenance.find("not a real bow"), std::string::npos);
  const Model model(setup);
  const DrawCycle cycle = draw_cycle(model);
  EXPECT_LT(cycle.late_stop_gap.value(), 2e-4);
  // A hybrid's cables are loaded unlike, and its nock rises a little more.
  const bool hybrid = setup.cables.upper.end != setup.cables.lower.end;
  EXPECT_LT(cycle.static_nock_travel, hybrid ? 6e-3 : 5e-3);
  const Launch shot = launch(model);
  EXPECT_EQ(shot.ended_by, LaunchEnd::arrow_clear);
  const double speed = from_si(shot.exit_speed, Quantity::speed, "ft/s");
  EXPECT_GT(speed, 230.0);
  EXPECT_LT(speed, 300.0);
  EXPECT_GT(shot.exit_time, 0.012);
  EXPECT_LT(shot.exit_time, 0.025);
  EXPECT_GT(shot.efficiency, 0.70);
  EXPECT_LT(shot.efficiency, 0.90);
  EXPECT_GT(shot.peak_acceleration, 500.0 * 9.80665);
  EXPECT_LT(shot.peak_acceleration, 1400.0 * 9.80665);
}

INSTANTIATE_TEST_SUITE_P(Alder, DemoSetup,
                         testing::Values("larkspur.toml", "alder.toml", "wheelwright.toml", "coppice.toml",
                                         "withy.toml"));

/// Bands of a bow of today: rated 325 to 340 ft/s, virtual mass 4.8 to 6 g, efficiency 0.80 to 0.87 at 5.4 gr per lbf,
/// a fifth more of arrow for 2 to 3.5 % more of energy.
TEST(DemoSetup, CoppiceIsABowOfToday) {
  const BowMeasurements sheet = read_measurements(setups + "coppice-sheet.toml");
  nockwise::Setup setup = read_setup(setups + "coppice.toml");
  EXPECT_GE(*sheet.rated_speed, to_si(325.0, Quantity::speed, "ft/s"));
  EXPECT_LE(*sheet.rated_speed, to_si(340.0, Quantity::speed, "ft/s"));
  const DrawCycle cycle = draw_cycle(Model(setup), {160, DrawHold::draw_board});
  EXPECT_NEAR(cycle.peak_force, *sheet.peak_force, 3e-3 * *sheet.peak_force);
  EXPECT_NEAR(cycle.let_off, 0.85, 5e-3);
  EXPECT_NEAR(cycle.draw_length, sheet.draw_length, 1e-4);
  const double own = Model(setup).arrow().mass;
  const auto energy = [&](double mass) {
    nockwise::Setup shot = setup;
    shot.arrow.linear_density += (mass - own) / shot.arrow.length;
    const Launch flown = launch(Model(shot));
    EXPECT_EQ(flown.ended_by, LaunchEnd::arrow_clear);
    return 0.5 * mass * flown.exit_speed * flown.exit_speed;
  };
  const double light = 5.4 * 65.0 * to_si(1.0, Quantity::mass, "gr");
  const double efficiency = energy(light) / cycle.stored_energy;
  EXPECT_GT(efficiency, 0.80);
  EXPECT_LT(efficiency, 0.87);
  const double virtual_mass = light * (1.0 / efficiency - 1.0);
  EXPECT_GT(virtual_mass, 0.0048);
  EXPECT_LT(virtual_mass, 0.006);
  const double ratio = energy(1.2 * own) / energy(own);
  EXPECT_GT(ratio, 1.02);
  EXPECT_LT(ratio, 1.035);
  EXPECT_EQ(setup.rest.kind, RestKind::cable_driven);
}

TEST(DemoSetup, WithysRestCarriesTheArrowThroughMostOfTheShot) {
  const nockwise::Setup setup = read_setup(setups + "withy.toml");
  EXPECT_EQ(setup.rest.kind, RestKind::limb_driven);
  const Launch shot = launch(Model(setup));
  EXPECT_GT(shot.rest.last_contact.value(), 0.7 * shot.exit_time);
  EXPECT_GT(shot.rest.fletching_clearance.value(), 0.01);
  EXPECT_FALSE(shot.rest.fletching_contact);
}

TEST(DemoSetup, LarkspursRestFallsInTime) {
  const Launch shot = launch(Model(read_setup(setups + "larkspur.toml")));
  EXPECT_GT(shot.rest.drop_start.value(), 0.3 * shot.exit_time);
  EXPECT_LT(shot.rest.drop_start.value(), 0.75 * shot.exit_time);
  EXPECT_LT(shot.rest.drop_end.value(), shot.exit_time);
  EXPECT_GT(shot.rest.fletching_clearance.value(), 0.01);
  EXPECT_FALSE(shot.rest.fletching_contact);
}

}  // namespace
}  // namespace nockwise
