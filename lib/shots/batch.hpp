// Many shots at once: the one place through which adjustments, explanations and plans launch arrows, so that lanes
// take the place of threads here. Private.
#pragma once

#include "nockwise/setup.hpp"
#include "nockwise/tear_matrix.hpp"

#include <atomic>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace nockwise::detail {

/// One shot to be computed.
struct ShotRequest {
  Setup setup;
  std::string failure;            // a reason known beforehand; such a request is not shot
  std::vector<double> distances;  // of the paper [m]; the first one is judged in `shot`, negative: the setup's
  bool statics = true;
  std::vector<double> draw_lengths{};  // AMO; where the draw force is wanted [m]
};

/// What the explanation wants to know beyond a Shot.
struct ShotResult {
  Shot shot;
  std::vector<double> up, right;    // per distance [m]
  std::vector<double> draw_forces;  // per draw length [N]
  double chronograph_speed = 0.0;
  double arrow_square = 0.0;  // nock over rest at brace [m]
  double drop_start = 0.0;    // [s]
  double axle_to_axle = 0.0;
  double brace_height = 0.0;
};

/// Who launches, and who may break it off.
struct Execution {
  int threads = 0;  // 0: as many as the machine has
  const std::atomic<bool>* stop = nullptr;
};

/// One result per request, in the same order whatever the number of threads.
/// \throws Interrupted when the execution was stopped, before the next launch
[[nodiscard]] std::vector<ShotResult> launch_many(std::span<const ShotRequest> requests, const Execution& execution);

}  // namespace nockwise::detail
