#include "numerics/random_numbers.hpp"

#include <cmath>
#include <numbers>

namespace nockwise::detail {

std::uint64_t RandomNumbers::bits() {
  state_ += 0x9e3779b97f4a7c15ULL;
  std::uint64_t z = state_;
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31U);
}

double RandomNumbers::between(double low, double high) {
  constexpr double unit = 1.0 / 9007199254740992.0;  // 2^-53
  return low + (high - low) * unit * static_cast<double>(bits() >> 11U);
}

double RandomNumbers::normal() {
  const double above_zero = 1.0 - between(0.0, 1.0);
  const double angle = between(0.0, 2.0 * std::numbers::pi);
  return std::sqrt(-2.0 * std::log(above_zero)) * std::cos(angle);
}

RandomNumbers random_numbers_of(std::uint64_t seed, std::string_view name, std::uint64_t index) {
  std::uint64_t hash = 0xcbf29ce484222325ULL;  // FNV-1a (Fowler, Noll and Vo)
  for (const char each : name) {
    hash = (hash ^ static_cast<unsigned char>(each)) * 0x100000001b3ULL;
  }
  const std::uint64_t of_name = RandomNumbers(hash ^ RandomNumbers(seed).bits()).bits();
  return RandomNumbers(RandomNumbers(of_name + 0xd1b54a32d192ed03ULL * index).bits());
}

}  // namespace nockwise::detail
