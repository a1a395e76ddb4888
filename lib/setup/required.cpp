// What a setup file must say, and what only some bows make use of.
//
// A parameter is required if the default in its place, or a quarter of its value more or less, moves the tear of one of
// the demo bows by more than a reading error, 1/8 in at 12 ft (tests/lib/setup/required_test.cpp). Not required is what
// stands for something added to the bow, where the default is that nothing was: twists, torque of the grip, shims,
// friction of bearings, a cam's unbalance. What is left out is listed as assumed by whoever reads the file.
#include "setup/parameter_table.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace nockwise::detail {

namespace {

bool has_rest(const Setup& setup) { return setup.rest.kind != RestKind::none; }
bool has_arm(const Setup& setup) {
  return setup.rest.kind == RestKind::limb_driven || setup.rest.kind == RestKind::cable_driven;
}
bool is_fixed(const Setup& setup) { return has_rest(setup) && !has_arm(setup); }
bool has_vanes(const Setup& setup) { return setup.arrow.fletching.count > 0; }
bool flexes(const Setup& setup) {
  return setup.riser.upper_end_compliance > 0.0 || setup.riser.lower_end_compliance > 0.0;
}
bool upper_yoke(const Setup& setup) { return setup.cables.upper.end == CableEnd::yoke; }
bool lower_yoke(const Setup& setup) { return setup.cables.lower.end == CableEnd::yoke; }
bool upper_stop(const Setup& setup) { return setup.cams.upper.stop.kind != StopKind::none; }
bool lower_stop(const Setup& setup) { return setup.cams.lower.stop.kind != StopKind::none; }
// The cable of one half runs onto the let-out track of the other.
bool upper_let_out(const Setup& setup) { return !lower_yoke(setup); }
bool lower_let_out(const Setup& setup) { return !upper_yoke(setup); }

/// Where the paths that begin so are used; the last that fits counts.
struct Use {
  std::string_view beginning;
  bool (*used)(const Setup&);
};

constexpr std::array uses{
    Use{"riser.end_inertia", flexes},         Use{"cams.upper.let_out", upper_let_out},
    Use{"cams.lower.let_out", lower_let_out}, Use{"cams.upper.stop.", upper_stop},
    Use{"cams.lower.stop.", lower_stop},      Use{"cams.upper.stop.kind", nullptr},
    Use{"cams.lower.stop.kind", nullptr},     Use{"cables.upper.yoke.", upper_yoke},
    Use{"cables.lower.yoke.", lower_yoke},    Use{"arrow.fletching.", has_vanes},
    Use{"arrow.fletching.count", nullptr},    Use{"rest.vertical_", has_rest},
    Use{"rest.lateral_", has_rest},           Use{"rest.cradle_depth", has_rest},
    Use{"rest.blade_width", is_fixed},        Use{"rest.arm.", has_arm},
};

/// A star stands for both halves.
constexpr std::array<std::string_view, 37> required{
    "limbs.*.pivot_x", "limbs.*.pivot_y", "limbs.*.effective_length", "limbs.*.torsion_stiffness", "limbs.*.free_angle",
    "limbs.*.bolt_turns", "limbs.*.effective_mass",
    //
    "cams.*.mass", "cams.*.inertia", "cams.*.string_track", "cams.*.take_up_track", "cams.*.string_anchor_angle",
    "cams.*.take_up_anchor_angle", "cams.*.let_out_anchor_angle", "cams.*.stop.kind", "cams.*.stop.angle",
    //
    "string.length", "string.nocking_point", "cables.*.end", "cables.*.length", "cables.*.axial_rigidity",
    //
    "arrow.length", "arrow.linear_density", "arrow.bending_stiffness", "arrow.point_mass", "arrow.fletching.count",
    //
    "rest.kind", "rest.position_x", "rest.height", "rest.center_shot",
    //
    "rest.arm.up_angle", "rest.arm.down_angle", "rest.arm.cord_lever", "rest.arm.cord_attachment",
    "rest.arm.cord_slack", "rest.arm.cord_side", "cams.*.let_out_track"};

template <class Entry>
void mark(Entry& entry) {
  for (const Use& each : uses) {
    if (entry.path.starts_with(each.beginning)) {
      entry.used = each.used == nullptr ? Condition() : Condition(each.used);
    }
  }
  const std::string path = without_half(entry.path);
  entry.required = std::find(required.begin(), required.end(), path) != required.end();
}

}  // namespace

std::string without_half(std::string path) {
  for (const std::string_view half : {".upper.", ".lower."}) {
    if (const auto found = path.find(half); found != std::string::npos) {
      return path.replace(found, half.size(), ".*.");
    }
  }
  return path;
}

void mark_required(ParameterTable& table) {
  for (Parameter& number : table.numbers) {
    mark(number);
  }
  for (ChoiceParameter& choice : table.choices) {
    mark(choice);
  }
  for (TrackParameter& track : table.tracks) {
    mark(track);
  }
}

}  // namespace nockwise::detail
