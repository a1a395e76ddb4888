#include "nockwise/setup.hpp"

#include "bind_struct.hpp"
#include "nockwise/files.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/text.hpp"
#include "tracks.hpp"

namespace nockwise::python {

std::optional<Track> track_from_python(const py::object& value, const std::string& path) {
  if (value.is_none()) {
    return std::nullopt;
  }
  if (py::isinstance<CircleTrack>(value)) {
    return value.cast<CircleTrack>();
  }
  if (py::isinstance<SplineTrack>(value)) {
    return value.cast<SplineTrack>();
  }
  if (py::isinstance<GrooveTrack>(value)) {
    return value.cast<GrooveTrack>();
  }
  throw InputError(path, py::str(py::repr(value)), "must be a CircleTrack, SplineTrack or GrooveTrack");
}

namespace {

py::object track_in_python(const std::optional<Track>& track) {
  return track ? std::visit([](const auto& shape) { return py::cast(shape); }, *track) : py::none();
}

py::object get(const Setup& setup, const std::string& path) {
  if (const auto* choice = find_choice_parameter(path)) {
    return py::str(choice->get(setup));
  }
  if (const auto* text = find_text_parameter(path)) {
    return py::str(text->get(setup));
  }
  if (const auto* track = find_track_parameter(path)) {
    return track_in_python(track->get(setup));
  }
  return py::float_(setup.get(path));
}

void set(Setup& setup, const std::string& path, const py::object& value) {
  if (const auto* track = find_track_parameter(path)) {
    const auto shape = track_from_python(value, path);
    if (!shape && !track->optional) {
      throw InputError(path, "None", "must be a track; only a let-out track may be left away");
    }
    if (shape) {
      const CompiledTrack checked(*shape, path);
    }
    track->set(setup, shape);
    return;
  }
  if (py::isinstance<py::str>(value)) {
    setup.set(path, value.cast<std::string>());
    return;
  }
  if (py::isinstance<py::bool_>(value) || PyNumber_Check(value.ptr()) == 0) {
    (void)get(setup, path);  // a wrong path is told first
    throw InputError(path, py::str(py::repr(value)), "must be a number in SI, or text with a unit such as \"6.75 in\"");
  }
  double number = 0.0;
  try {
    number = value.cast<double>();
  } catch (const py::cast_error&) {
    throw InputError(path, py::str(py::repr(value)), "must be one number");
  }
  setup.set(path, number);
}

/// Every field by its path, numbers in SI; aliases are left out.
py::dict values(const Setup& setup) {
  py::dict all;
  for (const auto& p : text_parameters()) {
    all[py::str(p.path)] = p.get(setup);
  }
  for (const auto& p : choice_parameters()) {
    all[py::str(p.path)] = p.get(setup);
  }
  for (const auto& p : parameters()) {
    if (p.alias_of.empty()) {
      all[py::str(p.path)] = p.get(setup);
    }
  }
  for (const auto& p : track_parameters()) {
    all[py::str(p.path)] = track_in_python(p.get(setup));
  }
  return all;
}

py::tuple known_in_python(const Setup& setup) { return py::tuple(py::cast(setup.known)); }

/// Stored as given; validate() checks it.
void set_known(Setup& setup, const py::iterable& known) {
  std::vector<KnownValue> all;
  for (const py::handle each : known) {
    Converter<KnownValue>::from(each, all.emplace_back(), "Setup.known");
  }
  setup.known = std::move(all);
}

/// values() and how well they are known.
py::dict whole_state(const Setup& setup) {
  py::dict all = values(setup);
  if (!setup.known.empty()) {
    all["known"] = known_in_python(setup);
  }
  return all;
}

/// The inverse of whole_state(): stored unchecked, so that a half-edited setup survives too.
Setup from_values(const py::dict& all) {
  Setup setup;
  for (const auto& [key, value] : all) {
    const std::string path = py::str(key);
    if (path == "known") {
      set_known(setup, value.cast<py::iterable>());
    } else if (const auto* text = find_text_parameter(path)) {
      text->set(setup, value.cast<std::string>());
    } else if (const auto* choice = find_choice_parameter(path)) {
      choice->set(setup, value.cast<std::string>());
    } else if (const auto* track = find_track_parameter(path)) {
      track->set(setup, track_from_python(py::reinterpret_borrow<py::object>(value), path));
    } else {
      parameter(path).set(setup, value.cast<double>());
    }
  }
  return setup;
}

}  // namespace

void bind_setup(py::module_& module) {
  py::class_<Setup> type(module, "Setup", py::is_final(), doc("Setup"));
  type.def(py::init([](const py::object& changes) {
             Setup setup;
             if (!changes.is_none()) {
               for (const auto& [key, value] : py::dict(changes)) {
                 set(setup, py::str(key), py::reinterpret_borrow<py::object>(value));
               }
             }
             return setup;
           }),
           py::arg("changes") = py::none(),
           "The default bow, with some parameters changed: `Setup({\"arrow.length\": \"28.5 in\"})`.");
  type.def("set", &set, py::arg("path"), py::arg("value"), doc("Setup.set"));
  type.def("get", &get, py::arg("path"), doc("Setup.get"));
  type.def("__setitem__", &set, py::arg("path"), py::arg("value"), "The same as `set`.");
  type.def("__getitem__", &get, py::arg("path"), "The same as `get`.");
  type.def("values", &values,
           "Every parameter by its path: numbers in SI, choices and text as str, tracks as objects.");
  type.def(
      "replace",
      [](const Setup& self, const py::dict& changes) {
        Setup changed = self;
        for (const auto& [key, value] : changes) {
          set(changed, py::str(key), py::reinterpret_borrow<py::object>(value));
        }
        return changed;
      },
      py::arg("changes"), "A copy with some parameters changed: `setup.replace({\"cables.upper.twists\": 0.5})`.");
  type.def("_ipython_key_completions_", [](const Setup& self) { return py::list(values(self)); });
  type.def_property("known", &known_in_python, &set_known, doc("Setup.known"));
  type.def(
      "__eq__",
      [](const Setup& self, const py::object& other) -> py::object {
        if (!py::isinstance<Setup>(other)) {
          return py::reinterpret_borrow<py::object>(Py_NotImplemented);
        }
        return py::bool_(self == other.cast<const Setup&>());
      },
      py::arg("other"), py::pos_only());
  type.attr("__hash__") = py::none();
  type.def("__copy__", [](const Setup& self) { return Setup(self); });
  type.def(
      "__deepcopy__", [](const Setup& self, const py::object&) { return Setup(self); }, py::arg("memo"));
  type.def(py::pickle([](const Setup& self) { return versioned(whole_state(self)); },
                      [](const py::dict& state) { return from_values(checked_fields(state, "Setup")); }));
  add_presentation(type);

  module.def("mirrored", &mirrored, py::arg("setup"), doc("mirrored"));
  module.def("handedness_doubts", &handedness_doubts, py::arg("setup"), doc("handedness_doubts"));
  module.def("swapped", &swapped, py::arg("setup"), doc("swapped"));
  module.def("validate", static_cast<void (*)(const Setup&)>(&validate), py::arg("setup"),
             "Checks every range, and what must hold between parameters.\n\nRaises InputError with the path of the "
             "first parameter that is wrong.");
  const auto path_of = [](const py::object& file) {
    return py::module_::import("os").attr("fspath")(file).cast<std::string>();
  };
  module.def(
      "read_setup", [path_of](const py::object& file) { return read_setup(path_of(file)); }, py::arg("file"),
      doc("read_setup"));
  module.def(
      "parse_setup",
      [](const std::string& toml, const std::string& source_name) { return parse_setup(toml, source_name); },
      py::arg("toml"), py::arg("source_name") = "setup", doc("parse_setup"));
  bind_made_struct<AssumedValue>(module);
  bind_struct<SetupFile>(module);
  module.def(
      "read_setup_file", [path_of](const py::object& file) { return read_setup_file(path_of(file)); }, py::arg("file"),
      doc("read_setup_file"));
  module.def(
      "parse_setup_file",
      [](const std::string& toml, const std::string& source_name) { return parse_setup_file(toml, source_name); },
      py::arg("toml"), py::arg("source_name") = "setup", doc("parse_setup_file"));
  module.def(
      "check_file_kind",
      [](const std::string& toml, const std::string& expected, const std::string& source_name) {
        check_file_kind(toml, expected, source_name);
      },
      py::arg("toml"), py::arg("expected"), py::arg("source_name"), doc("check_file_kind"));
  module.def(
      "read_text_file", [path_of](const py::object& file) { return py::bytes(read_text_file(path_of(file))); },
      py::arg("file"), doc("read_text_file"));
  module.def(
      "check_writable", [path_of](const py::object& file) { check_writable(path_of(file)); }, py::arg("file"),
      doc("check_writable"));
  module.def("terminal_text", &terminal_text, py::arg("text"), doc("terminal_text"));
  module.def("markdown_text", &markdown_text, py::arg("text"), doc("markdown_text"));
  module.def("html_text", &html_text, py::arg("text"), doc("html_text"));
  module.def("format_setup", &format_setup, py::arg("setup"), doc("format_setup"));
  module.def(
      "write_setup", [path_of](const Setup& setup, const py::object& file) { write_setup(setup, path_of(file)); },
      py::arg("setup"), py::arg("file"), doc("write_setup"));
  module.def("json_schema", &json_schema, doc("json_schema"));
  module.attr("setup_file_format") = setup_file_format;
}

}  // namespace nockwise::python
