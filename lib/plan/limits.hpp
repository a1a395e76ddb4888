// Limits that hold for what belongs together. Private.
#pragma once

#include "plan/responses.hpp"

#include <map>
#include <string>

namespace nockwise::detail {

/// 3/16 in: as late as a cam may be set on purpose [m].
inline constexpr double most_late = 0.0254 * 3.0 / 16.0;

/// How far a sight's pin is moved, at most, for what a plan does to the arrow's way [m]: half an inch aside and an inch
/// up or down are what most sights have left.
inline constexpr double most_windage = 0.0127, most_elevation = 0.0254;
/// Eye to pin [m]: an ordinary draw length and extension.
inline constexpr double sight_radius = 0.85;

/// How far every parameter may be moved by all adjustments together: as far as the one that may move it farthest. Nock
/// and rest against each other: as far as either may alone. A shim of one cam and of both, turns of one yoke leg and of
/// leg against leg, twists of one cable and of both are so limited in sum.
class JointLimits {
 public:
  /// `shelf_clearance`: as in the plan's problem.
  JointLimits(const std::vector<Adjustment>& candidates, std::optional<double> shelf_clearance);
  [[nodiscard]] bool allow(const std::vector<Adjustment>& candidates, const Steps& steps) const;

 private:
  std::map<std::string, double> most_;  // by path [SI]
  double most_off_square_ = 0.0;        // [m]
  double lowest_rest_ = -1.0;           // by the shelf, from where the rest stands [m]
};

}  // namespace nockwise::detail
