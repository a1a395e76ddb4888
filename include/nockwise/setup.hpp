/// @file
/// The setup: what a person edits. Plain values in SI units, compiled into a Model.
///
/// The initial values are the stated defaults; behind every number stand its unit, its range in that unit, and its
/// frame. `parameters()` tells the same, with the full meaning, to programs, and a test holds both together. Positions
/// are in the riser's frame (x toward the target, y up, z to the archer's right; origin at the grip pivot). "Upper" and
/// "lower" halves are described alike: the lower one in the mirror image (x, −y). Lateral values keep their sign in
/// both halves.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/kinds.hpp"
#include "nockwise/track.hpp"
#include "nockwise/upper_lower.hpp"

#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// The riser with what is fixed to it: stabilisers, sight, quiver.
struct Riser {
  double mass = 2.3;                  ///< [kg] 0.2 to 10: with stabilisers, sight and quiver, without limbs and cams
  double center_of_mass_x = 0.02;     ///< [m] −0.5 to 0.5: ahead of the grip pivot, + toward the target
  double center_of_mass_y = 0.0;      ///< [m] −0.5 to 0.5: above the grip pivot, + up
  double pitch_inertia = 0.2;         ///< [kg·m²] 0.001 to 5: about the lateral axis through the mass centre
  double yaw_inertia = 0.06;          ///< [kg·m²] 0.001 to 5: about the vertical axis through the mass centre
  double roll_inertia = 0.16;         ///< [kg·m²] 0.001 to 5: about the shooting axis through the mass centre
  double upper_end_compliance = 0.0;  ///< [rad/(N·m)] 0 to 0.001: upper limb pocket against the grip; 0: rigid
  double lower_end_compliance = 0.0;  ///< [rad/(N·m)] 0 to 0.001: lower limb pocket against the grip; 0: rigid
  double end_inertia = 0.02;          ///< [kg·m²] 1e-4 to 1: in pitch about the grip, of each end that flexes
  double window_offset = 0.0214;      ///< [m] −0.1 to 0.1: face of the sight window from the string's plane, + right
  bool operator==(const Riser&) const = default;
};

/// Where the hand presses, and how stiff it is; preloaded so that full draw is in equilibrium.
struct Grip {
  double pressure_point_x = 0.0;  ///< [m] −0.1 to 0.1: of the hand, ahead of the grip pivot, + toward the target
  double pressure_point_y = 0.0;  ///< [m] −0.1 to 0.1: above the grip pivot, + up
  double stiffness_x = 3000.0;    ///< [N/m] 0 to 1e6: along the shooting axis
  double stiffness_y = 1500.0;    ///< [N/m] 0 to 1e6: vertical
  double stiffness_z = 1000.0;    ///< [N/m] 0 to 1e6: sideways
  double damping_x = 40.0;        ///< [N·s/m] 0 to 1e4: along the shooting axis
  double damping_y = 20.0;        ///< [N·s/m] 0 to 1e4: vertical
  double damping_z = 20.0;        ///< [N·s/m] 0 to 1e4: sideways
  double pitch_stiffness = 20.0;  ///< [N·m/rad] 0 to 1e4: about the lateral axis
  double yaw_stiffness = 10.0;    ///< [N·m/rad] 0 to 1e4: about the vertical axis
  double roll_stiffness = 10.0;   ///< [N·m/rad] 0 to 1e4: about the shooting axis
  double pitch_damping = 0.5;     ///< [N·m·s/rad] 0 to 1000: about the lateral axis
  double yaw_damping = 0.3;       ///< [N·m·s/rad] 0 to 1000: about the vertical axis
  double roll_damping = 0.5;      ///< [N·m·s/rad] 0 to 1000: about the shooting axis
  bool operator==(const Grip&) const = default;
};

/// What the archer does at full draw.
struct Hold {
  double grip_torque = 0.0;  ///< [N·m] −20 to 20: extra moment of the hand about the upward axis; + turns the bow's
                             ///< front to the archer's left
  double wall_pull = 0.002;  ///< [m] 0 to 0.02: how far the string is drawn past the first touch of a draw stop
  double release_up = 0.0;   ///< [m/s] −2 to 2: velocity with which the release lets the nock go; + up
  double release_right = 0.0;  ///< [m/s] −2 to 2: the same, as fingers, loop or face leave it; + right
  bool operator==(const Hold&) const = default;
};

