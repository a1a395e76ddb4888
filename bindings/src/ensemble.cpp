#include "nockwise/ensemble.hpp"

#include "bind_struct.hpp"
#include "interruptible.hpp"

namespace nockwise::python {

namespace {

EnsembleOptions make_options(const std::optional<double>& distance, const std::optional<int>& threads) {
  EnsembleOptions options;
  options.distance = distance;
  options.threads = threads;
  return options;
}

}  // namespace

void bind_ensemble(py::module_& module) {
  bind_struct<EnsembleMember>(module);
  bind_struct<BowEnsemble>(module);
  bind_struct<EnsembleRange>(module);
  bind_struct<EnsembleRow>(module);
  bind_struct<EnsembleTears>(module);
  bind_made_struct<EnsembleReading>(module);
  bind_struct<SettlingTest>(module);
  bind_struct<EnsembleMove>(module);
  bind_struct<EnsemblePlan>(module);
  module.def(
      "build_ensemble",
      [](const BowMeasurements& measurements, const std::optional<Setup>& base, int members, std::uint64_t seed,
         const std::optional<int>& threads) {
        EnsembleOptions options = make_options(std::nullopt, threads);
        options.members = members;
        options.seed = seed;
        const BowMeasurements own = measurements;
        const Setup around = base ? *base : ordinary_setup(own);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return build_ensemble(own, around, options);
        });
      },
      py::arg("measurements"), py::kw_only(), py::arg("base") = py::none(),
      py::arg("members") = EnsembleOptions{}.members, py::arg("seed") = EnsembleOptions{}.seed,
      py::arg("threads") = py::none(), doc("build_ensemble"));
  module.def(
      "ensemble_tears",
      [](const BowEnsemble& ensemble, const std::vector<std::string>& adjustments,
         const std::optional<double>& distance, const std::optional<int>& threads) {
        EnsembleOptions options = make_options(distance, threads);
        const BowEnsemble own = ensemble;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return ensemble_tears(own, adjustments, options);
        });
      },
      py::arg("ensemble"), py::arg("adjustments") = std::vector<std::string>{}, py::kw_only(),
      py::arg("distance") = py::none(), py::arg("threads") = py::none(), doc("ensemble_tears"));
  module.def(
      "narrowed",
      [](const BowEnsemble& ensemble, const std::vector<EnsembleReading>& readings,
         const std::optional<double>& distance, const std::optional<int>& threads) {
        EnsembleOptions options = make_options(distance, threads);
        const BowEnsemble own = ensemble;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return narrowed(own, readings, options);
        });
      },
      py::arg("ensemble"), py::arg("readings"), py::kw_only(), py::arg("distance") = py::none(),
      py::arg("threads") = py::none(), doc("narrowed"));
  module.def(
      "refined",
      [](const BowEnsemble& ensemble, const std::vector<EnsembleReading>& readings, int members, std::uint64_t seed,
         const std::optional<double>& distance, const std::optional<int>& threads) {
        EnsembleOptions options = make_options(distance, threads);
        options.members = members;
        options.seed = seed;
        const BowEnsemble own = ensemble;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return refined(own, readings, options);
        });
      },
      py::arg("ensemble"), py::arg("readings"), py::kw_only(), py::arg("members") = EnsembleOptions{}.members,
      py::arg("seed") = EnsembleOptions{}.seed, py::arg("distance") = py::none(), py::arg("threads") = py::none(),
      doc("refined"));
  module.def(
      "settling_tests",
      [](const BowEnsemble& ensemble, const EnsembleTears& tears, const std::string& adjustment) {
        return py::tuple(py::cast(settling_tests(ensemble, tears, adjustment)));
      },
      py::arg("ensemble"), py::arg("tears"), py::arg("adjustment") = "", doc("settling_tests"));
  module.def("ensemble_plan", &ensemble_plan, py::arg("ensemble"), py::arg("tears"), py::kw_only(), py::arg("up"),
             py::arg("right"), doc("ensemble_plan"));
  module.def(
      "read_readings",
      [](const py::object& file) {
        return py::tuple(py::cast(read_readings(py::module_::import("os").attr("fspath")(file).cast<std::string>())));
      },
      py::arg("file"), doc("read_readings"));
  module.def(
      "parse_readings",
      [](const std::string& toml, const std::string& source_name) {
        return py::tuple(py::cast(parse_readings(toml, source_name)));
      },
      py::arg("toml"), py::arg("source_name") = "readings", doc("parse_readings"));
}

}  // namespace nockwise::python
