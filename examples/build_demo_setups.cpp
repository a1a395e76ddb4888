// Builds the setups of the fictional Alder Lane Archery Club again: examples/setups/*.toml (examples/setups/README.md).

#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <cmath>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <optional>
#include <string>

namespace {

using nockwise::BowMeasurements;
using nockwise::BuiltBow;
using nockwise::Model;
using nockwise::Quantity;
using nockwise::Setup;

const std::string invented = "Invented for the Alder Lane Archery Club, a fictional workshop; not a real bow.";

/// A bow of today: the answer to a line of a spec sheet, with a rest held up by a cable.
BowMeasurements coppice_sheet() {
  BowMeasurements m;
  m.name = "Coppice 33";
  m.provenance = invented + " Stands for a bow of today, built from coppice-sheet.toml.";
  m.axle_to_axle = nockwise::to_si(33.0, Quantity::length, "in");
  m.brace_height = nockwise::to_si(6.25, Quantity::length, "in");
  m.draw_length = nockwise::to_si(29.0, Quantity::length, "in");
  m.peak_force = nockwise::to_si(65.0, Quantity::force, "lbf");
  m.let_off = 0.85;
  m.cabling = nockwise::Cabling::hybrid;
  m.stop = nockwise::StopPegs::cable;
  m.rated_speed = nockwise::to_si(331.0, Quantity::speed, "ft/s");
  return m;
}

BuiltBow coppice() {
  const BowMeasurements sheet = coppice_sheet();
  Setup base = nockwise::ordinary_setup(sheet);
  base.set("rest.kind", "cable_driven");
  // Tied to the lower cam's cable below the rest, where it goes down in the draw; loose at brace, so that it comes
  // tight late in the draw and gives way by the middle of the shot.
  base.set("rest.arm.cord_attachment", "540 mm");
  base.set("rest.arm.cord_slack", "18 mm");
  base.set("rest.arm.spring_torque", "0.5 N·m");
  base.set("rest.arm.inertia", "0.06 kg·cm²");
  base.set("arrow.spine", "250 spine");
  BuiltBow built = nockwise::build_bow(sheet, base);
  // The cord is let out on the bow until it does not carry the cable's load, and the rest set on paper.
  built.setup.set("rest.arm.cord_slack", "22 mm");
  built.setup.set("rest.height", "19 mm");
  return built;
}

/// The Larkspur as a workshop would measure it: a reading every inch to half a pound, and a chronograph.
BowMeasurements measured(const Setup& setup) {
  const Model model(setup);
  const auto cycle = nockwise::draw_cycle(model, {400, nockwise::DrawHold::draw_board});
  BowMeasurements m;
  m.name = setup.name + ", measured";
  m.provenance = invented + " What a draw board and a chronograph would show of larkspur.toml.";
  m.axle_to_axle = nockwise::to_si(33.0, Quantity::length, "in");
  m.brace_height = nockwise::to_si(6.75, Quantity::length, "in");
  m.draw_length = nockwise::to_si(29.0, Quantity::length, "in");
  // What the Larkspur was built with.
  m.limb = {0.30, 0.60, 0.24, std::nullopt};
  m.cam = {0.052, 0.018, 0.0, 0.02};
  for (int inch = 9; inch <= 29; ++inch) {
    const double length = nockwise::to_si(inch, Quantity::length, "in");
    const auto near = std::min_element(cycle.points.begin(),
                                       cycle.points.begin() + static_cast<std::ptrdiff_t>(cycle.touch_index) + 1,
                                       [&](const auto& a, const auto& b) {
                                         const auto off = [&](const auto& p) {
                                           return std::fabs(nockwise::draw_length_allowance - p.nock_x - length);
                                         };
                                         return off(a) < off(b);
                                       });
    const double pounds = std::round(2.0 * nockwise::from_si(near->draw_force, Quantity::force, "lbf")) / 2.0;
    m.draw_curve.push_back({length, nockwise::to_si(pounds, Quantity::force, "lbf")});
  }
  const double speed = nockwise::chronograph_speed(model, nockwise::launch(model));
  m.chronograph = {
      nockwise::to_si(std::round(nockwise::from_si(speed, Quantity::speed, "ft/s")), Quantity::speed, "ft/s"),
      nockwise::to_si(380.0, Quantity::mass, "gr")};
  return m;
}

/// Eccentric circles all over, the numbers of tests/reference/wheelwright/wheelwright.json but for the cables' lengths,
/// with weight and light losses.
Setup wheelwright() {
  constexpr double standard_tension = 444.8221615260500;  // 100 lbf, under which lines are measured [N]
  Setup setup;
  setup.name = "Wheelwright";
  setup.provenance = invented + " Eccentric circles in closed form; the numbers of tests/reference/wheelwright.";
  for (nockwise::Limb* limb : {&setup.limbs.upper, &setup.limbs.lower}) {
    limb->pivot_x = 0.0289;
    limb->pivot_y = 0.29;
    limb->effective_length = 0.26;
    limb->torsion_stiffness = 300.0;
    limb->free_angle = 0.1458;
    limb->effective_mass = 0.08;
    limb->damping = 0.03;
  }
  for (nockwise::Cam* cam : {&setup.cams.upper, &setup.cams.lower}) {
    cam->inertia = 0.00012;
    cam->string_track = nockwise::CircleTrack{0.04, 0.018, 0.5};
    cam->take_up_track = nockwise::CircleTrack{0.024, 0.019, -0.25};
    cam->take_up_anchor_angle = 3.141592653589793;
    cam->stop = {nockwise::StopKind::limb, 0.04, 2.285, 0.004, 1.5e5, 20.0};
  }
  // As stiff as built strings of its mass are, and under the 487 N of brace as long as the oracle's.
  setup.string.axial_rigidity = 2.4e5;
  const double braced = 2.0 * 0.607 * (1.0 + 487.444805 / 1.3e5);
  setup.string.length = braced * (1.0 + standard_tension / setup.string.axial_rigidity) /
                        (1.0 + 487.444805 / setup.string.axial_rigidity);
  setup.string.damping = 4.0;
  for (nockwise::Cable* cable : {&setup.cables.upper, &setup.cables.lower}) {
    cable->axial_rigidity = 1.6e5;
    cable->damping = 8.0;
    cable->diameter = 0.002;
    cable->lay_twists = 15.0;
  }
  // With the default guard the cables' way aside is 2 mm longer: lengths with which the stops touch as far apart and at
  // the same draw as with all of it in the string's plane.
  setup.cables.upper.length = 1.025131547770104;
  setup.cables.lower.length = 1.024620646946671;
  setup.riser.center_of_mass_x = 0.05;
  setup.riser.center_of_mass_y = -0.01;
  setup.grip.stiffness_y = 3000.0;
  setup.grip.pitch_stiffness = 30.0;
  setup.set("rest.position_x", "5 mm");
  setup.set("rest.height", "0 mm");
  setup.set("arrow.length", "29 in");
  setup.set("arrow.spine", "400 spine");
  return setup;
}

void tell(const std::string& name, const Setup& setup) {
  const Model model(setup);
  const auto cycle = nockwise::draw_cycle(model);
  const auto launch = nockwise::launch(model);
  using nockwise::display;
  std::cout << name << ": peak " << display(cycle.peak_force, Quantity::force, "lbf", 2) << ", let-off "
            << display(cycle.let_off, Quantity::percent, "%", 2) << ", "
            << display(cycle.stored_energy, Quantity::energy, "J", 1) << ", "
            << display(launch.exit_speed, Quantity::speed, "ft/s", 1) << " in "
            << display(launch.exit_time, Quantity::time, "ms", 1) << ", efficiency "
            << display(launch.efficiency, Quantity::percent, "%", 1) << '\n';
}

void tell(const BuiltBow& bow) {
  tell(bow.setup.name, bow.setup);
  for (const auto& check : bow.report.checks) {
    std::cout << "  " << check.path << ": wanted " << check.wanted << ", achieved " << check.achieved << " (SI)\n";
  }
  for (const auto& caution : bow.report.cautions) {
    std::cout << "  caution: " << caution.words << '\n';
  }
}

// The first line tells an editor where the file's schema is (`nockwise schema --all`).
void write(const BowMeasurements& measurements, const std::filesystem::path& file) {
  std::ofstream stream(file, std::ios::binary);
  stream << "#:schema ../schemas/measurements.json\n" << nockwise::format_measurements(measurements);
}

void write(const Setup& setup, const std::filesystem::path& file) {
  std::ofstream stream(file, std::ios::binary);
  stream << "#:schema ../schemas/setup.json\n" << nockwise::format_setup(setup);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Builds the demo setups again");
  std::filesystem::path directory = "examples/setups";
  app.add_option("directory", directory, "where they are written");
  CLI11_PARSE(app, argc, argv);
  try {
    // Larkspur, Alder and Withy are kept as numbers.
    write(measured(nockwise::read_setup(directory / "larkspur.toml")), directory / "larkspur-measured.toml");
    const BuiltBow today = coppice();
    tell(today);
    write(today.setup, directory / "coppice.toml");
    write(coppice_sheet(), directory / "coppice-sheet.toml");
    const Setup third = wheelwright();
    tell(third.name, third);
    write(third, directory / "wheelwright.toml");
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
  return 0;
}
