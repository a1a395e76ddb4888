/// @file
/// Free flight: rigid body with drag, normal forces and gravity, plus the decaying bending modes of the shaft.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/launch.hpp"

#include <array>
#include <memory>
#include <optional>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

namespace detail {
class RingingModes;
struct AirForces;
}  // namespace detail

/// The arrow in flight. Inertial frame; angles of the rigid-body line, nose up and nose right positive.
struct FlightPoint {
  double time = 0.0;        ///< since release [s]
  double x = 0.0;           ///< mass centre [m]
  double y = 0.0;           ///< [m]
  double z = 0.0;           ///< [m]
  double speed = 0.0;       ///< along x [m/s]
  double velocity_y = 0.0;  ///< [m/s]
  double velocity_z = 0.0;  ///< [m/s]
  double pitch = 0.0;       ///< [rad]
  double yaw = 0.0;         ///< [rad]
  double pitch_rate = 0.0;  ///< [rad/s]
  double yaw_rate = 0.0;    ///< [rad/s]
};

/// A section of the shaft passing through a plane x = constant.
struct Crossing {
  double time = 0.0;  ///< since release [s]
  double y = 0.0;     ///< where the shaft's centreline passes [m]
  double z = 0.0;     ///< [m]
};

/// Flight of an arrow from the moment its tail has passed the rest.
///
/// Drag C_D on the shaft's cross-section; normal forces linear in the local incidence, of the body at the point and of
/// the vanes at their middle (the effective area of n vanes is n/2 of their planform), which also damp; bending modes
/// ring on as damped oscillators, without aerodynamic forces. Spin is left out.
class FreeFlight {
 public:
  /// @param farthest_x the flight is computed until the tail has passed this plane [m]
  /// @throws InputError when the launch did not end with arrow_clear, or the plane lies behind the arrow's point
  FreeFlight(const Model& model, const Launch& launch, double farthest_x);

  /// State at a time of the flight [s, since release].
  /// @throws InputError outside the computed flight
  [[nodiscard]] FlightPoint at(double time) const;
  /// Where the section `from_nock` [m] ahead of the nock groove passes the plane at `plane_x` [m].
  /// @throws InputError outside the computed flight
  [[nodiscard]] Crossing crossing(double from_nock, double plane_x) const;
  /// Samples of the computed flight, first to last.
  [[nodiscard]] const std::vector<FlightPoint>& points() const { return points_; }

 private:
  using Rigid = std::array<double, 10>;  // x, v, then y, ẏ, θ, θ̇ and z, ż, ψ, ψ̇

  void derivative(const Rigid& state, Rigid& rate) const;
  [[nodiscard]] Rigid step(const Rigid& from, double interval) const;
  [[nodiscard]] Rigid rigid_at(double time) const;

  std::shared_ptr<const detail::AirForces> forces_;
  std::shared_ptr<const detail::RingingModes> modes_;
  double start_ = 0.0;
  double balance_ = 0.0;
  double length_ = 0.0;
  std::vector<Rigid> samples_;
  std::vector<FlightPoint> points_;
};

/// Point of impact on a target.
struct Impact {
  double time = 0.0;   ///< since release [s]
  double y = 0.0;      ///< of the point, above the grip pivot at full draw [m]
  double z = 0.0;      ///< [m], + right
  double speed = 0.0;  ///< along x [m/s]
  double pitch = 0.0;  ///< [rad]
  double yaw = 0.0;    ///< [rad]
};

/// Where the point strikes a target at `distance` [m] from the grip pivot (default: the setup's).
/// @throws InputError as FreeFlight
[[nodiscard]] Impact target_impact(const Model& model, const Launch& launch, std::optional<double> distance = {});

/// Speed of the mass centre as its point passes x [m], as a chronograph sees it (the trade: 36 in ahead of the grip)
/// [m/s].
[[nodiscard]] double chronograph_speed(const Model& model, const Launch& launch, double x = 0.9144);

}  // namespace nockwise
