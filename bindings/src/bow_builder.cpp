#include "nockwise/bow_builder.hpp"

#include "bind_struct.hpp"

namespace nockwise::python {

void bind_bow_builder(py::module_& module) {
  bind_made_struct<DrawForceReading>(module);
  bind_made_struct<LimbGuess>(module);
  bind_made_struct<CamGuess>(module);
  bind_made_struct<ChronographReading>(module);
  bind_made_struct<BowMeasurements>(module);
  bind_struct<MeasurementCheck>(module).def_property_readonly("met", &MeasurementCheck::met,
                                                              "Whether it is within its tolerance.");
  bind_struct<BuildReport>(module);
  bind_struct<BuiltBow>(module);
  module.def(
      "build_bow",
      [](const BowMeasurements& measurements, const std::optional<Setup>& base) {
        const BowMeasurements own = measurements;
        const Setup around = base ? *base : ordinary_setup(own);
        const py::gil_scoped_release released;
        return build_bow(own, around);
      },
      py::arg("measurements"), py::kw_only(), py::arg("base") = py::none(), doc("build_bow"));
  module.def("ordinary_setup", &ordinary_setup, py::arg("measurements"), doc("ordinary_setup"));
  module.def(
      "read_measurements",
      [](const py::object& file) {
        return read_measurements(py::module_::import("os").attr("fspath")(file).cast<std::string>());
      },
      py::arg("file"), doc("read_measurements"));
  module.def(
      "parse_measurements",
      [](const std::string& toml, const std::string& source_name) { return parse_measurements(toml, source_name); },
      py::arg("toml"), py::arg("source_name") = "measurements", doc("parse_measurements"));
  module.def("format_measurements", &format_measurements, py::arg("measurements"), doc("format_measurements"));
}

}  // namespace nockwise::python
