/// @file
/// Fields of C++ results to Python and back. Numbers in bulk become read-only views; the view's owner keeps the memory
/// alive.
#pragma once

#include "header_fields.hpp"
#include "python.hpp"

#include <cmath>
#include <limits>
#include <optional>
#include <type_traits>
#include <utility>

namespace nockwise::python {

template <class E>
std::string_view name_in_python(E value) {
  for (const auto& named : Names<E>::list) {
    if (named.value == value) {
      return named.name;
    }
  }
  return "";
}

/// @throws InputError naming the words allowed
template <class E>
E enumerator(std::string_view word, const std::string& path) {
  std::string allowed;
  for (const auto& named : Names<E>::list) {
    if (word == named.name) {
      return named.value;
    }
    allowed += (allowed.empty() ? "must be one of " : ", ") + std::string(named.name);
  }
  throw InputError(path, std::string(word), allowed);
}

/// How many numbers a field of a row has; a missing one is NaN there, because an array of numbers has no None.
inline constexpr std::size_t numbers_in(const double* /*field*/) { return 1; }
inline constexpr std::size_t numbers_in(const UpperLower<double>* /*field*/) { return 2; }
inline constexpr std::size_t numbers_in(const UpperLower<std::optional<double>>* /*field*/) { return 2; }

inline double* put_numbers(double value, double* to) {
  *to = value;
  return to + 1;
}
inline double* put_numbers(const UpperLower<double>& value, double* to) {
  return put_numbers(value.lower, put_numbers(value.upper, to));
}
inline double* put_numbers(const UpperLower<std::optional<double>>& value, double* to) {
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  return put_numbers(UpperLower<double>{value.upper.value_or(none), value.lower.value_or(none)}, to);
}

inline const double* take_numbers(double& value, const double* from) {
  value = *from;
  return from + 1;
}
inline const double* take_numbers(UpperLower<double>& value, const double* from) {
  return take_numbers(value.lower, take_numbers(value.upper, from));
}
inline const double* take_numbers(UpperLower<std::optional<double>>& value, const double* from) {
  const auto given = [](double number) { return std::isnan(number) ? std::optional<double>() : number; };
  value = {given(from[0]), given(from[1])};
  return from + 2;
}

/// Structs of numbers only, or of pairs of them: rows of a structured array, number after number.
template <class T>
py::dtype row_type() {
  py::list names;
  py::list formats;
  py::list offsets;
  std::size_t numbers = 0;
  for_each_field<T>([&](const auto& field) {
    using Value = std::remove_cvref_t<decltype(std::declval<T&>().*field.member)>;
    constexpr std::size_t count = numbers_in(static_cast<const Value*>(nullptr));
    names.append(field.name);
    formats.append(count == 1 ? py::object(py::str("f8")) : py::make_tuple("f8", count));
    offsets.append(numbers * sizeof(double));
    numbers += count;
  });
  return py::dtype(names, formats, offsets, static_cast<py::ssize_t>(numbers * sizeof(double)));
}

/// Whether the struct lies in memory as its row does, so that an array can be a view of it.
template <class T>
constexpr bool is_its_own_row() {
  bool plain = true;
  std::size_t numbers = 0;
  for_each_field<T>([&](const auto& field) {
    using Value = std::remove_cvref_t<decltype(std::declval<T&>().*field.member)>;
    plain = plain && !std::is_same_v<Value, UpperLower<std::optional<double>>>;
    numbers += numbers_in(static_cast<const Value*>(nullptr));
  });
  return plain && sizeof(T) == numbers * sizeof(double);
}

template <class T>
concept Row = std::is_same_v<T, DrawPoint> || std::is_same_v<T, FlightPoint> || std::is_same_v<T, DrawForceReading> ||
    std::is_same_v<T, TrackPoint> || std::is_same_v<T, TargetPoint>;

template <Row T>
py::array rows(const std::vector<T>& values, py::handle owner) {
  const auto count = static_cast<py::ssize_t>(values.size());
  const std::vector<py::ssize_t> shape{count};
  py::array array;
  if constexpr (is_its_own_row<T>()) {
    array = py::array(row_type<T>(), shape, {static_cast<py::ssize_t>(sizeof(T))}, values.data(),
                      values.empty() ? py::handle{} : owner);
  } else {
    array = py::array(row_type<T>(), shape);
    auto* to = static_cast<double*>(array.mutable_data());
    for (const T& value : values) {
      for_each_field<T>([&](const auto& field) { to = put_numbers(value.*field.member, to); });
    }
  }
  array.attr("flags").attr("writeable") = false;
  return array;
}

inline py::object pair_in_python(const py::object& upper, const py::object& lower) {
  return package_attribute("nockwise._pairs", "UpperLower")(upper, lower);
}

template <class T>
struct Converter {
  /// A struct inside a result: a reference that keeps the result alive.
  static py::object to(const T& value, py::handle owner) {
    return py::cast(value, py::return_value_policy::reference_internal, owner);
  }
  static void from(py::handle source, T& value, const std::string& path) {
    if (!py::isinstance<T>(source)) {
      throw InputError(path, py::str(py::repr(source)), std::string("must be a ") + Fields<T>::type);
    }
    value = source.cast<const T&>();
  }
};

template <class T>
requires std::is_arithmetic_v<T> || std::is_same_v<T, std::string>
struct Converter<T> {
  static py::object to(const T& value, py::handle) { return py::cast(value); }
  static void from(py::handle source, T& value, const std::string& path) {
    try {
      value = source.cast<T>();
    } catch (const py::cast_error&) {
      const char* kind = std::is_same_v<T, std::string> ? "must be text"
                         : std::is_same_v<T, bool>      ? "must be True or False"
                         : std::is_integral_v<T>        ? "must be a whole number"
                                                        : "must be a number in SI";
      throw InputError(path, py::str(py::repr(source)), kind);
    }
  }
};

template <class T>
requires std::is_enum_v<T>
struct Converter<T> {
  static py::object to(const T& value, py::handle) {
    return package_attribute("nockwise._enumerations", Names<T>::type)(std::string(name_in_python(value)));
  }
  static void from(py::handle source, T& value, const std::string& path) {
    value = enumerator<T>(std::string(py::str(source)), path);
  }
};

template <class T>
struct Converter<std::optional<T>> {
  static py::object to(const std::optional<T>& value, py::handle owner) {
    return value ? Converter<T>::to(*value, owner) : py::none();
  }
  static void from(py::handle source, std::optional<T>& value, const std::string& path) {
    value.reset();
    if (!source.is_none()) {
      Converter<T>::from(source, value.emplace(), path);
    }
  }
};

template <class T>
struct Converter<UpperLower<T>> {
  static py::object to(const UpperLower<T>& value, py::handle owner) {
    return pair_in_python(Converter<T>::to(value.upper, owner), Converter<T>::to(value.lower, owner));
  }
  static void from(py::handle source, UpperLower<T>& value, const std::string& path) {
    Converter<T>::from(source[py::int_(0)], value.upper, path + ".upper");
    Converter<T>::from(source[py::int_(1)], value.lower, path + ".lower");
  }
};

template <class T>
struct Converter<std::array<T, 2>> {
  static py::object to(const std::array<T, 2>& value, py::handle owner) {
    return py::make_tuple(Converter<T>::to(value[0], owner), Converter<T>::to(value[1], owner));
  }
  static void from(py::handle source, std::array<T, 2>& value, const std::string& path) {
    Converter<T>::from(source[py::int_(0)], value[0], path + "[0]");
    Converter<T>::from(source[py::int_(1)], value[1], path + "[1]");
  }
};

template <>
struct Converter<std::vector<double>> {
  static py::object to(const std::vector<double>& value, py::handle owner) {
    return view(value.data(), {static_cast<py::ssize_t>(value.size())}, owner);
  }
  static void from(py::handle source, std::vector<double>& value, const std::string& path) {
    const auto array = as_array(source, path, 1);
    value.assign(array.data(), array.data() + array.size());
  }
};

template <>
struct Converter<std::vector<std::array<double, 2>>> {
  static py::object to(const std::vector<std::array<double, 2>>& value, py::handle owner) {
    return view(value.empty() ? nullptr : value.front().data(), {static_cast<py::ssize_t>(value.size()), 2}, owner);
  }
  static void from(py::handle source, std::vector<std::array<double, 2>>& value, const std::string& path) {
    const auto array = as_array(source, path, 2);
    if (array.shape(1) != 2) {
      throw InputError(path, "shape (" + std::to_string(array.shape(0)) + ", " + std::to_string(array.shape(1)) + ")",
                       "must have the shape (n, 2)");
    }
    value.clear();
    for (py::ssize_t i = 0; i < array.shape(0); ++i) {
      value.push_back({array.at(i, 0), array.at(i, 1)});
    }
  }
};

template <class T>
struct Converter<std::vector<T>> {
  static py::object to(const std::vector<T>& value, py::handle owner) {
    if constexpr (Row<T>) {
      return rows(value, owner);
    } else {
      py::tuple items(value.size());
      for (std::size_t i = 0; i < value.size(); ++i) {
        items[i] = Converter<T>::to(value[i], owner);
      }
      return items;
    }
  }
  static void from(py::handle source, std::vector<T>& value, const std::string& path) {
    value.clear();
    if constexpr (Row<T>) {
      const auto array = py::array::ensure(source);
      if (array && !array.dtype().attr("names").is_none()) {
        const auto same = array.attr("astype")(row_type<T>()).template cast<py::array>();
        const auto* from = static_cast<const double*>(same.data());
        value.resize(static_cast<std::size_t>(same.size()));
        for (T& row : value) {
          for_each_field<T>([&](const auto& field) { from = take_numbers(row.*field.member, from); });
        }
        return;
      }
    }
    std::size_t index = 0;
    for (const py::handle item : source) {
      const std::string at = path + "[" + std::to_string(index++) + "]";
      if constexpr (Row<T>) {
        T& row = value.emplace_back();
        if (py::isinstance<T>(item)) {
          row = item.cast<const T&>();
          continue;
        }
        const auto numbers = as_array(item, at, 1);
        if (numbers.size() != static_cast<py::ssize_t>(std::tuple_size_v<decltype(Fields<T>::list)>)) {
          throw InputError(at, std::to_string(numbers.size()) + " numbers",
                           std::string("must be a ") + Fields<T>::type);
        }
        py::ssize_t column = 0;
        for_each_field<T>([&](const auto& field) {
          if constexpr (std::is_same_v<std::remove_cvref_t<decltype(row.*field.member)>, double>) {
            row.*field.member = numbers.at(column++);
          }
        });
      } else {
        Converter<T>::from(item, value.emplace_back(), at);
      }
    }
  }
};

/// Pickles of format 1 hold the sentence alone.
template <>
struct Converter<Caution> {
  static py::object to(const Caution& value, py::handle owner) {
    return py::cast(value, py::return_value_policy::reference_internal, owner);
  }
  static void from(py::handle source, Caution& value, const std::string& path) {
    if (py::isinstance<py::str>(source)) {
      value = {CautionKind::general, source.cast<std::string>()};
    } else if (py::isinstance<Caution>(source)) {
      value = source.cast<const Caution&>();
    } else {
      throw InputError(path, py::str(py::repr(source)), "must be a Caution");
    }
  }
};

/// A mapping from the names of outputs.
template <>
struct Converter<OutputValues> {
  static py::object to(const OutputValues& value, py::handle) {
    py::dict all;
    for (const auto& named : Names<Output>::list) {
      all[named.name] = value[named.value];
    }
    return all;
  }
  static void from(py::handle source, OutputValues& value, const std::string& path) {
    for (const auto& [name, number] : source.cast<py::dict>()) {
      value[enumerator<Output>(py::str(name).cast<std::string>(), path)] = number.cast<double>();
    }
  }
};

/// Setups can be changed in Python, so the one inside a result is handed out as a copy.
template <>
struct Converter<Setup> {
  static py::object to(const Setup& value, py::handle) { return py::cast(Setup(value)); }
  static void from(py::handle source, Setup& value, const std::string&) { value = source.cast<const Setup&>(); }
};

}  // namespace nockwise::python
