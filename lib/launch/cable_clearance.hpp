// How near the cables pass the shaft at full draw. Private.
#pragma once

#include "kernel/line_loads.hpp"
#include "kernel/vanes.hpp"

#include <algorithm>
#include <optional>

namespace nockwise::detail {

/// A straight line in space, by a point of it and its slopes.
struct Ray {
  double x, y, z, slope_y, slope_z;
};

/// Where a cable passes the shaft.
struct CablePass {
  double from_nock, y, z;
};

/// Where cable `h`, standing so, is as high as the shaft; none where it does not pass it.
inline std::optional<CablePass> pass_of(const kernel::CableStations<double>& at, int h, const Ray& shaft) {
  const kernel::Vector2<double> side = (1.0 / at.to_guard) * (at.guard - at.start);
  const kernel::Vector2<double> along{side.x, kernel::half_sign[h] * side.y};
  const double ahead = at.start.x - shaft.x;
  const double above = kernel::half_sign[h] * at.start.y - shaft.y;
  const double length = (shaft.slope_y * ahead - above) / (along.y - shaft.slope_y * along.x);
  if (!(length >= 0.0 && length <= at.to_guard + at.beyond_guard)) {
    return std::nullopt;
  }
  const double past = length - at.to_guard;
  const double z = at.guard_z + (past < 0.0 ? past / at.to_guard * (at.guard_z - at.start_z)
                                            : past / at.beyond_guard * (at.end_z - at.guard_z));
  const double from_nock = ahead + length * along.x;
  return CablePass{from_nock, shaft.y + shaft.slope_y * from_nock, z};
}

/// Where the cables stand.
template <int Links>
void find_cables(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                 const kernel::HalfMotion<double, Links> (&m)[2], const kernel::LineLoads<double, Links>& lines,
                 const kernel::RiserMotion<double>& riser, const kernel::LateralState<double>& lateral,
                 kernel::CableStations<double> (&cables)[2]) {
  for (int h = 0; h < 2; ++h) {
    const kernel::Leaning<double> near(m[h].limb_direction, lateral.lean[h]);
    const kernel::Leaning<double> far(m[1 - h].limb_direction, lateral.lean[1 - h]);
    cables[h] = kernel::cable_stations(c, topology, m, lines.cable[h], kernel::in_side_frame(riser, h), h, near, far);
  }
}

/// How far beside the shaft's axis the nearest cable passes it, on the guard's side; none where no cable passes it.
template <int Links>
std::optional<double> cable_distance(const kernel::Constants<double, Links>& c,
                                     const kernel::CableStations<double> (&cables)[2], const Ray& shaft) {
  std::optional<double> nearest;
  for (int h = 0; h < 2; ++h) {
    const std::optional<CablePass> pass = pass_of(cables[h], h, shaft);
    if (pass) {
      const double apart = pass->z - (shaft.z + shaft.slope_z * pass->from_nock);
      const double beside = c.guard.z[h] < 0.0 ? -apart : apart;
      nearest = std::min(nearest.value_or(beside), beside);
    }
  }
  return nearest;
}

/// The cables beside an arrow that leaves, as they stand at brace, as lines that vanes may strike; whether any is so
/// near that one may. A cable that runs through the shaft itself is none of them: that no launch can mend.
template <int Links>
bool place_passes(const kernel::CableStations<double> (&at_brace)[2], const Ray& shaft, int vane_count,
                  kernel::Constants<double, Links>& c) {
  constexpr double far_away = 1.0;  // [m]
  constexpr double near = 0.005;    // [m] that arrow and riser may come nearer by
  bool beside = false;
  for (int h = 0; h < 2; ++h) {
    const std::optional<CablePass> pass = pass_of(at_brace[h], h, shaft);
    const double side = c.guard.z[h] < 0.0 ? -1.0 : 1.0;
    c.passes.side[h] = side;
    c.passes.x[h] = pass ? shaft.x + pass->from_nock : 0.0;
    c.passes.height[h] = pass ? pass->y : 0.0;
    c.passes.z[h] = pass ? pass->z : side * far_away;
    const double gap = side * (c.passes.z[h] - (shaft.z + shaft.slope_z * (c.passes.x[h] - shaft.x))) - c.vanes.radius;
    if (!(gap > 0.0)) {
      c.passes.z[h] = side * far_away;
    } else {
      beside = beside || kernel::vane_clearance_of_line(c.vanes, vane_count, side, gap) < near;
    }
  }
  return beside && vane_count > 0;
}

}  // namespace nockwise::detail
