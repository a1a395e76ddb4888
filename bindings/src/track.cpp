#include "nockwise/track.hpp"

#include "bind_struct.hpp"
#include "nockwise/groove.hpp"

#include <numbers>

namespace nockwise::python {

void bind_track(py::module_& module) {
  bind_made_struct<CircleTrack>(module);
  bind_made_struct<SplineTrack>(module);
  bind_made_struct<GrooveTrack>(module);
  bind_struct<TrackPoint>(module);
  py::class_<CompiledTrack>(module, "CompiledTrack", py::is_final(), doc("CompiledTrack"))
      .def(py::init([](const std::variant<CircleTrack, SplineTrack, GrooveTrack>& track, const std::string& path) {
             return CompiledTrack(track, path);
           }),
           py::arg("track"), py::kw_only(), py::arg("path") = "track", doc("CompiledTrack.CompiledTrack"))
      .def("evaluate", &CompiledTrack::evaluate, py::arg("angle"), doc("CompiledTrack.evaluate"))
      .def(
          "evaluate",
          [](const CompiledTrack& track, const py::array_t<double, py::array::c_style | py::array::forcecast>& angles) {
            const py::array points(row_type<TrackPoint>(),
                                   std::vector<py::ssize_t>(angles.shape(), angles.shape() + angles.ndim()));
            auto* data = static_cast<TrackPoint*>(const_cast<void*>(points.data()));
            for (py::ssize_t i = 0; i < angles.size(); ++i) {
              data[i] = track.evaluate(angles.data()[i]);
            }
            return points;
          },
          py::arg("angle"), "The same at many angles: a structured array with the fields of TrackPoint.")
      .def("check_range", &CompiledTrack::check_range, py::arg("angle"), doc("CompiledTrack.check_range"))
      .def_property_readonly("first_angle", &CompiledTrack::first_angle,
                             "Smallest normal angle [rad]; -inf for a circle.")
      .def_property_readonly("last_angle", &CompiledTrack::last_angle, "Largest normal angle [rad]; inf for a circle.")
      .def_property_readonly("smallest_radius", &CompiledTrack::smallest_radius, doc("CompiledTrack.smallest_radius"))
      .def_property_readonly("is_circle", &CompiledTrack::is_circle, "Whether it is an exact circle.");
  module.def("spline_from_groove", &spline_from_groove, py::arg("groove"), py::kw_only(), py::arg("knots") = 256,
             py::arg("first_angle") = -4.0 * std::numbers::pi, py::arg("last_angle") = 4.0 * std::numbers::pi,
             py::call_guard<py::gil_scoped_release>(), doc("spline_from_groove"));
  bind_struct<GrooveFit>(module);
  module.def("fit_groove", &fit_groove, py::arg("groove"), py::call_guard<py::gil_scoped_release>(), doc("fit_groove"));
  module.def(
      "parse_groove",
      [](const std::string& csv, const std::string& source_name, const std::string& unit) {
        return parse_groove(csv, source_name, unit);
      },
      py::arg("csv"), py::arg("source_name") = "groove", py::kw_only(), py::arg("unit") = "", doc("parse_groove"));
  module.def(
      "read_groove",
      [](const py::object& file, const std::string& unit) {
        return read_groove(py::module_::import("os").attr("fspath")(file).cast<std::string>(), unit);
      },
      py::arg("file"), py::kw_only(), py::arg("unit") = "", doc("read_groove"));
  module.attr("widest_groove_gap") = widest_groove_gap;
  module.attr("farthest_groove_point") = farthest_groove_point;
}

}  // namespace nockwise::python
