/// @file
/// From the bow to a target at any distance: six degrees of freedom, air, wind, slope, and the sight.
///
/// Frame of a shot: the line of sight goes from the eye through the sight to the target's centre and is the x axis; y
/// points up, square to it in the vertical plane, z to the archer's right. Its origin is above the grip pivot, at the
/// height of the eye. The target's face stands square to the line of sight.
///
/// The plan, in one page:
///
///   Launch (as the bow is shot level) -- turned by sight, cant and aim --> Flight --> Arrival on the face
///
/// What is kept of a launch is where flight to paper begins too: place, velocity, attitude, rates and bending modes as
/// the tail passes the rest. The forces are those of that flight (`flight/air_forces.hpp`), with what matters over
/// longer ways: drag by the Reynolds number, cross-flow on the shaft, induced drag (normal forces stand square to the
/// shaft), spin from canted vanes with its gyroscopic moment, a bent shaft, wind, gusts, slope, and air by temperature
/// and altitude. `sight_in` finds the setting of the sight that puts a launch in the middle.
///
/// Left out: what slope, cant and elevation do to the launch itself (gravity there acts along the bow), Magnus forces,
/// drag by the angle of attack, hysteresis of the transition, air on the bending modes.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/launch.hpp"

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// The place of a long shot, and what an arrow is beyond what a launch needs. `flight_numbers()` tells the range,
/// meaning and source of every number to programs.
struct FlightConditions {
  std::optional<double> temperature{};  ///< of the air [K]; none: 288.15, or the setup's density if altitude is unset
  std::optional<double> altitude{};     ///< above the sea [m]; none: 0, or the setup's density if temperature is unset
  double wind_along = 0.0;              ///< [m/s] positive: blows toward the target
  double wind_right = 0.0;              ///< [m/s] positive: blows to the archer's right
  double wind_up = 0.0;                 ///< [m/s] positive: up, square to the line of sight
  double gust = 0.0;                    ///< standard deviation of the wind along and across [m/s]; half of it up
  double gust_length = 30.0;            ///< way over which a gust forgets itself [m]
  std::uint64_t gust_seed = 1;          ///< the same seed gives the same gusts
  double slope = 0.0;                   ///< of the line of sight [rad]; positive: uphill
  double eye_height = 0.115;            ///< of the eye above the arrow at full draw [m]
  double sight_radius = 0.9;            ///< from the eye to the sight's pin [m]
  double drag_laminar = 1.5;            ///< drag coefficient of the arrow below the transition, on the shaft's section
  double drag_turbulent = 2.6;          ///< the same above it
  double transition_reynolds = 2.0e4;   ///< Reynolds number on the shaft's diameter in the middle of the transition
  double transition_width = 0.1;        ///< of the transition, in the logarithm of the Reynolds number
  double cross_flow_drag = 1.2;         ///< drag coefficient of the shaft in flow across it, on length times diameter
  double vane_cant = 0.02;              ///< of the vanes to the shaft [rad]; positive: spins clockwise seen from behind
  double head_area = 0.0;               ///< planform of a bladed head's blades that acts in any one plane [m²]
  double head_slope = 2.0;              ///< normal-force coefficient of the blades per radian, on that area
  bool operator==(const FlightConditions&) const = default;
};

/// A number of FlightConditions.
struct FlightNumber {
  std::string name;  ///< "wind_right"
  std::string unit;  ///< SI; "" for a bare number
  double minimum = 0.0;
  double maximum = 0.0;
  std::string doc;     ///< meaning and sign
  std::string source;  ///< of its default
  std::function<double(const FlightConditions&)> get;
  std::function<void(FlightConditions&, double)> set;  ///< stored unchecked
};
/// Every number, in the order of FlightConditions; what is unset reads as what stands for it.
[[nodiscard]] std::span<const FlightNumber> flight_numbers();

/// Checks every range.
/// @throws InputError with the name of the first number that is wrong
void validate(const FlightConditions& conditions);

/// Air of a place.
struct Air {
  double density = 0.0;    ///< [kg/m³]
  double viscosity = 0.0;  ///< dynamic [Pa·s]
  double pressure = 0.0;   ///< [Pa]
};
/// Dry air by the ideal gas law, pressure of the standard atmosphere at that altitude, viscosity by Sutherland's
/// formula (ISO 2533:1975). @param temperature [K] @param altitude [m]
/// @throws InputError outside 200 to 340 K or −1,000 to 11,000 m
[[nodiscard]] Air air_at(double temperature, double altitude);

