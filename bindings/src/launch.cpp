#include "nockwise/launch.hpp"

#include "convert.hpp"

#include <algorithm>
#include <chrono>

namespace nockwise::python {

void bind_launch(py::module_& module) {
  const LaunchOptions defaults;
  module.def(
      "launch",
      [](const Model& model, const std::string& integrator, double step, double tolerance, double time_limit,
         bool trace, double trace_interval) {
        LaunchOptions options;
        options.integrator = enumerator<Integrator>(integrator, "integrator");
        options.step = step;
        options.tolerance = tolerance;
        options.time_limit = time_limit;
        options.trace = trace;
        options.trace_interval = trace_interval;
        const py::gil_scoped_release released;
        return launch(model, options);
      },
      py::arg("model"), py::kw_only(), py::arg("integrator") = "nystrom", py::arg("step") = defaults.step,
      py::arg("tolerance") = defaults.tolerance, py::arg("time_limit") = defaults.time_limit, py::arg("trace") = false,
      py::arg("trace_interval") = defaults.trace_interval, doc("launch"));
  module.def(
      "_seconds_per_launch",
      [](const Model& model, int count) {
        const py::gil_scoped_release released;
        std::vector<double> seconds;
        for (int i = 0; i < count; ++i) {
          const auto start = std::chrono::steady_clock::now();
          (void)launch(model);
          seconds.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
        }
        std::ranges::sort(seconds);
        return seconds.at(seconds.size() / 2);
      },
      py::arg("model"), py::arg("count"), "Median time of a launch inside C++ [s], for benchmarks.");
}

}  // namespace nockwise::python
