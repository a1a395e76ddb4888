// What all threads of a sweep share. Private; for sweep/sweep.cpp and sweep/preparation.hpp.
#pragma once

#include "lanes/dispatch.hpp"
#include "nockwise/sweep.hpp"

#include <atomic>
#include <exception>
#include <mutex>

namespace nockwise::detail {

struct SweepRun {
  const LaneBackend& machine;
  std::size_t count;
  const SweepSetup& setup_of;
  const SweepTake& take;
  const SweepOptions& options;
  std::size_t threads;
  std::atomic<std::size_t> next{0};
  std::atomic<bool> broken{false};
  std::mutex mutex;
  std::exception_ptr failure;

  [[nodiscard]] bool stopped() const {
    return broken.load(std::memory_order_relaxed) ||
           (options.stop != nullptr && options.stop->load(std::memory_order_relaxed));
  }
  void break_off() {
    const std::lock_guard lock(mutex);
    if (!failure) {
      failure = std::current_exception();
    }
    broken = true;
  }
  /// Hand a shot over; what `take` throws ends the sweep.
  void give(const SweepShot& shot) {
    try {
      take(shot);
    } catch (...) {
      break_off();
    }
  }
  /// Do `work`, which is for sample `index`: an Error is the sample's, anything else ends the sweep.
  template <class Work>
  void attempt(std::size_t index, const Model* model, const Work& work) {
    try {
      work();
    } catch (const Error& error) {
      give({index, model, nullptr, error.what()});
    } catch (...) {
      break_off();
    }
  }
};

}  // namespace nockwise::detail
