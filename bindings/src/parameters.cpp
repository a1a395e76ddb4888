#include "nockwise/parameters.hpp"

#include "bind_struct.hpp"

namespace nockwise::python {

namespace {

/// Members that every kind of parameter has.
template <class P>
py::class_<P> bind_kind(py::module_& module, const char* name) {
  py::class_<P> type(module, name, py::is_final(), doc(name));
  type.def_readonly("path", &P::path, "Dotted path, as in files and sweeps.");
  type.def_readonly("doc", &P::doc, "Meaning, sign and frame in one sentence.");
  type.def("__repr__", [name](const P& p) { return "<" + std::string(name) + " " + p.path + ": " + p.doc + ">"; });
  return type;
}

template <class P>
py::tuple references(std::span<const P> all) {
  py::tuple items(all.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    items[i] = py::cast(all[i], py::return_value_policy::reference);  // the tables live as long as the process
  }
  return items;
}

}  // namespace

void bind_parameters(py::module_& module) {
  bind_made_struct<Width>(module);
  bind_made_struct<KnownValue>(module);
  bind_struct<Knowledge>(module);
  bind_struct<BowMeasure>(module);
  bind_kind<Parameter>(module, "Parameter")
      .def_property_readonly(
          "quantity", [](const Parameter& p) { return Converter<Quantity>::to(p.quantity, {}); }, "What it measures.")
      .def_readonly("unit", &Parameter::unit, doc("Parameter.unit"))
      .def_readonly("minimum", &Parameter::minimum, doc("Parameter.minimum"))
      .def_readonly("maximum", &Parameter::maximum, doc("Parameter.maximum"))
      .def_readonly("whole", &Parameter::whole, doc("Parameter.whole"))
      .def_readonly("lateral", &Parameter::lateral, doc("Parameter.lateral"))
      .def_readonly("vertical", &Parameter::vertical, doc("Parameter.vertical"))
      .def_readonly("alias_of", &Parameter::alias_of, doc("Parameter.alias_of"))
      .def_readonly("required", &Parameter::required, doc("Parameter.required"))
      .def_property_readonly(
          "known", [](const Parameter& p) { return Knowledge(p.known); }, doc("Parameter.known"))
      .def_property_readonly("default_value", &Parameter::default_value, doc("Parameter.default_value"))
      .def_property_readonly("allowed", &Parameter::allowed, doc("Parameter.allowed"))
      .def("check", &Parameter::check, py::arg("value"), doc("Parameter.check"));
  bind_kind<ChoiceParameter>(module, "ChoiceParameter")
      .def_property_readonly(
          "choices", [](const ChoiceParameter& p) { return py::tuple(py::cast(p.choices)); },
          doc("ChoiceParameter.choices"))
      .def_readonly("lateral", &ChoiceParameter::lateral, doc("ChoiceParameter.lateral"))
      .def_readonly("vertical", &ChoiceParameter::vertical, doc("ChoiceParameter.vertical"))
      .def_readonly("required", &ChoiceParameter::required, doc("ChoiceParameter.required"))
      .def_property_readonly("default_value", &ChoiceParameter::default_value, doc("ChoiceParameter.default_value"))
      .def_property_readonly("allowed", &ChoiceParameter::allowed, doc("ChoiceParameter.allowed"));
  bind_kind<TextParameter>(module, "TextParameter");
  bind_kind<TrackParameter>(module, "TrackParameter")
      .def_readonly("optional", &TrackParameter::optional, doc("TrackParameter.optional"))
      .def_readonly("required", &TrackParameter::required, doc("TrackParameter.required"));
  module.def(
      "parameters", [] { return references(parameters()); }, doc("parameters"));
  module.def(
      "choice_parameters", [] { return references(choice_parameters()); },
      "Every field that takes one of a few words.");
  module.def(
      "text_parameters", [] { return references(text_parameters()); }, "Every field of free text.");
  module.def(
      "track_parameters", [] { return references(track_parameters()); }, "Every track of a cam.");
  module.def(
      "bow_measures",
      [] {
        const auto all = bow_measures();
        return py::tuple(py::cast(std::vector<BowMeasure>(all.begin(), all.end())));
      },
      doc("bow_measures"));
  module.def(
      "width_of", [](const Setup& setup, const std::string& path) { return width_of(setup, parameter(path)); },
      py::arg("setup"), py::arg("path"), doc("width_of"));
  module.def(
      "standard_deviation",
      [](const Setup& setup, const std::string& path) { return standard_deviation(setup, parameter(path)); },
      py::arg("setup"), py::arg("path"), doc("standard_deviation"));
  module.def("parameter", &parameter, py::arg("path"), py::return_value_policy::reference, doc("parameter"));
}

}  // namespace nockwise::python
