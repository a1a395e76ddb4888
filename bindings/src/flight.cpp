#include "nockwise/flight.hpp"

#include "bind_struct.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"

#include <memory>

namespace nockwise::python {

namespace {

/// A flight with what it was computed from, for pickles.
struct Flight {
  Model model;
  std::shared_ptr<const Launch> from;
  double farthest_x;
  FreeFlight flight;
};

Flight fly(const Model& model, const Launch& launch, double farthest_x) {
  return {model, std::make_shared<const Launch>(launch), farthest_x, FreeFlight(model, launch, farthest_x)};
}

}  // namespace

void bind_flight(py::module_& module) {
  using released = py::call_guard<py::gil_scoped_release>;
  py::class_<Flight>(module, "FreeFlight", py::is_final(), doc("FreeFlight"))
      .def(py::init(&fly), py::arg("model"), py::arg("launch"), py::arg("farthest_x"), released(),
           doc("FreeFlight.FreeFlight"))
      .def(
          "at", [](const Flight& f, double time) { return f.flight.at(time); }, py::arg("time"), doc("FreeFlight.at"))
      .def(
          "at",
          [](const Flight& f, const py::array_t<double, py::array::c_style | py::array::forcecast>& times) {
            static_assert(is_its_own_row<FlightPoint>());
            const py::array points(row_type<FlightPoint>(),
                                   std::vector<py::ssize_t>(times.shape(), times.shape() + times.ndim()));
            auto* data = static_cast<FlightPoint*>(const_cast<void*>(points.data()));
            for (py::ssize_t i = 0; i < times.size(); ++i) {
              data[i] = f.flight.at(times.data()[i]);
            }
            return points;
          },
          py::arg("time"), "The same at many times: a structured array with the fields of FlightPoint.")
      .def(
          "crossing",
          [](const Flight& f, double from_nock, double plane_x) { return f.flight.crossing(from_nock, plane_x); },
          py::arg("from_nock"), py::arg("plane_x"), doc("FreeFlight.crossing"))
      .def_property_readonly(
          "points", [](const py::object& self) { return rows(self.cast<const Flight&>().flight.points(), self); },
          doc("FreeFlight.points"))
      .def("__reduce__", [](const py::object& self) {
        const auto& f = self.cast<const Flight&>();
        return py::make_tuple(py::type::of(self), py::make_tuple(f.model, *f.from, f.farthest_x));
      });
  module.def(
      "target_impact",
      [](const Model& model, const Launch& launch, const std::optional<double>& distance) {
        return target_impact(model, launch, distance);
      },
      py::arg("model"), py::arg("launch"), py::kw_only(), py::arg("distance") = py::none(), released(),
      doc("target_impact"));
  module.def("chronograph_speed", &chronograph_speed, py::arg("model"), py::arg("launch"), py::kw_only(),
             py::arg("x") = 0.9144, released(), doc("chronograph_speed"));
  module.def(
      "paper_tear",
      [](const Model& model, const Launch& launch, const std::optional<double>& distance, int sections) {
        return paper_tear(model, launch, distance, sections);
      },
      py::arg("model"), py::arg("launch"), py::kw_only(), py::arg("distance") = py::none(), py::arg("sections") = 41,
      released(), doc("paper_tear"));
  module.def("describe_tear", &describe_tear, py::arg("tear"), py::kw_only(), py::arg("reading_error") = 0.003175,
             doc("describe_tear"));
}

}  // namespace nockwise::python
