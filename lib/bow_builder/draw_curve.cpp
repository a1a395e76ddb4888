#include "bow_builder/draw_curve.hpp"

#include "nockwise/draw.hpp"
#include "numerics/spline_fit.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// max(0, t) rounded off within `width` on either side by a biweight kernel: three times continuously differentiable.
double smooth_ramp(double t, double width) {
  const double u = t / width;
  if (u <= -1.0) {
    return 0.0;
  }
  if (u >= 1.0) {
    return t;
  }
  const double square = u * u;
  return width * (15.0 / 16.0) * (square * (0.5 + square * (-1.0 / 6.0 + square / 30.0)) + 8.0 / 15.0 * u + 1.0 / 6.0);
}

/// Straight rise from brace, plateau, straight fall into a level valley, corners rounded. Positions are shares of the
/// power stroke; they lie where cams of ordinary shape put them.
double plausible_force(double share, double peak, double holding) {
  constexpr double plateau_begins = 0.27;
  constexpr double plateau_ends = 0.68;
  constexpr double valley_begins = 0.93;
  constexpr double rise_rounding = 0.36;
  constexpr double fall_rounding = 0.22;
  constexpr double valley_rounding = 0.065;
  // zero at brace whatever the rounding
  const double rise = peak / plateau_begins;
  const double fall = (peak - holding) / (valley_begins - plateau_ends);
  return rise * share - rise * smooth_ramp(share - plateau_begins, rise_rounding) -
         fall * smooth_ramp(share - plateau_ends, fall_rounding) +
         fall * smooth_ramp(share - valley_begins, valley_rounding);
}

std::vector<double> plausible_forces(const BowMeasurements& m, double brace, double wall) {
  const double step = (wall + DrawCurve::beyond - brace) / DrawCurve::intervals;
  std::vector<double> forces;
  for (int i = 0; i <= DrawCurve::intervals; ++i) {
    forces.push_back(plausible_force(step * i / (wall - brace), *m.peak_force, *m.peak_force * (1.0 - *m.let_off)));
  }
  return forces;
}

std::vector<double> smoothed_readings(const BowMeasurements& m, double brace, double wall) {
  constexpr int knots = 45;
  constexpr double smoothing = 0.1;  // damps waves shorter than a sixth of the draw
  std::vector<FitPoint> points{{brace, 0.0, 100.0}};
  for (const DrawForceReading& reading : m.draw_curve) {
    points.push_back({reading.draw_length - draw_length_allowance, reading.force, 1.0});
  }
  const double end = wall + DrawCurve::beyond;
  const double step = (end - brace) / (knots - 1);
  const auto values = fit_spline(brace, step, knots, points, Roughness::third_difference, smoothing);
  const auto spline = kernel::uniform_cubic_spline(step, values);
  std::vector<double> forces;
  for (int i = 0; i <= DrawCurve::intervals; ++i) {
    const double position = static_cast<double>(knots - 1) * i / DrawCurve::intervals;
    const auto index = std::min(static_cast<std::size_t>(position), spline.size() - 1);
    const auto& [c0, c1, c2, c3, area] = spline[index];
    const double t = (position - static_cast<double>(index)) * step;
    forces.push_back(c0 + t * (c1 + t * (c2 + t * c3)));
  }
  return forces;
}

}  // namespace

DrawCurve::DrawCurve(double brace, double wall, std::vector<double> forces)
    : first_(brace),
      wall_(wall),
      step_((wall + beyond - brace) / intervals),
      forces_(std::move(forces)),
      spline_(kernel::uniform_cubic_spline(step_, forces_)) {}

std::size_t DrawCurve::interval(double distance, double& into) const {
  const double position = (distance - first_) / step_;
  const auto index = static_cast<std::size_t>(std::clamp(position, 0.0, static_cast<double>(intervals - 1)));
  into = (position - static_cast<double>(index)) * step_;
  return index;
}

double DrawCurve::force(double distance) const {
  double t = 0.0;
  const auto& [c0, c1, c2, c3, area] = spline_[interval(distance, t)];
  return c0 + t * (c1 + t * (c2 + t * c3));
}

double DrawCurve::energy(double distance) const {
  double t = 0.0;
  const auto& [c0, c1, c2, c3, area] = spline_[interval(distance, t)];
  return area + t * (c0 + t * (c1 / 2.0 + t * (c2 / 3.0 + t * c3 / 4.0)));
}

double DrawCurve::peak() const {
  double largest = 0.0;
  for (int i = 0; i <= intervals && knot(i) <= wall_; ++i) {
    largest = std::max(largest, forces_[static_cast<std::size_t>(i)]);
  }
  return largest;
}

double DrawCurve::holding() const {
  const auto top = std::max_element(forces_.begin(), forces_.end());
  double lowest = force(wall_);
  for (auto at = top; at != forces_.end() && knot(static_cast<int>(at - forces_.begin())) <= wall_; ++at) {
    lowest = std::min(lowest, *at);
  }
  return lowest;
}

DrawCurve wanted_curve(const BowMeasurements& measurements) {
  const double brace = measurements.brace_height;
  const double wall = measurements.draw_length - draw_length_allowance;
  return {brace, wall,
          measurements.draw_curve.empty() ? plausible_forces(measurements, brace, wall)
                                          : smoothed_readings(measurements, brace, wall)};
}

}  // namespace nockwise::detail
