// The bits of some shots, from setup file to impact: to be compared between two runs (run.sh).
#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/paper.hpp"

#include <cstdio>
#include <random>

int main() {
  using namespace nockwise;
  std::mt19937 random(3);
  const auto within = [&](double width) {
    return width * (static_cast<double>(random()) / 2147483648.0 - 1.0);  // distributions differ between libraries
  };
  for (const char* name : testing::demo_bow_names) {
    for (int i = 0; i < 20; ++i) {
      Setup setup = testing::demo_bow(name);
      setup.cables.upper.twists += within(0.5);
      setup.string.nocking_point += within(0.002);
      setup.rest.center_shot += within(0.002);
      setup.hold.grip_torque += within(0.3);
      const Model model(setup);
      const DrawCycle cycle = draw_cycle(model);
      const Launch shot = launch(model);
      const PaperTear tear = paper_tear(model, shot);
      const Impact impact = target_impact(model, shot);
      std::printf("%s %d: %a %a %a %a %a %a %a\n", name, i, cycle.peak_force, cycle.late_stop_gap, shot.exit_speed,
                  tear.up, tear.right, impact.y, impact.z);
    }
  }
}
