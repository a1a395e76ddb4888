#include "nockwise/target.hpp"

#include "bind_struct.hpp"

#include <memory>

namespace nockwise::python {

namespace {

TargetFlightOptions options_of(const std::optional<Aim>& aim, const std::optional<ArrowFault>& fault, double step) {
  return {.aim = aim.value_or(Aim{}), .fault = fault.value_or(ArrowFault{}), .step = step};
}

void bind_numbers(py::module_& module) {
  py::class_<FlightNumber>(module, "FlightNumber", py::is_final(), doc("FlightNumber"))
      .def_readonly("name", &FlightNumber::name, doc("FlightNumber.name"))
      .def_readonly("unit", &FlightNumber::unit, doc("FlightNumber.unit"))
      .def_readonly("minimum", &FlightNumber::minimum, doc("FlightNumber.minimum"))
      .def_readonly("maximum", &FlightNumber::maximum, doc("FlightNumber.maximum"))
      .def_readonly("doc", &FlightNumber::doc, doc("FlightNumber.doc"))
      .def_readonly("source", &FlightNumber::source, doc("FlightNumber.source"));
  module.def(
      "flight_numbers",
      [] {
        const auto numbers = flight_numbers();
        return py::tuple(py::cast(std::vector<FlightNumber>(numbers.begin(), numbers.end())));
      },
      doc("flight_numbers"));
  module.def("air_at", &air_at, py::arg("temperature"), py::arg("altitude"), doc("air_at"));
}

void bind_flights(py::module_& module) {
  using released = py::call_guard<py::gil_scoped_release>;
  constexpr double usual_step = TargetFlightOptions{}.step;
  module.def(
      "fly_to",
      [](const Model& model, const Launch& launch, double distance, const std::optional<Sight>& sight,
         const std::optional<FlightConditions>& conditions, const std::optional<Aim>& aim,
         const std::optional<ArrowFault>& fault, double step) {
        return fly_to(model, launch, distance, sight.value_or(Sight{}), conditions.value_or(FlightConditions{}),
                      options_of(aim, fault, step));
      },
      py::arg("model"), py::arg("launch"), py::arg("distance"), py::kw_only(), py::arg("sight") = py::none(),
      py::arg("conditions") = py::none(), py::arg("aim") = py::none(), py::arg("fault") = py::none(),
      py::arg("step") = usual_step, released(), doc("fly_to"));
  module.def(
      "flight_to",
      [](const Model& model, const Launch& launch, double distance, const std::optional<Sight>& sight,
         const std::optional<FlightConditions>& conditions, const std::optional<Aim>& aim,
         const std::optional<ArrowFault>& fault, double step) {
        // What is handed out are the rows themselves, which a capsule keeps.
        auto points = std::make_unique<std::vector<TargetPoint>>(
            flight_to(model, launch, distance, sight.value_or(Sight{}), conditions.value_or(FlightConditions{}),
                      options_of(aim, fault, step)));
        const std::vector<TargetPoint>& kept = *points;
        const py::capsule owner(points.release(),
                                [](void* held) { delete static_cast<std::vector<TargetPoint>*>(held); });
        return rows(kept, owner);
      },
      py::arg("model"), py::arg("launch"), py::arg("distance"), py::kw_only(), py::arg("sight") = py::none(),
      py::arg("conditions") = py::none(), py::arg("aim") = py::none(), py::arg("fault") = py::none(),
      py::arg("step") = usual_step, doc("flight_to"));
  module.def(
      "sight_in",
      [](const Model& model, const Launch& launch, double distance, const std::optional<FlightConditions>& conditions,
         const std::optional<Aim>& aim, const std::optional<ArrowFault>& fault) {
        return sight_in(model, launch, distance, conditions.value_or(FlightConditions{}),
                        options_of(aim, fault, TargetFlightOptions{}.step));
      },
      py::arg("model"), py::arg("launch"), py::arg("distance"), py::kw_only(), py::arg("conditions") = py::none(),
      py::arg("aim") = py::none(), py::arg("fault") = py::none(), released(), doc("sight_in"));
  module.def(
      "sight_marks",
      [](const Model& model, const Launch& launch, const py::object& distances,
         const std::optional<FlightConditions>& conditions) {
        const auto wanted = as_array(distances, "distances", 1);
        return py::tuple(py::cast(sight_marks(model, launch, {wanted.data(), static_cast<std::size_t>(wanted.size())},
                                              conditions.value_or(FlightConditions{}))));
      },
      py::arg("model"), py::arg("launch"), py::arg("distances"), py::kw_only(), py::arg("conditions") = py::none(),
      doc("sight_marks"));
}

}  // namespace

void bind_target(py::module_& module) {
  bind_made_struct<FlightConditions>(module);
  bind_struct<Air>(module);
  bind_made_struct<Sight>(module);
  bind_made_struct<Aim>(module);
  bind_made_struct<ArrowFault>(module);
  bind_struct<TargetPoint>(module);
  bind_struct<Arrival>(module);
  bind_struct<SightMark>(module);
  bind_numbers(module);
  bind_flights(module);
  module.def("validate", py::overload_cast<const FlightConditions&>(&validate), py::arg("conditions"),
             "Checks every range of a flight's conditions.\n\nRaises InputError with the name of the first number that "
             "is wrong");
}

}  // namespace nockwise::python
