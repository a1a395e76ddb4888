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

/// Rise, plateau, fall into a level valley, in shares of the peak; corners rounded. The rise is that of a string drawn
/// out between two fixed points, because the cams hardly turn there: its force goes with the sine of the string's
/// angle.
struct ShapeOfDraw {
  explicit ShapeOfDraw(const CommandedShape& shape)
      : peak_at(0.30 - 0.14 * shape.fullness),
        plateau_ends(std::min(0.54 + 0.28 * shape.fullness, 0.85)),
        valley_begins(std::min(0.94 + 0.02 * shape.fullness, 0.965)),
        peak_rounding(0.60 * shape.corners),
        fall_rounding(std::min((0.34 - 0.14 * shape.fullness) * shape.corners, 1.0 - plateau_ends)),
        holding(shape.holding),
        span(shape.half_height / shape.stroke) {}

  [[nodiscard]] double sine(double share) const { return share / std::hypot(share, span); }
  [[nodiscard]] double force(double share) const {
    const double valley_rounding = 1.0 - valley_begins;
    const double rise = sine(share) / sine(peak_at);
    const double fall = (1.0 - holding) / (valley_begins - plateau_ends);
    return rise - smooth_ramp(rise - 1.0, peak_rounding) - fall * smooth_ramp(share - plateau_ends, fall_rounding) +
           fall * smooth_ramp(share - valley_begins, valley_rounding);
  }

  double peak_at, plateau_ends, valley_begins, peak_rounding, fall_rounding, holding, span;
};

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

DrawCurve measured_curve(const BowMeasurements& measurements) {
  const double brace = measurements.brace_height;
  const double wall = measurements.draw_length - draw_length_allowance;
  return {brace, wall, smoothed_readings(measurements, brace, wall)};
}

DrawCurve commanded_curve(const BowMeasurements& measurements, CommandedShape shape, double peak) {
  const double brace = measurements.brace_height;
  const double wall = measurements.draw_length - draw_length_allowance;
  shape.stroke = wall - brace;
  shape.half_height = 0.485 * measurements.axle_to_axle;
  const ShapeOfDraw draw(shape);
  const double step = (wall + DrawCurve::beyond - brace) / DrawCurve::intervals;
  std::vector<double> forces;
  for (int i = 0; i <= DrawCurve::intervals; ++i) {
    forces.push_back(peak * draw.force(step * i / shape.stroke));
  }
  return {brace, wall, std::move(forces)};
}

}  // namespace nockwise::detail
