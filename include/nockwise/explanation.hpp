/// @file
/// From holes in the paper to what to do: causes with amounts, the next check, and a plan in whole trade steps.
///
/// The bow that was shot is taken for the setup with a few parameters off by unknown amounts, counted in trade steps of
/// the adjustments that move them. How far each is usually off is its prior width. Full launches fit the observations.
#pragma once

#include "nockwise/adjustment.hpp"
#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/tear_matrix.hpp"

#include <array>
#include <atomic>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// 1/8 in: how well a tear is read with a ruler, in 19 of 20 readings [m].
inline constexpr double usual_reading_error = 0.003175;

/// A parameter changed for one shot, known to whoever shot it.
struct ParameterChange {
  std::string path;
  double value = 0.0;     ///< [SI]
  bool relative = false;  ///< `value` is added to what the bow had, else it replaces it
  bool operator==(const ParameterChange&) const = default;
};

/// One hole in the paper. Its frame: up > 0 tail-high, right > 0 tail-right as the archer sees it.
struct TearObservation {
  double up = 0.0;                             ///< [m]
  double right = 0.0;                          ///< [m]
  double reading_error = usual_reading_error;  ///< the truth lies within ± this in 19 of 20 readings [m]
  std::optional<double> distance{};            ///< of the paper from the grip [m], above 0; none: the setup's
  std::string label = "as found";
  std::vector<ParameterChange> changes{};  ///< against the bow as found: none, an adjustment, or a bare shaft
  std::string archer{};   ///< who shot it: empty for the bow's own archer, "machine", or a name for anybody else
  std::size_t after = 0;  ///< how many steps of the case's work were done before it; 0: the bow as it came in
};

/// A measurement on the bow. `what` is "stop_gap", "arrow_square", "lean_upper", "lean_lower",
/// "chronograph_speed", "peak_force", "draw_length", "let_off", "axle_to_axle", "brace_height", "rest_up_before_wall",
/// "vane_marks", or the path of a parameter ("rest.center_shot").
struct CheckObservation {
  std::string what;
  double value = 0.0;     ///< [SI]
  double error = 0.0;     ///< the truth lies within ± this in 19 of 20 measurements [SI]; above 0
  std::size_t after = 0;  ///< how many steps of the case's work were done before it
};

/// A step that was done on the bow since it came in, and is to stay.
struct WorkStep {
  std::string adjustment;  ///< its name, as in adjustments(): "rest.height"
  double steps = 0.0;      ///< trade steps, positive as the adjustment says
  bool operator==(const WorkStep&) const = default;
};

/// How far one adjustment is usually off, unnoticed.
struct PriorWidth {
  std::string adjustment;
  double steps = 0.0;  ///< standard deviation in trade steps; 0: not suspected
};

/// What the person who asks has at hand. Next checks and plans keep to it.
struct Workshop {
  bool bow_press = true;            ///< with somebody who knows it
  bool draw_board = true;           ///< else stops are watched while the bow is drawn by hand, and read more coarsely
  bool second_arrow = true;         ///< one that may be stripped for a bare shaft, or shot beside the first
  bool spare_spine = true;          ///< arrows of another spine, to try or to end with
  std::vector<double> distances{};  ///< of the paper, that can be shot from [m]; empty: any
};

/// Everything known about one bow that gives trouble.
struct Case {
  Setup setup;  ///< as it is supposed to be
  std::vector<TearObservation> tears;
  std::vector<CheckObservation> checks;
  std::vector<WorkStep> work;         ///< what was done since it came in, in order; the plan goes on from there
  std::vector<PriorWidth> priors;     ///< replacing the default ones
  std::vector<AssumedValue> assumed;  ///< what the setup's file did not give, for the report
  Workshop workshop{};
  /// Room between the riser's shelf and the lowest vane, or the shaft of a bare one, on the raised rest [m]; none: not
  /// measured. The plan lowers the arrow by no more.
  std::optional<double> shelf_clearance{};
};

/// The range in which a number of a case, or of a calibration, is believed. The one description of it for the readers
/// of files, for explain() and calibrate(), and for documentation.
struct CaseRange {
  std::string path;  ///< "tears.distance"; "tears" is how many there may be
  Quantity quantity = Quantity::dimensionless;
  std::string unit;      ///< preferred in messages
  double minimum = 0.0;  ///< [SI]
  double maximum = 0.0;  ///< [SI]
  std::string doc;

  /// "must be from 1.64 ft to 164 ft"
  [[nodiscard]] std::string allowed() const;
  /// @throws InputError for `subject` if the value is outside or not finite
  void check(const std::string& subject, double value) const;
};

