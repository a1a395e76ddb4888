// How well every number of a setup is known, as a rule.
//
// Widths are standard deviations. Where nothing else is said they are from memory and common practice: no source is
// known that measured them over many bows. They are meant for a bow that a workshop has set up: what a ruler, a bow
// square, a scale and a draw board tell is known; what would have to be taken apart, weighed and swung is not.
#include "setup/parameter_table.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <string_view>

namespace nockwise {

namespace detail {

namespace {

using enum KnownBy;

constexpr Width relative(double fraction) { return {fraction, true}; }
constexpr Width absolute(double si) { return {si, false}; }
/// Of something that is as likely anywhere within ± this.
constexpr Width within(double fraction) { return {fraction * std::numbers::inv_sqrt3, true}; }

/// A star stands for both halves.
struct Row {
  std::string_view path;
  KnownBy by;
  Width width{};
  double apart = 0.0;
  std::string_view together{};
  std::string_view reason{};
};

constexpr std::string_view follows = "follows from what is measured on the bow: see bow_measures()";
constexpr std::string_view counted = "counted or chosen";
constexpr std::string_view swung = "nobody swings it; estimated from its shape";
constexpr std::string_view lossy = "hardly ever measured";
constexpr std::string_view hand = "hands differ, and the same hand from day to day";
constexpr std::string_view strikes_alone =
    "only a vane that strikes feels it, and no hole of such a shot is to be tuned by";
constexpr std::string_view seen = "the odd vane is seen; of an even shaft only a vane that strikes feels it";
constexpr std::string_view not_of_the_bow =
    "differs from arrow to arrow, and so it is scatter and not ignorance of the bow";
constexpr std::string_view ruler = "a ruler or a bow square tells";

// clang-format off: a table
constexpr std::array rows{
    Row{"riser.mass", typical, within(0.2), 0.0, "", "seldom weighed with all that is screwed to it"},
    Row{"riser.center_of_mass_x", typical, absolute(0.015), 0.0, "", "seldom balanced"},
    Row{"riser.center_of_mass_y", typical, absolute(0.015), 0.0, "", "seldom balanced"},
    Row{"riser.pitch_inertia", typical, relative(0.2), 0.0, "", swung},
    Row{"riser.yaw_inertia", typical, relative(0.2), 0.0, "", swung},
    Row{"riser.roll_inertia", typical, relative(0.2), 0.0, "", swung},
    Row{"riser.upper_end_compliance", typical, relative(0.5), 0.0, "riser_compliance", "seldom measured"},
    Row{"riser.lower_end_compliance", typical, relative(0.5), 0.0, "riser_compliance", "seldom measured"},
    Row{"riser.end_inertia", typical, relative(0.3), 0.0, "", swung},
    Row{"riser.window_offset", exact, {}, 0.0, "", "no launch depends on it"},
    //
    Row{"grip.pressure_point_x", typical, absolute(0.005), 0.0, "", hand},
    Row{"grip.pressure_point_y", typical, absolute(0.005), 0.0, "", hand},
    Row{"grip.stiffness_x", typical, relative(0.35), 0.0, "", hand},
    Row{"grip.stiffness_y", typical, relative(0.35), 0.0, "", hand},
    Row{"grip.stiffness_z", typical, relative(0.35), 0.0, "", hand},
    Row{"grip.damping_x", typical, relative(0.5), 0.0, "hand_damping", hand},
    Row{"grip.damping_y", typical, relative(0.5), 0.0, "hand_damping", hand},
    Row{"grip.damping_z", typical, relative(0.5), 0.0, "hand_damping", hand},
    Row{"grip.pitch_stiffness", typical, relative(0.35), 0.0, "", hand},
    Row{"grip.yaw_stiffness", typical, relative(0.35), 0.0, "", hand},
    Row{"grip.roll_stiffness", typical, relative(0.35), 0.0, "", hand},
    Row{"grip.pitch_damping", typical, relative(0.5), 0.0, "hand_rotation_damping", hand},
    Row{"grip.yaw_damping", typical, relative(0.5), 0.0, "hand_rotation_damping", hand},
    Row{"grip.roll_damping", typical, relative(0.5), 0.0, "hand_rotation_damping", hand},
    //
    Row{"hold.grip_torque", typical, absolute(0.1), 0.0, "",
        "a trained hand's; what an untrained one adds is a suspect"},
    Row{"hold.wall_pull", typical, relative(0.4), 0.0, "", "hands differ in how hard they pull into the wall"},
    Row{"hold.release_up", exact, {}, 0.0, "", "differs from shot to shot, which is scatter"},
    Row{"hold.release_right", exact, {}, 0.0, "", "differs from shot to shot, which is scatter"},
    //
    Row{"limbs.*.pivot_x", exact, {}, 0.0, "", follows},
    Row{"limbs.*.pivot_y", measured, absolute(0.001), 0.2, "", ruler},
    Row{"limbs.*.effective_length", measured, absolute(0.001), 0.2, "", ruler},
    Row{"limbs.*.torsion_stiffness", typical, relative(0.05), 0.3, "",
        "the peak tells stiffness times preload, and the rest of the draw curve little more"},
    Row{"limbs.*.free_angle", exact, {}, 0.0, "", follows},
    Row{"limbs.*.bolt_turns", exact, {}, 0.0, "", counted},
    Row{"limbs.*.angle_per_turn", typical, relative(0.1), 0.0, "",
        "pitch and lever of the bolt; the peak stays as measured"},
    Row{"limbs.*.effective_mass", typical, relative(0.15), 0.3, "", "what moves with the tip cannot be weighed"},
    Row{"limbs.*.damping", typical, relative(0.5), 0.2, "", lossy},
    Row{"limbs.*.twist_stiffness", typical, within(0.4), 0.3, "", "seldom measured; limbs of one bow are of one mould"},
    Row{"limbs.*.twist_inertia", typical, relative(0.25), 0.2, "", swung},
    Row{"limbs.*.twist_damping", typical, relative(0.5), 0.0, "", lossy},
    Row{"limbs.*.segments", exact, {}, 0.0, "", counted},
    //
    Row{"cams.*.mass", typical, relative(0.1), 0.1, "", "seldom weighed off the bow; both are of one drawing"},
    Row{"cams.*.inertia", typical, relative(0.15), 0.1, "", swung},
    Row{"cams.*.center_of_mass_x", typical, absolute(0.002), 0.0, "", "seldom balanced; both are of one drawing"},
    Row{"cams.*.center_of_mass_y", typical, absolute(0.002), 0.0, "", "seldom balanced; both are of one drawing"},
    Row{"cams.*.bearing_damping", typical, relative(0.5), 0.0, "", lossy},
    Row{"cams.*.shim", exact, {}, 0.0, "", counted},
    Row{"cams.*.string_track_offset", measured, absolute(0.0003), 0.3, "", "a calliper tells"},
    Row{"cams.*.take_up_offset", measured, absolute(0.0003), 0.3, "", "a calliper tells"},
    Row{"cams.*.let_out_offset", measured, absolute(0.0003), 0.3, "", "a calliper tells"},
    Row{"cams.*.string_anchor_angle", exact, {}, 0.0, "", "cannot be told from the line's length"},
    Row{"cams.*.take_up_anchor_angle", exact, {}, 0.0, "", "cannot be told from the line's length"},
    Row{"cams.*.let_out_anchor_angle", exact, {}, 0.0, "", "cannot be told from the line's length"},
    Row{"cams.*.stop.radius", measured, absolute(0.0005), 0.3, "", ruler},
    Row{"cams.*.stop.angle", exact, {}, 0.0, "", follows},
    Row{"cams.*.stop.peg_size", exact, {}, 0.0, "", "cannot be told from the stop's angle"},
    Row{"cams.*.stop.stiffness", typical, relative(0.4), 0.0, "", "limbs, cables and pegs give way together"},
    Row{"cams.*.stop.damping", typical, relative(0.5), 0.0, "", lossy},
    //
    Row{"string.length", exact, {}, 0.0, "", follows},
    Row{"string.axial_rigidity", typical, relative(0.1), 0.0, "",
        "materials and strand counts differ, and strings age"},
    Row{"string.damping", typical, relative(0.5), 0.0, "line_damping", lossy},
    Row{"string.diameter", typical, relative(0.1), 0.0, "strand_helix", "what a twist shortens is seldom measured"},
    Row{"string.lay_twists", exact, {}, 0.0, "", counted},
    Row{"string.twists", exact, {}, 0.0, "", counted},
    Row{"string.nocking_point", measured, absolute(0.0005), 0.0, "", ruler},
    Row{"string.mass", typical, relative(0.1), 0.0, "", "seldom weighed off the bow"},
    Row{"string.serving_and_loop_mass", typical, relative(0.25), 0.0, "", "seldom weighed off the bow"},
    Row{"string.pieces", exact, {}, 0.0, "", counted},
    //
    Row{"cables.*.length", exact, {}, 0.0, "", follows},
    Row{"cables.*.axial_rigidity", typical, relative(0.1), 0.2, "",
        "materials and strand counts differ, and cables age"},
    Row{"cables.*.damping", typical, relative(0.5), 0.0, "line_damping", lossy},
    Row{"cables.*.diameter", typical, relative(0.1), 0.0, "strand_helix", "what a twist shortens is seldom measured"},
    Row{"cables.*.lay_twists", exact, {}, 0.0, "", counted},
    Row{"cables.*.twists", exact, {}, 0.0, "", counted},
    Row{"cables.*.yoke.leg_length", measured, absolute(0.002), 0.0, "", ruler},
    Row{"cables.*.yoke.half_width", measured, absolute(0.0005), 0.0, "", "a calliper tells"},
    Row{"cables.*.yoke.diameter", typical, relative(0.1), 0.0, "strand_helix",
        "what a twist shortens is seldom measured"},
    Row{"cables.*.yoke.lay_twists", exact, {}, 0.0, "", counted},
    Row{"cables.*.yoke.left_twists", exact, {}, 0.0, "", counted},
    Row{"cables.*.yoke.right_twists", exact, {}, 0.0, "", counted},
    Row{"cable_guard.height", measured, absolute(0.002), 0.0, "", ruler},
    Row{"cable_guard.offset", measured, absolute(0.001), 0.0, "", ruler},
    Row{"cable_guard.spacing", measured, absolute(0.0005), 0.0, "", "a calliper tells"},
    //
    Row{"arrow.length", measured, absolute(0.0005), 0.0, "", ruler},
    Row{"arrow.diameter", measured, absolute(0.00003), 0.0, "", "a calliper tells"},
    Row{"arrow.linear_density", specified, relative(0.01), 0.0, "", "makers state it; the whole arrow is weighed"},
    Row{"arrow.bending_stiffness", specified, relative(0.03), 0.0, "", "shafts of a batch agree no better"},
    Row{"arrow.spine_difference", exact, {}, 0.0, "", not_of_the_bow},
    Row{"arrow.spine_direction", exact, {}, 0.0, "", not_of_the_bow},
    Row{"arrow.point_mass", specified, relative(0.005), 0.0, "", "weighed to a grain"},
    Row{"arrow.insert_mass", specified, relative(0.03), 0.0, "", "weighed to a grain, with glue"},
    Row{"arrow.nock_mass", specified, relative(0.03), 0.0, "", "weighed to a grain"},
    Row{"arrow.damping_ratio", typical, relative(0.4), 0.0, "", lossy},
    Row{"arrow.nock_hold", typical, relative(0.3), 0.0, "", "nocks wear, servings differ"},
    Row{"arrow.nock_stiffness", exact, {}, 0.0, "", "none where the nock turns freely, as it should"},
    Row{"arrow.nock_friction", exact, {}, 0.0, "", "none where the nock turns freely, as it should"},
    Row{"arrow.drag_coefficient", typical, relative(0.2), 0.0, "",
        "depends on vanes and on the flow, which is at times laminar"},
    Row{"arrow.body_normal_force_slope", typical, relative(0.2), 0.0, "", "slender-body theory, not a measurement"},
    Row{"arrow.nodes", exact, {}, 0.0, "", counted},
    Row{"arrow.modes", exact, {}, 0.0, "", counted},
    Row{"arrow.fletching.count", exact, {}, 0.0, "", counted},
    Row{"arrow.fletching.mass_each", specified, relative(0.03), 0.0, "", "weighed to a grain, with glue"},
    Row{"arrow.fletching.length", measured, absolute(0.0005), 0.0, "", ruler},
    Row{"arrow.fletching.height", measured, absolute(0.0003), 0.0, "", ruler},
    Row{"arrow.fletching.distance", measured, absolute(0.001), 0.0, "", ruler},
    Row{"arrow.fletching.normal_force_slope", typical, relative(0.25), 0.0, "",
        "vanes differ in profile and stiffness, and wings so short are known no better"},
    Row{"arrow.fletching.clocking", exact, {}, 0.0, "", seen},
    Row{"arrow.fletching.edge_stiffness", exact, {}, 0.0, "", strikes_alone},
    Row{"arrow.fletching.folding_force", exact, {}, 0.0, "", strikes_alone},
    Row{"arrow.fletching.friction", exact, {}, 0.0, "", strikes_alone},
    //
    Row{"rest.position_x", measured, absolute(0.001), 0.0, "", ruler},
    Row{"rest.height", measured, absolute(0.0005), 0.0, "", ruler},
    Row{"rest.center_shot", measured, absolute(0.0005), 0.0, "", ruler},
    Row{"rest.vertical_stiffness", typical, relative(0.4), 0.0, "", "seldom measured"},
    Row{"rest.vertical_damping", typical, relative(0.5), 0.0, "rest_damping", lossy},
    Row{"rest.lateral_stiffness", typical, relative(0.4), 0.0, "", "seldom measured"},
    Row{"rest.lateral_damping", typical, relative(0.5), 0.0, "rest_damping", lossy},
    Row{"rest.cradle_depth", typical, relative(0.2), 0.0, "",
        "where the shaft is free of the cradle is seldom measured"},
    Row{"rest.blade_width", exact, {}, 0.0, "", strikes_alone},
    //
    Row{"rest.arm.length", measured, absolute(0.001), 0.0, "", ruler},
    Row{"rest.arm.launcher_width", exact, {}, 0.0, "", strikes_alone},
    Row{"rest.arm.inertia", typical, relative(0.3), 0.0, "", swung},
    Row{"rest.arm.up_angle", typical, absolute(0.03), 0.0, "", "seldom measured"},
    Row{"rest.arm.down_angle", typical, absolute(0.03), 0.0, "", "seldom measured"},
    Row{"rest.arm.spring_torque", typical, relative(0.25), 0.0, "", "seldom measured"},
    Row{"rest.arm.spring_rate", typical, relative(0.3), 0.0, "", "seldom measured"},
    Row{"rest.arm.damping", typical, relative(0.5), 0.0, "rest_arm_damping", lossy},
    Row{"rest.arm.stop_stiffness", typical, relative(0.4), 0.0, "", "seldom measured"},
    Row{"rest.arm.stop_damping", typical, relative(0.5), 0.0, "rest_arm_damping", lossy},
    Row{"rest.arm.cord_lever", measured, absolute(0.0005), 0.0, "", "a calliper tells"},
    Row{"rest.arm.cord_stiffness", typical, relative(0.4), 0.0, "", "seldom measured, and cords are knotted"},
    Row{"rest.arm.cord_damping", typical, relative(0.5), 0.0, "rest_arm_damping", lossy},
    Row{"rest.arm.cord_attachment", measured, absolute(0.003), 0.0, "", ruler},
    Row{"rest.arm.cord_slack", measured, absolute(0.001), 0.0, "", "seen at the draw where the arm comes up"},
    //
    Row{"surroundings.gravity", exact, {}, 0.0, "", "differs by half a percent between equator and pole"},
    Row{"surroundings.air_density", specified, relative(0.03), 0.0, "", "weather and height above the sea"},
    Row{"surroundings.paper_distance", exact, {}, 0.0, "", "a tape tells better than the tear needs it"},
    Row{"surroundings.target_distance", exact, {}, 0.0, "", "a tape tells better than the impact needs it"},
};
// clang-format on

/// How far off something is by its class, against what is typical.
double ratio_of(KnownBy by) {
  switch (by) {
    case exact:
      return 0.0;
    case measured:
      return 0.1;
    case specified:
      return 1.0 / 3.0;
    case typical:
      return 1.0;
    case guessed:
      break;
  }
  return 2.0;
}

constexpr double widest_relative = 1.0;

void refuse_width(const std::string& path, const std::string& value, const std::string& allowed) {
  throw InputError("known." + path, value, allowed);
}

void check_width(const std::string& path, const Width& width, Quantity quantity, const std::string& unit,
                 double widest) {
  if (width.relative && !(width.value >= 0.0 && width.value <= widest_relative)) {
    refuse_width(path, format_quantity(width.value, Quantity::percent), "must be a standard deviation from 0 to 100 %");
  }
  if (!width.relative && !(width.value >= 0.0 && width.value <= widest)) {
    refuse_width(path, format_quantity(width.value, quantity, unit),
                 "must be a standard deviation from 0 to " + format_quantity(widest, quantity, unit) +
                     ", half of the range of the number");
  }
}

}  // namespace

void mark_knowledge(ParameterTable& table) {
  for (Parameter& number : table.numbers) {
    const std::string path = without_half(number.alias_of.empty() ? number.path : number.alias_of);
    const auto row = std::find_if(rows.begin(), rows.end(), [&](const Row& each) { return each.path == path; });
    if (row != rows.end()) {
      number.known = {row->by, row->width, row->apart, std::string(row->together), std::string(row->reason)};
    }
  }
}

void check_known(const KnownValue& known) {
  const BowMeasure* measure = find_bow_measure(known.path);
  const Parameter* number = measure == nullptr ? &parameter(known.path) : nullptr;
  if (number != nullptr && !number->alias_of.empty()) {
    refuse_width(known.path, "", "must be said of " + number->alias_of + ", which is the number itself");
  }
  const Knowledge& usual = measure != nullptr ? measure->known : number->known;
  if (!known.width) {
    if (usual.by == exact && known.by != exact) {
      refuse_width(known.path, name_of(known.by), "must be exact, or a width: " + usual.reason);
    }
    return;
  }
  if (measure != nullptr) {
    check_width(known.path, *known.width, measure->quantity, measure->unit, measure->widest);
  } else {
    check_width(known.path, *known.width, number->quantity, number->unit, 0.5 * (number->maximum - number->minimum));
  }
}

void check_known(const Setup& setup) {
  for (const KnownValue& each : setup.known) {
    check_known(each);
    const auto same = [&](const KnownValue& other) { return other.path == each.path; };
    if (std::count_if(setup.known.begin(), setup.known.end(), same) > 1) {
      refuse_width(each.path, "", "must be given once");
    }
  }
}

}  // namespace detail

namespace {

using enum KnownBy;

constexpr std::array<const char*, 5> class_names{"exact", "measured", "specified", "typical", "guessed"};

}  // namespace

std::span<const BowMeasure> bow_measures() {
  static const std::array<BowMeasure, 6> all{{
      {"brace_height", Quantity::length, "mm", 0.05, {measured, {0.001, false}, 0.0, "", "bow square, to 1/16 in"}},
      {"axle_to_axle", Quantity::length, "mm", 0.1, {measured, {0.0015, false}, 0.0, "", "tape, to 1/8 in"}},
      {"brace_cam_angle",
       Quantity::angle,
       "deg",
       1.0,
       {measured, {0.01, false}, 0.0, "", "timing marks, to half a degree"}},
      {"draw_length", Quantity::length, "mm", 0.05, {measured, {0.0015, false}, 0.0, "", "draw board, to 1/8 in"}},
      {"peak_force", Quantity::force, "lbf", 100.0, {measured, {0.01, true}, 0.0, "", "bow scale, to 1 %"}},
      {"stop_gap", Quantity::length, "mm", 0.02, {measured, {0.0005, false}, 0.0, "", "draw board, to 1/32 in"}},
  }};
  return all;
}

const BowMeasure* find_bow_measure(std::string_view name) noexcept {
  const auto all = bow_measures();
  const auto found = std::find_if(all.begin(), all.end(), [&](const BowMeasure& each) { return each.name == name; });
  return found == all.end() ? nullptr : &*found;
}

const char* name_of(KnownBy by) noexcept { return class_names[static_cast<std::size_t>(by)]; }

std::optional<KnownBy> find_known_by(std::string_view name) noexcept {
  const auto* const found = std::find(class_names.begin(), class_names.end(), name);
  if (found == class_names.end()) {
    return std::nullopt;
  }
  return static_cast<KnownBy>(found - class_names.begin());
}

Width width_known(const Knowledge& usual, KnownBy by) noexcept {
  if (by == usual.by || usual.by == exact) {
    return by == exact ? Width{} : usual.width;
  }
  return {usual.width.value * detail::ratio_of(by) / detail::ratio_of(usual.by), usual.width.relative};
}

Width width_of(const Setup& setup, const Parameter& parameter) {
  const auto given = std::find_if(setup.known.begin(), setup.known.end(),
                                  [&](const KnownValue& each) { return each.path == parameter.path; });
  if (given == setup.known.end()) {
    return parameter.known.width;
  }
  return given->width ? *given->width : width_known(parameter.known, given->by);
}

double standard_deviation(const Setup& setup, const Parameter& parameter) {
  const Width width = width_of(setup, parameter);
  return width.relative ? width.value * std::fabs(parameter.get(setup)) : width.value;
}

}  // namespace nockwise
