// The fixed step of a launch. Private.
#pragma once

#include "launch/part_rates.hpp"
#include "nockwise/launch.hpp"

namespace nockwise::detail {

inline bool has_fixed_step(Integrator integrator) { return integrator != Integrator::dormand_prince; }

struct StableStep {
  double step = 0.0;  // [s]
  bool usual = true;  // nothing is much quicker than on bows on which the usual step was tried
};

/// The step asked for, or what the quickest part bears if that is less: a share of what its integrator holds
/// (numerics/nystrom.hpp; for the classical rule Hairer and Wanner, Solving Ordinary Differential Equations II, sec.
/// IV.2). The shaft's own modes alone have a margin of a fifth (bench/work_precision.md); what bounds all parts
/// together is larger than they are as it stands. \throws SolverError where no step that can be asked for is short
/// enough, naming what is too quick
StableStep stable_step(const kernel::ArrowConstants<double>& arrow, int modes, const PartRates& rates,
                       Integrator integrator, double asked);

}  // namespace nockwise::detail
