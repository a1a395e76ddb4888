// Vanes that strike the launcher or a cable (lib/README.md, "Vanes that strike").
//
// The plan of it. A vane is a thin blade that stands off the shaft along a radius. Its profile rises from nothing over
// the front third of its length and ends over the rear sixth, smoothly. Across the shaft the launcher is a level edge,
// as wide as stated, as high as the underside of the shaft that it would carry, and solid below. Of every vane we know
// how deep its tip reaches below that edge, and how far from the edge's middle it passes the edge's height. The depth
// makes an energy: that of a spring which gives way at the folding force. It fades toward the ends of the edge, so that
// a vane that passes beside them feels nothing, and toward the ends of the vane. All of it is one potential of the gap,
// the lateral gap and the launcher's place along the shaft. Its gradient is what arrow, launcher and riser feel, both
// planes at once; friction along the shaft comes on top of it.
//
// A cable is an upright line fixed to the riser where it stands beside the shaft at brace; a vane's depth is how far
// its tip reaches beyond that line, and its energy the same without fading toward ends.
//
// Who does what: compile/vanes.cpp makes the constants; rest.hpp adds the forces to those of its own contacts, and
// those of the cables; energy.hpp counts the potentials; launch/extremes.hpp keeps what was struck;
// launch/launch_engine.hpp takes shorter steps where a vane may strike (launch/part_rates.hpp says how short). Vanes
// that clear add exact zeros: such launches keep their bits.
#pragma once

#include "kernel/constants.hpp"

