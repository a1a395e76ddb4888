#include "nockwise/calibration.hpp"

#include "bind_struct.hpp"
#include "interruptible.hpp"
#include "nockwise/report.hpp"

namespace nockwise::python {

void bind_calibration(py::module_& module) {
  bind_made_struct<CalibrationParameter>(module);
  bind_made_struct<DrawForceMeasurement>(module);
  bind_made_struct<SpeedMeasurement>(module);
  bind_made_struct<Measurements>(module);
  bind_struct<CalibratedParameter>(module);
  bind_struct<CalibrationResidual>(module);
  bind_struct<Calibration>(module);
  bind_made_struct<CalibrationCase>(module);
  const auto path_of = [](const py::object& file) {
    return py::module_::import("os").attr("fspath")(file).cast<std::string>();
  };
  module.def(
      "read_calibration_case", [path_of](const py::object& file) { return read_calibration_case(path_of(file)); },
      py::arg("file"), doc("read_calibration_case"));
  module.def(
      "parse_calibration_case",
      [path_of](const std::string& toml, const py::object& folder, const std::string& source_name) {
        return parse_calibration_case(toml, path_of(folder), source_name);
      },
      py::arg("toml"), py::arg("folder"), py::arg("source_name") = "measurements", doc("parse_calibration_case"));
  module.def("calibration_markdown", &calibration_markdown, py::arg("calibration"),
             py::arg("assumed") = std::vector<AssumedValue>{}, doc("calibration_markdown"));
  module.def(
      "calibration_parameters", [](const Setup& setup) { return py::tuple(py::cast(calibration_parameters(setup))); },
      py::arg("setup"), doc("calibration_parameters"));
  module.def(
      "calibrate",
      [](const Setup& setup, const Measurements& measurements, const std::vector<CalibrationParameter>& parameters,
         const std::optional<int>& threads) {
        const Setup own = setup;
        const Measurements seen = measurements;
        return interruptible(
            [&](const std::atomic<bool>& stop) { return calibrate(own, seen, parameters, threads, &stop); });
      },
      py::arg("setup"), py::arg("measurements"), py::kw_only(),
      py::arg("parameters") = std::vector<CalibrationParameter>{}, py::arg("threads") = py::none(), doc("calibrate"));
  module.def(
      "calibrate_within",
      [](const BowEnsemble& ensemble, const Measurements& measurements,
         const std::vector<CalibrationParameter>& parameters, const std::optional<int>& threads) {
        const BowEnsemble own = ensemble;
        const Measurements seen = measurements;
        return interruptible(
            [&](const std::atomic<bool>& stop) { return calibrate_within(own, seen, parameters, threads, &stop); });
      },
      py::arg("ensemble"), py::arg("measurements"), py::kw_only(),
      py::arg("parameters") = std::vector<CalibrationParameter>{}, py::arg("threads") = py::none(),
      doc("calibrate_within"));
  module.def("explanation_json", &explanation_json, py::arg("explanation"), doc("explanation_json"));
  module.def("explanation_markdown", &explanation_markdown, py::arg("explanation"), doc("explanation_markdown"));
  module.def("next_step_markdown", &next_step_markdown, py::arg("next"), doc("next_step_markdown"));
  module.def("explanation_html", &explanation_html, py::arg("explanation"), doc("explanation_html"));
  module.def(
      "check_report_file", [path_of](const py::object& file) { check_report_file(path_of(file)); }, py::arg("file"),
      doc("check_report_file"));
  module.def(
      "write_report",
      [](const Explanation& explanation, const py::object& file) {
        write_report(explanation, py::module_::import("os").attr("fspath")(file).cast<std::string>());
      },
      py::arg("explanation"), py::arg("file"), doc("write_report"));
}

}  // namespace nockwise::python