/// One limb as a rigid link on a torsion spring.
struct Limb {
  double pivot_x = 0.03;             ///< [m] −0.5 to 0.5: ahead of the grip pivot, + toward the target
  double pivot_y = 0.28;             ///< [m] 0.05 to 1: from the grip pivot along the riser, + toward this limb's tip
  double effective_length = 0.25;    ///< [m] 0.05 to 1: from the pivot to the axle
  double torsion_stiffness = 250.0;  ///< [N·m/rad] 1 to 1e5: of the spring at the pivot
  double free_angle = 0.2;  ///< [rad] −1.5 to 1.5: of the unloaded limb from the riser's vertical, bolt in; + tip back
  double bolt_turns = 0.0;         ///< [turn] 0 to 20: of the limb bolt out from fully in; out takes weight off
  double angle_per_turn = 0.02;    ///< [rad] 0 to 0.2: preload angle lost for each turn of the bolt out
  double effective_mass = 0.06;    ///< [kg] 0.001 to 1: what moves with the tip, lumped at the axle
  double damping = 0.0;            ///< [N·m·s/rad] 0 to 100: of the bending about the pivot
  double twist_stiffness = 150.0;  ///< [N·m/rad] 1 to 1e5: against twist about the long axis, letting the cam lean
  double twist_inertia = 1.0e-4;   ///< [kg·m²] 1e-7 to 0.1: of limb tip and cam about the limb's long axis
  double twist_damping = 0.01;     ///< [N·m·s/rad] 0 to 10: of the twist about the limb's long axis
  int segments = 1;                ///< 1 to 8: rigid links that stand for the limb, the same in both limbs
  bool operator==(const Limb&) const = default;
};

/// The peg that ends the draw.
struct DrawStop {
  StopKind kind = StopKind::limb;  ///< what the cam's peg touches at full draw
  double radius = 0.045;           ///< [m] 0.001 to 0.2: peg to axle
  double angle = 2.6;  ///< [rad] −4π to 4π: limb stop: cam angle less limb angle at the touch; cable stop: of the peg
                       ///< in the cam's frame
  double peg_size = 0.004;   ///< [m] 0 to 0.05: radius of the peg
  double stiffness = 4.0e5;  ///< [N/m] 1000 to 1e8: of the contact
  double damping = 20.0;     ///< [N·s/m] 0 to 1e4: of the contact
  bool operator==(const DrawStop&) const = default;
};

/// One cam: body, tracks, stop. Angles of tracks and pegs are in its own frame, which turns with the cam angle (zero at
/// brace).
struct Cam {
  double mass = 0.1;                    ///< [kg] 0.001 to 1: with axle and bearings
  double inertia = 1.5e-4;              ///< [kg·m²] 1e-7 to 0.1: about its own mass centre
  double center_of_mass_x = 0.0;        ///< [m] −0.1 to 0.1: from the axle along the cam's own x axis
  double center_of_mass_y = 0.0;        ///< [m] −0.1 to 0.1: from the axle along the cam's own y axis
  double bearing_damping = 0.0;         ///< [N·m·s/rad] 0 to 1
  double shim = 0.0;                    ///< [m] −0.02 to 0.02: displacement along the axle by shims, + right
  double string_track_offset = 0.0;     ///< [m] −0.05 to 0.05: from the middle of the limb, unshimmed, + right
  double take_up_offset = 0.008;        ///< [m] −0.05 to 0.05: of the take-up track, likewise, + right
  double let_out_offset = -0.008;       ///< [m] −0.05 to 0.05: of the let-out track, likewise, + right
  double string_anchor_angle = 0.0;     ///< [rad] −4π to 4π: normal angle at which the string is fixed
  double take_up_anchor_angle = 3.2;    ///< [rad] −4π to 4π: normal angle at which the own cable is fixed
  double let_out_anchor_angle = 0.0;    ///< [rad] −4π to 4π: normal angle at which the other's cable is fixed
  Track string_track = CircleTrack{};   ///< lets the string out
  Track take_up_track = CircleTrack{};  ///< takes the cam's own cable up
  std::optional<Track> let_out_track;   ///< lets the other cam's cable out, where that cable ends with let_out
  DrawStop stop;
  bool operator==(const Cam&) const = default;
};

