#include "nockwise/units.hpp"

#include "base/number_text.hpp"
#include "base/quantity_text.hpp"
#include "base/units_table.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cassert>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <system_error>
#include <utility>

namespace nockwise {

namespace {

using detail::take;
using detail::take_decimal;
using detail::take_fraction;
using detail::trimmed;
using detail::without_leading_blanks;

struct Entry {
  Quantity quantity;
  std::string_view name;
  std::span<const Unit> units;
  std::string_view workshop;
};

// In the order of the enumeration, so that it can be indexed; checked below.
constexpr std::array entries{
    Entry{Quantity::dimensionless, "number", unit_table::dimensionless, ""},
    Entry{Quantity::percent, "percentage", unit_table::percent, "%"},
    Entry{Quantity::length, "length", unit_table::length, "in"},
    Entry{Quantity::mass, "mass", unit_table::mass, "gr"},
    Entry{Quantity::force, "force", unit_table::force, "lbf"},
    Entry{Quantity::angle, "angle", unit_table::angle, "deg"},
    Entry{Quantity::time, "time", unit_table::time, "ms"},
    Entry{Quantity::frequency, "frequency", unit_table::frequency, "Hz"},
    Entry{Quantity::speed, "speed", unit_table::speed, "ft/s"},
    Entry{Quantity::angular_speed, "angular speed", unit_table::angular_speed, "deg/s"},
    Entry{Quantity::acceleration, "acceleration", unit_table::acceleration, "g"},
    Entry{Quantity::stiffness, "stiffness", unit_table::stiffness, "lbf/in"},
    Entry{Quantity::torsion_stiffness, "torsion stiffness", unit_table::torsion_stiffness, "lbf·in/deg"},
    Entry{Quantity::compliance, "compliance", unit_table::compliance, "deg/(lbf·in)"},
    Entry{Quantity::damping, "damping", unit_table::damping, "lbf·s/in"},
    Entry{Quantity::torsion_damping, "torsion damping", unit_table::torsion_damping, "lbf·in·s/rad"},
    Entry{Quantity::inertia, "moment of inertia", unit_table::inertia, "lb·in²"},
    Entry{Quantity::density, "density", unit_table::density, "g/cm³"},
    Entry{Quantity::linear_density, "linear density", unit_table::linear_density, "gr/in"},
    Entry{Quantity::bending_stiffness, "bending stiffness", unit_table::bending_stiffness, "lbf·in²"},
    Entry{Quantity::torque, "torque", unit_table::torque, "lbf·in"},
    Entry{Quantity::energy, "energy", unit_table::energy, "ft·lbf"},
    Entry{Quantity::spine, "spine", unit_table::spine, "spine"},
    Entry{Quantity::turns, "number of turns", unit_table::turns, "turn"},
    Entry{Quantity::twists, "number of twists", unit_table::twists, "twist"},
};

constexpr auto quantities = [] {
  std::array<Quantity, entries.size()> all{};
  for (std::size_t i = 0; i < all.size(); ++i) {
    all[i] = entries[i].quantity;
  }
  return all;
}();

static_assert([] {
  for (std::size_t i = 0; i < entries.size(); ++i) {
    if (static_cast<std::size_t>(entries[i].quantity) != i || entries[i].units.empty()) {
      return false;
    }
  }
  return true;
}());

const Entry& entry_of(Quantity quantity) noexcept {
  const auto index = static_cast<std::size_t>(quantity);
  assert(index < entries.size());
  return entries[index];
}

constexpr double si_from(const Unit& unit, double number) noexcept {
  return number * unit.numerator / unit.denominator;
}
constexpr double number_from(const Unit& unit, double si) noexcept { return si * unit.denominator / unit.numerator; }

// --- Symbols
// --------------------------------------------------------------------------------------------------------------------

// Keyboards and catalogues write the same unit in several ways; all come down to one ASCII spelling before they are
// compared.
std::string plain_symbol(std::string_view symbol) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 10> spellings{{{"·", "."},
                                                                                     {"-", "."},
                                                                                     {"⋅", "."},
                                                                                     {"*", "."},
                                                                                     {"²", "^2"},
                                                                                     {"³", "^3"},
                                                                                     {"µ", "u"},  // micro sign
                                                                                     {"μ", "u"},  // Greek letter
                                                                                     {"°", "deg"},
                                                                                     {"º", "deg"}}};
  std::string plain;
  while (!symbol.empty()) {
    std::string_view from = symbol.substr(0, 1);
    std::string_view to = from;
    for (const auto& [seen, meant] : spellings) {
      if (symbol.starts_with(seen)) {
        from = seen;
        to = meant;
      }
    }
    plain += to;
    symbol.remove_prefix(from.size());
  }
  return plain;
}

constexpr char lower_case(char c) noexcept { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

std::string lower_case(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](char c) { return lower_case(c); });
  return text;
}

