// Smoothing fits of uniform cubic splines, for the bow builder. Private.
#pragma once

#include <vector>

namespace nockwise::detail {

/// One datum of a fit.
struct FitPoint {
  double at = 0.0, value = 0.0, weight = 1.0;
};

/// What a fit keeps small where the data say nothing.
enum class Roughness {
  third_difference,    // of the values: continues as a parabola
  radius_of_curvature  // first difference of p + p″: a track continues as an eccentric circle, which stays convex
};

/// Values at `count` knots, `step` apart from `first`, of the C² spline (not-a-knot ends) that fits the points best:
/// Σ w (spline − value)² + λ Σ roughness² is least.
std::vector<double> fit_spline(double first, double step, int count, const std::vector<FitPoint>& points,
                               Roughness roughness, double lambda);

/// What a track must keep to at every knot.
struct TrackLimits {
  double smallest_radius = 0.0;  // of curvature, p + p″ [m]
  double steepest = 0.0;         // of |p′| [m]: how far a tangent point may lie from the foot of the lever
};

/// The same for a track within its limits.
std::vector<double> fit_track(double first, double step, int count, const std::vector<FitPoint>& points, double lambda,
                              const TrackLimits& limits);

}  // namespace nockwise::detail
