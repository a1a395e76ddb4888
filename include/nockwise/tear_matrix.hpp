/// @file
/// What one trade step of every adjustment does to the shot: the tear matrix.
#pragma once

#include "nockwise/adjustment.hpp"
#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/outputs.hpp"
#include "nockwise/setup.hpp"

#include <atomic>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// One launch with its outputs.
struct Shot {
  bool flew = false;         ///< the arrow left the bow in the ordinary way, and every number below is good
  std::string failure;       ///< why it did not
  OutputValues value;        ///< zero unless it flew
  bool vane_strike = false;  ///< a vane strikes the launcher
  std::vector<Caution> cautions;
};

/// Options of tear_matrix() and shoot().
struct TearMatrixOptions {
  std::optional<double> distance{};  ///< of the paper [m]; none: the setup's
  double step_fraction = 1.0;        ///< of a trade step, for the differences; in (0, 4]
  std::optional<int> threads{};      ///< at least 1; none: as many as the machine runs at once
  bool statics = true;  ///< compute stop_gap, nock_travel, draw_length, peak_force, let_off and impact; 0 otherwise
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
