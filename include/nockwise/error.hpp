#pragma once

/// @file
/// What nockwise throws. Everything derives from Error; a bug of ours is an assertion, not an exception.

#include "nockwise/export.hpp"

#include <optional>
#include <stdexcept>
#include <string>

namespace NOCKWISE_EXPORT nockwise {

/// Base of every exception of the library; `what()` is a message for the person who runs the program.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Where in a setup file something was read.
struct Location {
  std::optional<std::string> file{};  ///< name as the caller gave it
  std::optional<int> line{};          ///< from 1; printed only when `file` is known
  std::optional<int> column{};        ///< from 1; printed only when `line` is known
};

/// An argument or a setup value that cannot be used.
///
/// The message reads
/// `larkspur.toml:12:15: limbs.upper.torsion_stiffness = "-3 N·m/rad": must be at least 0.1 N·m/rad`;
/// parts that are not known are left out.
class InputError : public Error {
 public:
  /// @param path     dotted path of the parameter (`limbs.upper.mass`); may be empty
  /// @param value    the offending text as it was given; may be empty
  /// @param allowed  what would be right, as the end of a sentence (`must be at least 0.1 N·m/rad`)
  /// @param location the place in the file, where there is one
  InputError(std::string path, std::string value, std::string allowed, Location location = {});

  [[nodiscard]] const std::string& path() const noexcept { return path_; }
  [[nodiscard]] const std::string& value() const noexcept { return value_; }
  [[nodiscard]] const std::string& allowed() const noexcept { return allowed_; }
  [[nodiscard]] const std::optional<std::string>& file() const noexcept { return location_.file; }
  [[nodiscard]] std::optional<int> line() const noexcept { return location_.line; }
  [[nodiscard]] std::optional<int> column() const noexcept { return location_.column; }
  [[nodiscard]] const Location& location() const noexcept { return location_; }

  /// The same error told by a caller who knows the parameter's path (and the place in the file).
  [[nodiscard]] InputError with_path(std::string path, Location location = {}) const;

 private:
  std::string path_;
  std::string value_;
  std::string allowed_;
  Location location_;
};

/// The physics or the numerics have no answer: the setup can be read, but not braced, drawn or shot.
class SolverError : public Error {
 public:
  /// @param where the step that gave up (`draw cycle at 0.412 m`)
  /// @param why   the reason, for a person (`the lower cable went slack`)
  SolverError(std::string where, std::string why);

  [[nodiscard]] const std::string& where() const noexcept { return where_; }
  [[nodiscard]] const std::string& why() const noexcept { return why_; }

 private:
  std::string where_;
  std::string why_;
};

/// The caller's stop flag (an option of the long computations) was raised: there is no result.
class Interrupted : public Error {
 public:
  Interrupted();
};

}  // namespace nockwise
