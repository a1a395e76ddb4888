/// @file
/// A described struct as a Python class: read-only properties, comparison, copies, versioned pickles.
#pragma once

#include "convert.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::python {

template <class T>
py::dict state_of(const T& value, py::handle owner) {
  py::dict fields;
  for_each_field<T>([&](const auto& field) {
    using Value = std::remove_cvref_t<decltype(value.*field.member)>;
    fields[field.name] = Converter<Value>::to(value.*field.member, owner);
  });
  return fields;
}

/// Fills `value` from named fields; fields that are not named keep what they have.
/// @throws InputError for a name that is no field
template <class T>
void set_fields(T& value, const py::dict& fields) {
  for (const auto& [key, given] : fields) {
    const std::string name = py::str(key);
    bool known = false;
    std::string names;
    for_each_field<T>([&](const auto& field) {
      names += (names.empty() ? "must be one of " : ", ") + std::string(field.name);
      if (name == field.name) {
        using Value = std::remove_cvref_t<decltype(value.*field.member)>;
        known = true;
        Converter<Value>::from(given, value.*field.member, std::string(Fields<T>::type) + "." + name);
      }
    });
    if (!known) {
      throw InputError(Fields<T>::type, name, names);
    }
  }
}

inline py::dict versioned(py::dict fields) {
  using namespace py::literals;
  return py::dict("format"_a = pickle_format, "fields"_a = std::move(fields));
}

/// The fields of a pickled state, after a look at its version; those of an older one as they are meant today.
inline py::dict checked_fields(const py::dict& state, const char* type) {
  const int format = state.contains("format") ? state["format"].cast<int>() : 0;
  if (format < 1 || format > pickle_format) {
    throw InputError(std::string(type) + ".format", std::to_string(format),
                     "must be from 1 to " + std::to_string(pickle_format) +
                         "; this pickle was written by another version of nockwise");
  }
  const auto fields = state["fields"].cast<py::dict>();
  if (format < pickle_format) {
    return package_attribute("nockwise._pickles", "as_meant_today")(type, fields).cast<py::dict>();
  }
  return fields;
}

template <Described T>
bool equal(const T& a, const T& b);

template <class V>
bool equal_values(const V& a, const V& b) {
  if constexpr (Described<V>) {
    return equal(a, b);
  } else if constexpr (requires { a.upper; }) {
    return equal_values(a.upper, b.upper) && equal_values(a.lower, b.lower);
  } else if constexpr (requires { a.begin(); } && !std::is_same_v<V, std::string>) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](const auto& x, const auto& y) { return equal_values(x, y); });
  } else if constexpr (std::is_same_v<V, OutputValues>) {
    return std::ranges::all_of(Names<Output>::list,
                               [&](const auto& named) { return equal_values(a[named.value], b[named.value]); });
  } else if constexpr (std::is_floating_point_v<V>) {
    return a == b || (std::isnan(a) && std::isnan(b));
  } else {
    return a == b;
  }
}

template <Described T>
bool equal(const T& a, const T& b) {
  bool same = true;
  for_each_field<T>([&](const auto& field) { same = same && equal_values(a.*field.member, b.*field.member); });
  return same;
}

/// Methods that every value class has; `__repr__` and `_repr_html_` are written in Python.
template <class Class>
void add_presentation(Class& type) {
  type.def("__repr__", [](const py::object& self) { return package_attribute("nockwise._text", "describe")(self); });
  type.def("_repr_html_", [](const py::object& self) { return package_attribute("nockwise._notebook", "html")(self); });
}

template <Described T>
py::class_<T> bind_struct(py::module_& module) {
  py::class_<T> type(module, Fields<T>::type, py::is_final(), doc(Fields<T>::type));
  for_each_field<T>([&](const auto& field) {
    using Value = std::remove_cvref_t<decltype(std::declval<T&>().*field.member)>;
    const auto member = field.member;
    type.def_property_readonly(
        field.name,
        [member](const py::object& self) { return Converter<Value>::to(self.cast<const T&>().*member, self); },
        doc(std::string(Fields<T>::type) + "." + field.name));
  });
  type.def(
      "__eq__",
      [](const T& self, const py::object& other) -> py::object {
        if (!py::isinstance<T>(other)) {
          return py::reinterpret_borrow<py::object>(Py_NotImplemented);
        }
        return py::bool_(equal(self, other.cast<const T&>()));
      },
      py::arg("other"), py::pos_only());
  type.attr("__hash__") = py::none();
  type.def("__copy__", [](const T& self) { return T(self); });
  type.def(
      "__deepcopy__", [](const T& self, const py::object&) { return T(self); }, py::arg("memo"));
  type.def(py::pickle([](const py::object& self) { return versioned(state_of(self.cast<const T&>(), self)); },
                      [](const py::dict& state) {
                        T value{};
                        set_fields(value, checked_fields(state, Fields<T>::type));
                        return value;
                      }));
  add_presentation(type);
  return type;
}

/// The same for a struct that a person makes: a constructor with keyword arguments, and `replace`.
template <Described T>
py::class_<T> bind_made_struct(py::module_& module) {
  py::class_<T> type = bind_struct<T>(module);
  const auto fill = [](T value, const py::kwargs& fields) {
    set_fields(value, fields);
    return value;
  };
  type.def(py::init([fill](const py::kwargs& fields) { return fill(T{}, fields); }));
  type.def("replace", fill, "A copy with some fields changed.");
  return type;
}

}  // namespace nockwise::python
