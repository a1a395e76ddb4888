// March, fit and correct: the passes of the bow builder. Private.
#pragma once

#include "bow_builder/draw_curve.hpp"
#include "bow_builder/guesses.hpp"
#include "bow_builder/half_bow.hpp"
#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "numerics/spline_fit.hpp"

#include <optional>
#include <string>
#include <vector>

namespace nockwise::detail {

/// How closely a designed draw comes to what is wanted before its passes end.
struct Closeness {
  double peak = 3e-4;     // [peaks]
  double let_off = 5e-4;  // [fraction]
  double speed = 1e-3;    // [speeds]
  double length = 1e-6;   // of brace height, axle-to-axle and draw length [m]; angles alike [rad]
  int passes = 14;
};

/// The state of a build. Each pass marches with the commanded draw curve, fits the take-up track, puts the elastic bow
/// on a draw board and adds what its draw lacks to the command.
class BowBuilder {
 public:
  BowBuilder(const BowMeasurements& measurements, const Guesses& guesses, Setup base, const Closeness& close);

  /// Pass until the draw is met or no longer improves; the best bow is kept.
  /// \throws InputError, SolverError where there is none
  void run();

  [[nodiscard]] const Setup& setup() const { return best_.setup; }
  [[nodiscard]] const DrawCycle& cycle() const { return best_.cycle; }
  [[nodiscard]] const DrawCurve& wanted() const { return wanted_; }
  [[nodiscard]] const Guesses& guesses() const { return guesses_; }
  [[nodiscard]] int passes() const { return passes_; }
  /// As a chronograph would show it with the arrow that was asked for [m/s]; 0 where no speed was asked for.
  [[nodiscard]] double speed() const { return speed_; }
  [[nodiscard]] double shot_arrow() const { return shot_arrow_; }      ///< mass of that arrow [kg]
  [[nodiscard]] double virtual_mass() const { return virtual_mass_; }  ///< [kg]

 private:
  struct Attempt {
    Setup setup;
    DrawCycle cycle;
    double largest = 1e300;  // deviation from the wanted curve [N], or from what is wanted of a design [tolerances]
    double speed = 0.0, virtual_mass = 0.0;  // where one was asked for [m/s, kg]
  };
  /// What is commanded of a design.
  struct Command {
    double peak = 0.0, holding = 0.0;  // [N]
    double fullness = 0.0;
  };

  /// Where only peak and let-off are given: passes that change the command until peak, let-off and speed are met.
  void design();
  /// Where the draw was measured: passes that add to the command what the curve lacks.
  void follow();
  /// What the draw of this pass is off by, in tolerances; changes the command for the next.
  double improve(Command& command, const DrawCycle& cycle);
  /// Of the commanded curve, were it as full as that [J].
  [[nodiscard]] double commanded_energy(const Command& command, double fullness) const;
  /// How full a curve the speed asks for, before anything is built, with lighter parts where it would be very full.
  /// \throws SpeedUnmet where none is full enough
  double fullness_for_speed(const Command& command);
  /// Change fullness, then heaviness, so that the speed comes nearer; returns what it is off by [speeds].
  double improve_speed(Command& command, const DrawCycle& cycle);
  /// The curve of a command, with limbs and string tension to suit.
  void command_draw(const Command& command);
  /// Heaviness, then the bearings' damping, so that the bow shoots as it should with the draw that it has.
  void fit_losses();
  /// Sets speed and virtual mass.
  void shoot_with(double arrow, const DrawCycle& cycle);

  void place_limbs(double energy);
  void place_cams();
  void march_and_fit();
  [[nodiscard]] std::vector<DrawDemand> demands() const;
  /// What a cable's take-up track must be, over the states of the march: p at φ.
  struct Take {
    double normal = 0.0, lever = 0.0;
    double tension = 0.0;  // of the cable [N]
  };
  [[nodiscard]] std::vector<Take> takes_at(Side side) const;
  void fit_take_up(Side side);
  void set_anchors();
  void set_lengths();
  /// How much longer a cable's way is past the guard than in the string's plane, the cams upright, its axle at `height`
  /// and its run in the direction `u` [m].
  [[nodiscard]] double way_aside(Side side, double height, double u) const;
  void set_stop_from_march();
  [[nodiscard]] double stop_angle_at(Side side, std::size_t state) const;

