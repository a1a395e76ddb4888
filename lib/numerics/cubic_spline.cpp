#include "numerics/cubic_spline.hpp"

#include <cassert>
#include <cmath>
#include <limits>

namespace nockwise::kernel {

namespace {

/// Second derivatives at the knots: Mᵢ₋₁ + 4 Mᵢ + Mᵢ₊₁ = 6 δ²ᵢ / h² inside, by elimination without pivoting (diagonally
/// dominant).
std::vector<double> second_derivatives(double step, std::span<const double> values) {
  const std::size_t count = values.size();
  const auto second_difference = [&](std::size_t i) {
    return ((values[i + 1] - values[i]) - (values[i] - values[i - 1])) / (step * step);
  };
  std::vector<double> second(count);
  second[1] = second_difference(1);
  second[count - 2] = second_difference(count - 2);
  std::vector<double> pivot(count, 4.0);
  for (std::size_t i = 2; i + 2 < count; ++i) {
    second[i] = 6.0 * second_difference(i);
    if (i == 2) {
      second[i] -= second[1];
    } else {
      pivot[i] -= 1.0 / pivot[i - 1];
      second[i] -= second[i - 1] / pivot[i - 1];
    }
  }
  for (std::size_t i = count - 3; i >= 2; --i) {
    second[i] = (second[i] - second[i + 1]) / pivot[i];
  }
  second[0] = 2.0 * second[1] - second[2];
  second[count - 1] = 2.0 * second[count - 2] - second[count - 3];
  return second;
}

}  // namespace

std::vector<SplineInterval> uniform_cubic_spline(double step, std::span<const double> values) {
  assert(values.size() >= 4 && step > 0.0);
  const std::vector<double> second = second_derivatives(step, values);
  std::vector<SplineInterval> intervals(values.size() - 1);
  double integral = 0.0;
  for (std::size_t i = 0; i < intervals.size(); ++i) {
    const double c0 = values[i];
    const double c1 = (values[i + 1] - values[i]) / step - step * (2.0 * second[i] + second[i + 1]) / 6.0;
    const double c2 = 0.5 * second[i];
    const double c3 = (second[i + 1] - second[i]) / (6.0 * step);
    intervals[i] = {c0, c1, c2, c3, integral};
    integral += step * (c0 + step * (c1 / 2.0 + step * (c2 / 3.0 + step * c3 / 4.0)));
  }
  return intervals;
}

SmallestRadius smallest_radius(double first_angle, double step, std::span<const SplineInterval> intervals) {
  SmallestRadius smallest{std::numeric_limits<double>::infinity(), first_angle};
  for (std::size_t i = 0; i < intervals.size(); ++i) {
    const auto& [c0, c1, c2, c3, integral] = intervals[i];
    // The radius is r0 + r1 t + c2 t² + c3 t³.
    const double r0 = c0 + 2.0 * c2;
    const double r1 = c1 + 6.0 * c3;
    std::array<double, 4> candidates{0.0, step, 0.0, 0.0};
    const double discriminant = c2 * c2 - 3.0 * c3 * r1;
    if (discriminant >= 0.0) {
      // Both roots of 3 c3 t² + 2 c2 t + r1 without cancellation; a vanishing denominator gives no finite root.
      const double q = -(c2 + std::copysign(std::sqrt(discriminant), c2));
      candidates[2] = q / (3.0 * c3);
      candidates[3] = r1 / q;
    }
    for (const double t : candidates) {
      if (!(t >= 0.0 && t <= step)) {
        continue;
      }
      const double radius = r0 + t * (r1 + t * (c2 + t * c3));
      if (radius < smallest.radius) {
        smallest = {radius, first_angle + static_cast<double>(i) * step + t};
      }
    }
  }
  return smallest;
}

}  // namespace nockwise::kernel
