// Six degrees of freedom, in the frame of the shot. Private.
#pragma once

#include "flight/air_forces.hpp"
#include "flight/ringing_modes.hpp"
#include "nockwise/target.hpp"

#include <Eigen/Core>

#include <array>
#include <vector>

namespace nockwise::detail {

using Vector = Eigen::Vector3d;

/// Gusts, fixed in the air: a first-order process on a grid along the line of sight (seeded), straight between.
class Gusts {
 public:
  Gusts(const FlightConditions& conditions, double distance);
  [[nodiscard]] bool any() const { return !along_.empty(); }
  [[nodiscard]] Vector at(double x) const;

 private:
  static constexpr double spacing = 2.0;  // [m]
  std::vector<double> along_, right_, up_;
};

/// One arrow under way to a face. Eq. (61) to (66).
class LongFlight {
 public:
  LongFlight(const Model& model, const Launch& launch, double distance, const FlightConditions& conditions,
             const TargetFlightOptions& options);

  /// Shoot with this setting. `points`, if given, is filled with the way.
  [[nodiscard]] Arrival shoot(const Sight& sight, std::vector<TargetPoint>* points = nullptr) const;

  static constexpr std::size_t states = 14;  // place, velocity, nose, turning rate (three each), spin, roll
  using State = std::array<double, states>;
  /// The right-hand side; a pure function.
  void derivative(const State& state, State& rate) const;

 private:
  [[nodiscard]] State start(const Eigen::Matrix3d& turned) const;
  [[nodiscard]] State step(const State& from, double interval) const;
  [[nodiscard]] Eigen::Matrix3d turned(const Sight& sight) const;
  /// How the air meets the arrow: along the shaft and square to it [m/s].
  struct Incidence {
    double along = 1.0, square = 0.0;
    [[nodiscard]] double angle() const;
    /// Without an angle, since every step asks.
    [[nodiscard]] bool steeper_than(const Incidence& other) const {
      return square * other.along > other.square * along;
    }
  };
  [[nodiscard]] Incidence incidence(const State& state) const;
  void check(const State& state, const Incidence& incidence) const;
  [[nodiscard]] double step_length(double speed) const;

  AirForces forces_;
  RingingModes modes_;
  Gusts gusts_;
  FlightConditions conditions_;
  TargetFlightOptions options_;
  ArrowState free_;  // as the launch left it, without the nodes
  std::array<double, 2> centre_{};
  Vector wind_ = Vector::Zero(), gravity_ = Vector::Zero();
  double distance_ = 0.0, mass_ = 0.0, length_ = 0.0, balance_ = 0.0;
  double axial_inertia_ = 0.0, eye_ = 0.0;
  double reynolds_per_speed_ = 0.0;                    // [s/m]
  double cross_ = 0.0, cross_arm_ = 0.0, head_ = 0.0;  // ½ρ · area · coefficient [kg/m], arm [m]
  double roll_force_ = 0.0, roll_arm_ = 0.0;           // of all vanes [kg/m], [m]
  double cant_ = 0.0;
  double bend_at_point_ = 0.0, bend_at_vanes_ = 0.0;  // slope of a bent shaft [rad]
};

}  // namespace nockwise::detail
