/// @file
/// What every room of the bindings uses: pybind11, comments by name, errors.
#pragma once

#include "nockwise/error.hpp"

#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <string>
#include <string_view>
#include <vector>

namespace nockwise::python {

namespace py = pybind11;

/// Version of what pickles of results hold; raised when a field changes its meaning, not when one is added.
inline constexpr int pickle_format = 2;

/// Comment of a public header by name ("draw_cycle", "DrawCycle.let_off"), or "" where there is none.
[[nodiscard]] const char* doc(std::string_view name);

/// A Python class of the package's own modules, such as ("nockwise._enumerations", "LaunchEnd").
[[nodiscard]] py::object package_attribute(const char* module, const char* name);

/// Array of doubles from anything array-like.
/// @throws InputError naming `path` when it is not numeric or has another number of dimensions
[[nodiscard]] py::array_t<double> as_array(py::handle value, const std::string& path, int dimensions);

/// A read-only view of memory that `owner` keeps alive.
[[nodiscard]] py::array view(const double* data, std::vector<py::ssize_t> shape, py::handle owner);

// One per file of this folder.
void bind_errors(py::module_& module);
void bind_units(py::module_& module);
void bind_parameters(py::module_& module);
void bind_setup(py::module_& module);
void bind_results(py::module_& module);
void bind_track(py::module_& module);
void bind_model(py::module_& module);
void bind_launch(py::module_& module);
void bind_flight(py::module_& module);
void bind_equations(py::module_& module);
void bind_adjustment(py::module_& module);
void bind_explanation(py::module_& module);
void bind_calibration(py::module_& module);
void bind_bow_builder(py::module_& module);
void bind_cams(py::module_& module);
void bind_ensemble(py::module_& module);
void bind_ignorance(py::module_& module);
void bind_target(py::module_& module);
void bind_group(py::module_& module);
void bind_batch(py::module_& module);

/// Gives every function, method and class the signature that Python reads; after all are bound.
void make_signatures_readable(py::module_& module);

}  // namespace nockwise::python
