/// \file
/// Cubic splines on a uniform grid, and the radius of curvature of a track that is one.
#pragma once

#include <array>
#include <span>
#include <vector>

namespace nockwise::kernel {

/// One interval of a spline and of its integral: value = c0 + c1 t + c2 t² + c3 t³ with t from the interval's start;
/// then the integral from the spline's first knot to the interval's start.
using SplineInterval = std::array<double, 5>;

/// The C² cubic through `values` at knots `step` apart, with not-a-knot ends. Fourth-order accurate up to the ends.
///
/// On a uniform grid the not-a-knot condition reads M₀ = 2 M₁ − M₂ for the second derivatives M, which makes M₁ (and
/// its mirror image at the other end) the plain second difference: C. de Boor, A Practical Guide to Splines, ch. IV.
/// \param values at least four
[[nodiscard]] std::vector<SplineInterval> uniform_cubic_spline(double step, std::span<const double> values);

/// Where a track's radius of curvature is smallest.
struct SmallestRadius {
  double radius;  ///< p + p″ [m]
  double angle;   ///< normal angle [rad]
};

/// Smallest p + p″ over a whole spline. The radius is itself a cubic on every interval, so its minimum is found
/// exactly: at a knot or at a root of the quadratic p′ + p‴.
[[nodiscard]] SmallestRadius smallest_radius(double first_angle, double step,
                                             std::span<const SplineInterval> intervals);

}  // namespace nockwise::kernel
