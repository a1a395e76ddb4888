// How near the cables pass the shaft at full draw. Private.
#pragma once

#include "kernel/lateral.hpp"

#include <algorithm>
#include <optional>

namespace nockwise::detail {

/// A straight line in space, by a point of it and its slopes.
struct Ray {
  double x, y, z, slope_y, slope_z;
};

/// How far beside the shaft's axis the nearest cable passes it, on the guard's side; none where no cable passes it.
template <int Links>
std::optional<double> cable_distance(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                                     const kernel::HalfMotion<double, Links> (&m)[2],
                                     const kernel::LineLoads<double, Links>& lines,
                                     const kernel::RiserMotion<double>& riser,
                                     const kernel::LateralState<double>& lateral, const Ray& shaft) {
  std::optional<double> nearest;
  for (int h = 0; h < 2; ++h) {
    const kernel::LateralFrame<double, Links> near(m[h], lateral, h);
    const kernel::LateralFrame<double, Links> far(m[1 - h], lateral, 1 - h);
    const auto path = kernel::cable_path(c, topology, m, lines, kernel::in_side_frame(riser, h), h, near, far);
    const kernel::Vector2<double> along{lines.cable[h].direction.x, kernel::half_sign[h] * lines.cable[h].direction.y};
    // Where the cable stands as high as the shaft.
    const double ahead = path.start.x - shaft.x;
    const double above = kernel::half_sign[h] * path.start.y - shaft.y;
    const double length = (shaft.slope_y * ahead - above) / (along.y - shaft.slope_y * along.x);
    if (!(length >= 0.0 && length <= path.to_guard + path.beyond_guard)) {
      continue;
    }
    const double past = length - path.to_guard;
    const double cable_z = path.guard_z + (past < 0.0 ? past / path.to_guard * (path.guard_z - path.place_a)
                                                      : past / path.beyond_guard * (path.place_b - path.guard_z));
    const double apart = cable_z - (shaft.z + shaft.slope_z * (ahead + length * along.x));
    const double beside = c.guard.z[h] < 0.0 ? -apart : apart;
    nearest = std::min(nearest.value_or(beside), beside);
  }
  return nearest;
}

}  // namespace nockwise::detail