/// "IN" is an inch, but "MG" is no milligram: a capital M stands for a million. Nobody has megametres to measure.
bool minds_case(std::string_view plain) {
  return (plain.starts_with('m') || plain.starts_with('u')) && plain != "m" && plain != "mm" &&
         !plain.starts_with("m/") && !plain.starts_with("met");
}

bool is_spelling(const std::string& wanted, std::string_view spelling) {
  const std::string plain = plain_symbol(spelling);
  return wanted == plain || (!minds_case(plain) && lower_case(wanted) == lower_case(plain));
}

bool is_spelt(const Unit& unit, const std::string& wanted) {
  if (is_spelling(wanted, unit.symbol)) {
    return true;
  }
  for (std::string_view rest = unit.aliases; !rest.empty();) {
    const std::string_view alias = rest.substr(0, rest.find(' '));
    if (is_spelling(wanted, alias)) {
      return true;
    }
    rest.remove_prefix(std::min(alias.size() + 1, rest.size()));
  }
  return false;
}

const Unit* find_unit(Quantity quantity, std::string_view symbol) {
  const std::string wanted = plain_symbol(symbol);
  const std::span<const Unit> units = entry_of(quantity).units;
  const auto found = std::find_if(units.begin(), units.end(), [&](const Unit& unit) { return is_spelt(unit, wanted); });
  return found == units.end() ? nullptr : &*found;
}

/// "m, cm, mm or in"
std::string unit_list(Quantity quantity) {
  const std::span<const Unit> units = entry_of(quantity).units;
  std::string list;
  for (std::size_t i = 0; i < units.size(); ++i) {
    if (i > 0) {
      list += i + 1 == units.size() ? " or " : ", ";
    }
    list += units[i].symbol;
  }
  return list;
}

/// "a length", "an angle"
std::string name_with_article(Quantity quantity) {
  const std::string name(name_of(quantity));
  const bool vowel = std::string_view("aeio").find(name.front()) != std::string_view::npos;
  return (vowel ? "an " : "a ") + name;
}

const Unit& unit_named(Quantity quantity, std::string_view symbol) {
  const Unit* const unit = find_unit(quantity, symbol);
  if (unit == nullptr) {
    throw InputError("", std::string(symbol),
                     quantity == Quantity::dimensionless
                         ? std::string("must be empty: a plain number has no unit")
                         : "must be a unit of " + std::string(name_of(quantity)) + ": " + unit_list(quantity));
  }
  return *unit;
}

// --- Reading
// --------------------------------------------------------------------------------------------------------------------

std::string shortest_text(double number);

/// Inches of 5'2" and 2 ft 9 in, where such a thing was written: `symbol` is what stands behind the first number.
std::optional<double> feet_and_inches(double feet, std::string_view symbol) {
  for (const std::string_view foot : {"'", "′", "’", "ft", "feet", "foot"}) {
    std::string_view rest = symbol;
    if (!take(rest, foot)) {
      continue;
    }
    rest = without_leading_blanks(rest);
    std::optional<double> inches = take_fraction(rest);
    if (!inches) {
      inches = take_decimal(rest);
    }
    if (inches) {
      constexpr double inches_per_foot = 12.0;
      return inches_per_foot * feet + *inches;
    }
  }
  return std::nullopt;
}

