/// @file
/// A whole bow to tune: the Wheelwright with an ordinary arrow, hand, cable guard and rest.
#pragma once

#include "wheelwright_bow.hpp"

namespace nockwise {

inline Setup tuning_bow(RestKind rest = RestKind::blade) {
  const Setup ordinary;
  Setup setup = wheelwright_setup("symmetric");
  setup.name = "Wheelwright with an ordinary arrow";
  setup.arrow = ordinary.arrow;
  setup.arrow.nodes = 12;
  setup.rest = ordinary.rest;
  setup.rest.kind = rest;
  setup.rest.height = 0.0;
  setup.arrow.length = 0.75;
  setup.cable_guard = ordinary.cable_guard;
  setup.surroundings = ordinary.surroundings;
  setup.grip = ordinary.grip;
  setup.string.damping = ordinary.string.damping;
  for (Cam* cam : {&setup.cams.upper, &setup.cams.lower}) {
    cam->take_up_offset = ordinary.cams.upper.take_up_offset;
    cam->let_out_offset = ordinary.cams.upper.let_out_offset;
    cam->stop.damping = ordinary.cams.upper.stop.damping;
  }
  for (Limb* limb : {&setup.limbs.upper, &setup.limbs.lower}) {
    limb->twist_damping = ordinary.limbs.upper.twist_damping;
  }
  for (Cable* cable : {&setup.cables.upper, &setup.cables.lower}) {
    cable->damping = ordinary.cables.upper.damping;
    cable->diameter = 0.002;  // half a twist opens a stop by about a sixteenth of an inch, as the trade counts
    cable->lay_twists = 8.0;
    cable->yoke.diameter = 0.0015;
    cable->yoke.lay_twists = 3.0;
  }
  // Past the guard the cables' way is longer: with these the stops touch together, where they would without it.
  setup.cables.upper.length += 2.396085e-3;
  setup.cables.lower.length += 1.885184e-3;
  return setup;
}

}  // namespace nockwise
