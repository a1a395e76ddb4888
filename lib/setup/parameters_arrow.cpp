// What is described here: arrow, rest and surroundings.

#include "setup/parameter_table.hpp"

namespace nockwise {

namespace detail {

namespace {

using enum Reflection;

constexpr Measure contact_stiffness{Quantity::stiffness, "N/m", 1.0, 1.0e7};
constexpr Measure contact_damping{Quantity::damping, "N·s/m", 0.0, 1.0e3};
constexpr Measure arm_angle{Quantity::angle, "deg", -1.6, 1.6};
constexpr Measure force_slope{Quantity::dimensionless, "", 0.0, 20.0};

/// F L³ / 48 with a load of 1.94 lb and a span of 28 in [N·m³].
constexpr double spine_constant() {
  constexpr double load = 1.94 * 0.45359237 * 9.80665;  // [N]
  constexpr double span = 28.0 * 0.0254;                // [m]
  return load * span * span * span / 48.0;
}

void add_spine(ParameterTable& table) {
  Parameter spine;
  spine.path = "arrow.spine";
  spine.quantity = Quantity::spine;
  spine.unit = "spine";
  spine.minimum = to_si(85.0, Quantity::spine, "spine");  // both inside the range of the bending stiffness
  spine.maximum = to_si(3150.0, Quantity::spine, "spine");
  spine.alias_of = "arrow.bending_stiffness";
  spine.doc =
      "Static spine of the shaft, its sag under 1.94 lb in the middle of a span of 28 in; another way to give its "
      "bending stiffness.";
  spine.get = [](const Setup& setup) { return spine_from_bending_stiffness(setup.arrow.bending_stiffness); };
  spine.set = [](Setup& setup, double value) { setup.arrow.bending_stiffness = bending_stiffness_from_spine(value); };
  table.numbers.push_back(std::move(spine));
}

// clang-format off: a table, a line for the number and one for its meaning

void add_shaft(Section<Arrow> arrow) {
  arrow.number(&Arrow::length, "length", {Quantity::length, "in", 0.3, 1.2},
               "Length from the groove of the nock to the front end of the shaft.");
  arrow.number(&Arrow::diameter, "diameter", {Quantity::length, "mm", 0.003, 0.015}, "Outside diameter of the shaft.");
  arrow.number(&Arrow::linear_density, "linear_density", {Quantity::linear_density, "gr/in", 1.0e-4, 0.1},
               "Mass of the bare shaft per length.");
  arrow.number(&Arrow::bending_stiffness, "bending_stiffness", {Quantity::bending_stiffness, "N·m²", 0.8, 30.0},
               "Bending stiffness of the shaft, the mean of all directions around it.");
  arrow.number(&Arrow::spine_difference, "spine_difference", {Quantity::percent, "%", -0.5, 0.5},
               "How much stiffer than its mean the shaft is when bent toward its stiff side, and as much weaker when "
               "bent across it; negative exchanges the two sides.");
  arrow.number(&Arrow::spine_direction, "spine_direction", {Quantity::angle, "deg", -3.2, 3.2}, both,
               "Where the stiff side is about the shaft, from the odd vane and positive to the archer's right, which "
               "is clockwise "
               "as the archer sees it; it turns with the nock.");
}

void add_rest_of_arrow(Section<Arrow> arrow) {
  arrow.number(&Arrow::point_mass, "point_mass", {Quantity::mass, "gr", 0.0, 0.05},
               "Mass of the point, lumped at the front end of the shaft.");
  arrow.number(&Arrow::insert_mass, "insert_mass", {Quantity::mass, "gr", 0.0, 0.05},
               "Mass of insert or outsert, lumped at the front end of the shaft.");
  arrow.number(&Arrow::nock_mass, "nock_mass", {Quantity::mass, "gr", 0.0, 0.05},
               "Mass of the nock with its bushing or pin, lumped at the groove.");
  arrow.number(&Arrow::damping_ratio, "damping_ratio", {Quantity::percent, "%", 0.0, 0.5},
               "Damping of the shaft's first bending mode as a fraction of critical.");
  arrow.number(&Arrow::nock_hold, "nock_hold", {Quantity::force, "N", 0.0, 100.0},
               "Pull needed to take the nock off the string.");
  arrow.number(
      &Arrow::nock_stiffness, "nock_stiffness", {Quantity::torsion_stiffness, "N·m/rad", 0.0, 20.0},
      "Stiffness of a nock that grips the string, against turning on it up, down and aside, from how it lies at "
      "full draw.");
  arrow.number(&Arrow::nock_friction, "nock_friction", {Quantity::torque, "N·m", 0.0, 0.5},
               "Moment of friction with which the nock turns on the string, up, down and aside.");
  arrow.number(&Arrow::drag_coefficient, "drag_coefficient", {Quantity::dimensionless, "", 0.0, 10.0},
               "Drag coefficient of the whole arrow, on the cross-section of its shaft.");
  arrow.number(&Arrow::body_normal_force_slope, "body_normal_force_slope", force_slope,
               "Normal-force coefficient of shaft and point per radian of angle of attack, on the cross-section of "
               "the shaft.");
  arrow.number(&Arrow::nodes, "nodes", {Quantity::dimensionless, "", 6.0, 64.0},
               "Number of lumped masses along the shaft.");
  arrow.number(&Arrow::modes, "modes", {Quantity::dimensionless, "", 1.0, 30.0},
               "Number of the shaft's bending modes, lowest first, that the launch follows in each plane.");
}

void add_fletching(Section<Fletching> vanes) {
  vanes.number(&Fletching::count, "count", {Quantity::dimensionless, "", 0.0, 8.0},
               "Number of vanes; none makes a bare shaft.");
  vanes.number(&Fletching::mass_each, "mass_each", {Quantity::mass, "gr", 0.0, 0.01}, "Mass of one vane.");
  vanes.number(&Fletching::length, "length", {Quantity::length, "in", 0.0, 0.2}, "Length of a vane along the shaft.");
  vanes.number(&Fletching::height, "height", {Quantity::length, "in", 0.0, 0.05}, "Height of a vane above the shaft.");
  vanes.number(&Fletching::distance, "distance", {Quantity::length, "mm", 0.0, 0.5},
               "Distance of the middle of the vanes from the groove of the nock.");
  vanes.number(&Fletching::normal_force_slope, "normal_force_slope", force_slope,
               "Normal-force coefficient of the vanes per radian of angle of attack, on their planform area.");
  vanes.number(
      &Fletching::clocking, "clocking", {Quantity::angle, "deg", -3.2, 3.2}, lateral,
      "How far the odd vane is turned about the shaft from straight up, positive to the archer's right, which is "
      "clockwise as the archer sees it.");
  vanes.number(&Fletching::edge_stiffness, "edge_stiffness", {Quantity::stiffness, "N/m", 1.0, 1.0e5},
               "Stiffness of a vane whose edge is pressed toward the shaft.");
  vanes.number(&Fletching::folding_force, "folding_force", {Quantity::force, "N", 0.01, 100.0},
               "Force on its edge at which a vane folds, and which it then hardly exceeds.");
  vanes.number(&Fletching::friction, "friction", {Quantity::dimensionless, "", 0.0, 2.0},
               "Coefficient of friction of a vane that slides along what it strikes.");
}

void add_rest(Section<Rest> rest) {
  rest.choice(&Rest::kind, "kind",
              {{"none", RestKind::none},
               {"blade", RestKind::blade},
               {"capture", RestKind::capture},
               {"limb_driven", RestKind::limb_driven},
               {"cable_driven", RestKind::cable_driven}},
              "Kind of rest: none, a fixed blade, full capture, or a drop-away driven by a limb or by a cable.");
  rest.untried({"none"});
  rest.number(&Rest::position_x, "position_x", {Quantity::length, "mm", -0.2, 0.3},
              "Where the launcher supports the shaft, ahead of the grip pivot and positive toward the target.");
  rest.number(&Rest::height, "height", {Quantity::length, "mm", -0.3, 0.3}, vertical,
              "Height above the grip pivot of the shaft's centreline when it sits on the raised launcher, positive "
              "up.");
  rest.number(&Rest::center_shot, "center_shot", {Quantity::length, "mm", -0.05, 0.05}, lateral,
              "Lateral position of the launcher, zero in the string's plane and positive to the archer's right.");
  rest.number(&Rest::vertical_stiffness, "vertical_stiffness", contact_stiffness,
              "Stiffness of the launcher's support under the shaft.");
  rest.number(&Rest::vertical_damping, "vertical_damping", contact_damping,
              "Damping of the launcher's support under the shaft.");
  rest.number(&Rest::lateral_stiffness, "lateral_stiffness", contact_stiffness,
              "Stiffness of the launcher's cradle sideways, while it supports the shaft.");
  rest.number(&Rest::lateral_damping, "lateral_damping", contact_damping,
              "Damping of the launcher's cradle sideways, while it supports the shaft.");
  rest.number(&Rest::cradle_depth, "cradle_depth", {Quantity::length, "mm", 1.0e-5, 0.05},
              "Height that the shaft must rise off the launcher to be free of its cradle sideways.");
  rest.number(&Rest::blade_width, "blade_width", {Quantity::length, "mm", 1.0e-3, 0.1},
              "Width across the shaft of a blade, or of a capture's lower support, which vanes may strike.");
}

void add_arm(Section<RestArm> arm) {
  arm.number(&RestArm::length, "length", {Quantity::length, "mm", 0.005, 0.15},
             "Distance from the arm's pivot to where the launcher supports the shaft.");
  arm.number(&RestArm::launcher_width, "launcher_width", {Quantity::length, "mm", 1.0e-3, 0.1},
             "Width across the shaft of a drop-away's launcher, which vanes may strike.");
  arm.number(&RestArm::inertia, "inertia", {Quantity::inertia, "kg·cm²", 1.0e-8, 1.0e-2},
             "Moment of inertia of the arm and all that turns with it, about its pivot.");
  arm.number(&RestArm::up_angle, "up_angle", arm_angle,
             "Angle of the arm on its upper stop, from the horizontal and positive tip up.");
  arm.number(&RestArm::down_angle, "down_angle", arm_angle,
             "Angle of the arm on its lower stop, from the horizontal and positive tip up.");
  arm.number(&RestArm::spring_torque, "spring_torque", {Quantity::torque, "N·mm", 0.0, 5.0},
             "Moment of the arm's spring in the up position; it turns a limb-driven arm up and a cable-driven one "
             "down.");
  arm.number(&RestArm::spring_rate, "spring_rate", {Quantity::torsion_stiffness, "N·m/rad", 0.0, 10.0},
             "Rate of the arm's spring.");
  arm.number(&RestArm::damping, "damping", {Quantity::torsion_damping, "N·m·s/rad", 0.0, 1.0},
             "Damping of the arm's pivot.");
  arm.number(&RestArm::stop_stiffness, "stop_stiffness", {Quantity::torsion_stiffness, "N·m/rad", 0.1, 1.0e5},
             "Stiffness of the arm's two stops.");
  arm.number(&RestArm::stop_damping, "stop_damping", {Quantity::torsion_damping, "N·m·s/rad", 0.0, 10.0},
             "Damping of the arm's two stops.");
}

void add_cord(Section<RestArm> arm) {
  arm.number(&RestArm::cord_lever, "cord_lever", {Quantity::length, "mm", 0.001, 0.1},
             "Lever arm of the cord about the arm's pivot.");
  arm.number(&RestArm::cord_stiffness, "cord_stiffness", {Quantity::stiffness, "N/mm", 10.0, 1.0e7},
             "Stiffness of the cord, which can only pull.");
  arm.number(&RestArm::cord_damping, "cord_damping", {Quantity::damping, "N·s/m", 0.0, 1.0e3}, "Damping of the cord.");
  arm.number(&RestArm::cord_attachment, "cord_attachment", {Quantity::length, "mm", 0.0, 1.5},
             "Where the cord is tied: limb-driven, the distance from the limb's pivot along the limb; cable-driven, "
             "the distance from the cable's yoke or let-out end along the cable.");
  arm.number(&RestArm::cord_slack, "cord_slack", {Quantity::length, "mm", -0.1, 0.1},
             "Slack of the cord at brace with the arm on its lower stop; negative is stretched.");
  arm.choice(&RestArm::cord_side, "cord_side", {{"upper", Side::upper}, {"lower", Side::lower}}, vertical,
             "Which limb, or which cam's cable, the cord is tied to.");
}

void add_surroundings(Section<Surroundings> around) {
  around.number(&Surroundings::gravity, "gravity", {Quantity::acceleration, "m/s²", 0.0, 30.0},
                "Acceleration of gravity, downward.");
  around.number(&Surroundings::air_density, "air_density", {Quantity::density, "kg/m³", 0.0, 5.0},
                "Density of the air.");
  around.number(&Surroundings::paper_distance, "paper_distance", {Quantity::length, "ft", 0.5, 50.0},
                "Distance of the paper from the grip pivot.");
  around.number(&Surroundings::target_distance, "target_distance", {Quantity::length, "yd", 0.5, 200.0},
                "Distance of the target from the grip pivot.");
}
// clang-format on

}  // namespace

void add_arrow_parameters(ParameterTable& table) {
  add_shaft({table, "arrow.", member<&Setup::arrow>});
  add_spine(table);
  add_rest_of_arrow({table, "arrow.", member<&Setup::arrow>});
  add_fletching({table, "arrow.fletching.", member<&Setup::arrow, &Arrow::fletching>});
  add_rest({table, "rest.", member<&Setup::rest>});
  add_arm({table, "rest.arm.", member<&Setup::rest, &Rest::arm>});
  add_cord({table, "rest.arm.", member<&Setup::rest, &Rest::arm>});
  add_surroundings({table, "surroundings.", member<&Setup::surroundings>});
}

}  // namespace detail

double spine_from_bending_stiffness(double bending_stiffness) noexcept {
  return detail::spine_constant() / bending_stiffness;
}

double bending_stiffness_from_spine(double spine) noexcept { return detail::spine_constant() / spine; }

}  // namespace nockwise
