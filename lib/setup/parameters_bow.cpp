// What is described here: the head of a setup, riser, grip, hold and limbs.

#include "setup/parameter_table.hpp"

namespace nockwise::detail {

namespace {

using enum Reflection;

constexpr Measure point{Quantity::length, "mm", -0.5, 0.5};
constexpr Measure hand_point{Quantity::length, "mm", -0.1, 0.1};
constexpr Measure hand_stiffness{Quantity::stiffness, "N/m", 0.0, 1.0e6};
constexpr Measure hand_damping{Quantity::damping, "N·s/m", 0.0, 1.0e4};
constexpr Measure hand_torsion_stiffness{Quantity::torsion_stiffness, "N·m/rad", 0.0, 1.0e4};
constexpr Measure hand_torsion_damping{Quantity::torsion_damping, "N·m·s/rad", 0.0, 1.0e3};
constexpr Measure riser_inertia{Quantity::inertia, "kg·m²", 1.0e-3, 5.0};
constexpr Measure end_compliance{Quantity::compliance, "mrad/(N·m)", 0.0, 1.0e-3};

// clang-format off: a table, a line for the number and one for its meaning

void add_head(Section<Setup> head) {
  head.text(&Setup::name, "name", "Name of the setup, for reports.");
  head.text(&Setup::provenance, "provenance", "Where the numbers come from: measured, estimated or invented, by whom.");
  head.choice(&Setup::handedness, "handedness", {{"right", Handedness::right}, {"left", Handedness::left}}, lateral,
              "Hand that draws the string; a label for reports, the lateral values carry their own signs.");
}

void add_riser(Section<Riser> riser) {
  riser.number(&Riser::mass, "mass", {Quantity::mass, "kg", 0.2, 10.0},
               "Mass of the riser with stabilisers, sight and quiver, without limbs and cams.");
  riser.number(&Riser::center_of_mass_x, "center_of_mass_x", point,
               "Centre of mass of the riser ahead of the grip pivot, positive toward the target.");
  riser.number(&Riser::center_of_mass_y, "center_of_mass_y", point, vertical,
               "Centre of mass of the riser above the grip pivot, positive up.");
  riser.number(&Riser::pitch_inertia, "pitch_inertia", riser_inertia,
               "Moment of inertia of the riser about the lateral axis through its centre of mass.");
  riser.number(&Riser::yaw_inertia, "yaw_inertia", riser_inertia,
               "Moment of inertia of the riser about the vertical axis through its centre of mass.");
  riser.number(&Riser::roll_inertia, "roll_inertia", riser_inertia,
               "Moment of inertia of the riser about the shooting axis through its centre of mass.");
  riser.number(&Riser::upper_end_compliance, "upper_end_compliance", end_compliance,
               "Rotation of the upper limb pocket against the grip per moment; zero is rigid.");
  riser.number(&Riser::lower_end_compliance, "lower_end_compliance", end_compliance,
               "Rotation of the lower limb pocket against the grip per moment; zero is rigid.");
  riser.number(&Riser::end_inertia, "end_inertia", {Quantity::inertia, "kg·m²", 1.0e-4, 1.0},
               "Moment of inertia in pitch of each flexing end of the riser about the grip; unused while that end is "
               "rigid.");
  riser.number(&Riser::window_offset, "window_offset", {Quantity::length, "mm", -0.1, 0.1}, lateral,
               "Lateral position of the face of the sight window, zero in the string's plane and positive to the "
               "archer's right; the trade's centre-shot distance is this minus rest.center_shot.");
}

void add_grip(Section<Grip> grip) {
  grip.number(&Grip::pressure_point_x, "pressure_point_x", hand_point,
              "Centre of the hand's pressure ahead of the grip pivot, positive toward the target.");
  grip.number(&Grip::pressure_point_y, "pressure_point_y", hand_point, vertical,
              "Centre of the hand's pressure above the grip pivot, positive up.");
  grip.number(&Grip::stiffness_x, "stiffness_x", hand_stiffness, "Stiffness of the hand along the shooting axis.");
  grip.number(&Grip::stiffness_y, "stiffness_y", hand_stiffness, "Stiffness of the hand in the vertical.");
  grip.number(&Grip::stiffness_z, "stiffness_z", hand_stiffness, "Stiffness of the hand sideways.");
  grip.number(&Grip::damping_x, "damping_x", hand_damping, "Damping of the hand along the shooting axis.");
  grip.number(&Grip::damping_y, "damping_y", hand_damping, "Damping of the hand in the vertical.");
  grip.number(&Grip::damping_z, "damping_z", hand_damping, "Damping of the hand sideways.");
  grip.number(&Grip::pitch_stiffness, "pitch_stiffness", hand_torsion_stiffness,
              "Stiffness of the hand against pitch, about the lateral axis.");
  grip.number(&Grip::yaw_stiffness, "yaw_stiffness", hand_torsion_stiffness,
              "Stiffness of the hand against yaw, about the vertical axis.");
  grip.number(&Grip::roll_stiffness, "roll_stiffness", hand_torsion_stiffness,
              "Stiffness of the hand against roll, about the shooting axis.");
  grip.number(&Grip::pitch_damping, "pitch_damping", hand_torsion_damping,
              "Damping of the hand in pitch, about the lateral axis.");
  grip.number(&Grip::yaw_damping, "yaw_damping", hand_torsion_damping,
              "Damping of the hand in yaw, about the vertical axis.");
  grip.number(&Grip::roll_damping, "roll_damping", hand_torsion_damping,
              "Damping of the hand in roll, about the shooting axis.");
}

void add_hold(Section<Hold> hold) {
  hold.number(&Hold::grip_torque, "grip_torque", {Quantity::torque, "N·m", -20.0, 20.0}, lateral,
              "Extra moment of the hand about the upward axis at full draw; positive turns the front of the bow to "
              "the archer's left.");
  hold.number(&Hold::wall_pull, "wall_pull", {Quantity::length, "mm", 0.0, 0.02},
              "How far the string is drawn past the first touch of a draw stop.");
  hold.number(&Hold::release_up, "release_up", {Quantity::speed, "m/s", -2.0, 2.0}, vertical,
              "Velocity with which a release that is not clean lets the nock go, positive up; 0 for a clean one.");
  hold.number(&Hold::release_right, "release_right", {Quantity::speed, "m/s", -2.0, 2.0}, lateral,
              "The same sideways, as fingers, loop or face leave it, positive to the archer's right.");
}

void add_limb(Section<Limb> limb) {
  limb.number(&Limb::pivot_x, "pivot_x", point,
              "Pivot of the equivalent rigid limb ahead of the grip pivot, positive toward the target.");
  limb.number(&Limb::pivot_y, "pivot_y", {Quantity::length, "mm", 0.05, 1.0},
              "Distance of the limb's pivot from the grip pivot along the riser, positive toward this limb's tip.");
  limb.number(&Limb::effective_length, "effective_length", {Quantity::length, "mm", 0.05, 1.0},
              "Length of the equivalent rigid limb, from its pivot to the axle.");
  limb.number(&Limb::torsion_stiffness, "torsion_stiffness", {Quantity::torsion_stiffness, "N·m/rad", 1.0, 1.0e5},
              "Stiffness of the spring at the limb's pivot.");
  limb.number(&Limb::free_angle, "free_angle", {Quantity::angle, "deg", -1.5, 1.5},
              "Angle of the unloaded limb from the riser's vertical with its bolt fully in; it grows as the tip comes "
              "back.");
  limb.number(&Limb::bolt_turns, "bolt_turns", {Quantity::turns, "turn", 0.0, 20.0},
              "Turns of the limb bolt out from its fully-in position; turning out takes weight off.");
  limb.number(&Limb::angle_per_turn, "angle_per_turn", {Quantity::angle, "deg", 0.0, 0.2},
              "Loss of the limb's preload angle for each turn of its bolt out.");
  limb.number(&Limb::effective_mass, "effective_mass", {Quantity::mass, "g", 0.001, 1.0},
              "Mass of the limb that moves with the tip, lumped at the axle.");
  limb.number(&Limb::damping, "damping", {Quantity::torsion_damping, "N·m·s/rad", 0.0, 100.0},
              "Damping of the limb's bending about its pivot.");
  limb.number(&Limb::twist_stiffness, "twist_stiffness", {Quantity::torsion_stiffness, "N·m/rad", 1.0, 1.0e5},
              "Stiffness of the limb against twist about its long axis, which lets the cam lean.");
  limb.number(&Limb::twist_inertia, "twist_inertia", {Quantity::inertia, "kg·cm²", 1.0e-7, 0.1},
              "Moment of inertia of limb tip and cam about the limb's long axis.");
  limb.number(&Limb::twist_damping, "twist_damping", {Quantity::torsion_damping, "N·m·s/rad", 0.0, 10.0},
              "Damping of the limb's twist about its long axis.");
  limb.number(&Limb::segments, "segments", {Quantity::dimensionless, "", 1.0, 8.0},
              "Number of rigid links that stand for the limb, the same in both; 1 is the plain equivalent rigid limb.");
}
// clang-format on

}  // namespace

void add_bow_parameters(ParameterTable& table) {
  add_head({table, "", member<>});
  add_riser({table, "riser.", member<&Setup::riser>});
  add_grip({table, "grip.", member<&Setup::grip>});
  add_hold({table, "hold.", member<&Setup::hold>});
  add_limb({table, "limbs.upper.", member<&Setup::limbs, &UpperLower<Limb>::upper>});
  add_limb({table, "limbs.lower.", member<&Setup::limbs, &UpperLower<Limb>::lower>});
}

}  // namespace nockwise::detail
