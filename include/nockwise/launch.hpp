/// @file
/// The launch: from full draw until the arrow's tail has passed the rest.
#pragma once

#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/model.hpp"

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// Integrators that the launch can use; all but the first are Boost.Odeint's.
enum class Integrator {
  nystrom,        ///< order four, for equations of second order; fixed step
  runge_kutta_4,  ///< classical, fixed step
  dormand_prince  ///< 5(4), step by tolerance
};

/// Options of launch().
struct LaunchOptions {
  Integrator integrator = Integrator::nystrom;
  double step = 2.25e-4;         ///< fixed, shorter where a part is too quick for it; or first [s]; in [1e-7, 1e-3]
  double tolerance = 1.0e-7;     ///< relative and absolute (SI) error per step of dormand_prince; in [1e-10, 1e-2]
  double time_limit = 0.15;      ///< give up (ended_by = time_limit) after this time [s]
  bool trace = false;            ///< keep the trajectory
  double trace_interval = 1e-4;  ///< at least this time between kept samples, events apart [s]
};

/// Why a launch ended.
enum class LaunchEnd {
  arrow_clear,  ///< the nock left the string and the tail passed the rest: the ordinary end
  time_limit,   ///< it did not within the time limit
  track_ended,  ///< a line ran off the end of a measured track
};

enum class EventKind {
  upper_stop_open,    ///< the upper draw stop lost contact
  lower_stop_open,    ///< the lower draw stop lost contact
  rest_contact_lost,  ///< the shaft lifted off the launcher, or the launcher fell away
  rest_contact_made,  ///< they met again
  drop_started,       ///< the rest's arm left its upper stop by 2 degrees
  drop_ended,         ///< the rest's arm first reached its lower stop
  nock_left_string,
  tail_passed_rest,
  upper_cable_slack,  ///< the upper cable went slack while the nock held the string
  upper_cable_taut,   ///< it came taut again, likewise
  lower_cable_slack,
  lower_cable_taut,
};

struct Event {
  EventKind kind = EventKind::nock_left_string;
  double time = 0.0;  ///< since release [s]
};

/// Energies of both planes [J]; they sum to the same total while nothing dissipates.
struct Energy {
  double arrow = 0.0;      ///< kinetic and bending
  double mechanism = 0.0;  ///< kinetic: riser, limbs, cams, string, rest arm
  double limbs = 0.0;
  double lines = 0.0;     ///< strain of string, cables and cord
  double contacts = 0.0;  ///< stops, rest
  double gravity = 0.0;
  double hand = 0.0;
  [[nodiscard]] double total() const { return arrow + mechanism + limbs + lines + contacts + gravity + hand; }
};

/// The arrow at one moment. Frame: inertial; angles positive nose up (pitch) and nose to the archer's right (yaw).
struct ArrowState {
  double time = 0.0;             ///< since release [s]
  double nock_x = 0.0;           ///< [m]
  double speed = 0.0;            ///< of the mass centre along x [m/s]
  double velocity_y = 0.0;       ///< of the mass centre [m/s]
  double velocity_z = 0.0;       ///< [m/s]
  double nock_velocity_y = 0.0;  ///< of the nock [m/s]
  double nock_velocity_z = 0.0;  ///< [m/s]
  double pitch = 0.0;            ///< of the rigid-body line, nose up [rad]
  double yaw = 0.0;              ///< nose right [rad]
  double pitch_rate = 0.0;       ///< [rad/s]
  double yaw_rate = 0.0;         ///< [rad/s]
  double bending_y = 0.0;        ///< largest distance of a node from the rigid-body line [m]
  double bending_z = 0.0;        ///< [m]
  std::vector<double> y, z, velocity_y_nodes, velocity_z_nodes;  ///< per node, nock first [m, m/s]
};

/// What vanes met that struck the launcher, or the cables, all of them together.
struct VaneStrike {
  double time = 0.0;           ///< of the largest force [s]
  double largest_force = 0.0;  ///< on their edges [N]
  double impulse_up = 0.0;     ///< on the shaft, upward [N·s]
  double impulse_right = 0.0;  ///< on the shaft, to the archer's right [N·s]
  double depth = 0.0;          ///< how far the vane that was pressed in farthest had to give way [m]
  bool operator==(const VaneStrike&) const = default;
};

/// What the rest did.
struct RestReport {
  std::optional<double> drop_start;    ///< time at which the arm left its upper stop [s]; none if it did not
  std::optional<double> drop_end;      ///< time at which it first reached its lower stop [s]; none if it did not
  std::optional<double> last_contact;  ///< last time the shaft was carried [s]; none if it never was
  double largest_force = 0.0;          ///< vertical, on the shaft [N]
  double cord_force = 0.0;             ///< tension of a drop-away's cord at full draw [N]; 0: slack, or none
  /// Smallest gap between launcher and shaft after the last contact [m]; none if the launch ended in contact.
  std::optional<double> shaft_clearance;
  /// Smallest distance between the launcher's edge and the vanes, as the nock is turned, while they pass [m]; negative:
  /// by how much one has to give way; none if they did not pass.
  std::optional<double> fletching_clearance;
  bool fletching_contact = false;         ///< a vane strikes the launcher
  std::optional<VaneStrike> vane_strike;  ///< none where all clear
};

