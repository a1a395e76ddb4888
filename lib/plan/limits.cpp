#include "plan/limits.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr const char* nock_path = "string.nocking_point";
constexpr const char* rest_path = "rest.height";
constexpr double rounding = 1e-9;  // of a limit: sums of steps are not exact

}  // namespace

JointLimits::JointLimits(const std::vector<Adjustment>& candidates, std::optional<double> shelf_clearance) {
  constexpr double least_room = 0.001;  // [m] left between vanes and shelf
  if (shelf_clearance) {
    lowest_rest_ = -std::max(0.0, *shelf_clearance - least_room);
  }
  for (const Adjustment& a : candidates) {
    const double farthest = std::max(-a.least_steps, a.most_steps);
    for (const ParameterStep& part : a.parameters) {
      double& most = most_[part.path];
      most = std::max(most, farthest * std::fabs(part.per_step));
    }
    if (a.parameters.size() == 1 && a.parameters.front().path == nock_path) {
      most_off_square_ = farthest * std::fabs(a.parameters.front().per_step);
    }
  }
}

bool JointLimits::allow(const std::vector<Adjustment>& candidates, const Steps& steps) const {
  std::map<std::string, double> moved;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    for (std::size_t p = 0; steps[i] != 0 && p < candidates[i].parameters.size(); ++p) {
      const ParameterStep& part = candidates[i].parameters[p];
      moved[part.path] += steps[i] * part.per_step;
    }
  }
  const bool each = std::all_of(moved.begin(), moved.end(), [&](const auto& path) {
    return std::fabs(path.second) <= most_.at(path.first) * (1.0 + rounding);
  });
  return each && moved[rest_path] >= lowest_rest_ - rounding &&
         std::fabs(moved[nock_path] - moved[rest_path]) <= most_off_square_ * (1.0 + rounding);
}

}  // namespace nockwise::detail