/// What to say of a symbol behind a number that is no unit of the quantity; `text` is all that was written.
std::string advice_on(Quantity quantity, double number, std::string_view symbol, std::string_view text,
                      std::string_view proposed) {
  if (symbol.empty()) {
    // Whoever writes 0.8 for a share means 80 %.
    const bool share = quantity == Quantity::percent && number <= 1.0;
    const std::string unit(share ? workshop_unit(quantity) : proposed);
    return " (the unit is missing: write \"" +
           (share ? shortest_text(std::round(1e8 * number) / 1e6) + ' ' + unit : std::string(text) + ' ' + unit) +
           "\", if that is meant)";
  }
  if (quantity == Quantity::length) {
    if (const auto inches = feet_and_inches(number, symbol)) {
      return " (feet and inches: write all of it in inches, \"" + shortest_text(*inches) + " in\")";
    }
  }
  if (symbol.front() == ',') {
    return " (a comma may be a decimal sign or mark thousands: write a point or nothing, as in 28.5 or 1500)";
  }
  for (const Entry& other : entries) {
    if (other.quantity != quantity && other.quantity != Quantity::dimensionless &&
        find_unit(other.quantity, symbol) != nullptr) {
      return " (" + std::string(symbol) + " is a unit of " + std::string(other.name) + ')';
    }
  }
  return "";
}

// --- Writing
// --------------------------------------------------------------------------------------------------------------------

// Long enough for every double in fixed notation with the 17 decimals that display() allows.
using Buffer = std::array<char, 400>;

std::string shortest_text(double number) {
  Buffer buffer{};
  const double size = std::abs(number);
  // Plain figures where a person would write them; std::to_chars alone would write 100000 as 1e+05.
  const bool plain = size == 0.0 || (size >= 1e-5 && size < 1e9);
  const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number,
                                    plain ? std::chars_format::fixed : std::chars_format::scientific);
  assert(result.ec == std::errc{});
  return {buffer.data(), result.ptr};
}

double rounded_to_digits(double number, int digits) {
  Buffer buffer{};
  const auto written =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), number, std::chars_format::scientific, digits - 1);
  assert(written.ec == std::errc{});
  double rounded = number;
  std::from_chars(buffer.data(), written.ptr, rounded);
  return rounded;
}

bool same_bits(double a, double b) noexcept {
  return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

/// The number with the fewest digits that converts to exactly this SI value, if there is one.
std::optional<double> number_for(const Unit& unit, double si) {
  const double number = number_from(unit, si);
  if (!std::isfinite(number)) {
    return std::nullopt;
  }
  constexpr int digits_always_kept = std::numeric_limits<double>::digits10;
  for (int digits = 1; digits <= digits_always_kept; ++digits) {
    const double candidate = rounded_to_digits(number, digits);
    if (same_bits(si_from(unit, candidate), si)) {
      return candidate;
    }
  }
  // Dividing may have rounded past the right neighbour; beyond two steps there is none.
  std::optional<double> best;
  constexpr double infinity = std::numeric_limits<double>::infinity();
  const double below = std::nextafter(number, -infinity);
  const double above = std::nextafter(number, infinity);
  for (const double candidate :
       {number, below, above, std::nextafter(below, -infinity), std::nextafter(above, infinity)}) {
    if (same_bits(si_from(unit, candidate), si) &&
        (!best || shortest_text(candidate).size() < shortest_text(*best).size())) {
      best = candidate;
    }
  }
  return best;
}

std::string with_unit(std::string number, std::string_view symbol) {
  if (!symbol.empty()) {
    number += ' ';
    number += symbol;
  }
  return number;
}

std::string text_of_not_finite(double value) {
  if (std::isnan(value)) {
    return "nan";
  }
  return value > 0.0 ? "inf" : "-inf";
}

}  // namespace

