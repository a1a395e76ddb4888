// The fixed step of a launch. Private.
#pragma once

#include "kernel/constants.hpp"

#include <cmath>

namespace nockwise::detail {

/// A launch that proves its step too long flies again with a quarter of it, so many times at most.
inline constexpr int most_quarters = 4;

/// The step asked for, or what the arrow's quickest mode bears if that is less. Classical Runge–Kutta follows an
/// oscillation up to step × angular frequency = 2.83 (Hairer and Wanner, Solving Ordinary Differential Equations II,
/// sec. IV.2); the string's lump at the nock slows the shaft's modes, so that launches are seen to hold up to 3.0 of
/// the free shaft's (bench/work_precision.md).
inline double holding_step(const kernel::ArrowConstants<double>& arrow, int modes, double asked) {
  constexpr double held = 2.6;
  const double quickest = std::sqrt(arrow.stiffness[modes - 1]);  // 0: none but the rigid modes
  return quickest * asked > held ? held / quickest : asked;
}

}  // namespace nockwise::detail