/// The trajectory: one row per sample.
struct Trace {
  std::vector<double> time;                                       ///< [s]
  std::vector<double> nock_x, nock_y, nock_z;                     ///< arrow's nock [m]
  std::vector<double> string_x, string_y, string_z;               ///< string where it is nocked [m]
  std::vector<double> speed;                                      ///< arrow along x [m/s]
  std::vector<double> acceleration;                               ///< arrow along x [m/s²]
  std::vector<double> riser_x, riser_y, riser_z;                  ///< grip pivot [m]
  std::vector<double> riser_pitch, riser_yaw, riser_roll;         ///< [rad]
  UpperLower<std::vector<double>> limb_angle, cam_angle, lean;    ///< [rad]
  UpperLower<std::vector<double>> axle_x, axle_y;                 ///< middles of the axles [m]
  UpperLower<std::vector<double>> string_tension, cable_tension;  ///< [N]
  UpperLower<std::vector<double>> stop_gap;                       ///< [m]; no samples where the cam has no stop
  std::vector<double> rest_gap, rest_force, rest_arm;             ///< [m, N, rad]
  std::vector<double> cord_tension;                               ///< [N]
  std::vector<double> axial_push;                                 ///< string on arrow [N]
  std::size_t nodes = 0;                                          ///< columns of the next two
  std::vector<double> arrow_y, arrow_z;                           ///< row-major, samples × nodes [m]
};

/// Result of launch().
struct Launch {
  LaunchEnd ended_by = LaunchEnd::arrow_clear;
  std::vector<Event> events;
  double full_draw_nock_x = 0.0;        ///< [m]
  double full_draw_force = 0.0;         ///< draw force at full draw, wall pull included [N]
  double stored_energy = 0.0;           ///< brace to full draw [J]
  std::optional<double> late_stop_gap;  ///< of the other half when the first stop touched [m]; none if it has no stop
  /// Vanes to the nearest cable, sideways at full draw [m]; negative: they can strike; none where no cable passes.
  std::optional<double> cable_clearance;
  std::optional<VaneStrike> cable_strike;  ///< of vanes against the cables as they pass them; none where all clear
  double exit_time = 0.0;             ///< nock leaves the string [s]; with all that follows from it 0 if it did not
  double exit_speed = 0.0;            ///< mass centre at that moment [m/s]
  double efficiency = 0.0;            ///< kinetic energy of the arrow's advance / stored energy [fraction]
  double peak_acceleration = 0.0;     ///< of the arrow along x [m/s²]
  double nock_travel_y = 0.0;         ///< highest less lowest nock while on the string [m]
  double nock_travel_z = 0.0;         ///< [m]
  UpperLower<double> lean_full_draw;  ///< cam lean at full draw; positive: the string side of the cam stands to the
                                      ///< archer's right [rad]
  Energy energy_start, energy_exit;   ///< at release and as the nock leaves the string
  double dissipated = 0.0;            ///< start total − exit total [J]
  ArrowState exit;                    ///< as the nock leaves the string
  ArrowState free;                    ///< as the tail passes the rest: where flight begins
  RestReport rest;
  Trace trace;                  ///< empty unless asked for
  std::size_t steps = 0;        ///< integrator steps
  std::size_t evaluations = 0;  ///< of the right-hand side
  std::vector<Caution> cautions;
};

/// Shoot the arrow.
/// @throws InputError for an option out of range, or an arrow that does not reach the rest at full draw
/// @throws SolverError when full draw cannot be reached or the integration fails (where and why)
[[nodiscard]] Launch launch(const Model& model, const LaunchOptions& options = {});

/// Names for reports and files: "arrow_clear", "nock_left_string", …
[[nodiscard]] const char* name_of(LaunchEnd end);
[[nodiscard]] const char* name_of(EventKind kind);

/// The equations of motion for research: state y = [q, dq/dt], with the model's hand preload and full draw.
class EquationsOfMotion {
 public:
  /// @throws SolverError when full draw cannot be reached
  explicit EquationsOfMotion(const Model& model);
  /// Number of states (coordinates and their rates).
  [[nodiscard]] std::size_t size() const;
  /// One name per state: "riser.x", "limbs.upper[0]", "cams.upper", "lean.upper", "arrow.x", "arrow.y.mode[3]",
  /// "string.z", "rest.arm", …; then "d/dt riser.x" and so on for the rates, in the same order.
  [[nodiscard]] std::vector<std::string> names() const;
  /// State at full draw, just released.
  [[nodiscard]] std::vector<double> initial_state() const;
  /// dy/dt into `derivative`; a pure function. `attached` says whether the nock holds the string.
  /// @throws InputError when an array has the wrong size or holds a number that is not finite
  void derivative(const std::vector<double>& state, bool attached, std::vector<double>& derivative) const;
  /// ∂(dy/dt)/∂y into `jacobian`, row-major, size() × size(): row i, column j holds ∂(dyᵢ/dt)/∂yⱼ, in SI, each in the
  /// units that its two states have. Exact to rounding (forward differentiation of the same equations), no differences.
  /// A contact, a slack line or a friction changes its law where it begins: at a state that stands just there, the
  /// derivative is that of the law by which derivative() goes. `attached` says whether the nock holds the string.
  /// @throws InputError when `state` has the wrong size or holds a number that is not finite
  /// @throws SolverError when a line has no tangent to its track in this state, or a derivative is not finite
  void jacobian(const std::vector<double>& state, bool attached, std::vector<double>& jacobian) const;
  /// Axial push of the string on the arrow plus the nock's hold [N]: they part where it falls through zero.
  [[nodiscard]] double separation(const std::vector<double>& state) const;
  [[nodiscard]] Energy energy(const std::vector<double>& state, bool attached) const;

 private:
  struct Implementation;
  std::shared_ptr<const Implementation> implementation_;
};

}  // namespace nockwise
