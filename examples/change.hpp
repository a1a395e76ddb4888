// A change of one parameter as it is typed on a command line.
#pragma once

#include <nockwise/error.hpp>
#include <nockwise/setup.hpp>

#include <string>

/// "path=value": the value is text with a unit, a choice, or a plain number where the parameter has no unit. `option`
/// is what it was given to. Gives the path.
inline std::string apply_change(const std::string& option, const std::string& change, nockwise::Setup& setup) {
  const auto equals = change.find('=');
  if (equals == std::string::npos) {
    throw nockwise::InputError(option, change, "must be path=value, as in string.nocking_point=\"1/16 in\"");
  }
  const std::string path = change.substr(0, equals);
  setup.set(path, change.substr(equals + 1));
  return path;
}
