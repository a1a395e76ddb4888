/// @file
/// What one trade step of every adjustment does to the shot: the tear matrix.
#pragma once

#include "nockwise/adjustment.hpp"
#include "nockwise/setup.hpp"
#include "nockwise/units.hpp"

#include <array>
#include <atomic>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace nockwise {

/// The numbers of one shot that adjustments are judged by.
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
};
inline constexpr std::size_t output_count = 14;

/// One number per Output.
class OutputValues {
 public:
  [[nodiscard]] double operator[](Output output) const { return values_[static_cast<std::size_t>(output)]; }
  [[nodiscard]] double& operator[](Output output) { return values_[static_cast<std::size_t>(output)]; }

 private:
  std::array<double, output_count> values_{};
};

/// Name, heading and unit of an output, for files and tables.
struct OutputDescription {
  Output output = Output::tear_up;
  std::string name;   ///< "tear_up"
  std::string title;  ///< "tear, up"
  Quantity quantity = Quantity::length;
  std::string unit;  ///< in which tables show it
};
/// All outputs, in the order of the enumeration.
[[nodiscard]] std::span<const OutputDescription> output_descriptions();

/// One shot, judged.
struct Shot {
  bool flew = false;         ///< the arrow left the bow in the ordinary way, and every number below is good
  std::string failure;       ///< why it did not
  OutputValues value;        ///< zero unless it flew
  bool vane_strike = false;  ///< a vane that points at the launcher would strike it
  std::vector<std::string> cautions;
};

/// Options of tear_matrix() and shoot().
struct TearMatrixOptions {
  double distance = -1.0;      ///< of the paper [m]; negative: the setup's
  double step_fraction = 1.0;  ///< of a trade step, for the differences; in (0, 4]
  int threads = 0;             ///< 0: as many as the machine has
  bool statics = true;         ///< compute stop_gap, draw_length, peak_force, let_off and impact; 0 otherwise
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off: Interrupted is thrown
};

/// What one step of one adjustment does.
struct TearMatrixRow {
  Adjustment adjustment;
  OutputValues per_step;              ///< change per positive step
  Shot plus, minus;                   ///< the shots `step_fraction` steps either way
  bool both_sides = false;            ///< per_step is a central difference; else one of the shots did not fly
  bool linear = false;                ///< the tear answers alike either way
  std::vector<std::string> warnings;  ///< for people: what makes this slope unreliable
};

/// The bow as given, and the rows of all its adjustments.
struct TearMatrix {
  double distance = 0.0;  ///< of the paper [m]
  Shot base;
  std::vector<TearMatrixRow> rows;
};

/// Shoot one setup and evaluate the shot; a setup that cannot be shot is told in `failure`, not thrown.
/// @throws InputError for an option out of range; Interrupted when stopped
[[nodiscard]] Shot shoot(const Setup& setup, const TearMatrixOptions& options = {});

/// Full launches one step either way of every adjustment (or of those given), in parallel; the result does not depend
/// on the number of threads.
/// @throws InputError for an option out of range; SolverError when the bow as given cannot be shot; Interrupted when
/// stopped
[[nodiscard]] TearMatrix tear_matrix(const Setup& setup, const TearMatrixOptions& options = {});
[[nodiscard]] TearMatrix tear_matrix(const Setup& setup, std::span<const Adjustment> rows,
                                     const TearMatrixOptions& options = {});

}  // namespace nockwise
