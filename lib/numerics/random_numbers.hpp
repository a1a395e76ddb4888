// Numbers that look random, the same in every run. Private.
#pragma once

#include <cstdint>
#include <string_view>

namespace nockwise::detail {

/// SplitMix64 (Steele, Lea and Flood 2014).
class RandomNumbers {
 public:
  explicit RandomNumbers(std::uint64_t seed) : state_(seed) {}
  /// Equally likely any.
  std::uint64_t bits();
  /// Equally likely from `low` to `high`.
  double between(double low, double high);
  /// Of a normal distribution with mean 0 and standard deviation 1 (Box and Muller 1958).
  double normal();

 private:
  std::uint64_t state_;
};

/// Numbers of their own for something with a name, in the `index`th draw of a seed: they stay what they are whatever
/// else is drawn.
[[nodiscard]] RandomNumbers random_numbers_of(std::uint64_t seed, std::string_view name, std::uint64_t index);

}  // namespace nockwise::detail
