#include "nockwise/error.hpp"

#include <utility>

namespace nockwise {

namespace {

std::string input_message(const std::string& path, const std::string& value, const std::string& allowed,
                          const Location& location) {
  std::string message;
  if (location.file) {
    message += *location.file;
    if (location.line) {
      message += ':' + std::to_string(*location.line);
      if (location.column) {
        message += ':' + std::to_string(*location.column);
      }
    }
    message += ": ";
  }
  message += path;
  if (!value.empty()) {
    message += path.empty() ? "" : " = ";
    message += '"' + value + '"';
  }
  if (!path.empty() || !value.empty()) {
    message += ": ";
  }
  return message + allowed;
}

}  // namespace

InputError::InputError(std::string path, std::string value, std::string allowed, Location location)
    : Error(input_message(path, value, allowed, location)),
      path_(std::move(path)),
      value_(std::move(value)),
      allowed_(std::move(allowed)),
      location_(std::move(location)) {}

InputError InputError::with_path(std::string path, Location location) const {
  return {std::move(path), value_, allowed_, std::move(location)};
}

Interrupted::Interrupted() : Error("stopped by its caller before it was done") {}

SolverError::SolverError(std::string where, std::string why)
    : Error(where + ": " + why), where_(std::move(where)), why_(std::move(why)) {}

}  // namespace nockwise
