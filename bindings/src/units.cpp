#include "nockwise/units.hpp"

#include "convert.hpp"
#include "nockwise/parameters.hpp"

namespace nockwise::python {

namespace {

Quantity quantity(const std::string& name) { return enumerator<Quantity>(name, "quantity"); }

py::array_t<double> convert(const py::object& numbers, const std::string& of, const std::string& unit,
                            double (*one)(double, Quantity, std::string_view)) {
  const auto given = py::array_t<double, py::array::c_style | py::array::forcecast>::ensure(numbers);
  if (!given) {
    PyErr_Clear();
    throw InputError("", py::str(py::repr(numbers)), "must be a number or an array of numbers");
  }
  py::array_t<double> converted(std::vector<py::ssize_t>(given.shape(), given.shape() + given.ndim()));
  const Quantity kind = quantity(of);
  (void)one(0.0, kind, unit);
  for (py::ssize_t i = 0; i < given.size(); ++i) {
    converted.mutable_data()[i] = one(given.data()[i], kind, unit);
  }
  return converted;
}

}  // namespace

void bind_units(py::module_& module) {
  module.def(
      "units_of",
      [](const std::string& of) {
        py::list symbols;
        for (const Unit& unit : units_of(quantity(of))) {
          symbols.append(std::string(unit.symbol));
        }
        return py::tuple(symbols);
      },
      py::arg("quantity"), doc("units_of"));
  module.def(
      "name_of", [](const std::string& of) { return std::string(name_of(quantity(of))); }, py::arg("quantity"),
      "The quantity's name for messages and tables, such as \"torsion stiffness\".");
  module.def(
      "si_unit", [](const std::string& of) { return std::string(si_unit(quantity(of))); }, py::arg("quantity"),
      doc("si_unit"));
  module.def(
      "workshop_unit", [](const std::string& of) { return std::string(workshop_unit(quantity(of))); },
      py::arg("quantity"), doc("workshop_unit"));
  module.def(
      "to_si",
      [](const py::object& number, const std::string& of, const std::string& unit) {
        return convert(number, of, unit, &to_si);
      },
      py::arg("number"), py::arg("quantity"), py::arg("unit"), doc("to_si"));
  module.def(
      "from_si",
      [](const py::object& si, const std::string& of, const std::string& unit) {
        return convert(si, of, unit, &from_si);
      },
      py::arg("si"), py::arg("quantity"), py::arg("unit"), doc("from_si"));
  module.def(
      "parse_quantity",
      [](const std::string& text, const std::string& of) { return parse_quantity(text, quantity(of)); },
      py::arg("text"), py::arg("quantity"), doc("parse_quantity"));
  module.def(
      "format_quantity",
      [](double si, const std::string& of, const std::optional<std::string>& unit) {
        return unit ? format_quantity(si, quantity(of), *unit) : format_quantity(si, quantity(of));
      },
      py::arg("si"), py::arg("quantity"), py::arg("unit") = py::none(), doc("format_quantity"));
  module.def(
      "display",
      [](double si, const std::string& of, const std::string& unit, int decimals) {
        return display(si, quantity(of), unit, decimals);
      },
      py::arg("si"), py::arg("quantity"), py::arg("unit"), py::arg("decimals"), doc("display"));
  module.def("spine_from_bending_stiffness", &spine_from_bending_stiffness, py::arg("bending_stiffness"),
             doc("spine_from_bending_stiffness"));
  module.def("bending_stiffness_from_spine", &bending_stiffness_from_spine, py::arg("spine"),
             doc("bending_stiffness_from_spine"));
}

}  // namespace nockwise::python
