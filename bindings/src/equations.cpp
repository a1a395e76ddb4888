#include "bind_struct.hpp"

namespace nockwise::python {

namespace {

/// The equations, with the model for pickles.
struct Equations {
  Model model;
  EquationsOfMotion equations;
};

std::vector<double> state_vector(py::handle state, std::size_t size) {
  const auto array = as_array(state, "state", 1);
  if (array.size() != static_cast<py::ssize_t>(size)) {
    throw InputError("state", std::to_string(array.size()) + " numbers",
                     "must have the shape (" + std::to_string(size) + ",)");
  }
  return {array.data(), array.data() + array.size()};
}

}  // namespace

void bind_equations(py::module_& module) {
  py::class_<Equations>(module, "EquationsOfMotion", py::is_final(), doc("EquationsOfMotion"))
      .def(py::init([](const Model& model) {
             return Equations{model, EquationsOfMotion(model)};
           }),
           py::arg("model"), py::call_guard<py::gil_scoped_release>(), doc("EquationsOfMotion.EquationsOfMotion"))
      .def_property_readonly(
          "size", [](const Equations& self) { return self.equations.size(); }, doc("EquationsOfMotion.size"))
      .def_property_readonly(
          "names", [](const Equations& self) { return py::tuple(py::cast(self.equations.names())); },
          doc("EquationsOfMotion.names"))
      .def_property_readonly(
          "initial_state",
          [](const Equations& self) {
            const auto state = self.equations.initial_state();
            return py::array_t<double>(static_cast<py::ssize_t>(state.size()), state.data());
          },
          "State at full draw, just released [SI], shape (size,); a new array each time.")
      .def(
          "derivative",
          [](const Equations& self, const py::object& state, bool attached) {
            const auto y = state_vector(state, self.equations.size());
            std::vector<double> rate(y.size());
            {
              const py::gil_scoped_release released;
              self.equations.derivative(y, attached, rate);
            }
            return py::array_t<double>(static_cast<py::ssize_t>(rate.size()), rate.data());
          },
          py::arg("state"), py::kw_only(), py::arg("attached") = true,
          "dy/dt [SI per s], shape (size,). `attached` says whether the nock holds the string.\n\nRaises InputError "
          "for a state of another shape, or one that is not finite.")
      .def(
          "jacobian",
          [](const Equations& self, const py::object& state, bool attached) {
            const auto y = state_vector(state, self.equations.size());
            std::vector<double> jacobian;
            {
              const py::gil_scoped_release released;
              self.equations.jacobian(y, attached, jacobian);
            }
            const auto n = static_cast<py::ssize_t>(y.size());
            return py::array_t<double>({n, n}, jacobian.data());
          },
          py::arg("state"), py::kw_only(), py::arg("attached") = true, doc("EquationsOfMotion.jacobian"))
      .def(
          "separation",
          [](const Equations& self, const py::object& state) {
            return self.equations.separation(state_vector(state, self.equations.size()));
          },
          py::arg("state"), doc("EquationsOfMotion.separation"))
      .def(
          "energy",
          [](const Equations& self, const py::object& state, bool attached) {
            return self.equations.energy(state_vector(state, self.equations.size()), attached);
          },
          py::arg("state"), py::kw_only(), py::arg("attached") = true, "Energies in this state [J].")
      .def("__reduce__", [](const py::object& self) {
        return py::make_tuple(py::type::of(self), py::make_tuple(self.cast<const Equations&>().model));
      });
}

}  // namespace nockwise::python
