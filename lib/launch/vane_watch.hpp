// How long a step may be where a vane may strike (lib/README.md, "Vanes that strike"). Private.
#pragma once

#include "kernel/right_hand_side.hpp"

namespace nockwise::detail {

/// The step from here on [s]: one that follows a vane which strikes, as long as one may strike within the next two
/// whole steps; else `whole_step`, so that a launch whose vanes clear takes its own. \param speed of the arrow [m/s]
template <class S, int Links>
S step_near_vanes(const kernel::Constants<S, Links>& c, const kernel::Topology& topology,
                  const kernel::Diagnostics<S>& d, S speed, S whole_step) {
  constexpr double quickest = 4.0;  // [m/s] that a vane comes nearer
  constexpr double parts = 32.0;    // of the vanes' length, to a step
  const auto& vanes = c.vanes;
  const S going = kernel::maximum(speed, S(1.0));
  const S soon = vanes.front + S(2.0) * whole_step * going;
  const auto near = [&](S reach, S clearance) {
    return kernel::both(kernel::both(reach<soon, reach> vanes.rear), clearance < S(quickest) * whole_step);
  };
  typename kernel::Lanes<S>::Mask any_near{};
  if (topology.rest != RestKind::none) {
    any_near = near(d.rest.reach,
                    kernel::vane_clearance(vanes, topology.vanes, c.rest.half_width, d.rest.gap, d.rest.lateral_gap));
  }
  if (topology.cables_beside) {
    for (int h = 0; h < 2; ++h) {
      const S clearance = kernel::vane_clearance_of_line(vanes, topology.vanes, c.passes.side[h], d.cables.gap[h]);
      any_near = kernel::either(any_near, near(d.cables.reach[h], clearance));
    }
  }
  const S pass = (vanes.front - vanes.rear) / (S(parts) * going);
  const S fine = kernel::minimum(kernel::minimum(whole_step, pass), vanes.longest_step);
  return kernel::select(any_near, fine, whole_step);
}

}  // namespace nockwise::detail
