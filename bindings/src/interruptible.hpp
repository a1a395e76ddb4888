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
/// held; `work` must not touch Python.
template <class Work>
auto interruptible(const Work& work) {
  std::atomic<bool> stop{false};
  auto result = std::async(std::launch::async, [&] { return work(stop); });
  const auto done_within = [&](std::chrono::milliseconds time) {
    const py::gil_scoped_release released;
    return result.wait_for(time) == std::future_status::ready;
  };
  while (!done_within(std::chrono::milliseconds(50))) {
    if (PyErr_CheckSignals() != 0) {
      stop = true;
      const py::gil_scoped_release released;
      result.wait();
      break;
    }
  }
  if (stop) {
    throw py::error_already_set();
  }
  return result.get();
}

}  // namespace nockwise::python
