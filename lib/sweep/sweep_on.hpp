// A sweep on lanes of one's own choosing, for tests and benchmarks. Private.
#pragma once

#include "lanes/dispatch.hpp"
#include "nockwise/sweep.hpp"

namespace nockwise::detail {

void sweep_on(const LaneBackend& machine, std::size_t count, const SweepSetup& setup_of, const SweepTake& take,
              const SweepOptions& options);

}  // namespace nockwise::detail
