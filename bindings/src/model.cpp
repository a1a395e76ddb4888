#include "nockwise/model.hpp"

#include "bind_struct.hpp"
#include "nockwise/draw.hpp"

namespace nockwise::python {

void bind_results(py::module_& module) {
  bind_struct<Caution>(module).def("__str__", [](const Caution& caution) { return caution.words; });
  bind_struct<DrawPoint>(module);
  bind_struct<DrawCycle>(module);
  bind_struct<ArrowProperties>(module);
  bind_struct<BraceState>(module);
  bind_struct<Event>(module);
  bind_struct<Energy>(module).def_property_readonly("total", &Energy::total, "Sum of all [J].");
  bind_struct<ArrowState>(module);
  bind_struct<VaneStrike>(module);
  bind_struct<RestReport>(module);
  auto trace = bind_struct<Trace>(module);
  // The arrow's shape is stored in rows: samples × nodes.
  const auto shape = [](std::vector<double> Trace::*member) {
    return [member](const py::object& self) {
      const auto& t = self.cast<const Trace&>();
      const auto nodes = static_cast<py::ssize_t>(t.nodes);
      return view((t.*member).data(), {nodes == 0 ? 0 : static_cast<py::ssize_t>((t.*member).size()) / nodes, nodes},
                  self);
    };
  };
  trace.def_property_readonly("arrow_y", shape(&Trace::arrow_y),
                              "Height of each node of the arrow [m], shape (samples, nodes).");
  trace.def_property_readonly("arrow_z", shape(&Trace::arrow_z),
                              "Side of each node, + right [m], shape (samples, nodes).");
  bind_struct<Launch>(module);
  bind_struct<FlightPoint>(module);
  bind_struct<Crossing>(module);
  bind_struct<Impact>(module);
  bind_struct<PaperTear>(module);
}

void bind_model(py::module_& module) {
  py::class_<Model> type(module, "Model", py::is_final(), doc("Model"));
  type.def(py::init([](const Setup& setup) {
             const Setup own = setup;  // another thread may change the Python object while the lock is not held
             const py::gil_scoped_release released;
             return Model(own);
           }),
           py::arg("setup"), doc("Model.Model"));
  type.def_property_readonly(
      "setup", [](const Model& model) { return Setup(model.setup()); }, "A copy of the setup.");
  type.def_property_readonly("arrow", &Model::arrow, doc("ArrowProperties"));
  type.def_property_readonly("brace", &Model::brace, doc("BraceState"));
  type.def("__copy__", [](const Model& self) { return Model(self); });
  type.def(
      "__deepcopy__", [](const Model& self, const py::object&) { return Model(self); }, py::arg("memo"));
  type.def("__reduce__", [](const py::object& self) {
    return py::make_tuple(py::type::of(self), py::make_tuple(self.attr("setup")));
  });
  add_presentation(type);

  module.def(
      "draw_cycle",
      [](const Model& model, int positions, const std::string& hold) {
        DrawOptions options;
        options.positions = positions;
        options.hold = enumerator<DrawHold>(hold, "hold");
        const py::gil_scoped_release released;
        return draw_cycle(model, options);
      },
      py::arg("model"), py::kw_only(), py::arg("positions") = DrawOptions{}.positions, py::arg("hold") = "archer",
      doc("draw_cycle"));
  module.attr("draw_length_allowance") = draw_length_allowance;
}

}  // namespace nockwise::python
