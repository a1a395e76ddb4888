// What stands around the bow of a sheet.
#include "bow_builder/guesses.hpp"
#include "bow_builder/moving_parts.hpp"
#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

/// The peak [N], given or read.
double peak_of(const BowMeasurements& m) {
  double peak = m.peak_force.value_or(0.0);
  for (const DrawForceReading& reading : m.draw_curve) {
    peak = std::max(peak, reading.force);
  }
  return peak;
}

/// Peak by which makers' charts choose a shaft [N]: a bow rated above 300 ft/s counts 5 lbf more, and so does a brace
/// height below 6 1/2 in.
double charted_peak(const BowMeasurements& m, double peak) {
  const double five_pounds = to_si(5.0, Quantity::force, "lbf");
  const bool quick = m.rated_speed && *m.rated_speed > to_si(300.0, Quantity::speed, "ft/s");
  const bool low = m.brace_height < to_si(6.5, Quantity::length, "in");
  return peak + (quick ? five_pounds : 0.0) + (low ? five_pounds : 0.0);
}

/// A shaft half an inch shorter than the draw, as stiff as makers' charts want it: 0.340 in for 62 lbf at 28 1/2 in,
/// softer by the power 0.8 for less peak and by 1.3 for a shorter shaft, lighter as it is softer.
void fit_arrow(Setup& setup, double draw_length, double peak, double charted) {
  constexpr double half_inch = 0.0127;
  constexpr double reference_length = 0.7239;
  constexpr double reference_peak = 275.8;
  Arrow& arrow = setup.arrow;
  arrow.length = draw_length - half_inch;
  const double softer = std::pow(reference_peak / charted, 0.8) * std::pow(reference_length / arrow.length, 1.3);
  constexpr double stiffest = 0.6;
  constexpr double softest = 3.5;
  const double compliance = std::clamp(softer, stiffest, softest);
  arrow.bending_stiffness = Arrow{}.bending_stiffness / compliance;
  arrow.linear_density = 0.0207 / std::pow(compliance, 0.35);
  const double mass = to_si(6.0, Quantity::mass, "gr") * peak / to_si(1.0, Quantity::force, "lbf");
  setup = detail::with_arrow_of(setup, std::clamp(mass, 0.016, 0.040));
}

}  // namespace

Setup ordinary_setup(const BowMeasurements& measurements) {
  validate(measurements);
  Setup setup;
  detail::set_hidden_parts(setup, detail::central_guesses(measurements));
  constexpr double wide_limb = 400.0;  // stiffness against twist, so that cams lean by a degree or two [N·m/rad]
  setup.limbs.upper.twist_stiffness = wide_limb;
  setup.limbs.lower.twist_stiffness = wide_limb;
  // A short bow has its guard nearer to the arrow, so that it does not pull the cables aside more steeply.
  constexpr double ordinary_axles = 0.84;  // [m]
  const double size = std::min(1.0, measurements.axle_to_axle / ordinary_axles);
  setup.cable_guard.height *= size * size;
  setup.cable_guard.offset *= size * size;
  setup.hold.wall_pull = 0.0008;
  // A drop-away that the lower limb lets fall in the last quarter of the shot.
  setup.rest.kind = RestKind::limb_driven;
  setup.rest.arm.inertia = 8.0e-6;
  setup.rest.arm.cord_attachment = 0.2;
  setup.rest.arm.cord_slack = -0.0015;
  setup.rest.position_x = 0.005;
  constexpr double below_nock = 0.0015;  // so that the arrow lies square to the string, or a little nock high
  setup.rest.height = measurements.center_above_grip - below_nock;
  const double peak = peak_of(measurements);
  fit_arrow(setup, measurements.draw_length, peak, charted_peak(measurements, peak));
  return setup;
}

BuiltBow build_bow(const BowMeasurements& measurements) {
  return build_bow(measurements, ordinary_setup(measurements));
}

}  // namespace nockwise
