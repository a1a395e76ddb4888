// The constants of a pack's lanes. Private.
#pragma once

#include "launch/lane_constants.hpp"
#include "numerics/pack.hpp"

#include <cstddef>
#include <cstring>

namespace nockwise::detail {

/// A Constants<double> is a row of slots of eight bytes (doubles, and the pointers of its ShapeTable), a Constants<S>
/// the same row of slots of N times eight, the lanes side by side. Of the tables over the arrow's modes only what the
/// topology uses is moved.
template <int N, class Isa, int Links>
class LaneConstants<kernel::Pack<N, Isa>, Links> {
 public:
  using S = kernel::Pack<N, Isa>;

  explicit LaneConstants(int modes) : modes_(modes) {}

  [[nodiscard]] const kernel::Constants<S, Links>& all() const { return all_; }

  void load(int lane, const kernel::Constants<double, Links>& from) {
    static_assert(sizeof(all_) == N * sizeof(from));
    each_used_slot([&](std::size_t slot) {
      std::memcpy(place(slot, lane), reinterpret_cast<const char*>(&from) + slot * sizeof(double), sizeof(double));
    });
  }
  void copy(int from, int to) {
    each_used_slot([&](std::size_t slot) { std::memcpy(place(slot, to), place(slot, from), sizeof(double)); });
  }

 private:
  char* place(std::size_t slot, int lane) {
    return reinterpret_cast<char*>(&all_) + (slot * N + lane) * sizeof(double);
  }
  /// All slots but the unused ends of the tables over modes.
  template <class Take>
  void each_used_slot(const Take& take) const {
    using C = kernel::Constants<double, Links>;
    using A = kernel::ArrowConstants<double>;
    constexpr std::size_t size = sizeof(double);
    constexpr std::size_t arrow = offsetof(C, arrow);
    const auto range = [&](std::size_t first_byte, std::size_t count) {
      for (std::size_t slot = first_byte / size; slot < first_byte / size + count; ++slot) {
        take(slot);
      }
    };
    range(0, (arrow + offsetof(A, stiffness)) / size);
    range(arrow + offsetof(A, stiffness), modes_);
    range(arrow + offsetof(A, nock_shape), modes_);
    range(arrow + offsetof(A, nock_slope), modes_);
    range(arrow + offsetof(A, hole_rate), modes_);
    for (std::size_t row = 0; row < modes_; ++row) {
      range(arrow + offsetof(A, thrust) + row * kernel::max_modes * size, modes_);
    }
    constexpr std::size_t rest = arrow + offsetof(A, shapes);
    range(rest, (sizeof(C) - rest) / size);
  }

  kernel::Constants<S, Links> all_{};
  std::size_t modes_;
};

}  // namespace nockwise::detail
