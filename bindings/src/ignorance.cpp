#include "nockwise/ignorance.hpp"

#include "bind_struct.hpp"
#include "interruptible.hpp"
#include "nockwise/calibration.hpp"
#include "nockwise/prediction.hpp"

namespace nockwise::python {

namespace {

IgnoranceOptions make_options(double level, const std::vector<std::string>& without,
                              const std::optional<int>& threads) {
  return {.level = level, .without = without, .threads = threads};
}

std::vector<std::vector<double>> places_from_python(const py::object& given) {
  const auto array = as_array(given, "places", 2);
  std::vector<std::vector<double>> places;
  for (py::ssize_t i = 0; i < array.shape(0); ++i) {
    const double* row = array.data(i, 0);
    places.emplace_back(row, row + array.shape(1));
  }
  return places;
}

py::array_t<double> in_python(const std::vector<std::vector<double>>& rows, std::size_t columns) {
  py::array_t<double> array({static_cast<py::ssize_t>(rows.size()), static_cast<py::ssize_t>(columns)});
  double* to = array.mutable_data();
  for (const std::vector<double>& row : rows) {
    to = std::copy(row.begin(), row.end(), to);
  }
  return array;
}

py::array_t<double> square(const std::vector<double>& values, std::size_t size) {
  const auto count = static_cast<py::ssize_t>(size);
  return py::array_t<double>({count, count}, values.data());
}

std::vector<Output> outputs_from_python(const std::vector<std::string>& names) {
  std::vector<Output> outputs;
  for (const std::string& each : names) {
    outputs.push_back(enumerator<Output>(each, "outputs"));
  }
  return outputs;
}

PredictionOptions make_options(std::size_t bows, std::uint64_t seed, const std::optional<double>& distance,
                               const std::optional<int>& threads) {
  PredictionOptions options;
  options.bows = bows;
  options.seed = seed;
  options.distance = distance;
  options.threads = threads;
  return options;
}

void bind_ignorance_of(py::module_& module) {
  module.def(
      "ignorance_of",
      [](const Setup& setup, double level, const std::vector<std::string>& without, const std::optional<int>& threads) {
        IgnoranceOptions options = make_options(level, without, threads);
        const Setup own = setup;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return ignorance_of(own, options);
        });
      },
      py::arg("setup"), py::kw_only(), py::arg("level") = IgnoranceOptions{}.level,
      py::arg("without") = std::vector<std::string>{}, py::arg("threads") = py::none(), doc("ignorance_of"));
  module.def(
      "ignorance_after",
      [](const Calibration& calibration, const Measurements& measurements, double level,
         const std::vector<std::string>& without, const std::optional<int>& threads) {
        IgnoranceOptions options = make_options(level, without, threads);
        const Calibration own = calibration;
        const Measurements seen = measurements;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return ignorance_after(own, seen, options);
        });
      },
      py::arg("calibration"), py::arg("measurements"), py::kw_only(), py::arg("level") = IgnoranceOptions{}.level,
      py::arg("without") = std::vector<std::string>{}, py::arg("threads") = py::none(), doc("ignorance_after"));
  module.def(
      "moved",
      [](const Ignorance& ignorance, const Setup& setup, const py::object& place) {
        const auto array = as_array(place, "place", 1);
        return moved(ignorance, setup, {array.data(), static_cast<std::size_t>(array.size())});
      },
      py::arg("ignorance"), py::arg("setup"), py::arg("place"), doc("moved"));
  module.def(
      "drawn_places",
      [](const Ignorance& ignorance, std::size_t count, std::uint64_t seed, std::size_t first) {
        return in_python(drawn_places(ignorance, count, seed, first), ignorance.directions.size());
      },
      py::arg("ignorance"), py::arg("count"), py::kw_only(), py::arg("seed") = 1, py::arg("first") = 0,
      doc("drawn_places"));
}

