#include "python.hpp"

#include <exception>

namespace nockwise::python {

namespace {

void raise(const char* type, const py::args& arguments) {
  const py::object cls = package_attribute("nockwise._errors", type);
  const py::object error = cls(*arguments);
  PyErr_SetObject(cls.ptr(), error.ptr());
}

}  // namespace

void bind_errors(py::module_&) {
  py::register_local_exception_translator([](std::exception_ptr thrown) {
    try {
      if (thrown) {
        std::rethrow_exception(thrown);
      }
    } catch (const InputError& e) {
      raise("InputError", py::make_tuple(e.what(), e.path(), e.value(), e.allowed(), e.file(), e.line(), e.column()));
    } catch (const SolverError& e) {
      raise("SolverError", py::make_tuple(e.what(), e.where(), e.why()));
    } catch (const Error& e) {
      raise("Error", py::make_tuple(e.what()));
    }
  });
}

}  // namespace nockwise::python
