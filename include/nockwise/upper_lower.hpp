/// @file
/// The same part or number of both halves of the bow.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/kinds.hpp"

namespace NOCKWISE_EXPORT nockwise {

/// The same part or number of both halves of the bow.
template <class Part>
struct UpperLower {
  Part upper{};
  Part lower{};
  bool operator==(const UpperLower&) const = default;

  [[nodiscard]] constexpr const Part& operator[](Side side) const { return side == Side::upper ? upper : lower; }
  [[nodiscard]] constexpr Part& operator[](Side side) { return side == Side::upper ? upper : lower; }
  /// By number: 0 is the upper half, 1 the lower.
  [[nodiscard]] constexpr const Part& operator[](int half) const { return half == 0 ? upper : lower; }
  [[nodiscard]] constexpr Part& operator[](int half) { return half == 0 ? upper : lower; }
};

}  // namespace nockwise
