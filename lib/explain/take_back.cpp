#include "explain/take_back.hpp"

#include "causes/checks.hpp"
#include "nockwise/adjustment.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace nockwise::detail {

namespace {

struct MeanHole {
  double up = 0.0, right = 0.0;  // [m]
  double error = 0.0;            // of 19 in 20 means of so many readings [m]
};

bool is_plain(const TearObservation& tear, const TearObservation& like) {
  return tear.changes.empty() && tear.archer == like.archer && tear.distance == like.distance;
}

/// The holes of the bow after so many steps of work, as one.
std::optional<MeanHole> hole_after(const Case& observed, std::size_t steps) {
  MeanHole mean;
  double count = 0.0;
  double square = 0.0;
  for (const TearObservation& each : observed.tears) {
    if (each.after == steps && is_plain(each, observed.tears.front())) {
      mean.up += each.up;
      mean.right += each.right;
      square += each.reading_error * each.reading_error;
      count += 1.0;
    }
  }
  if (count == 0.0) {
    return {};
  }
  mean.up /= count;
  mean.right /= count;
  mean.error = std::sqrt(square) / count;
  return mean;
}

}  // namespace

TakeBack to_take_back(const Case& observed) {
  TakeBack result;
  const std::size_t done = observed.work.size();
  if (done == 0 || observed.tears.empty() || !observed.tears.front().changes.empty()) {
    return result;
  }
  const std::optional<MeanHole> now = hole_after(observed, done);
  if (!now) {
    return result;
  }
  double least = std::hypot(now->up, now->right);
  for (std::size_t steps = done; steps-- > 0;) {
    const std::optional<MeanHole> then = hole_after(observed, steps);
    if (then && std::hypot(then->up, then->right) < least - std::hypot(now->error, then->error)) {
      least = std::hypot(then->up, then->right);
      result = {{}, steps, then->up, then->right};
    }
  }
  if (!(least < std::hypot(now->up, now->right))) {
    return result;
  }
  const std::vector<Adjustment> all = adjustments(observed.setup);
  for (std::size_t k = done; k-- > result.back_to;) {
    const WorkStep& step = observed.work[k];
    if (find_adjustment(all, step.adjustment).group != AdjustmentGroup::technique) {
      result.work.push_back({step.adjustment, -step.steps});
    }
  }
  return result;
}

}  // namespace nockwise::detail
