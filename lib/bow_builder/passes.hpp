// March, fit and correct: the passes of the bow builder. Private.
#pragma once

#include "bow_builder/draw_curve.hpp"
#include "bow_builder/half_bow.hpp"
#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"

#include <string>
#include <vector>

namespace nockwise::detail {

/// The state of a build. Each pass marches with the commanded draw curve, fits the take-up track, draws the elastic bow
/// and adds the deviation of its draw curve to the command.
class BowBuilder {
 public:
  BowBuilder(const BowMeasurements& measurements, Setup base);

  /// Pass until the curve is met or no longer improves; the best bow is kept.
  void run();

  [[nodiscard]] const Setup& setup() const { return best_.setup; }
  [[nodiscard]] const DrawCycle& cycle() const { return best_.cycle; }
  [[nodiscard]] const DrawCurve& wanted() const { return wanted_; }
  [[nodiscard]] int passes() const { return passes_; }

 private:
  struct Attempt {
    Setup setup;
    DrawCycle cycle;
    double largest = 1e300;  // deviation from the wanted curve [N]
  };

  /// Where only peak and let-off are given: a first bow with a smooth convex track near the plausible curve. What it
  /// draws, stretched to the wanted peak and let-off, is the curve that the passes then aim at.
  void design();
  void place_limbs();
  void march_and_fit();
  [[nodiscard]] std::vector<DrawDemand> demands() const;
  void fit_take_up();
  void set_anchors();
  void set_lengths();
  void set_stop_from_march();
  [[nodiscard]] double stop_angle_at(const HalfState& state) const;

  /// Lengths of string and cables, limb preloads and limb place until axle-to-axle length and brace height are met with
  /// both cam angles zero. True when they were met already.
  bool meet_brace();
  /// Stop angle and difference of the cables until both stops touch at the wanted draw length. True when they did
  /// already; `cycle` is the draw.
  bool meet_draw_length(DrawCycle& cycle);
  /// Both in turn until both are met.
  DrawCycle settle();
  /// The same, first with the grip and the nock in the middle and then moved to their place by steps: a slanting hold
  /// force turns the cams apart, and with a high let-off the draw has no equilibrium unless the cables are matched on
  /// the way.
  DrawCycle approach();
  void change_cable_difference(double change);
  /// Add the deviation of the elastic bow's curve to the command; returns the largest deviation [N].
  double correct(const DrawCycle& cycle);

  /// How the take-up track is fitted.
  struct FitRule {
    double smoothing = 1e-4;
    double smallest_radius = 0.001;  // of the track [m]
  };

  const BowMeasurements& m_;
  DrawCurve wanted_, command_;
  Setup setup_;
  HalfBow half_;
  HalfState brace_;
  double brace_tension_ = 0.0;  // of the string [N]
  std::vector<HalfState> states_;
  std::vector<double> distances_;  // of the states: grip pivot to nock [m]
  double cable_difference_ = 0.0;  // upper less lower [m]
  double sync_slope_ = 0.0;        // change of stop gap (upper less lower) per difference
  FitRule rule_;
  int passes_ = 0;
  Attempt best_;
};

/// Draw force of a cycle at a nock distance, by cubic interpolation between its samples [N].
double interpolated_draw_force(const DrawCycle& cycle, double distance);

}  // namespace nockwise::detail