void bind_readings(py::module_& module) {
  module.def(
      "sensitivity_of",
      [](const Ignorance& ignorance, const std::vector<WatchedShot>& shots, const std::optional<int>& threads) {
        IgnoranceOptions options = make_options(1.0, {}, threads);
        const Ignorance own = ignorance;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return sensitivity_of(own, shots, options);
        });
      },
      py::arg("ignorance"), py::arg("shots"), py::kw_only(), py::arg("threads") = py::none(), doc("sensitivity_of"));
  module.def(
      "shoot_drawn",
      [](const Ignorance& ignorance, const std::vector<WatchedShot>& shots, const py::object& places,
         const std::optional<int>& threads) {
        IgnoranceOptions options = make_options(1.0, {}, threads);
        const auto at = places_from_python(places);
        const Ignorance own = ignorance;
        return py::tuple(py::cast(interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return shoot_drawn(own, shots, at, options);
        })));
      },
      py::arg("ignorance"), py::arg("shots"), py::arg("places"), py::kw_only(), py::arg("threads") = py::none(),
      doc("shoot_drawn"));
  module.def(
      "reading_covariance",
      [](const Ignorance& ignorance, const Sensitivity& sensitivity) {
        return square(reading_covariance(ignorance, sensitivity), sensitivity.value.size());
      },
      py::arg("ignorance"), py::arg("sensitivity"), doc("reading_covariance"));
  module.def(
      "narrowed",
      [](const Ignorance& ignorance, const std::vector<WatchedShot>& shots,
         const std::vector<MeasuredReading>& measured, const std::optional<int>& threads) {
        IgnoranceOptions options = make_options(1.0, {}, threads);
        const Ignorance own = ignorance;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return narrowed(own, shots, measured, options);
        });
      },
      py::arg("ignorance"), py::arg("shots"), py::arg("measured"), py::kw_only(), py::arg("threads") = py::none(),
      "What measurements leave of the ignorance: `measured` holds one reading for each that is watched, in the order "
      "of the shots. Launches and narrows, and again from where that leads to.");
  module.def("reduced", &reduced, py::arg("ignorance"), py::arg("sensitivity"), py::arg("share"), doc("reduced"));
}

void bind_prediction(py::module_& module) {
  module.def(
      "predict",
      [](const Setup& setup, const std::vector<std::string>& outputs, std::size_t bows, std::uint64_t seed,
         double level, const std::vector<std::string>& without, const std::optional<double>& distance,
         const std::optional<int>& threads) {
        PredictionOptions options = make_options(bows, seed, distance, threads);
        options.level = level;
        options.without = without;
        const Setup own = setup;
        const std::vector<Output> wanted = outputs_from_python(outputs);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return predict(own, wanted, options);
        });
      },
      py::arg("setup"), py::arg("outputs") = std::vector<std::string>{}, py::kw_only(),
      py::arg("bows") = PredictionOptions{}.bows, py::arg("seed") = PredictionOptions{}.seed,
      py::arg("level") = PredictionOptions{}.level, py::arg("without") = std::vector<std::string>{},
      py::arg("distance") = py::none(), py::arg("threads") = py::none(), doc("predict"));
  module.def(
      "predict",
      [](const Ignorance& ignorance, const std::vector<std::string>& outputs, std::size_t bows, std::uint64_t seed,
         const std::optional<double>& distance, const std::optional<int>& threads) {
        PredictionOptions options = make_options(bows, seed, distance, threads);
        const Ignorance own = ignorance;
        const std::vector<Output> wanted = outputs_from_python(outputs);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return predict(own, wanted, options);
        });
      },
      py::arg("ignorance"), py::arg("outputs") = std::vector<std::string>{}, py::kw_only(),
      py::arg("bows") = PredictionOptions{}.bows, py::arg("seed") = PredictionOptions{}.seed,
      py::arg("distance") = py::none(), py::arg("threads") = py::none(),
      "The same for an ignorance, such as one that measurements have narrowed.");
  module.def("prediction_markdown", &prediction_markdown, py::arg("prediction"), doc("prediction_markdown"));
}

}  // namespace

void bind_ignorance(py::module_& module) {
  bind_struct<IgnoranceStep>(module);
  bind_struct<HeldStep>(module);
  bind_struct<IgnoranceDirection>(module);
  bind_struct<Ignorance>(module);
  bind_made_struct<ShotReading>(module);
  bind_made_struct<WatchedShot>(module);
  bind_struct<Sensitivity>(module);
  bind_struct<DrawnReadings>(module);
  bind_made_struct<MeasuredReading>(module);
  bind_struct<PredictionShare>(module);
  bind_struct<NarrowingMeasurement>(module);
  bind_struct<PredictedOutput>(module);
  bind_struct<Prediction>(module);
  bind_ignorance_of(module);
  bind_readings(module);
  bind_prediction(module);
}

}  // namespace nockwise::python