/// Every range. The error of a check may be from a millionth of the check's range to the whole of it, and a check of a
/// parameter has the parameter's range.
[[nodiscard]] std::span<const CaseRange> case_ranges();

/// The quantity in which a check is measured.
/// @throws InputError for anything that CheckObservation does not list
[[nodiscard]] Quantity check_quantity(const std::string& what);

/// A bare shaft: the change that a TearObservation needs for one.
[[nodiscard]] ParameterChange bare_shaft();

/// Reads a case file (TOML). Lengths need a unit; the setup is looked up beside the case file.
///
///     format = 1
///     setup = "larkspur.toml"
///     [[tears]]
///     high = "1/2 in"            # or low; and left or right
///     left = "1/4 in"
///     distance = "10 ft"         # else the setup's
///     reading_error = "1/8 in"
///     [[tears]]
///     high = "0.7 in"
///     bare_shaft = true          # or changes = { "arrow.spine" = "300 spine" }, changes_by = { … }
///     archer = "a friend"        # or "machine"; else the bow's own archer
///     trial = { "cable.upper" = 1 }        # or: shot after this adjustment was moved by so many trade steps
///     [[work]]
///     "rest.height" = -2         # done since, in trade steps, and to stay; one step each, in order
///     [[tears]]
///     low = "1/8 in"
///     after = 1                  # how many of these steps were done before; checks take it as well
///     [checks]
///     stops_touch_together = true          # arrow_square_at_brace, rest_as_in_setup
///     rest_up_before_wall = { value = "2 in", error = "1/4 in" }      # as it is seen
///     chronograph_speed = { value = "253 ft/s", error = "2 ft/s" }
///     [priors]
///     "cable.upper" = 2.0        # trade steps
///     [workshop]
///     bow_press = false          # draw_board, second_arrow, spare_spine; what is not named is there
///     distances = ["6 ft", "12 ft"]
///
/// `shelf_clearance = "1/4 in"` stands above the first table. In place of `setup`, `[bow]` tells what is known of a bow
/// without a setup file: the lines of its sheet as read_measurements() takes them, and numbers and choices of a setup
/// by their path. build_bow() makes a bow of it; what was not told is known a class less well than in a setup file.
///
///     [bow]
///     draw_length = "28 in"      # must be told, as are the next three (or draw_curve for the last)
///     axle_to_axle = "31 in"
///     brace_height = "6 1/2 in"
///     peak_force = "60 lbf"
///     let_off = "80 %"           # if not told: 80 %, crossed cables, limb stops
///     cabling = "yoke"
///     stop = "cable"
///     rated_speed = "320 ft/s"   # or chronograph = { speed = "281 ft/s", arrow_mass = "400 gr" }
///     arrow_mass = "400 gr"      # the whole arrow
///     "handedness" = "left"
///     "rest.kind" = "blade"
///     "arrow.spine" = "340 spine"
///
/// @throws InputError with file, line and column for whatever cannot be meant, also for a length without its unit
[[nodiscard]] Case read_case(const std::filesystem::path& file);
/// The same for the text of a file; the setup is looked up in `folder`.
[[nodiscard]] Case parse_case(std::string_view toml, const std::filesystem::path& folder,
                              const std::string& source_name = "case");

/// Options of explain().
struct ExplanationOptions {
  std::optional<int> threads{};  ///< at least 1; none: as many as the machine runs at once
  bool next_checks = true;       ///< work them out
  bool plan = true;              ///< work it out
  bool arrow_steps = true;       ///< the plan may end with another arrow, when nothing else will do
  /// How far the bow may differ from its setup besides what is suspected: factor on the widths of ignorance_of(), 0
  /// to 4. At 0 the file is taken for the bow.
  double ignorance = 1.0;
  const std::atomic<bool>* stop = nullptr;       ///< set it to true to break off: Interrupted is thrown
  std::atomic<std::size_t>* launched = nullptr;  ///< counts the launches that are done, for a progress bar
};

/// About how many launches explain() will take, within a factor of two as a rule; 0 where it will need none.
[[nodiscard]] std::size_t expected_launches(const Case& observed, const ExplanationOptions& options = {});

