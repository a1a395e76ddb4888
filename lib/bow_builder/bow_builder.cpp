#include "nockwise/bow_builder.hpp"

#include "bow_builder/build.hpp"
#include "bow_builder/design.hpp"
#include "bow_builder/search.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>
#include <exception>
#include <utility>

namespace nockwise {

namespace {

constexpr double length_tolerance = 1e-4;   // [m]
constexpr double peak_tolerance = 1e-3;     // of the peak
constexpr double let_off_tolerance = 2e-3;  // [fraction]
constexpr double curve_tolerance = 1e-2;    // of the peak
constexpr double speed_tolerance = 3e-3;    // of the speed

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
    return;
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

void list_assumptions(const BowMeasurements& m, const detail::BowBuilder& builder, BuildReport& report) {
  const auto say = [&](const std::string& text) { report.assumptions.push_back(text); };
  const Setup& setup = builder.setup();
  const DrawPoint& brace = builder.cycle().points.front();
  const DrawPoint& touch = builder.cycle().points[builder.cycle().touch_index];
  const Limb& limb = setup.limbs.upper;
  say("Both limbs: " + display(limb.effective_length, Quantity::length, "mm", 0) + " long, at " +
      display(brace.limb_angle[0], Quantity::angle, "deg", 1) + " at brace, with " +
      display(touch.limb_angle[0] - brace.limb_angle[0], Quantity::angle, "deg", 1) +
      " of travel; from the energy of the draw then " +
      display(limb.torsion_stiffness, Quantity::torsion_stiffness, "N·m/rad", 1) + ".");
  const auto& circle = std::get<CircleTrack>(setup.cams.upper.string_track);
  say("The string's track is a circle of " + display(circle.radius, Quantity::length, "mm", 1) + " radius, " +
      display(circle.eccentricity, Quantity::length, "mm", 1) + " off its axle; the cams turn " +
      display(touch.cam_angle[0], Quantity::angle, "deg", 0) + " in the draw.");
  if (m.cabling != Cabling::yoke) {
    say("The let-out track is a circle of " +
        display(std::get<CircleTrack>(*setup.cams.lower.let_out_track).radius, Quantity::length, "mm", 1) + " radius.");
  }
  if (m.stop == StopPegs::both) {
    say("The lower cam's peg meets its limb and the upper cam's its cable, at the same moment.");
  }
  if (m.draw_curve.empty()) {
    say(builder.speed() > 0.0
            ? "The draw-force curve between peak and let-off was made as full as the speed asks for: it stores " +
                  display(report.fullness, Quantity::percent, "%", 1) + " of peak force times power stroke."
            : "The draw-force curve between peak and let-off is an ordinary one: it stores " +
                  display(report.fullness, Quantity::percent, "%", 1) + " of peak force times power stroke.");
  }
  if (m.center_above_grip != 0.0 || setup.string.nocking_point != 0.0) {
    const std::string slants =
        "The draw force slants, because the nock stands above the grip. So that both cams stand at "
        "zero at brace and both stops touch together, ";
    const double difference = setup.cables.upper.length - setup.cables.lower.length;
    const std::string cables = display(difference, Quantity::length, "mm", 3) + " for the cables' lengths";
    if (m.cabling == Cabling::yoke) {
      say(slants + "upper less lower is " + cables + " and " +
          display(setup.limbs.upper.free_angle - setup.limbs.lower.free_angle, Quantity::angle, "deg", 3) +
          " for the limbs' free angles.");
    } else {
      say(slants + (m.cabling == Cabling::crossed ? "upper less lower is " + cables + ", and " : "") +
          "each stop stands where its cam needs it.");
    }
  }
  if (builder.speed() > 0.0) {
    say("Masses and damping of limbs, cams and string are those of a bow that shoots so fast: virtual mass " +
        display(report.virtual_mass.value_or(0.0), Quantity::mass, "g", 1) + ", cams " +
        display(setup.cams.upper.mass, Quantity::mass, "g", 0) + " each, limbs " +
        display(limb.effective_mass, Quantity::mass, "g", 0) + " each at the tip, string " +
        display(setup.string.mass, Quantity::mass, "g", 1) + " without serving and loop.");
    say("Riser, grip, arrow and rest are those of the setup that was given.");
  } else {
    say("Riser, grip, masses, line rigidities, arrow and rest are those of the setup that was given.");
  }
}

void check_speed(const BowMeasurements& m, const detail::BowBuilder& builder, BuildReport& report) {
  report.stored_energy = builder.cycle().stored_energy;
  report.fullness = builder.cycle().stored_energy / (builder.cycle().peak_force * builder.cycle().power_stroke);
  if (!(builder.speed() > 0.0)) {
    return;
  }
  const double arrow = builder.shot_arrow();
  const double speed = builder.speed();
  report.virtual_mass = builder.virtual_mass();
  report.efficiency = 0.5 * arrow * speed * speed / builder.cycle().stored_energy;
  report.rated_speed = detail::rated_speed(builder.cycle(), builder.virtual_mass());
  if (m.chronograph) {
    report.checks.push_back(
        {"measurements.chronograph.speed", m.chronograph->speed, speed, speed_tolerance * m.chronograph->speed});
  } else {
    report.checks.push_back(
        {"measurements.rated_speed", *m.rated_speed, *report.rated_speed, speed_tolerance * *m.rated_speed});
  }
  if (builder.setup().cams.upper.bearing_damping > 0.0) {
    report.cautions.push_back({CautionKind::unmet_measurement,
                               "So slow a bow loses more than heavy cams and limbs explain; its bearings were made to "
                               "drag. Check the speed, the "
                               "arrow's mass and the peak."});
  }
}

void caution_unmet(BuildReport& report) {
  for (const MeasurementCheck& check : report.checks) {
    if (!check.met()) {
      report.cautions.push_back(
          {CautionKind::unmet_measurement, check.path + " was not met within the builder's tolerance."});
    }
  }
}

/// What goes wrong in the passes, told in terms of the measurements.
[[noreturn]] void tell(const BowMeasurements& m, const InputError& error) {
  if (error.path().starts_with("measurements")) {
    throw InputError(error);
  }
  throw InputError(m.draw_curve.empty() ? "measurements.let_off" : "measurements.draw_curve", "",
                   "leads to a bow that cannot be (" + std::string(error.what()) +
                       "): ask for a smoother curve, less let-off, or other guesses of limb and cam");
}

[[noreturn]] void tell(const BowMeasurements& m, const SolverError& error) {
  if (m.cabling == Cabling::yoke && error.where().starts_with("draw cycle")) {
    // With yokes the two cams meet through string and limbs only, and past some let-off they turn apart by themselves.
    throw SolverError(error.where(), error.why() +
                                         ". With yokes nothing ties the cams together: ask for less let-off, more "
                                         "limb travel, or crossed cables (measurements.cabling = crossed)");
  }
  throw SolverError(error);
}

}  // namespace

namespace detail {

std::unique_ptr<BowBuilder> build_with(const BowMeasurements& measurements, const Guesses& guesses, const Setup& base,
                                       const Closeness& close) {
  try {
    auto builder = std::make_unique<BowBuilder>(measurements, guesses, base, close);
    builder->run();
    return builder;
  } catch (const InputError& error) {
    if (error.path().starts_with("measurements")) {
      throw;
    }
    tell(measurements, error);
  } catch (const SolverError& error) {
    tell(measurements, error);
  }
}

void check_draws(const Setup& setup) {
  const Model model(setup);
  constexpr int coarse = 50;
  (void)draw_cycle(model, {coarse, DrawHold::archer});
  for (const int positions : {200, 600}) {
    (void)draw_cycle(model, {positions, DrawHold::draw_board});
  }
  for (const Side side : {Side::upper, Side::lower}) {
    for (const double twists : {-0.5, 0.5}) {
      Setup tuned = setup;
      tuned.cables[side].twists += twists;
      (void)draw_cycle(Model(tuned), {coarse, DrawHold::archer});
    }
  }
}

bool meets_sheet(const BuildReport& report) {
  constexpr double largest = 0.01;
  return std::all_of(report.checks.begin(), report.checks.end(), [](const MeasurementCheck& check) {
    const double off = std::fabs(check.achieved - check.wanted);
    if (check.path == "measurements.let_off") {
      return off <= largest;
    }
    if (check.path == "measurements.peak_force" || check.path.ends_with("speed")) {
      return off <= largest * check.wanted;
    }
    return check.met();
  });
}

BuiltBow report_on(const BowMeasurements& measurements, const BowBuilder& builder) {
  BuiltBow bow{builder.setup(), {}};
  BuildReport& report = bow.report;
  report.corrections = builder.passes();
  check_lengths(measurements, builder.cycle(), report);
  check_forces(measurements, builder, report);
  check_speed(measurements, builder, report);
  list_assumptions(measurements, builder, report);
  caution_unmet(report);
  return bow;
}

}  // namespace detail

namespace {

/// A convex track smooths whatever it is asked to draw: far from the readings it is another bow.
void refuse_far_curve(const BowMeasurements& measurements, const BuildReport& report) {
  constexpr double far = 0.05;  // [peaks]
  double peak = 0.0;
  for (const DrawForceReading& reading : measurements.draw_curve) {
    peak = std::max(peak, reading.force);
  }
  if (report.curve_largest > far * peak) {
    throw InputError("measurements.draw_curve", "",
                     "must be a curve that convex cams can draw: the nearest that was found differs by up to " +
                         display(report.curve_largest, Quantity::force, "lbf", 1));
  }
}

}  // namespace

BuiltBow build_bow(const BowMeasurements& measurements, const Setup& base) {
  validate(measurements);
  validate(base);
  detail::Trials trials = detail::try_guesses(measurements, base, detail::most_trials);
  if (trials.bow) {
    refuse_far_curve(measurements, trials.bow->report);
    return std::move(*trials.bow);
  }
  if (!trials.unmet.empty()) {
    detail::refuse_speed(measurements, base, trials);
  }
  if (!trials.refusal) {
    detail::refuse_let_off(measurements, base);
  }
  try {
    std::rethrow_exception(trials.refusal);
  } catch (const InputError& error) {
    if (!measurements.draw_curve.empty() || error.path() != "measurements.let_off") {
      throw;
    }
  } catch (const SolverError&) {
    if (!measurements.draw_curve.empty()) {
      throw;
    }
  }
  detail::refuse_let_off(measurements, base);
}

}  // namespace nockwise
