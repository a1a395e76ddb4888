// The draw force that the bow builder aims at. Private.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "numerics/cubic_spline.hpp"

#include <vector>

namespace nockwise::detail {

/// Force over nock distance (grip pivot to nock) and its integral, from brace to a little past the wall.
class DrawCurve {
 public:
  static constexpr int intervals = 240;
  /// How far past the wall the curve goes on [m].
  static constexpr double beyond = 0.008;

  DrawCurve(double brace, double wall, std::vector<double> forces);

  [[nodiscard]] double force(double distance) const;
  /// ∫F from brace [J].
  [[nodiscard]] double energy(double distance) const;
  [[nodiscard]] double brace() const { return first_; }
  [[nodiscard]] double wall() const { return wall_; }
  /// Nock distance of a knot [m].
  [[nodiscard]] double knot(int index) const { return first_ + step_ * index; }
  [[nodiscard]] const std::vector<double>& forces() const { return forces_; }
  /// Largest force, and lowest after it, up to the wall [N].
  [[nodiscard]] double peak() const;
  [[nodiscard]] double holding() const;

 private:
  [[nodiscard]] std::size_t interval(double distance, double& into) const;
  double first_, wall_, step_;
  std::vector<double> forces_;
  std::vector<kernel::SplineInterval> spline_;
};

/// The smoothed readings of a draw board.
DrawCurve measured_curve(const BowMeasurements& measurements);

/// A draw curve by a few numbers.
struct CommandedShape {
  double fullness = 0.5;     // from slender (0) to full (1): an early peak and a late fall
  double holding = 0.2;      // force in the valley [peaks]
  double corners = 1.0;      // how long they are, 1 being ordinary
  double stroke = 0.0;       // brace to wall [m], set by commanded_curve
  double half_height = 0.0;  // of the string that is drawn out [m], likewise
};

/// The curve of that shape and peak [N].
DrawCurve commanded_curve(const BowMeasurements& measurements, CommandedShape shape, double peak);

}  // namespace nockwise::detail
