// Many shots at once: the one place through which adjustments, explanations and plans launch arrows, all in the lanes
// and threads of one sweep. Private.
#pragma once

#include "nockwise/outputs.hpp"
#include "nockwise/setup.hpp"
#include "nockwise/tear_matrix.hpp"

#include <atomic>
#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <vector>

namespace nockwise::detail {

/// One shot to be computed.
struct ShotRequest {
  Setup setup;
  std::string failure{};             // a reason known beforehand; such a request is not shot
  std::optional<double> distance{};  // of the paper [m]; none: the setup's
  bool statics = true;               // with the outputs of draw and target, which take longest
  bool draw_curve = false;           // forces along the whole draw will be asked for
};

/// How many threads launch, and the flag that stops them.
struct Execution {
  std::optional<int> threads{};  // as SweepOptions
  const std::atomic<bool>* stop = nullptr;
  std::atomic<std::size_t>* launched = nullptr;  // counts those that are done
};

/// Called with the results of each request whose arrow left the bow in the ordinary way, from any thread and in any
/// order; an Error that it throws is that request's failure.
using ReadResults = std::function<void(std::size_t request, LaunchResults& results)>;

/// Launch them all. Why each failed, in their order; empty for those that did not.
/// \throws Interrupted when the execution was stopped, before the next launch
[[nodiscard]] std::vector<std::string> launch_many(std::span<const ShotRequest> requests, const Execution& execution,
                                                   const ReadResults& read);

/// One shot per request, in their order whatever the number of threads. \throws as launch_many()
[[nodiscard]] std::vector<Shot> shoot_many(std::span<const ShotRequest> requests, const Execution& execution);

/// Draw force at an AMO draw length [N]: a straight line between the cycle's points; beyond the wall, the wall's.
[[nodiscard]] double draw_force_at(const DrawCycle& cycle, double draw_length);

}  // namespace nockwise::detail