std::span<const Quantity> all_quantities() noexcept { return quantities; }

std::string_view name_of(Quantity quantity) noexcept { return entry_of(quantity).name; }

std::span<const Unit> units_of(Quantity quantity) noexcept { return entry_of(quantity).units; }

std::string_view si_unit(Quantity quantity) noexcept { return entry_of(quantity).units.front().symbol; }

std::string_view workshop_unit(Quantity quantity) noexcept { return entry_of(quantity).workshop; }

double to_si(double number, Quantity quantity, std::string_view unit) {
  return si_from(unit_named(quantity, unit), number);
}

double from_si(double si, Quantity quantity, std::string_view unit) {
  return number_from(unit_named(quantity, unit), si);
}

double parse_quantity(std::string_view text, Quantity quantity) {
  return detail::parse_quantity_in(text, quantity, workshop_unit(quantity));
}

double detail::parse_quantity_in(std::string_view text, Quantity quantity, std::string_view proposed) {
  const auto refuse = [&](const std::string& but = {}) {
    std::string allowed = quantity == Quantity::dimensionless
                              ? std::string("must be a plain number without a unit")
                              : "must be " + name_with_article(quantity) + " in " + unit_list(quantity);
    allowed += but;
    throw InputError("", std::string(text), std::move(allowed));
  };

  std::string_view rest = trimmed(text);
  const bool negative = take(rest, "-") || take(rest, "−");
  if (!negative) {
    take(rest, "+");
  }

  std::optional<double> number = take_fraction(rest);
  const bool fraction = number.has_value();
  if (!fraction) {
    number = take_decimal(rest);
  }
  if (!number) {
    refuse();
  }

  const std::string_view symbol = without_leading_blanks(rest);
  const Unit* const unit = find_unit(quantity, symbol);
  if (unit == nullptr) {
    const Unit* const usual = find_unit(quantity, proposed);
    const bool takes_it = usual != nullptr && (!fraction || usual->takes_fractions);
    refuse(advice_on(quantity, *number, symbol, trimmed(text), takes_it ? proposed : workshop_unit(quantity)));
  }
  if (fraction && !unit->takes_fractions) {
    refuse(" (a fraction may be used only with in, turn and twist)");
  }

  const double si = si_from(*unit, negative ? -*number : *number);
  if (!std::isfinite(si) || (si == 0.0 && *number != 0.0)) {
    refuse(" (this one is beyond what a computer can hold)");
  }
  return si;
}

std::string format_quantity(double si, Quantity quantity, std::string_view unit) {
  const Unit& wanted = unit_named(quantity, unit);
  if (!std::isfinite(si)) {
    return with_unit(text_of_not_finite(si), wanted.symbol);
  }
  if (const std::optional<double> number = number_for(wanted, si)) {
    return with_unit(shortest_text(*number), wanted.symbol);
  }
  return with_unit(shortest_text(si), si_unit(quantity));
}

std::string format_quantity(double si, Quantity quantity) {
  return format_quantity(si, quantity, workshop_unit(quantity));
}

std::string display(double si, Quantity quantity, std::string_view unit, int decimals) {
  assert(decimals >= 0 && decimals <= 17);
  const Unit& wanted = unit_named(quantity, unit);
  const double number = number_from(wanted, si);
  if (!std::isfinite(number)) {
    return with_unit(text_of_not_finite(number), wanted.symbol);
  }
  Buffer buffer{};
  const auto result =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), number, std::chars_format::fixed, decimals);
  assert(result.ec == std::errc{});
  std::string figures(buffer.data(), result.ptr);
  if (figures.front() == '-' && figures.find_first_of("123456789") == std::string::npos) {
    figures.erase(0, 1);
  }
  return with_unit(std::move(figures), wanted.symbol);
}

}  // namespace nockwise
