#include "flight/air_forces.hpp"

#include "flight/ringing_modes.hpp"
#include "statics/model_access.hpp"

#include <numbers>

namespace nockwise::detail {

AirForces air_forces(const Model& model, double air_density) {
  const Setup& setup = model.setup();
  const Arrow& arrow = setup.arrow;
  const ArrowProperties properties = model.arrow();
  const double balance = properties.balance_point;
  const double pressure = 0.5 * air_density;
  const double section = 0.25 * std::numbers::pi * arrow.diameter * arrow.diameter;
  const Fletching& vanes = arrow.fletching;
  AirForces forces;
  forces.section = pressure * section;
  forces.drag = pressure * section * arrow.drag_coefficient;
  forces.body = pressure * section * arrow.body_normal_force_slope;
  forces.vanes = pressure * 0.5 * vanes.count * vanes.length * vanes.height * vanes.normal_force_slope;
  forces.body_arm = arrow.length - balance;
  forces.vane_arm = vanes.distance - balance;
  forces.inverse_mass = 1.0 / properties.mass;
  forces.inverse_inertia = 1.0 / properties.transverse_inertia;
  forces.gravity = setup.surroundings.gravity;
  return forces;
}

std::array<double, 2> mass_centre(const Model& model, const ArrowState& free) {
  const ModelData& data = data_of(model);
  const double first = data.modes.shapes(0, 0);
  return {project_on_mode(data, free.y, 0) * first, project_on_mode(data, free.z, 0) * first};
}

}  // namespace nockwise::detail
