// Inertia first: of what a draw board does not show it is the least known. But it explains a few per cent only: a cam
// nearly stands still as the arrow leaves and has given its energy back, so that a heavy one makes the launch longer
// rather than the arrow slower. The rest goes to the bearings' damping, which stands for every other loss.
#include "bow_builder/loss.hpp"

#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

namespace nockwise::detail {

namespace {

constexpr double lightest_cam = 6.0e-5;    // [kg·m²]
constexpr double heaviest_cam = 2.5e-4;    // [kg·m²]
constexpr double strongest_damping = 0.1;  // [N·m·s/rad]

/// The same bow with an arrow of the chronograph's mass.
Setup with_arrow(Setup setup, double mass) {
  const double own = Model(setup).arrow().mass;
  const double point = setup.arrow.point_mass + mass - own;
  if (!(point >= 0.0 && point <= 0.05)) {
    throw InputError("measurements.chronograph.arrow_mass", format_quantity(mass, Quantity::mass, "gr"),
                     "must be nearer to the setup's arrow of " + display(own, Quantity::mass, "gr", 1) +
                         ": only the point's mass is changed for the launch");
  }
  setup.arrow.point_mass = point;
  return setup;
}

double speed_of(const Setup& setup) {
  const Model model(setup);
  return chronograph_speed(model, launch(model));
}

/// Root of speed(x) = wanted for a falling speed, between two x on either side of it: false position (Illinois).
double meet(const std::function<double(double)>& excess, double fast, double slow, double close) {
  double fast_excess = excess(fast);
  double slow_excess = excess(slow);
  double x = fast;
  for (int i = 0; i < 40; ++i) {
    x = fast + (slow - fast) * fast_excess / (fast_excess - slow_excess);
    const double e = excess(x);
    if (std::fabs(e) < close) {
      break;
    }
    if (e > 0.0) {
      fast = x;
      fast_excess = e;
      slow_excess *= 0.5;
    } else {
      slow = x;
      slow_excess = e;
      fast_excess *= 0.5;
    }
  }
  return x;
}

void set_inertia(Setup& setup, double inertia) {
  setup.cams.upper.inertia = inertia;
  setup.cams.lower.inertia = inertia;
}

void set_damping(Setup& setup, double damping) {
  setup.cams.upper.bearing_damping = damping;
  setup.cams.lower.bearing_damping = damping;
}

}  // namespace

void fit_losses(const ChronographReading& reading, Setup& setup, BuildReport& report) {
  Setup shot = with_arrow(setup, reading.arrow_mass);
  const double close = 2e-4 * reading.speed;
  const auto with_inertia = [&](double inertia) {
    set_inertia(shot, inertia);
    return speed_of(shot) - reading.speed;
  };
  const auto with_damping = [&](double damping) {
    set_damping(shot, damping);
    return speed_of(shot) - reading.speed;
  };
  if (with_inertia(lightest_cam) <= 0.0) {
    set_inertia(shot, lightest_cam);
    report.cautions.push_back(
        {CautionKind::unmet_measurement,
         "The chronograph's speed is above what this bow reaches with the lightest plausible cams: check the draw "
         "curve, the arrow's mass, and the masses of limbs and string."});
  } else if (with_inertia(heaviest_cam) < 0.0) {
    set_inertia(shot, meet(with_inertia, lightest_cam, heaviest_cam, close));
    report.assumptions.emplace_back("The cams' inertia was chosen so that the bow shoots as the chronograph says.");
  } else if (with_damping(strongest_damping) < 0.0) {
    set_damping(shot, meet(with_damping, 0.0, strongest_damping, close));
    report.assumptions.emplace_back(
        "The cams were given the largest plausible inertia and their bearings a damping so that the bow shoots as the "
        "chronograph says.");
  } else {
    report.cautions.push_back(
        {CautionKind::unmet_measurement,
         "The chronograph's speed is below what heavy cams and stiff bearings explain: check the draw curve and the "
         "arrow's mass."});
  }
  setup.cams.upper.inertia = shot.cams.upper.inertia;
  setup.cams.lower.inertia = shot.cams.lower.inertia;
  setup.cams.upper.bearing_damping = shot.cams.upper.bearing_damping;
  setup.cams.lower.bearing_damping = shot.cams.lower.bearing_damping;
  report.checks.push_back({"measurements.chronograph.speed", reading.speed, speed_of(shot), 1e-3 * reading.speed});
}

}  // namespace nockwise::detail