/// What the observations say as a whole.
enum class Verdict {
  explained,      ///< deviations of an ordinary size explain all
  unusual,        ///< only deviations of an unusual size explain it: improbable, and possible
  unexplained,    ///< nothing that is suspected makes this hole within its limits; the plan is a remedy, not a repair
  clean,          ///< every hole lies within its reading error, and most probably the tear does: leave the bow alone
  useless,        ///< nothing to go by, or nothing that tuning explains
  contradictory,  ///< no bow shoots all of these holes, or has all of these checks, whatever makes its tear
  not_this_bow,   ///< observations agree with each other, and not with the setup, nor with any one or two deviations of
                  ///< it: its entries are to be checked before anything is planned on a press
};

/// One suspected parameter in the joint fit.
struct Deviation {
  Adjustment adjustment;
  double prior = 0.0;      ///< standard deviation before the observations [steps]
  double steps = 0.0;      ///< most probable [steps]
  double deviation = 0.0;  ///< standard deviation after them [steps]
  double low = 0.0;        ///< 90 % interval [steps]
  double high = 0.0;
};

/// One parameter as the only one that is off.
struct Cause {
  Adjustment adjustment;
  double steps = 0.0;  ///< amount that explains the observations best [steps]
  double low = 0.0;    ///< 90 % interval, if this is the cause [steps]
  double high = 0.0;
  double implausibility = 0.0;  ///< amount in usual prior widths
  double unexplained = 0.0;     ///< largest tear that it leaves unexplained, over all holes [m]
  double misfit = 0.0;          ///< mean square of what it leaves, in reading errors' standard deviations
  double probability = 0.0;     ///< among the single causes [fraction]
  bool explains = false;        ///< what it leaves is what reading errors may leave
  bool like_first = false;      ///< cannot be told from the first in the list by these observations
  std::string words;
};

/// Two parameters that are off together.
struct CausePair {
  std::array<Adjustment, 2> adjustment;
  std::array<double, 2> steps{};  ///< [steps]
  std::array<double, 2> low{};    ///< with high: holds 90 % of the posterior, if these are the causes [steps]
  std::array<double, 2> high{};   ///< [steps]
  double unexplained = 0.0;       ///< largest tear left unexplained [m]
  double probability = 0.0;       ///< among the pairs listed [fraction]
  bool explains = false;
  bool like_first = false;
  std::string words;
};

/// A check or an extra shot that is not made yet.
struct NextCheck {
  std::string name;  ///< "draw_board", "bare_shaft", …
  std::string instruction;
  double effort = 0.0;                   ///< [min]
  double information = 0.0;              ///< expected [bit]
  double merit = 0.0;                    ///< information per effort [bit/min]
  std::string expectation;               ///< what the likeliest causes would show
  std::vector<CheckObservation> checks;  ///< to be filled in and added to the case
  std::vector<TearObservation> tears;    ///< to be filled in and added to the case
};

/// One step of the plan.
struct PlanStep {
  Adjustment adjustment;
  double steps = 0.0;  ///< whole, but for sync, which may be set by half a step: a quarter twist
  std::string instruction;
  std::string reason;
  OutputValues before, after;  ///< full launches of the bow as explained
  std::vector<std::string> side_effects;
  std::vector<Caution> cautions;
};

/// A hole that is expected.
struct PlannedHole {
  double distance = 0.0;  ///< of the paper [m]
  double up = 0.0;        ///< [m]
  double right = 0.0;     ///< [m]
};

/// What to do, in the order of work.
struct Plan {
  bool remedy = false;      ///< takes away a tear that nothing explains: what the steps undo is not its cause
  bool possible = false;    ///< ends within the reading error, within limits, if the likeliest explanation holds
  bool rounds = false;      ///< promises no clean hole, and takes much of the tear away: the first of several rounds
  double confidence = 0.0;  ///< probability that the true tear then is within the reading error [fraction]
  double distance = 0.0;    ///< of the paper [m]
  double reading_error = usual_reading_error;
  std::vector<std::string> first;  ///< to be looked at before the first step
  bool check_first = false;        ///< the first of the explanation's next_checks is to be made before the first step
  std::vector<PlanStep> steps;
  OutputValues start, end;             ///< predicted, before the first and after the last step
  std::vector<PlannedHole> elsewhere;  ///< at the end, at the other distances that the bow as found was shot from
  double uncertainty_up = 0.0;         ///< half width of the 90 % interval of the tear at the end [m]
  double uncertainty_right = 0.0;      ///< [m]
  std::string sight;  ///< how far the impact moves from start to end, for the sight to follow; may be empty
  std::string stop_rule;
  std::string refusal;  ///< why there is no plan, or why it does not reach its end; empty else
};

