#include "nockwise/track.hpp"

#include "nockwise/error.hpp"
#include "setup/fitted_groove.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <numbers>
#include <utility>

namespace nockwise {

namespace {

std::string text_of(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%.6g", value);
  return text.data();
}

std::string degrees_text(double angle) { return text_of(angle * 180.0 / std::numbers::pi) + "°"; }

void check_number(double value, bool allowed, const std::string& path, const char* unit, const char* rule) {
  if (!std::isfinite(value) || !allowed) {
    throw InputError(path, text_of(value) + " " + unit, rule);
  }
}

void check_circle(const CircleTrack& circle, const std::string& path) {
  check_number(circle.radius, circle.radius > 0.0, path + ".radius", "m", "must be finite and more than 0 m");
  check_number(circle.eccentricity, circle.eccentricity >= 0.0, path + ".eccentricity", "m",
               "must be finite and at least 0 m");
  check_number(circle.angle, true, path + ".angle", "rad", "must be finite");
}

void check_spline(const SplineTrack& spline, const std::string& path) {
  check_number(spline.first_angle, true, path + ".first_angle", "rad", "must be finite");
  check_number(spline.angle_step, spline.angle_step > 0.0, path + ".angle_step", "rad",
               "must be finite and more than 0 rad");
  if (spline.distance.size() < 4) {
    throw InputError(path + ".distance", std::to_string(spline.distance.size()) + " knots", "must be at least 4 knots");
  }
  for (std::size_t i = 0; i < spline.distance.size(); ++i) {
    check_number(spline.distance[i], true, path + ".distance[" + std::to_string(i) + "]", "m", "must be finite");
  }
}

std::shared_ptr<const detail::FittedGroove> kept_groove(const GrooveTrack& groove, const std::string& path) {
  try {
    return detail::fitted_groove(groove);
  } catch (const InputError& error) {
    throw error.with_path(path + "." + error.path());
  }
}

}  // namespace

CompiledTrack::CompiledTrack(const Track& track, const std::string& path) : path_(path) {
  if (const auto* circle = std::get_if<CircleTrack>(&track)) {
    check_circle(*circle, path);
    circle_ = *circle;
    first_angle_ = -std::numeric_limits<double>::infinity();
    last_angle_ = std::numeric_limits<double>::infinity();
    smallest_radius_ = circle->radius;
    return;
  }
  if (const auto* groove = std::get_if<GrooveTrack>(&track)) {
    take_rows(kept_groove(*groove, path)->rows);
    return;
  }
  const auto& spline = std::get<SplineTrack>(track);
  check_spline(spline, path);
  take_rows(detail::spline_rows(spline));
}

void CompiledTrack::take_rows(const detail::SplineRows& rows) {
  if (!(rows.smallest_radius > 0.0)) {
    throw InputError(
        path_,
        "radius of curvature " + text_of(rows.smallest_radius) + " m at " + degrees_text(rows.smallest_radius_angle),
        "must be convex: the radius of curvature p + p″ must be more than 0 m over the whole track");
  }
  first_angle_ = rows.first_angle;
  angle_step_ = rows.angle_step;
  last_angle_ = rows.last_angle;
  smallest_radius_ = rows.smallest_radius;
  coefficients_ = rows.coefficients;
}

void CompiledTrack::check_range(double angle) const {
  // The last knot's angle is rounded; a caller who computes it in another way is not out of range.
  const double slack = 1e-9 * angle_step_;
  if (!std::isfinite(angle) || angle < first_angle_ - slack || angle > last_angle_ + slack) {
    const std::string range =
        is_circle() ? "every finite angle" : degrees_text(first_angle_) + " to " + degrees_text(last_angle_);
    throw SolverError(
        path_, "the line leaves the track at a normal angle of " + degrees_text(angle) + ", the track covers " + range);
  }
}

TrackPoint CompiledTrack::evaluate(double angle) const {
  check_range(angle);
  if (is_circle()) {
    const double cosine = circle_.eccentricity * std::cos(angle - circle_.angle);
    const double sine = circle_.eccentricity * std::sin(angle - circle_.angle);
    return {circle_.radius + cosine, -sine, -cosine, circle_.radius * angle + sine};
  }
  const double position =
      std::clamp((angle - first_angle_) / angle_step_, 0.0, static_cast<double>(coefficients_->size() - 1));
  const auto index = static_cast<std::size_t>(position);
  const double t = angle - (first_angle_ + static_cast<double>(index) * angle_step_);
  const auto& [c0, c1, c2, c3, area] = (*coefficients_)[index];
  return {c0 + t * (c1 + t * (c2 + t * c3)), c1 + t * (2.0 * c2 + t * 3.0 * c3), 2.0 * c2 + 6.0 * c3 * t,
          area + t * (c0 + t * (c1 / 2.0 + t * (c2 / 3.0 + t * c3 / 4.0)))};
}

}  // namespace nockwise
