// Limits that hold for what belongs together. Private.
#pragma once

#include "plan/responses.hpp"

#include <map>
#include <string>

namespace nockwise::detail {

/// 3/16 in: as late as a cam may be set on purpose [m].
inline constexpr double most_late = 0.0254 * 3.0 / 16.0;

/// How far every parameter may be moved by all adjustments together: as far as the one that may move it farthest. Nock
/// and rest against each other: as far as either may alone. A shim of one cam and of both, turns of one yoke leg and of
/// leg against leg, twists of one cable and of both are so limited in sum.
class JointLimits {
 public:
  explicit JointLimits(const std::vector<Adjustment>& candidates);
  [[nodiscard]] bool allow(const std::vector<Adjustment>& candidates, const Steps& steps) const;

 private:
  std::map<std::string, double> most_;  // by path [SI]
  double most_off_square_ = 0.0;        // [m]
};

}  // namespace nockwise::detail
