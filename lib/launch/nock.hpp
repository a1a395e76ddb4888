// Where the arrow's nock groove is, and how the string leaves it; one number at a time or a pack. Private.
#pragma once

#include "kernel/right_hand_side.hpp"

namespace nockwise::detail {

/// Nock groove from the arrow's coordinates.
template <class S, int Links>
kernel::NockMotion<S> nock_of(const kernel::Constants<S, Links>& c, int modes, const S* q, const S* v) {
  using L = kernel::Layout<Links>;
  const int z = L{modes}.arrow_z();
  return kernel::nock_of(c.arrow, modes, q[L::arrow_x], v[L::arrow_x], q + L::arrow_y, v + L::arrow_y, q + z, v + z);
}

/// In these `lanes` the string goes on from where the nock is, by coordinates of its own.
template <class S, class M, int Links>
void let_string_go(const kernel::Constants<S, Links>& c, int modes, M lanes, S* q, S* v) {
  using L = kernel::Layout<Links>;
  const kernel::NockMotion<S> nock = nock_of(c, modes, q, v);
  const auto put = [lanes](S& to, S value) { to = kernel::select(lanes, value, to); };
  put(q[L::string_x], nock.position.x);
  put(q[L::string_y], nock.position.y);
  put(v[L::string_x], nock.velocity.x);
  put(v[L::string_y], nock.velocity.y);
  put(q[L::string_z], nock.aside);
  put(v[L::string_z], nock.aside_rate);
}

}  // namespace nockwise::detail
