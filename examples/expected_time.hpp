// How long a computation of many launches will take, told before it begins.
#pragma once

#include <nockwise/tear_matrix.hpp>
#include <nockwise/units.hpp>

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <iostream>
#include <optional>
#include <thread>

namespace examples {

/// One shot is timed; many go side by side in the lanes of the processor's vectors, on all `threads` (none: all there
/// are). Nothing is told of less than two seconds.
inline void tell_expected_time(std::size_t launches, const nockwise::Setup& setup, std::optional<int> threads) {
  constexpr double gain_of_lanes = 2.0;
  constexpr double worth_telling = 2.0;  // [s]
  const auto start = std::chrono::steady_clock::now();
  (void)nockwise::shoot(setup);
  const std::chrono::duration<double> one = std::chrono::steady_clock::now() - start;
  const unsigned all = std::max(1U, std::thread::hardware_concurrency());
  const double cores = threads ? std::min(static_cast<unsigned>(*threads), all) : all;
  const double expected = static_cast<double>(launches) * one.count() / (gain_of_lanes * cores);
  if (expected > worth_telling) {
    std::cerr << "About " << launches << " launches: " << nockwise::display(expected, nockwise::Quantity::time, "s", 0)
              << ", within a factor of two.\n";
  }
}

}  // namespace examples
