#pragma once

/// @file
/// The one description of every field of Setup: path, quantity, range and meaning.
///
/// Files, the JSON Schema, Python, sweeps and the mirror symmetries are all driven by these tables, so that a field is
/// described once. Paths follow the structs ("limbs.upper.torsion_stiffness"). Defaults are those of a
/// default-constructed Setup.

#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"
#include "nockwise/units.hpp"

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// Whether something matters to a setup; empty if it always does.
using Condition = std::function<bool(const Setup&)>;

/// How well a number is known unless a setup says otherwise (`Setup::known`).
struct Knowledge {
  KnownBy by = KnownBy::exact;
  Width width{};           ///< in that class; none if exact
  double apart = 0.0;      ///< of a number of both halves: how much of the width the halves may differ by [fraction]
  std::string together{};  ///< name of what is not known as one, of all numbers that have this name; usually empty
  std::string reason{};    ///< why so well, and from where that is known
};

/// A field of Setup that is a number.
struct Parameter {
  std::string path;
  Quantity quantity = Quantity::dimensionless;
  std::string unit;       ///< the unit in which files and reports prefer it
  double minimum = 0.0;   ///< smallest value allowed [SI]
  double maximum = 0.0;   ///< largest value allowed [SI]
  double tried = 0.0;     ///< magnitude up to which the usual step was tried [SI]; 0: by lib/setup/tried_ranges.hpp
  bool whole = false;     ///< takes whole numbers only
  bool lateral = false;   ///< changes sign when the bow is mirrored for the other hand
  bool vertical = false;  ///< changes sign when the bow is turned upside down
  std::string alias_of;   ///< path of the field that this is another way to give; empty for the field itself
  bool required = false;  ///< a file must give it (or its alias) where it is used: see lib/setup/required.cpp
  Condition used{};       ///< setups to which it makes a difference; empty: all
  std::string doc;        ///< meaning, sign and frame in one sentence
  Knowledge known{};      ///< how well it is known, as a rule: see lib/setup/knowledge.cpp
  std::function<double(const Setup&)> get;  ///< value [SI]
  std::function<void(Setup&, double)> set;  ///< value [SI], stored unchecked; Setup::set checks

  /// Value in a default-constructed Setup [SI].
  [[nodiscard]] double default_value() const;
  /// The range as the end of a sentence: "must be from 0 to 1 kg".
  [[nodiscard]] std::string allowed() const;
  /// @throws InputError, with this path, if the value is not finite, out of range, or not whole where it must be
  void check(double value) const;
};

/// A field that takes one of a few words.
struct ChoiceParameter {
  std::string path;
  std::vector<std::string> choices;  ///< every word allowed
  std::vector<std::string> untried;  ///< words of no bow on which the usual step of a launch was tried
  bool lateral = false;              ///< one of two that change places when the bow is mirrored for the other hand
  bool vertical = false;             ///< one of two that change places when the bow is turned upside down
  bool required = false;             ///< a file must give it where it is used
  Condition used{};                  ///< setups to which it makes a difference; empty: all
  std::string doc;
  std::function<std::string(const Setup&)> get;
  std::function<void(Setup&, const std::string&)> set;  ///< throws InputError, with this path, for any other word

  [[nodiscard]] std::string default_value() const;
  /// The words as the end of a sentence: "must be right or left".
  [[nodiscard]] std::string allowed() const;
};

/// A field of free text.
struct TextParameter {
  std::string path;
  std::string doc;
  std::function<std::string(const Setup&)> get;
  std::function<void(Setup&, const std::string&)> set;
};

/// A track of a cam.
struct TrackParameter {
  std::string path;
  bool optional = false;  ///< the cam may do without
  bool required = false;  ///< a file must give it where it is used
  Condition used{};       ///< setups to which it makes a difference; empty: all
  std::string doc;
  std::function<std::optional<Track>(const Setup&)> get;
  std::function<void(Setup&, const std::optional<Track>&)> set;  ///< no track is ignored unless `optional`
};

/// Every number, parts in the order of Setup; aliases stand behind the field that they set.
[[nodiscard]] std::span<const Parameter> parameters();
[[nodiscard]] std::span<const ChoiceParameter> choice_parameters();
[[nodiscard]] std::span<const TextParameter> text_parameters();
[[nodiscard]] std::span<const TrackParameter> track_parameters();

/// The number at `path`.
/// @throws InputError for any other path, naming the nearest one
[[nodiscard]] const Parameter& parameter(std::string_view path);

/// The entry at `path`, or null if there is none of that kind.
[[nodiscard]] const Parameter* find_parameter(std::string_view path) noexcept;
[[nodiscard]] const ChoiceParameter* find_choice_parameter(std::string_view path) noexcept;
[[nodiscard]] const TextParameter* find_text_parameter(std::string_view path) noexcept;
[[nodiscard]] const TrackParameter* find_track_parameter(std::string_view path) noexcept;

/// A number of the whole bow that many parameters make together, and that is measured on it.
struct BowMeasure {
  std::string name;  ///< "brace_height"
  Quantity quantity = Quantity::length;
  std::string unit;     ///< the unit in which files and reports prefer its width
  double widest = 0.0;  ///< largest width that may be given [SI]
  Knowledge known{};
};
/// What is measured on every bow: brace height, axle-to-axle length, angle of the cams at brace, draw length, peak
/// weight, stop gap. Whatever else
/// is not known, the bow is taken to have these as they are measured.
[[nodiscard]] std::span<const BowMeasure> bow_measures();
/// The measure of that name, or null.
[[nodiscard]] const BowMeasure* find_bow_measure(std::string_view name) noexcept;

/// "exact", "measured", "specified", "typical" or "guessed".
[[nodiscard]] const char* name_of(KnownBy by) noexcept;
/// The class of that name; none if there is no such class.
[[nodiscard]] std::optional<KnownBy> find_known_by(std::string_view name) noexcept;

/// The width that something would have if it were known by `by`: its usual one times a ratio. What is measured is off
/// by a tenth of what is typical, what is specified by a third, what is guessed by twice as much.
[[nodiscard]] Width width_known(const Knowledge& usual, KnownBy by) noexcept;
/// The width of a number of this setup: what `setup.known` says, or the usual one.
[[nodiscard]] Width width_of(const Setup& setup, const Parameter& parameter);
/// The same as a standard deviation of the number itself [SI]; 0 for a relative width of nothing.
[[nodiscard]] double standard_deviation(const Setup& setup, const Parameter& parameter);

/// Static spine [m] of a shaft of this bending stiffness [N·m²]: the sag under 1.94 lb in the middle of a span of 28
/// in. The conversion is its own inverse, EI · δ = F L³ / 48.
[[nodiscard]] double spine_from_bending_stiffness(double bending_stiffness) noexcept;
/// Bending stiffness [N·m²] of a shaft of this static spine [m].
[[nodiscard]] double bending_stiffness_from_spine(double spine) noexcept;

}  // namespace nockwise
