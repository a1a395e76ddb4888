#include "bind_struct.hpp"
#include "interruptible.hpp"
#include "nockwise/cam_fit.hpp"
#include "nockwise/cam_table.hpp"
#include "nockwise/outputs.hpp"
#include "tracks.hpp"

namespace nockwise::python {

namespace {

/// {"string_track": …, "take_up_track": …, "let_out_track": …}; any may be left away.
CamTracks cam_from_python(const py::dict& cam, const std::string& path) {
  CamTracks tracks;
  for (const auto& [key, value] : cam) {
    const std::string name = py::str(key);
    const auto track = track_from_python(py::reinterpret_borrow<py::object>(value), path + "." + name);
    if (name == "string_track") {
      tracks.string_track = track;
    } else if (name == "take_up_track") {
      tracks.take_up_track = track;
    } else if (name == "let_out_track") {
      tracks.let_out_track = track;
    } else {
      throw InputError(path, name, "must be string_track, take_up_track or let_out_track");
    }
  }
  return tracks;
}

CamAims aims_from_python(const std::optional<double>& axle_to_axle, const std::optional<double>& brace_height,
                         const std::optional<double>& draw_length, const std::optional<double>& peak_force,
                         const std::optional<double>& nock_height, double cam_angle, const std::string& brace_by) {
  CamAims aims;
  aims.axle_to_axle = axle_to_axle;
  aims.brace_height = brace_height;
  aims.draw_length = draw_length;
  aims.peak_force = peak_force;
  aims.nock_height = nock_height;
  aims.cam_angle = cam_angle;
  aims.brace_by = enumerator<BraceRule>(brace_by, "brace_by");
  return aims;
}

CamTableOptions options_from_python(const std::optional<double>& distance, const std::optional<int>& threads) {
  CamTableOptions options;
  options.distance = distance;
  options.threads = threads;
  return options;
}

void bind_fit(py::module_& module) {
  module.def(
      "fit_to_cam",
      [](const Setup& setup, const py::dict& cam, const std::optional<py::dict>& lower,
         const std::optional<double>& axle_to_axle, const std::optional<double>& brace_height,
         const std::optional<double>& draw_length, const std::optional<double>& peak_force,
         const std::optional<double>& nock_height, double cam_angle, const std::string& brace_by) {
        const CamAims aims =
            aims_from_python(axle_to_axle, brace_height, draw_length, peak_force, nock_height, cam_angle, brace_by);
        const CamTracks upper = cam_from_python(cam, "cam");
        const CamTracks below = lower ? cam_from_python(*lower, "lower") : upper;
        const Setup own = setup;
        const py::gil_scoped_release released;
        return fit_to_cam(own, upper, below, aims);
      },
      py::arg("bow"), py::arg("cam"), py::arg("lower") = py::none(), py::kw_only(),
      py::arg("axle_to_axle") = py::none(), py::arg("brace_height") = py::none(), py::arg("draw_length") = py::none(),
      py::arg("peak_force") = py::none(), py::arg("nock_height") = py::none(), py::arg("cam_angle") = 0.0,
      py::arg("brace_by") = "turn_cams", doc("fit_to_cam"));
  module.def(
      "fit_to_cam",
      [](const BowMeasurements& sheet, const py::dict& cam) {
        const CamTracks tracks = cam_from_python(cam, "cam");
        const BowMeasurements own = sheet;
        const py::gil_scoped_release released;
        return fit_to_cam(own, tracks);
      },
      py::arg("bow"), py::arg("cam"), "The same on the bow of a sheet, whose lengths and peak come out.");
}

void bind_tables(py::module_& module) {
  module.def(
      "compare_cams",
      [](const Setup& setup, const py::dict& cams, const std::optional<double>& axle_to_axle,
         const std::optional<double>& brace_height, const std::optional<double>& draw_length,
         const std::optional<double>& peak_force, const std::optional<double>& nock_height, double cam_angle,
         const std::string& brace_by, const std::optional<double>& distance, const std::optional<int>& threads) {
        std::vector<NamedCam> named;
        for (const auto& [key, value] : cams) {
          const std::string name = py::str(key);
          named.push_back({name, cam_from_python(value.cast<py::dict>(), "cams[" + name + "]")});
        }
        CamTableOptions options = options_from_python(distance, threads);
        options.aims =
            aims_from_python(axle_to_axle, brace_height, draw_length, peak_force, nock_height, cam_angle, brace_by);
        const Setup own = setup;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return compare_cams(own, named, options);
        });
      },
      py::arg("setup"), py::arg("cams"), py::kw_only(), py::arg("axle_to_axle") = py::none(),
      py::arg("brace_height") = py::none(), py::arg("draw_length") = py::none(), py::arg("peak_force") = py::none(),
      py::arg("nock_height") = py::none(), py::arg("cam_angle") = 0.0, py::arg("brace_by") = "turn_cams",
      py::arg("distance") = py::none(), py::arg("threads") = py::none(), doc("compare_cams"));
  module.def(
      "compare_bows",
      [](const std::vector<Setup>& setups, const std::optional<double>& distance, const std::optional<int>& threads) {
        CamTableOptions options = options_from_python(distance, threads);
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return compare_bows(setups, options);
        });
      },
      py::arg("setups"), py::kw_only(), py::arg("distance") = py::none(), py::arg("threads") = py::none(),
      doc("compare_bows"));
  module.def(
      "compare_layouts",
      [](const BowMeasurements& sheet, const std::optional<double>& distance, const std::optional<int>& threads) {
        CamTableOptions options = options_from_python(distance, threads);
        const BowMeasurements own = sheet;
        return interruptible([&](const std::atomic<bool>& stop) {
          options.stop = &stop;
          return compare_layouts(own, options);
        });
      },
      py::arg("sheet"), py::kw_only(), py::arg("distance") = py::none(), py::arg("threads") = py::none(),
      doc("compare_layouts"));
}

}  // namespace

void bind_cams(py::module_& module) {
  bind_struct<MovedParameter>(module);
  bind_struct<CamFit>(module);
  bind_struct<SyncChain>(module);
  bind_struct<CamRow>(module);
  bind_struct<CamTable>(module);
  bind_fit(module);
  bind_tables(module);
  module.def("signed_nock_travel", &signed_nock_travel, py::arg("cycle"), doc("signed_nock_travel"));
}

}  // namespace nockwise::python
