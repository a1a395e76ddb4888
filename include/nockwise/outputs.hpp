/// @file
/// The numbers by which a shot is judged, in one table: name, unit, meaning, and how each comes from a launch.
#pragma once

#include "nockwise/draw.hpp"
#include "nockwise/export.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>

namespace NOCKWISE_EXPORT nockwise {

/// The numbers of one shot that adjustments are judged by, and those that a workshop can check.
///
/// The impact is that of a riser held alike at full draw, so its change is what a sight on the riser must follow. A
/// peep that rides up or down with the string is not counted.
enum class Output {
  tear_up,              ///< of the paper tear; positive: tail-high [m]
  tear_right,           ///< positive: tail-right as the archer sees it [m]
  stop_gap,             ///< upper gap less lower gap as the first stop touches; positive: the upper cam is late [m]
  draw_length,          ///< AMO, at the touch of the first stop [m]
  peak_force,           ///< [N]
  let_off,              ///< [fraction]
  exit_speed,           ///< of the arrow's mass centre as the nock leaves the string [m/s]
  shaft_clearance,      ///< launcher to shaft after the last contact [m]
  fletching_clearance,  ///< launcher to vanes as they pass; negative: they can strike [m]
  lean_upper,           ///< at full draw; positive: the string side of the upper cam stands to the right [rad]
  lean_lower,           ///< [rad]
  cable_clearance,      ///< vanes to the nearest cable, sideways at full draw; negative: they can strike [m]
  impact_up,            ///< where the point strikes at `surroundings.target_distance`, above the grip pivot [m]
  impact_right,         ///< positive: to the right as the archer sees it [m]
  arrow_square,         ///< nock above the point of the shaft over the rest, at brace; positive: nock high [m]
  chronograph_speed,    ///< of the arrow's mass centre 36 in ahead of the grip [m/s]
  axle_to_axle,         ///< at brace [m]
  brace_height,         ///< grip pivot to string [m]
  rest_up_before_wall,  ///< draw from where a drop-away's arm comes fully up to the first stop's touch [m]; 0: not up
  vane_marks,           ///< from a vane's edge to where the marks of the launcher on it end [m]; 0: it clears
  nock_travel,          ///< static, signed: see signed_nock_travel() [m]
};
inline constexpr std::size_t output_count = 21;

/// Static nock travel with its sign: how far the nock stands above the straight line between its places at brace and at
/// the touch of the first stop, on the mean over the stroke; positive: above, as the bow stands [m]. The mean changes
/// smoothly with the bow, as what is farthest of a path that crosses its line does not; its size is at most
/// `DrawCycle::static_nock_travel`.
[[nodiscard]] double signed_nock_travel(const DrawCycle& cycle);

/// One number per Output.
class OutputValues {
 public:
  [[nodiscard]] double operator[](Output output) const { return values_[static_cast<std::size_t>(output)]; }
  [[nodiscard]] double& operator[](Output output) { return values_[static_cast<std::size_t>(output)]; }

 private:
  std::array<double, output_count> values_{};
};

/// Name, heading, unit and meaning of an output, for files and tables.
struct OutputDescription {
  Output output = Output::tear_up;
  std::string name;   ///< "tear_up"
  std::string title;  ///< heading of a column: "tear up"
  Quantity quantity = Quantity::length;
  std::string unit;         ///< in which tables show it
  bool measurable = false;  ///< it can be measured on the bow as found, so that a case may have it as a check
  std::string meaning;      ///< in one phrase, with what positive means
};
/// All outputs, in the order of the enumeration.
[[nodiscard]] std::span<const OutputDescription> output_descriptions();
/// The output of this name; null if there is none.
[[nodiscard]] const OutputDescription* find_output(const std::string& name);

/// What an output is computed from, in the order of the shot; from `launch` on there must be one.
enum class OutputSource { brace, arrow, draw_cycle, launch, paper_tear, target_impact, chronograph_speed };

/// Results of one model and its launch, each computed once, when it is first asked for. To be used by one thread.
class LaunchResults {
 public:
  /// Both must outlive it. `launch` may be null; then only sources before OutputSource::launch can be asked for.
  /// `distance`: of the paper [m]; none: the setup's
  LaunchResults(const Model& model, const Launch* launch, const DrawOptions& draw = {},
                std::optional<double> distance = {})
      : model_(model), launch_(launch), draw_(draw), distance_(distance) {}

  [[nodiscard]] const BraceState& brace();
  [[nodiscard]] const ArrowProperties& arrow();
  /// @throws SolverError as draw_cycle()
  [[nodiscard]] const DrawCycle& draw_cycle();
  [[nodiscard]] bool has_launch() const { return launch_ != nullptr; }
  [[nodiscard]] const Launch& launch() const { return *launch_; }
  /// The tear, without the sections between point and tail.
  /// @throws InputError as paper_tear(); SolverError when it is not finite
  [[nodiscard]] const PaperTear& paper_tear() { return paper_tear(distance_); }
  /// The same at another distance [m]; the last one is kept.
  [[nodiscard]] const PaperTear& paper_tear(std::optional<double> distance);
  [[nodiscard]] const Impact& target_impact();
  [[nodiscard]] double chronograph_speed();

 private:
  const Model& model_;
  const Launch* launch_;
  DrawOptions draw_;
  std::optional<double> distance_;
  std::optional<BraceState> brace_;
  std::optional<ArrowProperties> arrow_;
  std::optional<DrawCycle> draw_cycle_;
  std::optional<PaperTear> paper_tear_;
  std::optional<double> tear_distance_;  // of `paper_tear_`
  std::optional<Impact> target_impact_;
  std::optional<double> chronograph_speed_;
};

[[nodiscard]] OutputSource source_of(Output output);
/// The output's value [SI].
/// @throws InputError or SolverError where what it is computed from cannot be
[[nodiscard]] double value_of(Output output, LaunchResults& results);

}  // namespace nockwise
