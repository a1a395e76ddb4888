#include "nockwise/error.hpp"

#include "base/utf8.hpp"
#include "nockwise/text.hpp"

#include <cstddef>
#include <string_view>
#include <utility>

namespace nockwise {

namespace {

/// What a message shows of a text: its beginning, if it is long.
std::string_view beginning(std::string_view text) {
  constexpr std::size_t most = 200;  // [byte]
  std::size_t size = 0;
  while (size < text.size() && size < most) {
    size += first_character(text.substr(size)).size;
  }
  return text.substr(0, size);
}

std::string shown(const std::string& text) {
  const std::string_view start = beginning(text);
  return std::string(start) + (start.size() < text.size() ? "…" : "");
}

/// Fit for a terminal: what is quoted in it may be anything.
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
  message += shown(path);
  if (!value.empty()) {
    message += path.empty() ? "" : " = ";
    message += '"' + shown(value) + '"';
  }
  if (!path.empty() || !value.empty()) {
    message += ": ";
  }
  return terminal_text(message + allowed);
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
