// The sheet of a bow whose setup is known, for tests and studies.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/ensemble.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/model.hpp"

namespace nockwise {

/// What a maker would print of a bow, and the speed of its arrow.
inline BowMeasurements sheet_of_setup(const Setup& setup) {
  const Model model(setup);
  const DrawCycle cycle = draw_cycle(model, {160, DrawHold::draw_board});
  BowMeasurements m;
  m.name = setup.name;
  m.axle_to_axle = cycle.brace_axle_to_axle;
  m.brace_height = cycle.brace_height;
  m.draw_length = cycle.draw_length;
  m.peak_force = cycle.peak_force;
  m.let_off = cycle.let_off;
  m.cabling = setup.cables.upper.end == CableEnd::yoke ? Cabling::yoke : Cabling::crossed;
  m.stop = setup.cams.upper.stop.kind == StopKind::limb ? StopPegs::limb : StopPegs::cable;
  m.center_above_grip = 0.5 * (setup.limbs.upper.pivot_y - setup.limbs.lower.pivot_y);
  m.chronograph = ChronographReading{chronograph_speed(model, launch(model)), model.arrow().mass};
  return m;
}

/// What stands around the bow and can be seen on it: rest, arrow, nocking point, hand, guard's place. Nothing of its
/// limbs, cams and moving masses.
inline Setup around_of_setup(const Setup& setup) {
  Setup around = ordinary_setup(sheet_of_setup(setup));
  around.arrow = setup.arrow;
  around.rest = setup.rest;
  around.string.nocking_point = setup.string.nocking_point;
  around.grip = setup.grip;
  around.hold = setup.hold;
  around.cable_guard = setup.cable_guard;
  around.surroundings = setup.surroundings;
  return around;
}

/// Whether a value lies where most members do; what nobody would see in a hole counts as such.
inline bool contains(const EnsembleRange& range, double value) {
  constexpr double nothing = 2e-4;  // [m]
  return value > range.low - nothing && value < range.high + nothing;
}

}  // namespace nockwise
