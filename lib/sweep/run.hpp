// One run of a sweep: what its threads share, and how to start it on chosen lanes. Private.
#pragma once

#include "lanes/dispatch.hpp"
#include "nockwise/error.hpp"
#include "nockwise/sweep.hpp"

#include <atomic>
#include <exception>
#include <mutex>

namespace nockwise::detail {

/// sweep() on the lanes of one instruction set, for tests and benchmarks.
void sweep_on(const LaneBackend& machine, std::size_t count, const SweepSetup& setup_of, const SweepTake& take,
              const SweepOptions& options);

struct SweepRun {
  const LaneBackend& machine;
  std::size_t count;
  const SweepSetup& setup_of;
  const SweepTake& take;
  const SweepOptions& options;
  std::size_t threads;
  std::atomic<std::size_t> next{0};  // index of the next sample
  std::atomic<bool> broken{false};
  std::mutex mutex;
  std::exception_ptr failure;

  [[nodiscard]] bool stopped() const {
    return broken.load(std::memory_order_relaxed) ||
           (options.stop != nullptr && options.stop->load(std::memory_order_relaxed));
  }
  /// End the sweep with the exception that is being handled.
  void break_off() {
    const std::lock_guard lock(mutex);
    if (!failure) {
      failure = std::current_exception();
    }
    broken = true;
  }
  /// Hand a sample over; what `take` throws ends the sweep.
  void deliver(const SweepSample& sample) {
    try {
      take(sample);
    } catch (...) {
      break_off();
    }
  }
  /// Do `work` for the sample of this index: an Error fails that sample, anything else ends the sweep.
  template <class Work>
  void attempt(std::size_t index, const Model* model, const Work& work) {
    try {
      work();
    } catch (const Error& error) {
      deliver({index, model, nullptr, error.what()});
    } catch (...) {
      break_off();
    }
  }
};

}  // namespace nockwise::detail
