#include "nockwise/adjustment.hpp"

#include "bind_struct.hpp"
#include "interruptible.hpp"
#include "nockwise/tear_matrix.hpp"

#include <variant>

namespace nockwise::python {

namespace {

using NameOrAdjustment = std::variant<Adjustment, std::string>;

/// The adjustment itself, or the one of that name of this bow.
Adjustment chosen(const Setup& setup, const NameOrAdjustment& which) {
  if (const auto* name = std::get_if<std::string>(&which)) {
    const std::vector<Adjustment> all = adjustments(setup);
    return find_adjustment(all, *name);
  }
  return std::get<Adjustment>(which);
}

TearMatrixOptions make_options(const std::optional<double>& distance, double step_fraction,
                               const std::optional<int>& threads, bool statics) {
  return {distance, step_fraction, threads, statics, nullptr};
}

}  // namespace

void bind_adjustment(py::module_& module) {
  bind_struct<ParameterStep>(module);
  bind_struct<Adjustment>(module);
  bind_struct<OutputDescription>(module);
  bind_struct<Shot>(module);
  bind_struct<TearMatrixRow>(module);
  bind_struct<TearMatrix>(module);
  module.def(
      "adjustments", [](const Setup& setup) { return py::tuple(py::cast(adjustments(setup))); }, py::arg("setup"),
      doc("adjustments"));
  module.def(
      "adjusted",
      [](const Setup& setup, const NameOrAdjustment& adjustment, double steps) {
        return adjusted(setup, chosen(setup, adjustment), steps);
      },
      py::arg("setup"), py::arg("adjustment"), py::arg("steps"), doc("adjusted"));
  module.def("describe_steps", &describe_steps, py::arg("adjustment"), py::arg("steps"), doc("describe_steps"));
  module.def("describe_cause", &describe_cause, py::arg("adjustment"), py::arg("steps"), doc("describe_cause"));
  module.def("describe_amount", &describe_amount, py::arg("adjustment"), py::arg("steps"), doc("describe_amount"));
  module.def(
      "general_cautions", [] { return py::tuple(py::cast(general_cautions())); }, doc("general_cautions"));
  module.def(
      "output_descriptions",
      [] {
        py::list all;
        for (const OutputDescription& output : output_descriptions()) {
          all.append(output);
        }
        return py::tuple(all);
      },
      doc("output_descriptions"));
  module.def(
      "shoot",
      [](const Setup& setup, const std::optional<double>& distance, const std::optional<int>& threads, bool statics) {
        const TearMatrixOptions options = make_options(distance, 1.0, threads, statics);
        const Setup own = setup;
        const py::gil_scoped_release released;
        return shoot(own, options);
      },
      py::arg("setup"), py::kw_only(), py::arg("distance") = py::none(), py::arg("threads") = py::none(),
      py::arg("statics") = true, doc("shoot"));
  module.def(
      "tear_matrix",
      [](const Setup& setup, const std::optional<std::vector<NameOrAdjustment>>& rows,
         const std::optional<double>& distance, double step_fraction, const std::optional<int>& threads, bool statics) {
        TearMatrixOptions options = make_options(distance, step_fraction, threads, statics);
        const Setup own = setup;
        std::vector<Adjustment> among;
        for (const NameOrAdjustment& row : rows.value_or(std::vector<NameOrAdjustment>{})) {
          among.push_back(chosen(own, row));
        }
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return rows ? tear_matrix(own, among, options) : tear_matrix(own, options);
        });
      },
      py::arg("setup"), py::arg("adjustments") = py::none(), py::kw_only(), py::arg("distance") = py::none(),
      py::arg("step_fraction") = 1.0, py::arg("threads") = py::none(), py::arg("statics") = true, doc("tear_matrix"));
}

}  // namespace nockwise::python
