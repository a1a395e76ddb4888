// What the air does to an arrow per squared speed: one description for the flight to paper and for that to a target.
// Private.
#pragma once

#include "nockwise/launch.hpp"
#include "nockwise/model.hpp"

#include <array>

namespace nockwise::detail {

/// Eq. (49) without the speed. Arms are ahead of the mass centre [m].
struct AirForces {
  double section = 0.0;            // ½ρ · area of the shaft's cross-section [kg/m]
  double drag = 0.0;               // the same times the setup's constant coefficient [kg/m]
  double body = 0.0, vanes = 0.0;  // ½ρ · area · slope of the normal force [kg/m]
  double body_arm = 0.0, vane_arm = 0.0;
  double inverse_mass = 0.0, inverse_inertia = 0.0, gravity = 0.0;
};

[[nodiscard]] AirForces air_forces(const Model& model, double air_density);

/// Height and lateral place of the free arrow's mass centre [m].
[[nodiscard]] std::array<double, 2> mass_centre(const Model& model, const ArrowState& free);

}  // namespace nockwise::detail
