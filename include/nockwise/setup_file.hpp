#pragma once

/// @file
/// Setups as TOML files, and the JSON Schema of these files.
///
/// A file says `format = 1` and gives the parameters, those that are `required` at least, in tables and under names
/// that follow the paths of `parameters.hpp`. Quantities are text with a unit (`mass = "2.3 kg"`), counts and
/// coefficients are plain numbers.
/// `[limbs.both]`,
/// `[cams.both]` and `[cables.both]` give values for both halves, which `upper` and `lower` override. The static spine
/// (`arrow.spine`) may be given for the bending stiffness. A track is a table:
///
///     string_track = { kind = "circle", radius = "33 mm", eccentricity = "16 mm", angle = "20 deg" }
///     [cams.upper.take_up_track]
///     kind = "spline"                      # support function at equally spaced normal angles
///     first_angle = "-200 deg"
///     angle_step = "5 deg"
///     unit = "mm"                          # of a plain list; or give every distance as text: ["30.1 mm", …]
///     distance = [30.1, 30.4, …]
///     [cams.upper.let_out_track]
///     kind = "groove"                      # measured points, the axle at the origin
///     unit = "mm"
///     points = [[33.1, 0.0], [32.8, 4.2], …]
///
/// `[known]` says how well single numbers are known, where it differs from how well such numbers usually are: by path a
/// class (`exact`, `measured`, `specified`, `typical`, `guessed`) or a standard deviation. A share is one of the
/// number.
///
///     [known]
///     "riser.mass" = "measured"
///     "string.axial_rigidity" = "5 %"
///     "limbs.both.effective_mass" = "3 g"
///     "brace_height" = "0.5 mm"            # a bow_measure()

#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// Version of the file format, the value of `format` in a file.
inline constexpr int setup_file_format = 1;

/// A value that a file leaves out, and that was taken from the defaults.
struct AssumedValue {
  std::string path;
  std::string value;  ///< as a file would give it ("0.9 rad")
  bool operator==(const AssumedValue&) const = default;
};

/// A setup as a file gives it.
struct SetupFile {
  Setup setup;
  std::vector<AssumedValue> assumed;  ///< what this bow makes use of and the file does not give
};

/// Reads and validates a setup file.
/// @throws InputError with file, line and column, the value, and what is allowed: for anything that is not TOML, an
/// unknown name
///         (with the nearest valid one), a number without its unit, a value out of range, a required parameter
///         that is missing, or whatever validate() refuses
[[nodiscard]] Setup read_setup(const std::filesystem::path& file);

/// The same for the text of a file; `source_name` stands for the file in messages.
/// @throws InputError as read_setup
[[nodiscard]] Setup parse_setup(std::string_view toml, const std::string& source_name = "setup");

/// The same, with a list of what was assumed.
/// @throws InputError as read_setup
[[nodiscard]] SetupFile read_setup_file(const std::filesystem::path& file);
/// @throws InputError as read_setup
[[nodiscard]] SetupFile parse_setup_file(std::string_view toml, const std::string& source_name = "setup");

/// What in this setup speaks for the other hand than `handedness`: the sight window, the cable guard. The cables run
/// and the window stands on the side of the hand that draws the string. Empty where all agree. A setup whose
/// `handedness` alone was changed is a bow for the other hand still: mirrored() makes it one.
[[nodiscard]] std::vector<std::string> handedness_doubts(const Setup& setup);

/// Refuses a file of another kind, and says which reads it. Kinds are "setup", "case", "calibration", "measurements"
/// and "sweep".
/// @throws InputError if the names at the top of the file are clearly those of another kind
void check_file_kind(std::string_view toml, std::string_view expected, const std::string& source_name);

/// Writes every parameter, explained by a comment, so that parse_setup gives an equal setup, to the bit. What is the
/// same in both halves is written once, under `both`. Each quantity is in the unit that bow workshops use for it, or
/// another in which it has clearly fewer digits.
/// @throws InputError if validate() refuses the setup, because such a file could not be read again
[[nodiscard]] std::string format_setup(const Setup& setup);

/// Writes format_setup() to a file, replacing it.
/// @throws InputError as format_setup; Error if the file cannot be written
void write_setup(const Setup& setup, const std::filesystem::path& file);

/// JSON Schema (draft 2020-12) of a setup file, for editors: names, types, choices, documentation and ranges in words.
[[nodiscard]] std::string json_schema();

}  // namespace nockwise
