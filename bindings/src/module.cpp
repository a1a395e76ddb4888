#include "header_fields.hpp"
#include "nockwise/version.hpp"
#include "python.hpp"

namespace nockwise::python {

const char* doc(std::string_view name) {
  for (const Documented& entry : header_docs) {
    if (entry.name == name) {
      return entry.doc;
    }
  }
  return "";
}

py::object package_attribute(const char* module, const char* name) { return py::module_::import(module).attr(name); }

py::array_t<double> as_array(py::handle value, const std::string& path, int dimensions) {
  const auto array = py::array_t<double, py::array::c_style | py::array::forcecast>::ensure(value);
  if (!array) {
    PyErr_Clear();
    throw InputError(path, py::str(py::repr(value)), "must be an array of numbers");
  }
  if (array.ndim() != dimensions) {
    throw InputError(path, "an array of " + std::to_string(array.ndim()) + " dimensions",
                     "must have " + std::to_string(dimensions) + (dimensions == 1 ? " dimension" : " dimensions"));
  }
  return array;
}

py::array view(const double* data, std::vector<py::ssize_t> shape, py::handle owner) {
  py::array_t<double> array(std::move(shape), data, data != nullptr ? owner : py::handle{});
  array.attr("flags").attr("writeable") = false;
  return array;
}

namespace {

/// {"DrawCycle.let_off": ("fraction", "(peak − holding) / peak …"), …}
py::dict header_comments() {
  py::dict all;
  for (const Documented& entry : header_docs) {
    all[py::str(entry.name)] = py::make_tuple(std::string(entry.unit), entry.doc);
  }
  return all;
}

/// What the package shows: every name that does not begin as private ones do.
py::list public_names(const py::module_& module) {
  py::list names;
  for (const auto& entry : py::reinterpret_borrow<py::dict>(module.attr("__dict__"))) {
    if (!std::string(py::str(entry.first)).starts_with('_')) {
      names.append(entry.first);
    }
  }
  names.attr("sort")();
  return names;
}

}  // namespace

PYBIND11_MODULE(_core, module) {
  module.doc() = "The C++ library. Private: use the package nockwise.";
  module.attr("__version__") = NOCKWISE_VERSION;
  bind_errors(module);
  bind_units(module);
  bind_parameters(module);
  bind_track(module);
  bind_setup(module);
  bind_results(module);
  bind_model(module);
  bind_launch(module);
  bind_flight(module);
  bind_equations(module);
  bind_adjustment(module);
  bind_explanation(module);
  bind_bow_builder(module);
  bind_cams(module);
  bind_ensemble(module);
  bind_ignorance(module);
  bind_calibration(module);
  bind_target(module);
  bind_group(module);
  bind_batch(module);
  module.def("_header_comments", &header_comments, "Unit and comment of everything in the public headers.");
  make_signatures_readable(module);
  module.attr("__all__") = public_names(module);
}

}  // namespace nockwise::python
