/// @file
/// What the generated tables are made of: fields of structs, names of enumerators, comments.
#pragma once

#include <array>
#include <cstring>
#include <string>
#include <string_view>
#include <tuple>

namespace nockwise::python {

/// One data member of a struct.
template <class Owner, class Value>
struct Field {
  const char* name;
  Value Owner::*member;
};
template <class Owner, class Value>
Field(const char*, Value Owner::*) -> Field<Owner, Value>;

/// Fields of a bound struct: `type`, its name, and `list`, a tuple of Field.
template <class T>
struct Fields;

template <class T>
concept Described = requires {
  Fields<T>::type;
};

template <class Enumeration>
struct Named {
  const char* name;
  Enumeration value;
};

/// Enumerators of an enumeration: `type`, its name, and `list`, an array of Named.
template <class Enumeration>
struct Names;

/// A comment of a public header.
struct Documented {
  std::string_view name;  ///< "DrawCycle.let_off", "launch"
  std::string_view unit;  ///< may be empty
  const char* doc;
};

/// Calls `act(field)` for every field of T.
template <class T, class Act>
constexpr void for_each_field(Act&& act) {
  std::apply([&](const auto&... field) { (act(field), ...); }, Fields<T>::list);
}

}  // namespace nockwise::python
