// What a Model compiles to: plain numbers of one scalar type, plus a topology that all lanes of a pack share.
//
// Everything about a half of the bow is in its side frame (x, sign · y), angles mirrored alike, relative to the grip
// pivot.
#pragma once

#include "kernel/track_table.hpp"
#include "nockwise/kinds.hpp"

namespace nockwise::kernel {

inline constexpr int max_nodes = 64;
inline constexpr int max_modes = 32;
inline constexpr int max_vanes = 8;
inline constexpr int max_links = 5;  // four limb segments and a flexing riser end, or five

/// Repeat a macro for every number of links: what is compiled once per number (lib/kernel/links_*.cpp and their like).
#define NOCKWISE_FOR_EACH_LINKS(macro) macro(1) macro(2) macro(3) macro(4) macro(5)

/// Discrete choices; uniform over the lanes of a pack.
struct Topology {
  int nodes = 24;              // along the shaft
  int modes = 8;               // of the arrow in each plane, the two rigid ones included
  int vanes = 0;               // that could strike anything
  bool cables_beside = false;  // so near that a vane may strike one as it passes
  bool nock_grips = false;     // the string, and resists turning on it
  CableEnd cable_end[2] = {CableEnd::yoke, CableEnd::yoke};
  StopKind stop[2] = {StopKind::limb, StopKind::limb};
  RestKind rest = RestKind::blade;
  int cord_half = 1;                           // half of the bow whose limb or cable works the rest
  int cord_link = 0;                           // link of the chain that holds a limb-driven cord
  bool first_link_locked[2] = {false, false};  // a rigid riser end beside a flexing one
  int limb_link[2] = {0, 0};                   // first link that belongs to the limb
  bool circle[2][3] = {};                      // which tracks are circles: string, take-up, let-out
  bool operator==(const Topology&) const = default;
};

/// One rigid link of a limb (or the riser's flexing end), turning about its joint against a torsion spring.
template <class S>
struct Link {
  S end_x, end_y;  // joint to next joint (or axle) at angle zero [m]
  S stiffness;     // [N·m/rad]
  S free_angle;    // [rad]
  S damping;       // [N·m·s/rad]
  S mass;          // lumped at the link's far end [kg]
  S inertia;       // rotary inertia that turns with the link [kg·m²]
};

template <class S>
struct Stop {
  S radius, angle, peg_size, stiffness, damping;
};

template <class S, int Links>
struct Half {
  S base_x, base_y;  // first joint in the riser's frame [m]
  Link<S> links[Links];
  S cam_mass, cam_inertia, cam_x, cam_y;  // inertia about the cam's own centre of mass
  S bearing_damping;
  Stop<S> stop;
  TrackTable<S> string_track, take_up_track, let_out_track;
  S twist_stiffness, twist_inertia, twist_damping;
  S string_z, take_up_z, let_out_z;  // lateral position of the grooves at zero lean, shim included [m]
};

/// A taut line: tension = stiffness · (length − natural) + damping · rate while that is positive and the line is
/// stretched.
template <class S>
struct LineConstants {
  S natural;    // unstretched length and the constants of the wraps, by their sign (Eq. 4) [m]
  S stiffness;  // [N/m]
  S damping;    // [N·s/m]
};

/// Where a cable ends on the other limb's axle.
template <class S>
struct YokeConstants {
  S leg_height;       // axle to junction along the cable [m]
  S junction_offset;  // ζ₀: lateral displacement of the junction by unlike legs [m]
};

template <class S>
struct RiserConstants {
  S mass, cm_x, cm_y, pitch_inertia, yaw_inertia, roll_inertia;
};

/// Hand at the grip: springs, dampers and the preload that balances full draw.
template <class S>
struct HandConstants {
  S kx, ky, kz, cx, cy, cz;
  S k_pitch, k_yaw, k_roll, c_pitch, c_yaw, c_roll;
  S force_x, force_y, force_z, moment_pitch, moment_yaw, moment_roll;
};

/// Mode shapes along the shaft: at its nodes, row-major nodes × modes, and the cubics between them, four coefficients
/// per mode, row-major (nodes − 1) × modes × 4. The table does not own them; the Model does.
template <class S>
struct ShapeTable {
  per_lane<S, const double*> rows = all_lanes<S>(static_cast<const double*>(nullptr));
  per_lane<S, const double*> spans = all_lanes<S>(static_cast<const double*>(nullptr));
};

/// The cubics of all modes at one place of the shaft.
template <class S>
using ShaftWindow = RowWindow<S, 4 * max_modes>;
inline const double* span_of(const double* spans, double span, int modes, ShaftWindow<double>& /*window*/) {
  return spans + 4 * modes * static_cast<int>(span);
}

/// What a nock sets against turning on the string, alike up and aside.
template <class S>
struct NockGrip {
  S stiffness, friction;  // [N·m/rad], [N·m]
  S rest_up, rest_right;  // angles of the shaft's tail against the riser where the stiffness rests [rad]
};

/// The shaft's bending stiffness around it, as shares of its mean (lib/README.md, Eq. 26b).
template <class S>
struct SpineAround {
  S upright = S(1.0), level = S(1.0);  // against bends up and down; left and right
  S slanted = S(0.0);                  // of a bend in one of these planes, in the other
};

/// The arrow in its free modes: two rigid ones and the lowest elastic ones, mass-normalised.
template <class S>
struct ArrowConstants {
  S length, spacing;        // [m]
  S total_mass, root_mass;  // [kg], [√kg]
  S balance, root_inertia;  // mass centre from the nock [m], [√kg·m]
  S damping_time;           // Kelvin–Voigt time 2ζ/ω₁ [s]
  S nock_hold;              // [N]
  NockGrip<S> grip;
  SpineAround<S> around;
  S stiffness[max_modes];          // ω² of the mean stiffness [1/s²]
  S nock_shape[max_modes];         // mode shapes at the nock groove [1/√kg]
  S nock_slope[max_modes];         // their slopes there [1/(√kg·m)]
  S hole_rate[max_modes];          // how far a change of a mode's rate moves the hole, at most [s/√kg]
  S thrust[max_modes][max_modes];  // H = Σ m_ahead Δφ Δφᵀ / h [1]
  ShapeTable<S> shapes;
};

/// The vanes as they may strike the launcher (kernel/vanes.hpp); directions are of each vane, seen along the shaft.
template <class S>
struct VaneConstants {
  S rear, front;                  // from the nock [m]
  S inverse_front, inverse_rear;  // of the lengths over which they rise and end [1/m]
  S height, radius;               // of a vane above the shaft; of the shaft [m]
  S stiffness;                    // of a vane's edge [N/m]
  S inverse_fold;                 // stiffness over folding force [1/m]
  S fold_energy;                  // folding force squared over stiffness [J]
  S friction;
  S launcher_share;      // of a vane's energy that a launcher as wide as this one can press into it
  S longest_step;        // that follows a vane which strikes [s]
  S down[max_vanes];     // downward part of its direction
  S root[max_vanes];     // by how much its root stands higher than the shaft's underside, negative [m]
  S tangent[max_vanes];  // its way to the right over its way down
  S right[max_vanes];    // rightward part of its direction
};

/// Where each cable stands beside the arrow as that leaves: an upright line in the riser's frame.
template <class S>
struct CablePassConstants {
  S x[2], height[2], z[2];  // [m]
  S side[2];                // of the shaft on which it stands: 1 right, −1 left
};

template <class S>
struct RestConstants {
  S x, height, z;
  S half_width;  // of the launcher across the shaft [m]
  S k, c, k_lateral, c_lateral, cradle_depth;
  S arm_length, arm_inertia, up_angle, down_angle, sine_up, cosine_up;
  S spring_torque, spring_rate, arm_damping, stop_stiffness, stop_damping;
  S cord_lever;                    // of the cord about the arm's pivot [m]
  S cord_stiffness, cord_damping;  // [N/m], [N·s/m]
  S cord_attachment;               // along its link from the link's joint, or along its cable from the far end [m]
  S cord_natural;                  // L_q of Eq. (30): drum to end when just taut with the arm up [m]
  S cord_wrap;                     // cable-driven with a let-out end: P + p′ at brace [m]
};

template <class S>
struct GuardConstants {
  S height;
  S z[2];  // lateral position of each cable at the guard [m]
};

template <class S, int Links>
struct Constants {
  RiserConstants<S> riser;
  Half<S, Links> half[2];
  LineConstants<S> string[2];
  LineConstants<S> cable[2];
  YokeConstants<S> yoke[2];
  S nock_mass;  // the string's lumped mass at the nock [kg]
  GuardConstants<S> guard;
  HandConstants<S> hand;
  ArrowConstants<S> arrow;
  RestConstants<S> rest;
  VaneConstants<S> vanes;
  CablePassConstants<S> passes;
  S gravity;
};

/// Where each coordinate stands in the state [q, q̇]; the same order for both.
template <int Links>
struct Layout {
  int modes;
  static constexpr int riser_x = 0, riser_y = 1, riser_pitch = 2;
  static constexpr int joint(int half, int link) { return 3 + half * Links + link; }
  static constexpr int cam(int half) { return 3 + 2 * Links + half; }
  static constexpr int arrow_x = 5 + 2 * Links;
  static constexpr int string_x = 6 + 2 * Links, string_y = 7 + 2 * Links, string_z = 8 + 2 * Links;
  static constexpr int rest_arm = 9 + 2 * Links;
  static constexpr int riser_z = 10 + 2 * Links, riser_yaw = 11 + 2 * Links, riser_roll = 12 + 2 * Links;
  static constexpr int lean(int half) { return 13 + 2 * Links + half; }
  static constexpr int arrow_y = 15 + 2 * Links;
  [[nodiscard]] constexpr int arrow_z() const { return arrow_y + modes; }
  [[nodiscard]] constexpr int size() const { return arrow_y + 2 * modes; }
};

inline constexpr int max_coordinates = 15 + 2 * max_links + 2 * max_modes;

}  // namespace nockwise::kernel
