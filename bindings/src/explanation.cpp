#include "nockwise/explanation.hpp"

#include "bind_struct.hpp"
#include "interruptible.hpp"

namespace nockwise::python {

void bind_explanation(py::module_& module) {
  bind_made_struct<ParameterChange>(module);
  bind_made_struct<TearObservation>(module);
  bind_made_struct<CheckObservation>(module);
  bind_made_struct<WorkStep>(module);
  bind_made_struct<PriorWidth>(module);
  bind_made_struct<Workshop>(module);
  bind_made_struct<Case>(module);
  bind_struct<CaseRange>(module);
  bind_struct<Deviation>(module);
  bind_struct<Cause>(module);
  bind_struct<CausePair>(module);
  bind_struct<NextCheck>(module);
  bind_struct<ForetoldHole>(module);
  bind_struct<NextOutcome>(module);
  bind_struct<NextStep>(module);
  bind_struct<PlanStep>(module);
  bind_struct<PlannedHole>(module);
  bind_struct<Plan>(module);
  bind_struct<Explanation>(module);
  module.attr("usual_reading_error") = usual_reading_error;
  module.def(
      "check_quantity", [](const std::string& what) { return Converter<Quantity>::to(check_quantity(what), {}); },
      py::arg("what"), doc("check_quantity"));
  module.def("bare_shaft", &bare_shaft, doc("bare_shaft"));
  const auto path_of = [](const py::object& file) {
    return py::module_::import("os").attr("fspath")(file).cast<std::string>();
  };
  module.def(
      "read_case", [path_of](const py::object& file) { return read_case(path_of(file)); }, py::arg("file"),
      doc("read_case"));
  module.def(
      "parse_case",
      [path_of](const std::string& toml, const py::object& folder, const std::string& source_name) {
        return parse_case(toml, path_of(folder), source_name);
      },
      py::arg("toml"), py::arg("folder"), py::arg("source_name") = "case", doc("parse_case"));
  module.def(
      "explain",
      [](const Case& observed, const std::optional<int>& threads, bool next_checks, bool plan, bool arrow_steps,
         double ignorance, const py::object& progress) {
        const Case own = observed;
        std::atomic<std::size_t> launched{0};
        const auto tell = [&] {
          if (!progress.is_none()) {
            progress(launched.load());
          }
        };
        return interruptible(
            [&](const std::atomic<bool>& stop) {
              return explain(own, {threads, next_checks, plan, arrow_steps, ignorance, &stop, &launched});
            },
            tell);
      },
      py::arg("observed"), py::kw_only(), py::arg("threads") = py::none(), py::arg("next_checks") = true,
      py::arg("plan") = true, py::arg("arrow_steps") = true, py::arg("ignorance") = ExplanationOptions{}.ignorance,
      py::arg("progress") = py::none(), doc("explain"));
  module.def(
      "next_step",
      [](const Case& observed, const std::optional<int>& threads, bool arrow_steps, double ignorance) {
        const Case own = observed;
        ExplanationOptions options;
        options.threads = threads;
        options.arrow_steps = arrow_steps;
        options.ignorance = ignorance;
        return interruptible([&](const std::atomic<bool>& stop) {
          ExplanationOptions stoppable = options;
          stoppable.stop = &stop;
          return next_step(own, stoppable);
        });
      },
      py::arg("observed"), py::kw_only(), py::arg("threads") = py::none(), py::arg("arrow_steps") = true,
      py::arg("ignorance") = ExplanationOptions{}.ignorance, doc("next_step"));
  module.def(
      "expected_launches", [](const Case& observed) { return expected_launches(observed); }, py::arg("observed"),
      "About how many launches explain() will take, within a factor of two as a rule; 0 where it will need none.");
  module.def(
      "case_ranges",
      [] {
        const auto ranges = case_ranges();
        return py::tuple(py::cast(std::vector<CaseRange>(ranges.begin(), ranges.end())));
      },
      doc("case_ranges"));
}

}  // namespace nockwise::python
