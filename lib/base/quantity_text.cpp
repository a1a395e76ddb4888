#include "base/quantity_text.hpp"

#include <cstddef>
#include <string_view>
#include <vector>

namespace nockwise::detail {

namespace {

/// Units that nobody minds to find in a setup file, besides the one that a parameter prefers.
std::vector<std::string_view> usual_units(Quantity quantity) {
  switch (quantity) {
    case Quantity::length:
      return {"in", "mm", "m"};
    case Quantity::mass:
      return {"gr", "g", "kg"};
    case Quantity::linear_density:
      return {"gr/in", "g/m"};
    case Quantity::force:
      return {"lbf", "N"};
    case Quantity::angle:
      return {"deg", "rad"};
    default:
      return {si_unit(quantity)};
  }
}

/// How many digits there are to read, without the zeros that only place the decimal point.
std::size_t significant_digits(const std::string& text) {
  std::string digits;
  for (const char character : number_of(text)) {
    if (character == 'e') {
      break;
    }
    if (character >= '0' && character <= '9' && (character != '0' || !digits.empty())) {
      digits += character;
    }
  }
  return digits.find_last_not_of('0') + 1;  // none at all gives 0
}

}  // namespace

std::string number_of(const std::string& text) { return text.substr(0, text.find(' ')); }

std::string quantity_text(double value, Quantity quantity, const std::string& unit) {
  constexpr std::size_t readable = 8;  // digits; beyond that, no unit makes the number friendlier
  std::string best = format_quantity(value, quantity, unit);
  for (const std::string_view other : usual_units(quantity)) {
    const std::string text = format_quantity(value, quantity, other);
    const std::size_t digits = significant_digits(text);
    if (digits <= readable && digits + 1 < significant_digits(best)) {
      best = text;
    }
  }
  return best;
}

}  // namespace nockwise::detail