/// The string: a laid line whose twists shorten it, L = √(L0² − (π d n)²) for n turns of a helix of diameter d.
struct BowString {
  double length = 1.5;            ///< [m] 0.2 to 4: between posts under 100 lbf (444.8 N), lay twists in it
  double axial_rigidity = 1.5e5;  ///< [N] 1000 to 1e7: tension per unit of strain
  double damping = 2.0;           ///< [N·s/m] 0 to 1000: of each half along its length
  double diameter = 0.0018;       ///< [m] 5e-4 to 0.01: of the helix that the strands follow
  double lay_twists = 20.0;       ///< [twist] 0 to 200: in the string at its stated length
  double twists = 0.0;            ///< [twist] −20 to 20: added by the tuner; + shortens
  double nocking_point = 0.0;     ///< [m] −0.3 to 0.3: along the string from the middle of its length, + up
  double mass = 0.0065;  ///< [kg] 1e-4 to 0.1: without centre serving and loop; a third of the free part moves along
  double serving_and_loop_mass = 0.0023;  ///< [kg] 0 to 0.05: with nocking points and peep; moves with the nock
  int pieces = 1;  ///< 1 to 16: of each half in a launch, a mass at every cut; 1: the usual lump at the nock
  bool operator==(const BowString&) const = default;
};

/// The split end of a cable; one leg to each end of the axle.
struct Yoke {
  double leg_length = 0.15;   ///< [m] 0.02 to 1: junction to axle, lay twists in it
  double half_width = 0.02;   ///< [m] 0.002 to 0.1: each leg's loop from the middle of the axle
  double diameter = 0.0014;   ///< [m] 5e-4 to 0.01: of the helix that a leg's strands follow
  double lay_twists = 4.0;    ///< [twist] 0 to 200: in each leg at its stated length
  double left_twists = 0.0;   ///< [twist] −20 to 20: added to the leg on the archer's left; + shortens
  double right_twists = 0.0;  ///< [twist] −20 to 20: added to the leg on the archer's right; + shortens
  bool operator==(const Yoke&) const = default;
};

/// The cable that the cam of the same half takes up.
struct Cable {
  CableEnd end = CableEnd::yoke;  ///< a split yoke on the other limb's axle, or the other cam's let-out track
  double length = 0.9;  ///< [m] 0.2 to 4: between posts, yoke included, under 100 lbf (444.8 N), lay twists in it
  double axial_rigidity = 1.8e5;  ///< [N] 1000 to 1e7: tension per unit of strain
  double damping = 2.0;           ///< [N·s/m] 0 to 1000: along its length
  double diameter = 0.002;        ///< [m] 5e-4 to 0.01: of the helix that the strands follow
  double lay_twists = 15.0;       ///< [twist] 0 to 200: in the cable at its stated length
  double twists = 0.0;            ///< [twist] −20 to 20: added by the tuner; + shortens
  Yoke yoke;
  bool operator==(const Cable&) const = default;
};

/// Holds both cables aside at one height.
struct CableGuard {
  double height = 0.08;    ///< [m] −0.5 to 0.5: slide above the grip pivot, + up
  double offset = 0.03;    ///< [m] −0.15 to 0.15: middle between the cables from the string's plane, + right
  double spacing = 0.006;  ///< [m] −0.05 to 0.05: from the lower cam's cable to the upper cam's, + right
  bool operator==(const CableGuard&) const = default;
};

