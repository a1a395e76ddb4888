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
#include <string>

namespace {

using nockwise::BowMeasurements;
using nockwise::BuiltBow;
using nockwise::Model;
using nockwise::Quantity;
using nockwise::Setup;

const std::string invented = "Invented for the Alder Lane Archery Club, a fictional workshop; not a real bow.";

/// Parts that both workshop bows share: light losses, and lines in which a full twist takes out about 0.7 mm.
void set_common(Setup& setup) {
  for (const std::string half : {"upper", "lower"}) {
    setup.set("limbs." + half + ".bolt_turns", 2.0);
    setup.set("limbs." + half + ".effective_mass", "45 g");
    setup.set("limbs." + half + ".damping", "0.03 N·m·s/rad");
    setup.set("cams." + half + ".mass", "85 g");
    setup.set("cams." + half + ".inertia", "1 kg·cm²");
    setup.set("cables." + half + ".damping", "8 N·s/m");
    setup.set("cables." + half + ".diameter", "2 mm");
    setup.set("cables." + half + ".lay_twists", 15.0);
  }
  setup.set("string.damping", "4 N·s/m");
  setup.set("hold.wall_pull", "0.8 mm");
  setup.set("rest.position_x", "5 mm");
}

/// What a bow technician sets on the Larkspur and no draw board measures.
Setup larkspur_base() {
  Setup setup;
  set_common(setup);
  setup.set("rest.kind", "limb_driven");
  setup.set("rest.height", "18.5 mm");
  setup.set("rest.arm.inertia", "0.08 kg·cm²");
  setup.set("rest.arm.cord_attachment", "245 mm");
  setup.set("rest.arm.cord_slack", "-4.5 mm");
  setup.set("arrow.length", "28.5 in");
  setup.set("arrow.linear_density", "8.1 gr/in");
  setup.set("arrow.spine", "340 spine");
  setup.set("arrow.point_mass", "100 gr");
  setup.set("arrow.insert_mass", "20 gr");
  setup.set("arrow.nock_mass", "9.65 gr");
  setup.set("arrow.fletching.mass_each", "6.5 gr");
  return setup;
}

BuiltBow larkspur() {
  BowMeasurements m;
  m.name = "Larkspur 33";
  m.provenance = invented;
  m.axle_to_axle = nockwise::to_si(33.0, Quantity::length, "in");
  m.brace_height = nockwise::to_si(6.75, Quantity::length, "in");
  m.draw_length = nockwise::to_si(29.0, Quantity::length, "in");
  m.peak_force = nockwise::to_si(62.0, Quantity::force, "lbf");
  m.let_off = 0.78;
  return nockwise::build_bow(m, larkspur_base());
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

BuiltBow alder() {
  Setup base;
  set_common(base);
  base.set("riser.mass", "3.2 kg");
  base.set("riser.pitch_inertia", "0.35 kg·m²");
  base.set("rest.kind", "blade");
  base.set("rest.height", "20 mm");
  base.set("rest.vertical_stiffness", "800 N/m");
  base.set("rest.vertical_damping", "0.5 N·s/m");
  base.set("arrow.length", "27.5 in");
  base.set("arrow.diameter", "5.5 mm");
  base.set("arrow.linear_density", "6.8 gr/in");
  base.set("arrow.spine", "400 spine");
  base.set("arrow.point_mass", "110 gr");
  base.set("arrow.insert_mass", "10 gr");
  base.set("arrow.nock_mass", "8 gr");
  base.set("arrow.fletching.mass_each", "3 gr");
  base.set("arrow.fletching.length", "1.75 in");
  base.set("arrow.fletching.height", "8 mm");
  BowMeasurements m;
  m.name = "Alder 37";
  m.provenance = invented;
  m.axle_to_axle = nockwise::to_si(37.0, Quantity::length, "in");
  m.brace_height = nockwise::to_si(7.25, Quantity::length, "in");
  m.draw_length = nockwise::to_si(28.5, Quantity::length, "in");
  m.peak_force = nockwise::to_si(55.0, Quantity::force, "lbf");
  m.let_off = 0.72;
  m.cabling = nockwise::CableEnd::let_out;
  return nockwise::build_bow(m, base);
}

/// Eccentric circles all over, every number that of tests/reference/wheelwright/wheelwright.json, with weight and light
/// losses.
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
  setup.string.axial_rigidity = 1.3e5;
  setup.string.length = 2.0 * 0.607 * (1.0 + standard_tension / setup.string.axial_rigidity);
  setup.string.damping = 4.0;
  for (nockwise::Cable* cable : {&setup.cables.upper, &setup.cables.lower}) {
    cable->axial_rigidity = 1.6e5;
    cable->length = 1.0199 * (1.0 + standard_tension / cable->axial_rigidity);
    cable->damping = 8.0;
    cable->diameter = 0.002;
    cable->lay_twists = 15.0;
  }
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

void write(const BowMeasurements& measurements, const std::filesystem::path& file) {
  std::ofstream stream(file, std::ios::binary);
  stream << nockwise::format_measurements(measurements);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Builds the demo setups again");
  std::filesystem::path directory = "examples/setups";
  app.add_option("directory", directory, "where they are written");
  CLI11_PARSE(app, argc, argv);
  try {
    const BuiltBow first = larkspur();
    tell(first);
    nockwise::write_setup(first.setup, directory / "larkspur.toml");
    write(measured(first.setup), directory / "larkspur-measured.toml");
    const BuiltBow second = alder();
    tell(second);
    nockwise::write_setup(second.setup, directory / "alder.toml");
    const Setup third = wheelwright();
    tell(third.name, third);
    nockwise::write_setup(third, directory / "wheelwright.toml");
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
  return 0;
}
