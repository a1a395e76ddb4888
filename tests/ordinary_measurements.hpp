/// @file
/// Measurements of an ordinary bow, for tests.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "nockwise/units.hpp"

namespace nockwise::testing {

/// A 33 in bow of 62 lbf and 78 % at 29 in.
inline BowMeasurements ordinary_measurements() {
  BowMeasurements m;
  m.axle_to_axle = to_si(33.0, Quantity::length, "in");
  m.brace_height = to_si(6.75, Quantity::length, "in");
  m.draw_length = to_si(29.0, Quantity::length, "in");
  m.peak_force = to_si(62.0, Quantity::force, "lbf");
  m.let_off = 0.78;
  return m;
}

}  // namespace nockwise::testing
