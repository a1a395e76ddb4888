#include "nockwise/group.hpp"

#include "bind_struct.hpp"
#include "interruptible.hpp"
#include "nockwise/arrow_table.hpp"
#include "nockwise/least_sensitive.hpp"
#include "nockwise/variance.hpp"

namespace nockwise::python {

namespace {

/// A Scatter, or the name of an archer.
Scatter scatter_from_python(const py::object& given) {
  if (py::isinstance<Scatter>(given)) {
    return given.cast<Scatter>();
  }
  return scatter_of(enumerator<Archer>(std::string(py::str(given)), "scatter"));
}

GroupOptions options_of(const std::optional<double>& distance, std::size_t shots, std::size_t arrows,
                        std::uint64_t seed, const std::optional<FlightConditions>& conditions,
                        const std::optional<double>& face, const std::optional<int>& threads) {
  GroupOptions options;
  options.distance = distance;
  options.shots = shots;
  options.arrows = arrows;
  options.seed = seed;
  options.conditions = conditions.value_or(FlightConditions{});
  options.face = face;
  options.threads = threads;
  return options;
}

void bind_scatter(py::module_& module) {
  module.def(
      "scatter_sources",
      [] {
        const auto sources = scatter_sources();
        return py::tuple(py::cast(std::vector<ScatterSource>(sources.begin(), sources.end())));
      },
      doc("scatter_sources"));
  module.def(
      "scatter_of", [](const std::string& archer) { return scatter_of(enumerator<Archer>(archer, "archer")); },
      py::arg("archer"), doc("scatter_of"));
  module.def("validate", py::overload_cast<const Scatter&>(&validate), py::arg("scatter"),
             "Checks every width of a scatter.\n\nRaises InputError for an unknown source (naming the nearest), one "
             "given twice, or a width out of range");
  module.def("ring_score", &ring_score, py::arg("distance"), py::arg("face"), py::arg("arrow_diameter"),
             doc("ring_score"));
}

void bind_groups(py::module_& module) {
  const GroupOptions usual;
  module.def(
      "forgiveness",
      [](const Setup& setup, const py::object& scatter, const std::optional<double>& distance, std::uint64_t seed,
         const std::optional<FlightConditions>& conditions, const std::optional<int>& threads) {
        GroupOptions options =
            options_of(distance, GroupOptions{}.shots, GroupOptions{}.arrows, seed, conditions, std::nullopt, threads);
        const Setup own = setup;
        const Scatter errors = scatter_from_python(scatter);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return forgiveness(own, errors, options);
        });
      },
      py::arg("setup"), py::arg("scatter") = "club", py::kw_only(), py::arg("distance") = py::none(),
      py::arg("seed") = usual.seed, py::arg("conditions") = py::none(), py::arg("threads") = py::none(),
      doc("forgiveness"));
  module.def(
      "group",
      [](const Setup& setup, const py::object& scatter, const std::optional<double>& distance, std::size_t shots,
         std::size_t arrows, std::uint64_t seed, const std::optional<FlightConditions>& conditions,
         const std::optional<double>& face, const std::optional<int>& threads) {
        GroupOptions options = options_of(distance, shots, arrows, seed, conditions, face, threads);
        const Setup own = setup;
        const Scatter errors = scatter_from_python(scatter);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return group(own, errors, options);
        });
      },
      py::arg("setup"), py::arg("scatter") = "club", py::kw_only(), py::arg("distance") = py::none(),
      py::arg("shots") = usual.shots, py::arg("arrows") = usual.arrows, py::arg("seed") = usual.seed,
      py::arg("conditions") = py::none(), py::arg("face") = py::none(), py::arg("threads") = py::none(), doc("group"));
  const ForgivingOptions limits;
  module.def(
      "forgiving",
      [](const Setup& setup, const py::object& scatter, const std::vector<std::string>& free, double within,
         double most_steps, const std::optional<double>& distance, std::size_t shots, std::size_t arrows,
         std::uint64_t seed, const std::optional<FlightConditions>& conditions, const std::optional<double>& face,
         const std::optional<int>& threads) {
        ForgivingOptions options;
        options.within = within;
        options.most_steps = most_steps;
        options.shots = shots;
        options.group = options_of(distance, shots, arrows, seed, conditions, face, threads);
        const Setup own = setup;
        const Scatter errors = scatter_from_python(scatter);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.group.stop = &stop;
          return forgiving(own, errors, free, options);
        });
      },
      py::arg("setup"), py::arg("scatter"), py::arg("free"), py::kw_only(), py::arg("within") = limits.within,
      py::arg("most_steps") = limits.most_steps, py::arg("distance") = py::none(), py::arg("shots") = limits.shots,
      py::arg("arrows") = usual.arrows, py::arg("seed") = usual.seed, py::arg("conditions") = py::none(),
      py::arg("face") = py::none(), py::arg("threads") = py::none(), doc("forgiving"));
}