/// What there is to do next.
enum class NextKind {
  stop,           ///< it is clean: leave it alone
  check,          ///< something to measure, or a shot that tells explanations apart; more holes where it may be clean
  adjustment,     ///< one turn of a wrench, then a hole
  hand,           ///< another hand or a relaxed one, then a hole
  look_at_setup,  ///< the setup is not this bow, or the observations contradict each other: look again, touch nothing
  nothing,        ///< no step that may be taken helps, and no check is left; `instruction` says why
};

/// A hole that is foretold, as it will be read: 90 % intervals hold what is not known of the bow, which explanation it
/// is, and the reader's error.
struct ForetoldHole {
  double distance = 0.0;    ///< of the paper [m]
  double up = 0.0;          ///< mean [m]
  double up_low = 0.0;      ///< [m]
  double up_high = 0.0;     ///< [m]
  double right = 0.0;       ///< mean [m]
  double right_low = 0.0;   ///< [m]
  double right_high = 0.0;  ///< [m]
  double clean = 0.0;       ///< probability that it is read within the reading error [fraction]
  bool operator==(const ForetoldHole&) const = default;
};

/// What may be seen after the next thing is done, and what it would mean.
struct NextOutcome {
  std::string seen;
  std::string means;
  double probability = 0.0;  ///< [fraction]; those of all outcomes need not make 1
};

/// The one next thing to do.
///
/// **Rule.** A clean hole ends it; one that is clean by half is shot again. Where the setup is not this bow, or
/// observations contradict each other, nothing is turned; where it is not this bow, work after which the hole was
/// larger is taken back. A hand that is likelier to twist the bow than not is tried before a wrench. Stops that nobody
/// has looked at are looked at before a cable is turned, and stops that were seen open are set before anything else.
/// Otherwise the first step of the plan stands against the first check, by minutes: a step that is wrong costs its
/// effort twice, for it is taken back, and three minutes for a hole; it is wrong in the share of the plausible bows
/// whose hole it does not bring nearer to clean, or, by half, whose cause it leaves as it is. A check of I bits leaves
/// the share 2⁻ᴵ of that loss and costs its own effort. The check is next where it and what it leaves cost less than
/// the loss.
struct NextStep {
  NextKind kind = NextKind::nothing;
  std::string instruction;
  std::string reason;
  double effort = 0.0;                   ///< [min]
  std::vector<WorkStep> work;            ///< for the case, when it is done: of an adjustment, of a hand to keep, and to
                                         ///< take back
  std::vector<CheckObservation> checks;  ///< to be filled in and added to the case: of a check
  std::vector<TearObservation> tears;    ///< the same; of an adjustment or a hand the hole after it
  std::optional<ForetoldHole> foretold;  ///< of the first of `tears`
  std::vector<NextOutcome> outcomes;     ///< likeliest meanings first; what nobody expects last
  std::vector<Caution> cautions;
};

/// Answer of explain().
struct Explanation {
  Case observed;
  Verdict verdict = Verdict::useless;
  std::string summary;                     ///< in one or two sentences
  std::vector<std::string> findings;       ///< inseparable causes, holes that do not fit
  std::vector<Deviation> deviations;       ///< joint fit, in the order of the adjustments
  std::vector<TearObservation> predicted;  ///< the holes of the bow as fitted, in the order of those observed
  double misfit = 0.0;                     ///< of the joint fit: chi-square over the number of readings
  std::vector<Cause> causes;               ///< most probable first
  std::vector<CausePair> pairs;        ///< the likeliest pairs, most probable first; empty if two faults are improbable
  std::vector<NextCheck> next_checks;  ///< most worthwhile first; what the plan needs before all others
  Plan plan;
  NextStep next;  ///< of the two above, the one thing to do now; only where both are worked out
  std::vector<Caution> cautions;
  std::vector<std::string> assumptions;
  std::size_t launches = 0;  ///< that it took
};

/// Explain what was seen, say what to look at next, and plan the work.
///
/// A case that gives nothing to go by, or contradicts itself, is told in the verdict.
/// @throws InputError for a value outside case_ranges(), and for an unknown check, adjustment or parameter
/// @throws SolverError when the setup as given cannot be shot
/// @throws Interrupted when stopped
[[nodiscard]] Explanation explain(const Case& observed, const ExplanationOptions& options = {});

/// The one next thing to do, from all that a case holds: `explain(observed, options).next`, with checks and plan.
/// @throws as explain()
[[nodiscard]] NextStep next_step(const Case& observed, ExplanationOptions options = {});

/// "explained", "clean", …
[[nodiscard]] const char* name_of(Verdict verdict);
/// "stop", "check", …
[[nodiscard]] const char* name_of(NextKind kind);

}  // namespace nockwise