/// How the sight is set: the bow's shooting axis against the line of sight, bow upright.
struct Sight {
  double elevation = 0.0;  ///< [rad] positive: the bow points above the line of sight
  double windage = 0.0;    ///< [rad] positive: to the archer's right of it
  bool operator==(const Sight&) const = default;
};

/// How a shot is aimed.
struct Aim {
  double up = 0.0;     ///< where the line of sight points from the target's centre [rad]
  double right = 0.0;  ///< [rad] positive: to the archer's right
  double cant = 0.0;   ///< of the bow about the line of sight [rad]; positive: its top goes to the archer's right
  bool operator==(const Aim&) const = default;
};

/// What is wrong with one arrow in flight.
struct ArrowFault {
  double bend = 0.0;        ///< sag of the shaft's arc, end to end [m]
  double bend_angle = 0.0;  ///< where its middle bulges as it leaves the bow, from up to the archer's right [rad]
  double vane_cant = 0.0;   ///< added to the conditions' [rad]
  bool operator==(const ArrowFault&) const = default;
};

/// The arrow on its way, in the frame of the shot.
struct TargetPoint {
  double time = 0.0;                                            ///< since release [s]
  double x = 0.0, y = 0.0, z = 0.0;                             ///< mass centre [m]
  double velocity_x = 0.0, velocity_y = 0.0, velocity_z = 0.0;  ///< [m/s]
  double nose_x = 1.0, nose_y = 0.0, nose_z = 0.0;              ///< direction of the shaft, unit vector
  double rate_x = 0.0, rate_y = 0.0, rate_z = 0.0;              ///< how the shaft turns, without spin [rad/s]
  double spin = 0.0;                                            ///< [rad/s]
  double roll = 0.0;                                            ///< since the arrow was clear [rad]
};

/// The arrow's point on the target's face.
struct Arrival {
  double time = 0.0;       ///< since release [s]
  double up = 0.0;         ///< above the centre [m]
  double right = 0.0;      ///< to the archer's right of it [m]
  double speed = 0.0;      ///< [m/s]
  double energy = 0.0;     ///< of the advance [J]
  double pitch = 0.0;      ///< of the shaft, nose above the line of sight [rad]
  double yaw = 0.0;        ///< nose to the right of it [rad]
  double spin = 0.0;       ///< [rad/s]
  double incidence = 0.0;  ///< largest angle between shaft and air on the way [rad]
};

/// Options of fly_to() and flight_to().
struct TargetFlightOptions {
  Aim aim{};
  ArrowFault fault{};
  double step = 0.012;  ///< [s] 1e-5 to 0.02; shorter where pitch or spin ask for it
};

/// Where the arrow arrives.
/// @param distance  of the face from the origin, along the line of sight [m], up to 200
/// @throws InputError for a number out of range, a launch that did not end with arrow_clear, or a target that the point
/// has passed as the arrow leaves the bow
/// @throws SolverError when the arrow does not get there, or the wind turns it further than the forces hold
[[nodiscard]] Arrival fly_to(const Model& model, const Launch& launch, double distance, const Sight& sight = {},
                             const FlightConditions& conditions = {}, const TargetFlightOptions& options = {});

/// The way there, one row per step; the last one is at the face.
/// @throws as fly_to()
[[nodiscard]] std::vector<TargetPoint> flight_to(const Model& model, const Launch& launch, double distance,
                                                 const Sight& sight = {}, const FlightConditions& conditions = {},
                                                 const TargetFlightOptions& options = {});

/// The setting that puts this launch in the middle at `distance` [m].
/// @throws SolverError when no setting up to 0.6 rad does; otherwise as fly_to()
[[nodiscard]] Sight sight_in(const Model& model, const Launch& launch, double distance,
                             const FlightConditions& conditions = {}, const TargetFlightOptions& options = {});

/// One line of a sight tape.
struct SightMark {
  double distance = 0.0;  ///< [m]
  Sight sight;
  double below_first = 0.0;  ///< how far the pin is lower than for the first distance, sight_radius from the eye [m]
  Arrival arrival;           ///< with that setting
};

/// Marks for these distances [m].
/// @throws as sight_in()
[[nodiscard]] std::vector<SightMark> sight_marks(const Model& model, const Launch& launch,
                                                 std::span<const double> distances,
                                                 const FlightConditions& conditions = {});

}  // namespace nockwise