void bind_variance(py::module_& module) {
  const VarianceOptions usual;
  module.def(
      "variance_shares",
      [](const Setup& setup, const py::object& scatter, const std::optional<double>& distance, std::size_t shots,
         std::uint64_t seed, const std::optional<FlightConditions>& conditions, const std::optional<int>& threads) {
        VarianceOptions options;
        options.distance = distance;
        options.shots = shots;
        options.seed = seed;
        options.conditions = conditions.value_or(FlightConditions{});
        options.threads = threads;
        const Setup own = setup;
        const Scatter errors = scatter_from_python(scatter);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return variance_shares(own, errors, options);
        });
      },
      py::arg("setup"), py::arg("scatter") = "club", py::kw_only(), py::arg("distance") = py::none(),
      py::arg("shots") = usual.shots, py::arg("seed") = usual.seed, py::arg("conditions") = py::none(),
      py::arg("threads") = py::none(), doc("variance_shares"));
}

void bind_least_sensitive(py::module_& module) {
  const LeastSensitiveOptions usual;
  const auto options_from = [](const std::vector<std::string>& lines, double twists, double within, double most_steps,
                               const std::optional<int>& threads) {
    LeastSensitiveOptions options;
    options.lines = lines;
    options.twists = twists;
    options.within = within;
    options.most_steps = most_steps;
    options.threads = threads;
    return options;
  };
  module.def(
      "answers_of_lines",
      [options_from](const Setup& setup, const std::vector<std::string>& lines, double twists,
                     const std::optional<int>& threads) {
        const LeastSensitiveOptions otherwise;
        LeastSensitiveOptions options = options_from(lines, twists, otherwise.within, otherwise.most_steps, threads);
        const Setup own = setup;
        return py::tuple(py::cast(interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return answers_of_lines(own, options);
        })));
      },
      py::arg("setup"), py::arg("lines") = usual.lines, py::kw_only(), py::arg("twists") = usual.twists,
      py::arg("threads") = py::none(), doc("answers_of_lines"));
  module.def(
      "least_sensitive",
      [options_from](const Setup& setup, const std::map<std::string, double>& free,
                     const std::vector<std::string>& lines, double twists, double within, double most_steps,
                     const std::optional<int>& threads) {
        LeastSensitiveOptions options = options_from(lines, twists, within, most_steps, threads);
        std::vector<FreeNumber> numbers;
        for (const auto& [path, step] : free) {
          numbers.push_back({path, step});
        }
        const Setup own = setup;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return least_sensitive(own, numbers, options);
        });
      },
      py::arg("setup"), py::arg("free"), py::kw_only(), py::arg("lines") = usual.lines,
      py::arg("twists") = usual.twists, py::arg("within") = usual.within, py::arg("most_steps") = usual.most_steps,
      py::arg("threads") = py::none(), doc("least_sensitive"));
}

void bind_arrow_table(py::module_& module) {
  const ArrowTableOptions usual;
  module.def(
      "arrow_choices",
      [](const std::vector<double>& spines, const std::vector<double>& point_masses,
         const std::vector<double>& lengths) {
        return py::tuple(py::cast(arrow_choices(spines, point_masses, lengths)));
      },
      py::arg("spines") = std::vector<double>{}, py::kw_only(), py::arg("point_masses") = std::vector<double>{},
      py::arg("lengths") = std::vector<double>{}, doc("arrow_choices"));
  module.def(
      "compare_arrows",
      [](const Setup& setup, const py::object& scatter, const std::vector<ArrowChoice>& choices, double near_distance,
         double far_distance, std::size_t bows, std::size_t shots, std::size_t arrows, std::uint64_t seed,
         const std::optional<FlightConditions>& conditions, const std::optional<int>& threads) {
        ArrowTableOptions options;
        options.near_distance = near_distance;
        options.far_distance = far_distance;
        options.bows = bows;
        options.group = options_of(std::nullopt, shots, arrows, seed, conditions, std::nullopt, threads);
        const Setup own = setup;
        const Scatter errors = scatter_from_python(scatter);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.group.stop = &stop;
          return compare_arrows(own, errors, choices, options);
        });
      },
      py::arg("setup"), py::arg("scatter"), py::arg("choices"), py::kw_only(),
      py::arg("near_distance") = usual.near_distance, py::arg("far_distance") = usual.far_distance,
      py::arg("bows") = usual.bows, py::arg("shots") = usual.group.shots, py::arg("arrows") = usual.group.arrows,
      py::arg("seed") = usual.group.seed, py::arg("conditions") = py::none(), py::arg("threads") = py::none(),
      doc("compare_arrows"));
}

}  // namespace

void bind_group(py::module_& module) {
  bind_struct<ScatterSource>(module);
  bind_made_struct<ScatterWidth>(module);
  bind_made_struct<Scatter>(module);
  bind_struct<SourceEffect>(module);
  bind_struct<Forgiveness>(module);
  bind_struct<Group>(module);
  bind_struct<TriedTune>(module);
  bind_struct<ForgivingTune>(module);
  bind_made_struct<ArrowChoice>(module);
  bind_struct<ArrowRow>(module);
  bind_struct<ArrowTable>(module);
  bind_struct<SourceShare>(module);
  bind_struct<PairShare>(module);
  bind_struct<VarianceShares>(module);
  bind_struct<LineAnswer>(module);
  bind_struct<TriedSetting>(module);
  bind_struct<LeastSensitive>(module);
  bind_scatter(module);
  bind_variance(module);
  bind_least_sensitive(module);
  bind_groups(module);
  bind_arrow_table(module);
}

}  // namespace nockwise::python
