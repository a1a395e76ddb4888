// An arrow set free at will, for tests of flight.
#pragma once

#include "demo_bows.hpp"
#include "nockwise/launch.hpp"

namespace nockwise::testing {

/// A launch that ends with the arrow straight, level and where the test wants it.
inline Launch free_arrow(const Model& model, double pitch, double pitch_rate, double yaw) {
  const ArrowProperties arrow = model.arrow();
  const auto& setup = model.setup();
  Launch shot = launch(model);
  ArrowState& a = shot.free;
  a.nock_x = 0.03;
  a.speed = 80.0;
  a.velocity_y = a.velocity_z = a.yaw_rate = 0.0;
  a.pitch = pitch;
  a.pitch_rate = pitch_rate;
  a.yaw = yaw;
  for (std::size_t i = 0; i < a.y.size(); ++i) {
    const double arm = static_cast<double>(i) * setup.arrow.length / (setup.arrow.nodes - 1) - arrow.balance_point;
    a.y[i] = pitch * arm;
    a.z[i] = yaw * arm;
    a.velocity_y_nodes[i] = pitch_rate * arm;
    a.velocity_z_nodes[i] = 0.0;
  }
  return shot;
}

inline nockwise::Setup in_vacuum() {
  nockwise::Setup setup = demo_bow("larkspur");
  setup.surroundings.gravity = 0.0;
  setup.surroundings.air_density = 0.0;
  return setup;
}

}  // namespace nockwise::testing
