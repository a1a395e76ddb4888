#include "nockwise/bow_builder.hpp"

#include "bow_builder/loss.hpp"
#include "bow_builder/passes.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

constexpr double length_tolerance = 1e-4;   // [m]
constexpr double peak_tolerance = 1e-3;     // of the peak
constexpr double let_off_tolerance = 2e-3;  // [fraction]
constexpr double curve_tolerance = 1e-2;    // of the peak

void check_lengths(const BowMeasurements& m, const DrawCycle& cycle, BuildReport& report) {
  report.checks.push_back({"measurements.axle_to_axle", m.axle_to_axle, cycle.brace_axle_to_axle, length_tolerance});
  report.checks.push_back({"measurements.brace_height", m.brace_height, cycle.brace_height, length_tolerance});
  report.checks.push_back({"measurements.draw_length", m.draw_length, cycle.draw_length, length_tolerance});
}

/// Peak and let-off, wanted or of the smoothed readings; the deviation is from the readings where there are any.
void check_forces(const BowMeasurements& m, const detail::BowBuilder& builder, BuildReport& report) {
  const DrawCycle& cycle = builder.cycle();
  const detail::DrawCurve& wanted = builder.wanted();
  const double peak = m.peak_force.value_or(wanted.peak());
  const double let_off = m.let_off.value_or(1.0 - wanted.holding() / peak);
  report.checks.push_back({"measurements.peak_force", peak, cycle.peak_force, peak_tolerance * peak});
  report.checks.push_back({"measurements.let_off", let_off, cycle.let_off, let_off_tolerance});
  std::vector<DrawForceReading> aims = m.draw_curve;
  if (aims.empty()) {
    for (int i = 0; i < detail::DrawCurve::intervals && wanted.knot(i) <= wanted.wall(); ++i) {
      aims.push_back({wanted.knot(i) + draw_length_allowance, wanted.force(wanted.knot(i))});
    }
  }
  double squares = 0.0;
  for (const DrawForceReading& aim : aims) {
    const double off = detail::interpolated_draw_force(cycle, aim.draw_length - draw_length_allowance) - aim.force;
    squares += off * off;
    report.curve_largest = std::max(report.curve_largest, std::fabs(off));
  }
  report.curve_rms = std::sqrt(squares / static_cast<double>(aims.size()));
  if (report.curve_largest > curve_tolerance * peak) {
    report.cautions.push_back({CautionKind::unmet_measurement,
                               "The draw force is up to " + display(report.curve_largest, Quantity::force, "lbf", 2) +
                                   " from what was wanted: a convex take-up track with these limbs comes no nearer."});
  }
}

void list_assumptions(const BowMeasurements& m, const Setup& base, const Setup& setup, BuildReport& report) {
  const auto say = [&](const std::string& text) { report.assumptions.push_back(text); };
  const Limb& limb = setup.limbs.upper;
  say("Both limbs: " + display(limb.effective_length, Quantity::length, "mm", 0) + " long, at " +
      display(m.limb.brace_angle, Quantity::angle, "deg", 1) + " at brace, with " +
      display(m.limb.travel, Quantity::angle, "deg", 1) + " of travel; from the energy of the draw then " +
      display(limb.torsion_stiffness, Quantity::torsion_stiffness, "N·m/rad", 1) + ".");
  say("The string's track is a circle of " + display(m.cam.string_radius, Quantity::length, "mm", 1) + " radius, " +
      display(m.cam.string_eccentricity, Quantity::length, "mm", 1) + " off its axle.");
  if (m.cabling == CableEnd::let_out) {
    say("The let-out track is a circle of " + display(m.cam.let_out_radius, Quantity::length, "mm", 1) + " radius.");
  }
  if (m.draw_curve.empty()) {
    say("The draw-force curve between peak and let-off was drawn as a smooth cam would have it.");
  }
  if (m.center_above_grip != 0.0 || setup.string.nocking_point != 0.0) {
    say("The draw force slants, because the nock stands above the grip. So that both cams stand at zero at brace and "
        "both "
        "stops touch together, upper less lower is " +
        display(setup.cables.upper.length - setup.cables.lower.length, Quantity::length, "mm", 3) +
        " for the cables' lengths and " +
        display(setup.limbs.upper.free_angle - setup.limbs.lower.free_angle, Quantity::angle, "deg", 3) +
        " for the limbs' free angles.");
  }
  say("Riser, grip, masses, line rigidities, arrow and rest are " +
      std::string(base == Setup{} ? "the defaults, because no setup was given to build on."
                                  : "those of the setup that was given."));
}

void caution_unmet(BuildReport& report) {
  for (const MeasurementCheck& check : report.checks) {
    if (!check.met() && check.path != "measurements.chronograph.speed") {
      report.cautions.push_back(
          {CautionKind::unmet_measurement, check.path + " was not met within the builder's tolerance."});
    }
  }
}

/// Passes of march and draw; their errors name the measurements that they come from.
void run(detail::BowBuilder& builder, const BowMeasurements& m) {
  try {
    builder.run();
  } catch (const InputError& error) {
    if (error.path().starts_with("measurements")) {
      throw;
    }
    throw InputError(m.draw_curve.empty() ? "measurements.let_off" : "measurements.draw_curve", "",
                     "leads to a bow that cannot be (" + std::string(error.what()) +
                         "): ask for a smoother curve, less let-off, or other guesses of limb and cam");
  } catch (const SolverError& error) {
    if (m.cabling == CableEnd::yoke && error.where().starts_with("draw cycle")) {
      // With yokes only string and limbs couple the two cams; past some let-off their common motion is unstable.
      throw SolverError(error.where(), error.why() +
                                           ". With yokes nothing ties the cams together: ask for less let-off, more "
                                           "limb travel, or crossed cables (measurements.cabling = let_out)");
    }
    throw;
  }
}

}  // namespace

BuiltBow build_bow(const BowMeasurements& measurements, const Setup& base) {
  validate(measurements);
  validate(base);
  detail::BowBuilder builder(measurements, base);
  run(builder, measurements);
  BuiltBow bow{builder.setup(), {}};
  BuildReport& report = bow.report;
  report.corrections = builder.passes();
  check_lengths(measurements, builder.cycle(), report);
  check_forces(measurements, builder, report);
  list_assumptions(measurements, base, bow.setup, report);
  if (measurements.chronograph) {
    detail::fit_losses(*measurements.chronograph, bow.setup, report);
  }
  caution_unmet(report);
  validate(bow.setup);
  return bow;
}

}  // namespace nockwise