/// The vanes of an arrow.
struct Fletching {
  int count = 3;                    ///< 0 to 8: vanes; 0: a bare shaft
  double mass_each = 0.0005;        ///< [kg] 0 to 0.01: of one vane
  double length = 0.05;             ///< [m] 0 to 0.2: of a vane along the shaft
  double height = 0.0115;           ///< [m] 0 to 0.05: of a vane above the shaft
  double distance = 0.055;          ///< [m] 0 to 0.5: middle of the vanes from the groove of the nock
  double normal_force_slope = 2.0;  ///< 0 to 20: normal-force coefficient per radian, on the planform area
  double clocking = 0.0;            ///< [rad] −3.2 to 3.2: the odd vane about the shaft from straight up, + right,
                                    ///< clockwise as the archer sees it
  double edge_stiffness = 1000.0;   ///< [N/m] 1 to 1e5: of a vane whose edge is pressed toward the shaft
  double folding_force = 3.0;       ///< [N] 0.01 to 100: on the edge, at which a vane folds
  double friction = 0.2;            ///< 0 to 2: of a vane that slides along what it strikes
  bool operator==(const Fletching&) const = default;
};

/// One arrow; `bending_stiffness` may also be given as "arrow.spine".
struct Arrow {
  double length = 0.724;                ///< [m] 0.3 to 1.2: groove of the nock to the front end of the shaft
  double diameter = 0.0065;             ///< [m] 0.003 to 0.015: outside
  double linear_density = 0.0205;       ///< [kg/m] 1e-4 to 0.1: of the bare shaft
  double bending_stiffness = 7.488753;  ///< [N·m²] 0.8 to 30: mean around the shaft
  double spine_difference = 0.0;  ///< [fraction] −0.5 to 0.5: by which its stiff side is stiffer than that mean,
                                  ///< and the side across weaker; negative: the sides change places
  double spine_direction = 0.0;   ///< [rad] −3.2 to 3.2: of the stiff side from the odd vane, + right, clockwise
                                  ///< as the archer sees it
  double point_mass = 0.0065;     ///< [kg] 0 to 0.05: at the front end of the shaft
  double insert_mass = 0.0013;    ///< [kg] 0 to 0.05: insert or outsert, at the front end of the shaft
  double nock_mass = 0.0006;      ///< [kg] 0 to 0.05: with bushing or pin, at the groove
  double damping_ratio = 0.01;    ///< [fraction] 0 to 0.5: of critical, of the first bending mode
  double nock_hold = 8.0;         ///< [N] 0 to 100: pull that takes the nock off the string
  double nock_stiffness = 0.0;    ///< [N·m/rad] 0 to 20: against turning on the string, from how it lies at full draw
  double nock_friction = 0.0;     ///< [N·m] 0 to 0.5: moment with which the nock turns on the string
  double drag_coefficient = 2.0;  ///< 0 to 10: of the whole arrow, on the cross-section of its shaft
  double body_normal_force_slope = 2.0;  ///< 0 to 20: the same of shaft and point, on the cross-section
  int nodes = 24;                        ///< 6 to 64: lumped masses along the shaft
  int modes = 6;                         ///< 1 to 30: bending modes that the launch follows in each plane, lowest first
  Fletching fletching;
  bool operator==(const Arrow&) const = default;
};

/// The drop-away mechanism; ignored by fixed rests.
struct RestArm {
  double length = 0.035;            ///< [m] 0.005 to 0.15: pivot to where the launcher supports the shaft
  double launcher_width = 0.024;    ///< [m] 0.001 to 0.1: of the launcher across the shaft
  double inertia = 1.2e-5;          ///< [kg·m²] 1e-8 to 0.01: of all that turns with the arm, about its pivot
  double up_angle = 0.9;            ///< [rad] −1.6 to 1.6: on the upper stop, from the horizontal, + tip up
  double down_angle = -0.35;        ///< [rad] −1.6 to 1.6: on the lower stop, from the horizontal, + tip up
  double spring_torque = 0.12;      ///< [N·m] 0 to 5: arm up; lifts a limb-driven arm, lowers a cable-driven one
  double spring_rate = 0.03;        ///< [N·m/rad] 0 to 10
  double damping = 2.0e-4;          ///< [N·m·s/rad] 0 to 1: of the pivot
  double stop_stiffness = 40.0;     ///< [N·m/rad] 0.1 to 1e5: of both stops
  double stop_damping = 0.01;       ///< [N·m·s/rad] 0 to 10: of both stops
  double cord_lever = 0.012;        ///< [m] 0.001 to 0.1: of the cord about the arm's pivot
  double cord_stiffness = 15000.0;  ///< [N/m] 10 to 1e7: it only pulls
  double cord_damping = 2.0;        ///< [N·s/m] 0 to 1000
  double cord_attachment = 0.11;    ///< [m] 0 to 1.5: along the limb from its pivot, or the cable from its far end
  double cord_slack = -0.001;       ///< [m] −0.1 to 0.1: at brace, arm on its lower stop; negative: stretched
  Side cord_side = Side::lower;     ///< the limb, or the cam whose cable, the cord is tied to
  bool operator==(const RestArm&) const = default;
};