  /// Lengths of string and cables, limb preloads and limb place until axle-to-axle length and brace height are met with
  /// both cam angles zero. True when nothing was to be done.
  bool meet_brace();
  /// Stop angles (and, with yokes, the difference of the cables) until both stops touch at the wanted draw length. True
  /// when nothing was to be done; `cycle` is the draw.
  bool meet_draw_length(DrawCycle& cycle);
  bool meet_draw_length_of_yoked_cams(DrawCycle& cycle);
  bool meet_draw_length_of_tied_cams(DrawCycle& cycle);
  /// Both in turn until neither has anything to do.
  DrawCycle settle(double closeness);
  /// The same, first with the grip and the nock in the middle and then moved to their place by steps: a slanting hold
  /// force turns the cams apart, and in a deep valley they are lost unless the cables are matched on the way.
  DrawCycle approach(double closeness);
  void place_grip(double share);
  void change_cable_difference(double change);
  /// Add what the elastic bow's curve lacks to the command; returns the largest deviation [N].
  double correct(const DrawCycle& cycle);
  [[nodiscard]] bool tied() const { return m_.cabling != Cabling::yoke; }
  [[nodiscard]] StopKind stop_kind(Side side) const;
  [[nodiscard]] Cam& cam(Side side) { return side == Side::upper ? setup_.cams.upper : setup_.cams.lower; }
  [[nodiscard]] const Cam& cam(Side side) const { return side == Side::upper ? setup_.cams.upper : setup_.cams.lower; }
  [[nodiscard]] const Cable& cable(Side side) const {
    return side == Side::upper ? setup_.cables.upper : setup_.cables.lower;
  }
  [[nodiscard]] Cable& cable(Side side) { return side == Side::upper ? setup_.cables.upper : setup_.cables.lower; }
  /// The speed that was asked for and the arrow of it; of a rated speed what it means at this peak and draw.
  [[nodiscard]] std::optional<ChronographReading> wanted_speed(const DrawCycle& cycle, double virtual_mass) const;

  /// How the take-up track is fitted.
  struct FitRule {
    double smoothing = 1e-4;
    TrackLimits limits{0.001, 1.0};
  };

  const BowMeasurements& m_;
  Guesses guesses_;
  Closeness close_;
  DrawCurve wanted_, command_;
  Setup setup_;
  double nocking_point_ = 0.0;  // of the base [m]
  HalfBow half_;
  HalfState brace_;
  double march_begins_ = 0.0;
  double brace_tension_ = 0.0;  // of the string [N]
  std::vector<HalfState> states_;
  std::vector<Take> takes_[2];     // of the states, upper and lower cam
  std::vector<double> distances_;  // of the states: grip pivot to nock [m]
  double cable_difference_ = 0.0;  // upper less lower [m]
  double sync_slope_ = 0.0;        // change of stop gap (upper less lower) per difference
  double now_close_ = 0.0;         // what settle() is content with
  int draw_positions_ = 0;
  FitRule rule_;
  int passes_ = 0;
  double speed_ = 0.0;
  double virtual_mass_ = 0.0;
  double shot_arrow_ = 0.0;
  bool placed_ = false;            // the grip stands where it belongs
  bool fast_ = false;              // the speed asks for more than the fullest curve and the lightest parts have
  double reachable_ = 1.0;         // about how much of the speed asked for such cams can give [fraction]
  bool slow_ = false;              // the speed asks for more loss than heavy parts have
  double limbs_hold_ = 0.0;        // energy of the draw that the limbs are made for [J]
  double largest_fullness_ = 1.0;  // that such cams can draw
  Attempt best_;
};

/// Draw force of a cycle at a nock distance, by cubic interpolation between its samples [N].
double interpolated_draw_force(const DrawCycle& cycle, double distance);

}  // namespace nockwise::detail
