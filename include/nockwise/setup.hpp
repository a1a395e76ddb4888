/// @file
/// The setup: what a person edits. Plain values in SI units, compiled into a Model.
///
/// Meaning, unit, range and documentation of every field are written once, in `parameters.hpp`; the initial values here
/// are the stated defaults. Positions are in the riser's frame (x toward the target, y up, z to the archer's right;
/// origin at the grip pivot). "Upper" and "lower" halves are described alike: the lower one in the mirror image (x,
/// −y). Lateral values keep their sign in both halves.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/kinds.hpp"
#include "nockwise/track.hpp"

#include <optional>
#include <string>

namespace NOCKWISE_EXPORT nockwise {

/// The riser with what is fixed to it: stabilisers, sight, quiver.
struct Riser {
  double mass = 2.3;
  double center_of_mass_x = 0.02;
  double center_of_mass_y = 0.0;
  double pitch_inertia = 0.2;
  double yaw_inertia = 0.06;
  double roll_inertia = 0.16;
  double upper_end_compliance = 0.0;
  double lower_end_compliance = 0.0;
  double end_inertia = 0.02;
  double window_offset = 0.0214;
  bool operator==(const Riser&) const = default;
};

/// Where the hand presses, and how stiff it is; preloaded so that full draw is in equilibrium.
struct Grip {
  double pressure_point_x = 0.0;
  double pressure_point_y = 0.0;
  double stiffness_x = 3000.0;
  double stiffness_y = 1500.0;
  double stiffness_z = 1000.0;
  double damping_x = 40.0;
  double damping_y = 20.0;
  double damping_z = 20.0;
  double pitch_stiffness = 20.0;
  double yaw_stiffness = 10.0;
  double roll_stiffness = 10.0;
  double pitch_damping = 0.5;
  double yaw_damping = 0.3;
  double roll_damping = 0.5;
  bool operator==(const Grip&) const = default;
};

/// What the archer does at full draw.
struct Hold {
  double grip_torque = 0.0;
  double wall_pull = 0.002;
  bool operator==(const Hold&) const = default;
};

/// One limb as a rigid link on a torsion spring.
struct Limb {
  double pivot_x = 0.03;
  double pivot_y = 0.28;
  double effective_length = 0.25;
  double torsion_stiffness = 250.0;
  double free_angle = 0.2;
  double bolt_turns = 0.0;
  double angle_per_turn = 0.02;
  double effective_mass = 0.06;
  double damping = 0.0;
  double twist_stiffness = 150.0;
  double twist_inertia = 1.0e-4;
  double twist_damping = 0.01;
  int segments = 1;
  bool operator==(const Limb&) const = default;
};

/// The peg that ends the draw.
struct DrawStop {
  StopKind kind = StopKind::limb;
  double radius = 0.045;
  double angle = 2.6;
  double peg_size = 0.004;
  double stiffness = 4.0e5;
  double damping = 20.0;
  bool operator==(const DrawStop&) const = default;
};

/// One cam: body, tracks, stop. Angles of tracks and pegs are in its own frame, which turns with the cam angle (zero at
/// brace).
struct Cam {
  double mass = 0.1;
  double inertia = 1.5e-4;
  double center_of_mass_x = 0.0;
  double center_of_mass_y = 0.0;
  double bearing_damping = 0.0;
  double shim = 0.0;
  double string_track_offset = 0.0;
  double take_up_offset = 0.008;
  double let_out_offset = -0.008;
  double string_anchor_angle = 0.0;
  double take_up_anchor_angle = 3.2;
  double let_out_anchor_angle = 0.0;
  Track string_track = CircleTrack{};
  Track take_up_track = CircleTrack{};
  std::optional<Track> let_out_track;
  DrawStop stop;
  bool operator==(const Cam&) const = default;
};

/// The string: a laid line whose twists shorten it, L = √(L0² − (π d n)²) for n turns of a helix of diameter d.
struct BowString {
  double length = 1.5;
  double axial_rigidity = 1.5e5;
  double damping = 2.0;
  double diameter = 0.0018;
  double lay_twists = 20.0;
  double twists = 0.0;
  double nocking_point = 0.0;
  double mass = 0.0065;
  double serving_and_loop_mass = 0.0023;
  int pieces = 1;
  bool operator==(const BowString&) const = default;
};

/// The split end of a cable; one leg to each end of the axle.
struct Yoke {
  double leg_length = 0.15;
  double half_width = 0.02;
  double diameter = 0.0014;
  double lay_twists = 4.0;
  double left_twists = 0.0;
  double right_twists = 0.0;
  bool operator==(const Yoke&) const = default;
};

/// The cable that the cam of the same half takes up.
struct Cable {
  CableEnd end = CableEnd::yoke;
  double length = 0.9;
  double axial_rigidity = 1.8e5;
  double damping = 2.0;
  double diameter = 0.002;
  double lay_twists = 15.0;
  double twists = 0.0;
  Yoke yoke;
  bool operator==(const Cable&) const = default;
};

/// Holds both cables aside at one height.
struct CableGuard {
  double height = 0.08;
  double offset = 0.03;
  double spacing = 0.006;
  bool operator==(const CableGuard&) const = default;
};

/// The vanes of an arrow.
struct Fletching {
  int count = 3;
  double mass_each = 0.0005;
  double length = 0.05;
  double height = 0.0115;
  double distance = 0.055;
  double normal_force_slope = 2.0;
  bool operator==(const Fletching&) const = default;
};

/// One arrow; `bending_stiffness` may also be given as "arrow.spine".
struct Arrow {
  double length = 0.724;
  double diameter = 0.0065;
  double linear_density = 0.0205;
  double bending_stiffness = 7.488753;
  double point_mass = 0.0065;
  double insert_mass = 0.0013;
  double nock_mass = 0.0006;
  double damping_ratio = 0.01;
  double nock_hold = 8.0;
  double drag_coefficient = 2.0;
  double body_normal_force_slope = 2.0;
  int nodes = 24;
  int modes = 6;
  Fletching fletching;
  bool operator==(const Arrow&) const = default;
};

/// The drop-away mechanism; ignored by fixed rests.
struct RestArm {
  double length = 0.035;
  double inertia = 1.2e-5;
  double up_angle = 0.9;
  double down_angle = -0.35;
  double spring_torque = 0.12;
  double spring_rate = 0.03;
  double damping = 2.0e-4;
  double stop_stiffness = 40.0;
  double stop_damping = 0.01;
  double cord_lever = 0.012;
  double cord_stiffness = 15000.0;
  double cord_damping = 2.0;
  double cord_attachment = 0.11;
  double cord_slack = -0.001;
  Side cord_side = Side::lower;
  bool operator==(const RestArm&) const = default;
};

/// What the shaft lies on until the shot.
struct Rest {
  RestKind kind = RestKind::blade;
  double position_x = 0.03;
  double height = 0.036;
  double center_shot = 0.0;
  double vertical_stiffness = 4000.0;
  double vertical_damping = 1.0;
  double lateral_stiffness = 2000.0;
  double lateral_damping = 1.0;
  double cradle_depth = 0.003;
  RestArm arm;
  bool operator==(const Rest&) const = default;
};

/// The place of the shot.
struct Surroundings {
  double gravity = 9.80665;
  double air_density = 1.225;
  double paper_distance = 3.6576;
  double target_distance = 18.288;
  bool operator==(const Surroundings&) const = default;
};

/// The same part in both halves of the bow.
template <class Part>
struct UpperLower {
  Part upper;
  Part lower;
  bool operator==(const UpperLower&) const = default;
};

/// Everything about one bow, arrow, rest and hold.
struct Setup {
  std::string name = "unnamed";
  std::string provenance;
  Handedness handedness = Handedness::right;
  Riser riser;
  Grip grip;
  Hold hold;
  UpperLower<Limb> limbs;
  UpperLower<Cam> cams;
  BowString string;
  UpperLower<Cable> cables;
  CableGuard cable_guard;
  Arrow arrow;
  Rest rest;
  Surroundings surroundings;
  bool operator==(const Setup&) const = default;

