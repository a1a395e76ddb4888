// Many shots at one target (nockwise/group.hpp).
#include "nockwise/group.hpp"

#include "groups/shooter.hpp"
#include "groups/statistics.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

using detail::ShotErrors;

/// Share of the impacts' variance that straight lines explain.
double straight_part(const Group& group, const detail::Slopes& slopes, std::span<const ShotErrors> arrived) {
  double up = 0.0, right = 0.0, up_up = 0.0, right_right = 0.0;
  const auto count = static_cast<double>(arrived.size());
  for (std::size_t i = 0; i < arrived.size(); ++i) {
    double u = group.up[i];
    double r = group.right[i];
    for (std::size_t k = 0; k < slopes.up.size(); ++k) {
      const double c = std::cos(arrived[i].angle[k]);
      const double s = std::sin(arrived[i].angle[k]);
      u -= arrived[i].normal[k] * (c * slopes.up[k] + s * slopes.up_level[k]);
      r -= arrived[i].normal[k] * (c * slopes.right[k] + s * slopes.right_level[k]);
    }
    up += u;
    right += r;
    up_up += u * u;
    right_right += r * r;
  }
  const double left = (up_up - up * up / count + right_right - right * right / count) / (count - 1.0);
  const double all = group.deviation_up * group.deviation_up + group.deviation_right * group.deviation_right;
  return all > 0.0 ? 1.0 - left / all : 1.0;
}

void add_notes(Group& group, const std::string& first_failure) {
  group.notes = group.forgiveness.notes;
  if (group.failed > 0) {
    group.notes.push_back(std::to_string(group.failed) + " of " + std::to_string(group.shots) +
                          " shots did not arrive and are left out; the first: " + first_failure);
  }
  if (group.touches > 0) {
    group.notes.push_back("in " + std::to_string(group.touches) + " of " + std::to_string(group.shots) +
                          " shots a vane strikes the launcher or a cable, which is in their impacts");
  }
  if (group.bounces > 0 && group.bounces < group.up.size()) {
    group.notes.push_back("in " + std::to_string(group.bounces) + " of " + std::to_string(group.shots) +
                          " shots the shaft meets the launcher again after it has left it, in the others it does not");
  }
  constexpr double bent = 0.9;
  if (group.straight_part < bent) {
    group.notes.push_back(
        "the impacts do not follow straight lines: shares tell the order of what matters rather "
        "than amounts");
  }
}

}  // namespace

Forgiveness forgiveness(const Setup& setup, const Scatter& scatter, const GroupOptions& options) {
  detail::Slopes slopes;
  return detail::forgiveness_of(detail::Shooter(setup, scatter, options), options, slopes);
}

Group group(const Setup& setup, const Scatter& scatter, const GroupOptions& options) {
  const detail::Shooter shooter(setup, scatter, options);
  std::vector<ShotErrors> shots;
  shots.reserve(options.shots);
  for (std::size_t i = 0; i < options.shots; ++i) {
    shots.push_back(detail::drawn_errors(shooter.sources(), options.seed, i, i % options.arrows));
  }
  detail::check_ranges(setup, shooter.sources(), shots);
  Group group;
  detail::Slopes slopes;
  group.forgiveness = detail::forgiveness_of(shooter, options, slopes);
  group.name = setup.name;
  group.scatter = scatter.name;
  group.distance = shooter.distance();
  group.shots = options.shots;
  const std::vector<detail::Strike> strikes = shooter.shoot(shots);
  std::vector<ShotErrors> arrived;
  std::string first_failure;
  for (std::size_t i = 0; i < strikes.size(); ++i) {
    if (!strikes[i].failure.empty()) {
      first_failure = first_failure.empty() ? strikes[i].failure : first_failure;
      ++group.failed;
      continue;
    }
    group.up.push_back(strikes[i].up);
    group.right.push_back(strikes[i].right);
    group.arrow.push_back(static_cast<int>(i % options.arrows));
    group.touches += strikes[i].touches ? 1 : 0;
    group.bounces += strikes[i].bounces ? 1 : 0;
    if (strikes[i].clearance) {
      group.least_clearance = std::min(group.least_clearance.value_or(*strikes[i].clearance), *strikes[i].clearance);
    }
    arrived.push_back(std::move(shots[i]));
  }
  if (2 * group.failed > group.shots || group.up.size() < 2) {
    throw SolverError("group", std::to_string(group.failed) + " of " + std::to_string(group.shots) +
                                   " shots do not arrive; the first: " + first_failure);
  }
  detail::fill_statistics(group, options.face, setup.arrow.diameter);
  group.straight_part = straight_part(group, slopes, arrived);
  group.pattern = detail::pattern_of(group);
  add_notes(group, first_failure);
  return group;
}

}  // namespace nockwise
