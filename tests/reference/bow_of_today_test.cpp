/// @file
/// The demo bow that stands for a bow of today, and the bows of sheets, against what was measured and advertised.
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/units.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace nockwise {
namespace {

using testing::demo_bow;

const Source advertised{"six flagship bows of 2025, advertised", "S"};
const Source bands{"virtual mass and efficiency of today's bows", "M"};
const Source video{"B. Spencer, High Point University, 2010: a compound filmed at high speed", "S"};
const Source loops{"\"Fast arrows or slow arrows\", retail guide: what a loop costs", "S, factor of two"};

nockwise::Setup with_arrow(nockwise::Setup setup, double mass) {
  setup.arrow.linear_density += (mass - Model(setup).arrow().mass) / setup.arrow.length;
  return setup;
}

TEST(BowOfToday, IsAsQuickAsBowsOfToday) {
  const BowMeasurements sheet = read_measurements(source_folder("examples/setups/coppice-sheet.toml"));
  const BuiltBow bow = build_bow(sheet);
  check_range("rated speed of Coppice 33 (70 lbf, 30 in, 5 gr/lbf)", advertised, 325.0, 343.0,
              from_si(bow.report.rated_speed.value(), Quantity::speed, "ft/s"), "ft/s");
  const nockwise::Setup coppice = demo_bow("coppice");
  const DrawCycle cycle = draw_cycle(Model(coppice), {160, DrawHold::draw_board});
  const double arrow = to_si(5.4 * 65.0, Quantity::mass, "gr");
  const Launch shot = launch(Model(with_arrow(coppice, arrow)));
  const double efficiency = 0.5 * arrow * shot.exit_speed * shot.exit_speed / cycle.stored_energy;
  check_range("efficiency of Coppice 33 at 5.4 gr/lbf", bands, 0.80, 0.88, efficiency);
  check_range("virtual mass of Coppice 33", bands, 4.5, 6.5, 1e3 * arrow * (1.0 / efficiency - 1.0), "g");
}

/// Of the arrow's travel on the string, the share with more than 0.85 of the plateau of the string's push.
TEST(BowOfToday, PushesTheArrowAlmostEvenlyOverMoreThanHalfOfItsWay) {
  LaunchOptions options;
  options.trace = true;
  options.trace_interval = 2e-5;
  const Launch shot = launch(Model(demo_bow("coppice")), options);
  std::vector<double> way;
  std::vector<double> force;
  for (std::size_t i = 1; i < shot.trace.time.size() && shot.trace.time[i] <= shot.exit_time; ++i) {
    way.push_back(shot.trace.nock_x[i] - shot.trace.nock_x[i - 1]);
    force.push_back(0.5 * (shot.trace.axial_push[i] + shot.trace.axial_push[i - 1]));
  }
  ASSERT_GT(way.size(), 60U);
  const auto share_above = [&](double least) {
    double above = 0.0;
    double all = 0.0;
    for (std::size_t i = 0; i < way.size(); ++i) {
      above += force[i] > least ? way[i] : 0.0;
      all += way[i];
    }
    return above / all;
  };
  // The plateau: exceeded over a third of the travel, so that the string's vibrations do not decide.
  double plateau = 0.0;
  while (share_above(plateau) > 1.0 / 3.0) {
    plateau += 1.0;
  }
  check_range("share of the arrow's travel with over 0.85 of the plateau of its push, Coppice 33 (filmed: over half)",
              video, 0.5, 0.95, share_above(0.85 * plateau));
}

TEST(BowOfToday, LosesByALoopWhatGuidesSay) {
  const auto speed = [](double more) {
    nockwise::Setup setup = demo_bow("coppice");
    setup.string.serving_and_loop_mass += more;
    const Model model(setup);
    return from_si(chronograph_speed(model, launch(model)), Quantity::speed, "ft/s");
  };
  constexpr double loop = 0.0006;  // [kg] of cord, tied
  check_range("speed that a loop of 9 gr costs Coppice 33 (guide: 1 to 3)", loops, 0.5, 6.0, speed(0.0) - speed(loop),
              "ft/s");
}

}  // namespace
}  // namespace nockwise