  /// Set one parameter by its path, with a value in SI ("cables.upper.twists", 0.5). Ranges are checked here, what must
  /// hold between parameters in validate().
  /// @throws InputError for an unknown path (naming the nearest valid one) or a value out of range; the setup is then
  /// unchanged.
  void set(const std::string& path, double value);
  /// Set one parameter by its path from text with a unit ("6.75 in"), a choice ("limb_driven") or free text (the name).
  /// @throws InputError as above, and for text that is not a quantity with its unit.
  void set(const std::string& path, const std::string& text);
  /// Value of one numeric parameter [SI].
  /// @throws InputError for an unknown path, or one that is not a number.
  [[nodiscard]] double get(const std::string& path) const;
};

/// The same bow for the other hand: every lateral value changes sign, left and right yoke legs change places.
[[nodiscard]] Setup mirrored(const Setup& setup);
/// Upper and lower halves exchanged, heights negated: the bow upside down. Gravity keeps its direction, and a rest,
/// which can only support from below, is not turned into one that holds from above.
[[nodiscard]] Setup swapped(const Setup& setup);

/// Checks every range, and what must hold between parameters: limbs of as many segments, a let-out track where a cable
/// ends on it, twists that a line can hold, stops of the rest's arm in their order, vanes on the shaft. The shapes of
/// tracks are checked where they are compiled, by CompiledTrack.
/// @throws InputError with the path of the first parameter that is wrong.
void validate(const Setup& setup);

}  // namespace nockwise
