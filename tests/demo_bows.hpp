// The demo bows, for tests.
#pragma once

#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <string>

namespace nockwise::testing {

inline const char* const demo_bow_names[] = {"larkspur", "alder", "wheelwright"};

inline nockwise::Setup demo_bow(const std::string& name) {
  return nockwise::read_setup(source_folder("examples/setups/" + name + ".toml"));
}

/// The bow without anything that dissipates.
inline nockwise::Setup undamped(nockwise::Setup setup) {
  auto& grip = setup.grip;
  grip.damping_x = grip.damping_y = grip.damping_z = grip.pitch_damping = grip.yaw_damping = grip.roll_damping = 0.0;
  for (auto* limb : {&setup.limbs.upper, &setup.limbs.lower}) {
    limb->damping = limb->twist_damping = 0.0;
  }
  for (auto* cam : {&setup.cams.upper, &setup.cams.lower}) {
    cam->bearing_damping = cam->stop.damping = 0.0;
  }
  for (auto* cable : {&setup.cables.upper, &setup.cables.lower}) {
    cable->damping = 0.0;
  }
  setup.string.damping = 0.0;
  setup.arrow.damping_ratio = 0.0;
  setup.arrow.fletching.friction = 0.0;
  setup.rest.vertical_damping = setup.rest.lateral_damping = 0.0;
  setup.rest.arm.damping = setup.rest.arm.stop_damping = setup.rest.arm.cord_damping = 0.0;
  return setup;
}

}  // namespace nockwise::testing
