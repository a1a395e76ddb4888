// How near the cables pass the shaft at full draw. Private.
#pragma once

#include "kernel/line_loads.hpp"

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
    const kernel::Leaning<double> near(m[h].limb_direction, lateral.lean[h]);
    const kernel::Leaning<double> far(m[1 - h].limb_direction, lateral.lean[1 - h]);
    const auto at =
        kernel::cable_stations(c, topology, m, lines.cable[h], kernel::in_side_frame(riser, h), h, near, far);
    const kernel::Vector2<double> side = (1.0 / at.to_guard) * (at.guard - at.start);
    const kernel::Vector2<double> along{side.x, kernel::half_sign[h] * side.y};
    // Where the cable stands as high as the shaft.
    const double ahead = at.start.x - shaft.x;
    const double above = kernel::half_sign[h] * at.start.y - shaft.y;
    const double length = (shaft.slope_y * ahead - above) / (along.y - shaft.slope_y * along.x);
    if (!(length >= 0.0 && length <= at.to_guard + at.beyond_guard)) {
      continue;
    }
    const double past = length - at.to_guard;
    const double cable_z = at.guard_z + (past < 0.0 ? past / at.to_guard * (at.guard_z - at.start_z)
                                                    : past / at.beyond_guard * (at.end_z - at.guard_z));
    const double apart = cable_z - (shaft.z + shaft.slope_z * (ahead + length * along.x));
    const double beside = c.guard.z[h] < 0.0 ? -apart : apart;
    nearest = std::min(nearest.value_or(beside), beside);
  }
  return nearest;
}

}  // namespace nockwise::detail
