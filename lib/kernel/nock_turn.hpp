// A nock that grips the string (lib/README.md, "Arrow"): what turns the shaft's tail against the bow, in either plane.
#pragma once

#include "kernel/rest.hpp"

namespace nockwise::kernel {

/// Angles of the shaft's tail against the riser and their rates, up and to the archer's right.
template <class S>
struct NockAngles {
  S up, up_rate, right, right_rate;
};
template <class S>
NockAngles<S> nock_angles(const ArrowConstants<S>& arrow, int modes, const S* y, const S* y_rate, const S* z,
                          const S* z_rate, S pitch, S pitch_rate, S yaw, S yaw_rate) {
  return {modal_sum(modes, arrow.nock_slope, y) - pitch, modal_sum(modes, arrow.nock_slope, y_rate) - pitch_rate,
          modal_sum(modes, arrow.nock_slope, z) + yaw, modal_sum(modes, arrow.nock_slope, z_rate) + yaw_rate};
}

/// Moment on the tail [N·m] (Eq. 26a).
template <class S>
S nock_moment(const NockGrip<S>& grip, S angle, S rate) {
  constexpr double all_of_it = 2.0;  // [rad/s] beyond which friction is nearly whole
  return -(grip.stiffness * angle) - grip.friction * rate / square_root(rate * rate + S(all_of_it * all_of_it));
}

/// Energy of its stiffness [J].
template <class S>
S nock_energy(const NockGrip<S>& grip, const NockAngles<S>& at) {
  const S up = at.up - grip.rest_up;
  const S right = at.right - grip.rest_right;
  return S(0.5) * grip.stiffness * (up * up + right * right);
}

/// On the shaft's modes, while `attached` is 1, and on the riser, which the string passes it on to.
template <class S>
void add_nock_moments(const ArrowConstants<S>& arrow, S attached, const NockAngles<S>& at, const ShaftModes<S>& y,
                      const ShaftModes<S>& z, ContactLoads<S>& loads) {
  const S up = attached * nock_moment(arrow.grip, at.up - arrow.grip.rest_up, at.up_rate);
  const S right = attached * nock_moment(arrow.grip, at.right - arrow.grip.rest_right, at.right_rate);
  for (int k = 0; k < y.count; ++k) {
    y.force[k] += arrow.nock_slope[k] * up;
    z.force[k] += arrow.nock_slope[k] * right;
  }
  loads.riser_moment -= up;
  loads.yaw += right;
}

}  // namespace nockwise::kernel
