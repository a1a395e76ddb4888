// The symmetric half bow of the bow builder, and its march along the draw (lib/README.md, "A bow from its
// sheet"). Private.
#pragma once

#include "kernel/taut_run.hpp"

#include <vector>

namespace nockwise::detail {

/// One half of a symmetric bow in its side frame, without weight; x from the grip pivot, y from the middle between the
/// axles.
struct HalfBow {
  kernel::Vector2<double> pivot{};
  double limb_length = 0.0;  // [m]
  double stiffness = 0.0;    // [N·m/rad]
  double free_angle = 0.0;   // [rad]
  kernel::TrackTable<double> string_track, let_out_track;
  bool crossed = false;         // the cable ends on the other cam's let-out track
  double string_natural = 0.0;  // unstretched length less the wrap's constant [m]
  double string_rate = 0.0;     // [N/m]
  double cable_rate = 0.0;      // [N/m]

  [[nodiscard]] kernel::Vector2<double> axle(double limb_angle) const;
  [[nodiscard]] double strain_energy(double limb_angle, double string_tension, double cable_tension) const;
};

/// One equilibrium of the half bow with the take-up lever that it needs.
struct HalfState {
  double limb_angle = 0.0, cam_angle = 0.0;          // [rad]
  double string_tension = 0.0, cable_tension = 0.0;  // [N]
  kernel::RunDirection<double> string{};             // run direction of the string
  double string_normal = 0.0;                        // cam-frame normal angle of the string [rad]
  double take_up_normal = 0.0, take_up_lever = 0.0;  // what the track must be: p at φ [rad, m]
  double let_out_normal = 0.0;                       // of the other cam's cable [rad]
  double cable_run_direction = 0.0;                  // u of the cable [rad]
};

/// Brace with a given string tension: the cable tension that holds the limb, and the lever that holds the cam.
HalfState brace_state(const HalfBow& bow, double limb_angle, double string_tension);

/// A point of the wanted draw: nock position, force, energy since brace.
struct DrawDemand {
  double nock_x = 0.0, force = 0.0, energy = 0.0;
};

/// March along the draw: at each position the string's length, the limb's balance and the energy since brace fix limb
/// angle, cam angle and cable tension. The energy stands for the cable's length: its change along the draw is what the
/// track winds, by virtual work, and stated so it collects no error from step to step.
/// \throws SolverError naming position and reason.
std::vector<HalfState> march(const HalfBow& bow, const HalfState& brace, const std::vector<DrawDemand>& demands);

}  // namespace nockwise::detail
