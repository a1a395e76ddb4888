#include "setup/fitted_groove.hpp"

#include "numerics/cubic_spline.hpp"

#include <algorithm>
#include <list>
#include <mutex>
#include <utility>

namespace nockwise::detail {

namespace {

struct KeptGroove {
  GrooveTrack groove;
  std::shared_ptr<const FittedGroove> fitted;
};

/// The grooves of this process, the latest used first.
class KeptGrooves {
 public:
  std::shared_ptr<const FittedGroove> find(const GrooveTrack& groove) {
    const std::lock_guard lock(mutex_);
    const auto found =
        std::find_if(kept_.begin(), kept_.end(), [&](const KeptGroove& each) { return each.groove == groove; });
    if (found == kept_.end()) {
      return nullptr;
    }
    kept_.splice(kept_.begin(), kept_, found);
    return found->fitted;
  }

  void keep(const GrooveTrack& groove, std::shared_ptr<const FittedGroove> fitted) {
    const std::lock_guard lock(mutex_);
    ++fits_;
    kept_.push_front({groove, std::move(fitted)});
    if (kept_.size() > grooves_kept) {
      kept_.pop_back();
    }
  }

  std::size_t fits() {
    const std::lock_guard lock(mutex_);
    return fits_;
  }

 private:
  std::mutex mutex_;
  std::list<KeptGroove> kept_;
  std::size_t fits_ = 0;
};

KeptGrooves& kept_grooves() {
  static KeptGrooves grooves;
  return grooves;
}

}  // namespace

SplineRows spline_rows(const SplineTrack& spline) {
  SplineRows rows;
  rows.first_angle = spline.first_angle;
  rows.angle_step = spline.angle_step;
  rows.last_angle = rows.first_angle + rows.angle_step * static_cast<double>(spline.distance.size() - 1);
  auto coefficients = kernel::uniform_cubic_spline(rows.angle_step, spline.distance);
  const auto [radius, angle] = kernel::smallest_radius(rows.first_angle, rows.angle_step, coefficients);
  rows.smallest_radius = radius;
  rows.smallest_radius_angle = angle;
  rows.coefficients = std::make_shared<const std::vector<std::array<double, 5>>>(std::move(coefficients));
  return rows;
}

std::shared_ptr<const FittedGroove> fitted_groove(const GrooveTrack& groove) {
  if (auto kept = kept_grooves().find(groove)) {
    return kept;
  }
  // Not under the lock: other threads go on. Two that come at once with new points fit them twice, alike.
  auto fitted = std::make_shared<FittedGroove>();
  fitted->spline = spline_from_groove(groove);
  fitted->rows = spline_rows(fitted->spline);
  kept_grooves().keep(groove, fitted);
  return fitted;
}

std::size_t groove_fits() { return kept_grooves().fits(); }

}  // namespace nockwise::detail
