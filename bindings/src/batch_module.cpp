#include "batch.hpp"
#include "convert.hpp"

#include <chrono>
#include <condition_variable>
#include <mutex>
#include <thread>

namespace nockwise::python {

namespace {

/// Runs a block on threads of its own while this one looks for Ctrl-C and tells the progress.
/// Whatever ends it, the threads are joined and the samples that are done are in the arrays.
void run_on_threads(BlockRun& block, int count, const py::object& progress) {
  std::mutex mutex;
  std::condition_variable changed;
  bool done = false;
  std::exception_ptr thrown;
  std::jthread thread([&] {
    try {
      block.run(count);
    } catch (...) {
      thrown = std::current_exception();
    }
    const std::lock_guard lock(mutex);
    done = true;
    changed.notify_one();
  });
  const auto join = [&] {
    const py::gil_scoped_release released;
    thread.join();
  };
  std::size_t told = 0;
  try {
    while (true) {
      {
        const py::gil_scoped_release released;
        std::unique_lock lock(mutex);
        if (changed.wait_for(lock, std::chrono::milliseconds(50), [&] { return done; })) {
          break;
        }
      }
      if (PyErr_CheckSignals() != 0) {
        throw py::error_already_set();
      }
      if (const std::size_t count_now = block.done_count(); !progress.is_none() && count_now != told) {
        progress(count_now - std::exchange(told, count_now));
      }
    }
  } catch (...) {
    block.stop();
    join();
    throw;
  }
  join();
  if (thrown) {
    std::rethrow_exception(thrown);
  }
  if (!progress.is_none() && block.done_count() != told) {
    progress(block.done_count() - told);
  }
}

/// Wall-clock time of the library's sweep over values of one parameter [s].
double seconds_of_sweep(const Setup& setup, const std::string& path, const std::vector<double>& values, int threads) {
  const py::gil_scoped_release released;
  std::vector<double> speeds(values.size());
  const auto start = std::chrono::steady_clock::now();
  sweep(
      values.size(),
      [&](std::size_t index) {
        Setup one = setup;
        one.set(path, values[index]);
        return one;
      },
      [&](const SweepSample& sample) {
        speeds[sample.index] = sample.launch == nullptr ? 0.0 : sample.launch->exit_speed;
      },
      {threads, {}, nullptr});
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

using ColumnArguments = std::vector<std::pair<std::string, std::vector<std::string>>>;

BatchPlan plan_from_arguments(const Setup& setup, const ColumnArguments& columns,
                              const std::vector<std::string>& outputs, const std::string& hold, int positions,
                              const std::string& integrator, double step, double tolerance, double time_limit) {
  DrawOptions draw;
  draw.positions = positions;
  draw.hold = enumerator<DrawHold>(hold, "hold");
  LaunchOptions launch;
  launch.integrator = enumerator<Integrator>(integrator, "integrator");
  launch.step = step;
  launch.tolerance = tolerance;
  launch.time_limit = time_limit;
  std::vector<BatchColumn> all;
  for (const auto& [path, words] : columns) {
    all.push_back({path, words});
  }
  return make_batch_plan(setup, std::move(all), outputs, draw, launch);
}

void run_block(const BatchPlan& plan, const py::array_t<double, py::array::c_style>& samples,
               py::array_t<double, py::array::c_style>& values, py::array_t<std::uint8_t, py::array::c_style>& status,
               py::dict messages, int wanted, const py::object& progress) {
  const py::ssize_t count = status.size();
  const auto size = [](std::size_t n) { return static_cast<py::ssize_t>(n); };
  if (samples.size() != count * size(plan.columns.size()) || values.size() != count * size(plan.outputs.size())) {
    throw InputError("samples", std::to_string(samples.size()) + " numbers",
                     "must have one row per sample and one column per path");
  }
  const int threads = static_cast<int>(std::clamp<py::ssize_t>(wanted, 1, std::max<py::ssize_t>(count, 1)));
  BlockRun block(plan, {samples.data(), static_cast<std::size_t>(samples.size())},
                 {values.mutable_data(), static_cast<std::size_t>(values.size())},
                 {reinterpret_cast<SampleStatus*>(status.mutable_data()), static_cast<std::size_t>(count)});
  std::exception_ptr thrown;
  try {
    run_on_threads(block, threads, progress);
  } catch (...) {
    thrown = std::current_exception();
  }
  for (const auto& [index, message] : block.messages()) {
    messages[py::int_(index)] = message;
  }
  if (thrown) {
    std::rethrow_exception(thrown);
  }
}

}  // namespace

void bind_batch(py::module_& module) {
  const LaunchOptions launch;
  py::class_<BatchPlan>(module, "_Batch", py::is_final(), "What all samples of a sweep have in common.")
      .def(py::init(&plan_from_arguments), py::arg("setup"), py::arg("columns"), py::arg("outputs"), py::kw_only(),
           py::arg("hold") = "archer", py::arg("positions") = DrawOptions{}.positions,
           py::arg("integrator") = "nystrom", py::arg("step") = launch.step, py::arg("tolerance") = launch.tolerance,
           py::arg("time_limit") = launch.time_limit)
      .def("run", &run_block, py::arg("samples"), py::arg("values").noconvert(), py::arg("status").noconvert(),
           py::arg("messages"), py::kw_only(), py::arg("threads") = 1, py::arg("progress") = py::none(),
           "Fill `values`, `status` (0 not run, 1 done, 2 failed) and the messages of failed samples by index.");
  module.def("_seconds_of_sweep", &seconds_of_sweep, py::arg("setup"), py::arg("path"), py::arg("values"),
             py::arg("threads"), "Time of the library's sweep over values of one parameter [s], for benchmarks.");
  module.def(
      "_batch_outputs",
      [] {
        py::list all;
        for (const BatchOutput& output : batch_outputs()) {
          all.append(py::make_tuple(output.name, output.unit, output.doc, py::tuple(py::cast(output.words))));
        }
        return py::tuple(all);
      },
      "(name, unit, comment, words) of every output of a sweep.");
}

}  // namespace nockwise::python
