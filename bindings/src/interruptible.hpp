/// @file
/// Long calls that Ctrl-C ends.
#pragma once

#include "python.hpp"

#include <atomic>
#include <chrono>
#include <future>

namespace nockwise::python {

/// Calls `work(stop)` on a thread of its own while this one looks for signals every 50 ms. Ctrl-C raises the stop flag,
/// waits for the launches under way, and is thrown on as Python's own exception. Called with the interpreter's lock
/// held; `work` must not touch Python. `tell` is called with the lock held while the work goes on; what it throws ends
/// the work too.
template <class Work, class Tell>
auto interruptible(const Work& work, const Tell& tell) {
  std::atomic<bool> stop{false};
  auto result = std::async(std::launch::async, [&] { return work(stop); });
  const auto done_within = [&](std::chrono::milliseconds time) {
    const py::gil_scoped_release released;
    return result.wait_for(time) == std::future_status::ready;
  };
  const auto end = [&] {
    stop = true;
    const py::gil_scoped_release released;
    result.wait();
  };
  while (!done_within(std::chrono::milliseconds(50))) {
    if (PyErr_CheckSignals() != 0) {
      end();
      throw py::error_already_set();
    }
    try {
      tell();
    } catch (...) {
      end();
      throw;
    }
  }
  return result.get();
}

template <class Work>
auto interruptible(const Work& work) {
  return interruptible(work, [] {});
}

}  // namespace nockwise::python
