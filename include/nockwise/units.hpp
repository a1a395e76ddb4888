#pragma once

/// @file
/// Quantities as text ("6.75 in", "62 lbf", "0.5 twist") to SI and back. Everything inside nockwise is SI, with angles
/// in rad.

#include "nockwise/export.hpp"

#include <span>
#include <string>
#include <string_view>

namespace NOCKWISE_EXPORT nockwise {

/// What a number measures; each has its own list of units, so that a mass in `lb` can never be taken for a force. Where
/// a force is meant, `lb` is what workshops write for `lbf`, and is read so.
enum class Quantity {
  dimensionless,      ///< a bare number
  percent,            ///< stored as a fraction: "78 %" is 0.78
  length,             ///< [m]
  mass,               ///< [kg]
  force,              ///< [N]
  angle,              ///< [rad]
  time,               ///< [s]
  frequency,          ///< [Hz]
  speed,              ///< [m/s]
  angular_speed,      ///< [rad/s]
  acceleration,       ///< [m/s²]
  stiffness,          ///< [N/m]
  torsion_stiffness,  ///< [N·m/rad]
  compliance,         ///< of a joint or a clamp in rotation [rad/(N·m)]
  damping,            ///< [N·s/m]
  torsion_damping,    ///< [N·m·s/rad]
  inertia,            ///< second moment of mass [kg·m²]
  density,            ///< [kg/m³]
  linear_density,     ///< mass per length [kg/m]
  bending_stiffness,  ///< [N·m²]
  torque,             ///< [N·m]
  energy,             ///< [J]
  spine,              ///< sag of a shaft in the static spine test [m]; "340 spine" and "0.340 in" are the same
  turns,              ///< of a limb bolt or a set screw [turn]
  twists,             ///< of a string, a cable or a yoke leg [twist]
};

/// One way to write a quantity: SI value = number · numerator / denominator.
///
/// The factor is kept as a ratio because nearly all of them are ratios of two numbers that a double holds exactly, so
/// that a conversion rounds once or twice and no decimal factor adds an error of its own.
struct Unit {
  std::string_view symbol;        ///< as written by format_quantity; UTF-8
  double numerator = 1.0;         ///< > 0
  double denominator = 1.0;       ///< > 0
  std::string_view aliases = {};  ///< further spellings that parse_quantity takes, a blank between them; may be empty
  bool takes_fractions = false;   ///< may be written as "13/16 in" or "6 3/4 in"
};

/// Every quantity, in the order of the enumeration.
[[nodiscard]] std::span<const Quantity> all_quantities() noexcept;

/// The quantity's name for messages and tables, such as "torsion stiffness".
[[nodiscard]] std::string_view name_of(Quantity quantity) noexcept;

/// Every unit in which the quantity may be written; the first is the SI unit. A dimensionless number has one unit with
/// an empty symbol.
[[nodiscard]] std::span<const Unit> units_of(Quantity quantity) noexcept;

/// The unit in which nockwise keeps the quantity; "fraction" for a percentage, "turn" and "twist" for those two.
[[nodiscard]] std::string_view si_unit(Quantity quantity) noexcept;

/// The unit that a bow workshop would use, and the default of format_quantity.
[[nodiscard]] std::string_view workshop_unit(Quantity quantity) noexcept;

/// Converts a number in `unit` to SI.
/// @throws InputError if the quantity is not measured in `unit`
[[nodiscard]] double to_si(double number, Quantity quantity, std::string_view unit);

/// Converts an SI value to a number in `unit`.
/// @throws InputError if the quantity is not measured in `unit`
[[nodiscard]] double from_si(double si, Quantity quantity, std::string_view unit);

/// Reads a number with its unit, whatever the locale.
///
/// Units are case-sensitive. `*`, `.` and `⋅` are taken for `·`, `^2` for `²`, `^3` for `³`, `u` for `µ`. Inches, turns
/// and twists may be fractions: "13/16 in", "6 3/4 in", "-1/2 twist". The blank before the unit may be left out.
///
/// @returns the value in SI; finite
/// @throws InputError, without a path, if the text is not a finite number followed by a unit of the quantity; its
/// `allowed()` names
///         the units. A bare number is refused unless the quantity is dimensionless.
[[nodiscard]] double parse_quantity(std::string_view text, Quantity quantity);

/// Writes a value so that parse_quantity gives the same bits back: the shortest such text in `unit`, or, for the few
/// values that no number in `unit` converts to, in the SI unit.
///
/// A value that is not finite is written as "nan", "inf" or "-inf", for logs; parse_quantity refuses these.
/// @throws InputError if the quantity is not measured in `unit`
[[nodiscard]] std::string format_quantity(double si, Quantity quantity, std::string_view unit);

/// The same in the workshop unit.
[[nodiscard]] std::string format_quantity(double si, Quantity quantity);

/// Writes a value for a person to read, rounded to `decimals` places (0 to 17) in `unit`, and never as "-0.00".
/// @throws InputError if the quantity is not measured in `unit`
[[nodiscard]] std::string display(double si, Quantity quantity, std::string_view unit, int decimals);

}  // namespace nockwise
