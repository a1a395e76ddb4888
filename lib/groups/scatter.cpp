// What differs from shot to shot and from arrow to arrow (nockwise/group.hpp).
#include "base/nearest_name.hpp"
#include "groups/sources.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <array>

namespace nockwise {

namespace {

constexpr double degree = 0.017453292519943295;
constexpr double grain = 6.479891e-5;
constexpr const char* remembered = "from memory; no measurement is known";

std::vector<ScatterSource> make_table() {
  const char* mass =
      "matched shafts within ± 0.5 gr (best) and ± 1.0 gr, taken as two standard deviations (A. Tippins, How to build "
      "an arrow); others from memory";
  const char* aim =
      "107 mm of one standard deviation per axis at 70 m, 1.53 mrad, are an upper bound for a club archer (J. Park, "
      "recurve); the rest from memory";
  const char* torque =
      "from memory, and so that all together stay within the 1.53 mrad that a club archer has at most (J. Park)";
  const char* straight =
      "sold as within 0.001 to 0.006 in of straight, taken as two standard deviations of a sag; from memory";
  const char* around =
      "shafts that nobody has indexed; a stiff and a weak side 2 % apart (1 % from the mean) are taken for a club "
      "archer's; from memory, no measurement is known";
  return {
      {"grip_torque", "torque of the hand", false, "hold.grip_torque", false, Quantity::torque, "N·m", 5.0, 0.3, 0.08,
       0.04, 0.01, torque},
      {"grip_height", "height of the hand's pressure", false, "grip.pressure_point_y", false, Quantity::length, "mm",
       0.03, 0.004, 0.002, 0.0008, 0.0001, remembered},
      {"wall_pull", "pull into the wall", false, "hold.wall_pull", true, Quantity::percent, "%", 2.0, 0.6, 0.4, 0.2,
       0.05, remembered},
      {"release_right", "release, left and right", false, "hold.release_right", false, Quantity::speed, "m/s", 0.5,
       0.06, 0.02, 0.008, 0.001, remembered},
      {"release_up", "release, up and down", false, "hold.release_up", false, Quantity::speed, "m/s", 0.5, 0.06, 0.02,
       0.008, 0.001, remembered},
      {"bow_height", "height of the bow against the eye", false, "", false, Quantity::length, "mm", 0.01, 0.003, 0.0015,
       0.0005, 0.0001, remembered},
      {"cant", "cant of the bow", false, "", false, Quantity::angle, "deg", 0.3, 2.0 * degree, 0.7 * degree,
       0.3 * degree, 0.05 * degree, "a level's bubble shows about 1 degree; from memory"},
      {"aim_up", "aim, up and down", false, "", false, Quantity::angle, "rad", 0.02, 2.0e-3, 0.8e-3, 0.3e-3, 0.03e-3,
       aim},
      {"aim_right", "aim, left and right", false, "", false, Quantity::angle, "rad", 0.02, 2.0e-3, 0.8e-3, 0.3e-3,
       0.03e-3, aim},
      {"point_mass", "mass of the point", true, "arrow.point_mass", false, Quantity::mass, "gr", 50.0 * grain,
       1.5 * grain, 0.5 * grain, 0.25 * grain, 0.1 * grain, mass},
      {"shaft_mass", "mass of the shaft", true, "arrow.linear_density", true, Quantity::percent, "%", 0.2, 0.005, 0.002,
       0.001, 0.001, mass},
      {"spine", "spine of the shaft", true, "arrow.bending_stiffness", true, Quantity::percent, "%", 0.3, 0.03, 0.015,
       0.0075, 0.0075, remembered},
      {"spine_difference", "spine that differs around the shaft", true, "arrow.spine_difference", false,
       Quantity::percent, "%", 0.1, 0.02, 0.01, 0.005, 0.005, around, true},
      {"nock_hold", "hold of the nock", true, "arrow.nock_hold", true, Quantity::percent, "%", 1.0, 0.4, 0.2, 0.1, 0.1,
       remembered},
      {"nock_turn", "turn of the nock on the shaft", true, "arrow.fletching.clocking", false, Quantity::angle, "deg",
       0.5, 6.0 * degree, 3.0 * degree, 1.0 * degree, 1.0 * degree, remembered},
      {"bend", "bend of the shaft", true, "", false, Quantity::length, "mm", 0.003, 7.6e-5, 3.8e-5, 1.3e-5, 1.3e-5,
       straight, true},
      {"vane_cant", "angle of the vanes", true, "", false, Quantity::angle, "deg", 0.1, 0.6 * degree, 0.3 * degree,
       0.15 * degree, 0.15 * degree, remembered},
  };
}

constexpr std::array archer_names{"beginner", "club", "expert", "machine"};

}  // namespace

const char* name_of(Archer archer) noexcept { return archer_names[static_cast<std::size_t>(archer)]; }

std::span<const ScatterSource> scatter_sources() {
  static const std::vector<ScatterSource> table = make_table();
  return table;
}

Scatter scatter_of(Archer archer) {
  Scatter scatter{name_of(archer), {}};
  for (const ScatterSource& each : scatter_sources()) {
    const std::array usual{each.beginner, each.club, each.expert, each.machine};
    scatter.widths.push_back({each.name, usual[static_cast<std::size_t>(archer)]});
  }
  return scatter;
}

namespace detail {

const ScatterSource& source_named(const std::string& name) {
  const auto table = scatter_sources();
  const auto found =
      std::find_if(table.begin(), table.end(), [&](const ScatterSource& each) { return each.name == name; });
  if (found == table.end()) {
    std::vector<std::string> names;
    for (const ScatterSource& each : table) {
      names.push_back(each.name);
    }
    throw InputError("scatter", name, "must be a source of scatter; the nearest is " + nearest_name(name, names));
  }
  return *found;
}

}  // namespace detail

void validate(const Scatter& scatter) {
  for (std::size_t i = 0; i < scatter.widths.size(); ++i) {
    const ScatterWidth& each = scatter.widths[i];
    const ScatterSource& source = detail::source_named(each.source);
    if (!(each.deviation >= 0.0 && each.deviation <= source.most)) {
      throw InputError("scatter." + each.source, format_quantity(each.deviation, source.quantity, source.unit),
                       "must be from 0 to " + format_quantity(source.most, source.quantity, source.unit));
    }
    for (std::size_t k = 0; k < i; ++k) {
      if (scatter.widths[k].source == each.source) {
        throw InputError("scatter." + each.source, "given twice", "must be given once");
      }
    }
  }
}

}  // namespace nockwise
