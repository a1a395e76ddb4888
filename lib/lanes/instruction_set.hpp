// The engines of one instruction set. Private; included by the instruction sets' sources alone.
#pragma once

#include "lanes/launches.hpp"
#include "lanes/statics_engine.hpp"

namespace nockwise::detail {

/// `Isa` has no linkage, so nothing made here is shared with other sources.
template <int N, class Isa>
constexpr LaneBackend lane_backend_of(const char* name) {
  using S = kernel::Pack<N, Isa>;
  return {name, N, run_lanes<S, 1>, run_lanes<S, 2>, run_lane_statics<S, 1>, run_lane_statics<S, 2>};
}

}  // namespace nockwise::detail