namespace nockwise::kernel {

/// Where a shaft and what its vanes may strike stand to each other.
template <class S>
struct VanePlace {
  S reach, reach_rate;  // of the launcher ahead of the nock [m], [m/s]
  S gap;                // launcher to the shaft's underside [m]
  S aside;              // of the shaft from the launcher's middle, positive to the right [m]
};

/// What the launcher does to all vanes together.
template <class S>
struct VaneLoads {
  S up{0.0}, aside{0.0};  // on the shaft, where the launcher stands [N]
  S along{0.0};           // on the launcher's way along the shaft, toward the point [N]
  S press{0.0};           // of all vanes' edges [N]
  S energy{0.0};          // [J]
  S depth{0.0};           // of the vane that is pressed in farthest [m]
};

/// How much of its height a vane has at a place along the shaft [fraction], and the change of that along it [1/m].
template <class S>
struct VaneProfile {
  S share, slope;
};

/// t²(3 − 2t) of the distance from either end, over its ramp.
template <class S>
VaneProfile<S> vane_profile(const VaneConstants<S>& vanes, S reach) {
  const S front = minimum(positive((vanes.front - reach) * vanes.inverse_front), S(1.0));
  const S rear = minimum(positive((reach - vanes.rear) * vanes.inverse_rear), S(1.0));
  const S rising = front * front * (S(3.0) - S(2.0) * front);
  const S ending = rear * rear * (S(3.0) - S(2.0) * rear);
  const S rising_slope = S(6.0) * front * (S(1.0) - front) * vanes.inverse_front;
  const S ending_slope = S(6.0) * rear * (S(1.0) - rear) * vanes.inverse_rear;
  return {rising * ending, rising * ending_slope - rising_slope * ending};
}

/// Which way a vane slides, as a share of all its friction.
template <class S>
S vane_sliding(S rate) {
  constexpr double slow = 0.1;  // [m/s]
  return rate / square_root(rate * rate + S(slow * slow));
}

/// How deep vane `i`, of this height, reaches below the launcher's edge; negative above it.
template <class S>
S vane_depth(const VaneConstants<S>& vanes, int i, S height, S gap) {
  return height * vanes.down[i] + vanes.root[i] - gap;
}

/// How far to the right of the launcher's middle vane `i` passes the height of its edge. A shaft that is carried lies
/// on that edge, however far it presses the launcher down.
template <class S>
S vane_offset(const VaneConstants<S>& vanes, int i, S gap, S aside) {
  return (vanes.radius + positive(gap)) * vanes.tangent[i] + aside;
}

/// Loads of the first `count` vanes by a launcher of this half width (Eqs. 39a–39d).
template <class S>
VaneLoads<S> vane_loads(const VaneConstants<S>& vanes, int count, S half_width, const VanePlace<S>& at) {
  const VaneProfile<S> profile = vane_profile(vanes, at.reach);
  const S height = vanes.height * profile.share;
  const S inverse_width = S(1.0) / half_width;
  VaneLoads<S> loads;
  const S lifted = select(at.gap > S(0.0), S(1.0), S(0.0));
  S by_gap(0.0);
  S by_aside(0.0);
  S by_height(0.0);
  for (int i = 0; i < count; ++i) {
    const S depth = positive(vane_depth(vanes, i, height, at.gap));
    const S out = inverse_width * vane_offset(vanes, i, at.gap, at.aside);  // 1 at the end of the edge
    const S inside = positive(S(1.0) - out * out);
    const S held = vanes.launcher_share * inside * inside;
    const S bend = vanes.inverse_fold * depth;
    const S root = square_root(S(1.0) + bend * bend);
    const S press = held * (vanes.stiffness * depth / root);
    const S work = vanes.fold_energy * (root - S(1.0));
    const S by_offset = S(-4.0) * vanes.launcher_share * inside * out * inverse_width * work;
    loads.press += press;
    loads.energy += held * work;
    loads.depth = maximum(loads.depth, select(inside > S(0.0), depth, S(0.0)));
    by_gap += lifted * by_offset * vanes.tangent[i] - press;
    by_aside += by_offset;
    by_height += press * vanes.down[i];
  }
  const S on_profile = loads.energy + profile.share * vanes.height * by_height;
  loads.up = -(profile.share * by_gap);
  loads.aside = -(profile.share * by_aside);
  loads.press = profile.share * loads.press;
  loads.energy = profile.share * loads.energy;
  loads.depth = select(profile.share > S(0.0), loads.depth, S(0.0));
  loads.along = -(profile.slope * on_profile + vanes.friction * loads.press * vane_sliding(at.reach_rate));
  return loads;
}

/// Loads of vanes by an upright line on one side of the shaft, 1 right or −1 left; `gap`: from the shaft to the line,
/// along which they slide up and down as they like (Eq. 39e).
template <class S>
VaneLoads<S> vane_loads_by_line(const VaneConstants<S>& vanes, int count, S side, const VanePlace<S>& at) {
  const VaneProfile<S> profile = vane_profile(vanes, at.reach);
  const S height = vanes.height * profile.share;
  VaneLoads<S> loads;
  S by_height(0.0);
  for (int i = 0; i < count; ++i) {
    const S out = side * vanes.right[i];
    const S depth = positive(height * out + vanes.radius * (out - S(1.0)) - at.gap);
    const S bend = vanes.inverse_fold * depth;
    const S root = square_root(S(1.0) + bend * bend);
    const S press = vanes.stiffness * depth / root;
    loads.press += press;
    loads.energy += vanes.fold_energy * (root - S(1.0));
    loads.depth = maximum(loads.depth, depth);
    by_height += press * out;
  }
  const S on_profile = loads.energy + profile.share * vanes.height * by_height;
  loads.press = profile.share * loads.press;
  loads.energy = profile.share * loads.energy;
  loads.depth = select(profile.share > S(0.0), loads.depth, S(0.0));
  loads.aside = -(side * loads.press);
  loads.along = -(profile.slope * on_profile + vanes.friction * loads.press * vane_sliding(at.reach_rate));
  return loads;
}

/// Distance between such a line and the nearest of the vanes where they have all their height; negative: by how much
/// one would have to give way [m].
template <class S>
S vane_clearance_of_line(const VaneConstants<S>& vanes, int count, S side, S gap) {
  S nearest(1.0);
  for (int i = 0; i < count; ++i) {
    const S out = side * vanes.right[i];
    nearest = minimum(nearest, gap - (vanes.height * out + vanes.radius * (out - S(1.0))));
  }
  return nearest;
}

/// Distance between the launcher's edge and the nearest of the vanes where they have all their height, up and down or
/// sideways, whichever is more; negative: by how much one would have to give way [m].
template <class S>
S vane_clearance(const VaneConstants<S>& vanes, int count, S half_width, S gap, S aside) {
  S nearest(1.0);
  for (int i = 0; i < count; ++i) {
    const S depth = vane_depth(vanes, i, vanes.height, gap);
    const S offset = vane_offset(vanes, i, gap + minimum(depth, S(0.0)), aside);  // of its tip, if that is above
    nearest = minimum(nearest, maximum(-depth, maximum(offset, -offset) - half_width));
  }
  return nearest;
}

}  // namespace nockwise::kernel