/// What the shaft lies on until the shot.
struct Rest {
  RestKind kind = RestKind::blade;  ///< none, fixed, or a drop-away
  double position_x = 0.03;  ///< [m] −0.2 to 0.3: of the launcher, ahead of the grip pivot, + toward the target
  double height = 0.036;     ///< [m] −0.3 to 0.3: the carried shaft's centreline above the grip pivot, + up
  double center_shot = 0.0;  ///< [m] −0.05 to 0.05: launcher from the string's plane, + right
  double vertical_stiffness = 4000.0;  ///< [N/m] 1 to 1e7: of the support under the shaft
  double vertical_damping = 1.0;       ///< [N·s/m] 0 to 1000: of the support under the shaft
  double lateral_stiffness = 2000.0;   ///< [N/m] 1 to 1e7: of the cradle sideways, while it carries the shaft
  double lateral_damping = 1.0;        ///< [N·s/m] 0 to 1000: of the cradle sideways, while it carries the shaft
  double cradle_depth = 0.003;         ///< [m] 1e-5 to 0.05: rise of the shaft off the launcher that frees it sideways
  double blade_width = 0.004;  ///< [m] 0.001 to 0.1: of a blade, or of a capture's lower support, across the shaft
  RestArm arm;
  bool operator==(const Rest&) const = default;
};

/// The place of the shot.
struct Surroundings {
  double gravity = 9.80665;         ///< [m/s²] 0 to 30: downward
  double air_density = 1.225;       ///< [kg/m³] 0 to 5
  double paper_distance = 3.6576;   ///< [m] 0.5 to 50: from the grip pivot
  double target_distance = 18.288;  ///< [m] 0.5 to 200: from the grip pivot
  bool operator==(const Surroundings&) const = default;
};

/// How far off a number may be: a standard deviation.
struct Width {
  double value = 0.0;     ///< at least 0, in the number's SI unit, or, if relative, a fraction of the number
  bool relative = false;  ///< of a number that can only be positive: of its logarithm
  bool operator==(const Width&) const = default;
};

/// How well one number of a setup is known, where it differs from how well such numbers usually are.
struct KnownValue {
  std::string path;                ///< of a number, or the name of a bow_measure()
  KnownBy by = KnownBy::measured;  ///< whose usual width it has
  std::optional<Width> width{};    ///< its own width, in place of that
  bool operator==(const KnownValue&) const = default;
};

/// Everything about one bow, arrow, rest and hold.
struct Setup {
  std::string name = "unnamed";               ///< for reports
  std::string provenance;                     ///< where the numbers come from: measured, estimated or invented, by whom
  Handedness handedness = Handedness::right;  ///< draws the string; a label: lateral values have signs
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
  std::vector<KnownValue> known;  ///< how well single numbers are known; no launch depends on it
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
/// which can only support from below, is not turned into one that holds from above; nor is the nock turned.
[[nodiscard]] Setup swapped(const Setup& setup);

/// Checks every range, and what must hold between parameters: limbs of as many segments, a let-out track where a cable
/// ends on it, twists that a line can hold, stops of the rest's arm in their order, vanes on the shaft. The shapes of
/// tracks are checked where they are compiled, by CompiledTrack.
/// @throws InputError with the path of the first parameter that is wrong.
void validate(const Setup& setup);

}  // namespace nockwise
