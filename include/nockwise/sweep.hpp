/// @file
/// Many launches: side by side in the lanes of the machine's widest vectors, on many threads, in flat memory.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/launch.hpp"

#include <atomic>
#include <cstddef>
#include <functional>
#include <optional>
#include <string>

namespace NOCKWISE_EXPORT nockwise {

/// How to run a sweep.
struct SweepOptions {
  std::optional<int> threads{};             ///< at least 1; none: as many as the machine runs at once
  LaunchOptions launch{};                   ///< of every launch; `trace` is not kept
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off, after what is under way
};

/// One sample of a sweep with its launch, lent for the time of the call.
struct SweepSample {
  std::size_t index = 0;           ///< of the sample, from 0 to count − 1
  const Model* model = nullptr;    ///< null when the setup could not be compiled
  const Launch* launch = nullptr;  ///< null when it failed; otherwise equal to launch(model), to the bit
  std::string failure;             ///< why, empty when it did not fail
};

/// The setup of a sample, by its index. Called once per sample, from any thread.
using SweepSetup = std::function<Setup(std::size_t index)>;
/// Receives each sample. Called once per sample, from any thread and in any order, so write by index.
using SweepTake = std::function<void(const SweepSample& sample)>;

/// Shoot `count` samples. Every launch depends on its own setup alone: neither the number of threads nor the machine's
/// vectors change a bit of it. Nothing is kept: memory does not grow with `count`.
///
/// A sample that cannot be built or shot is handed to `take` with the reason; what `setup_of` or `take` throw that is
/// not a nockwise::Error ends the sweep and is thrown again.
/// @throws InputError for an option out of range
void sweep(std::size_t count, const SweepSetup& setup_of, const SweepTake& take, const SweepOptions& options = {});

}  // namespace nockwise
