// The fixed step of a launch. Private.
#pragma once

#include "kernel/constants.hpp"
#include "nockwise/launch.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

inline bool has_fixed_step(Integrator integrator) { return integrator != Integrator::dormand_prince; }

/// A launch that proves its step too long flies again with a quarter of it, so many times at most.
inline constexpr int most_quarters = 4;

/// The step asked for, or what the arrow's quickest mode bears if that is less: a share of what its integrator holds
/// (numerics/nystrom.hpp; for the classical rule Hairer and Wanner, Solving Ordinary Differential Equations II, sec.
/// IV.2). The string's lump at the nock slows the shaft's modes, so that launches hold rather more
/// (bench/work_precision.md).
inline double stable_step(const kernel::ArrowConstants<double>& arrow, int modes, Integrator integrator, double asked) {
  const double quickest = std::sqrt(arrow.stiffness[modes - 1]);  // 0: none but the rigid modes
  const double damping = 0.5 * quickest * arrow.damping_time;     // its ratio
  const bool nystrom = integrator == Integrator::nystrom;
  const double held = nystrom ? 3.2 * std::min(1.0, 0.28 / damping) : 2.6;
  return quickest * asked > held ? held / quickest : asked;
}

}  // namespace nockwise::detail
