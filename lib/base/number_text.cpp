#include "base/number_text.hpp"

#include <array>
#include <charconv>
#include <cstddef>
#include <cstdint>
#include <system_error>

namespace nockwise::detail {

namespace {

constexpr bool is_digit(char c) noexcept { return c >= '0' && c <= '9'; }
constexpr bool is_blank(char c) noexcept { return c == ' ' || c == '\t'; }

}  // namespace

std::string_view without_leading_blanks(std::string_view text) noexcept {
  while (!text.empty() && is_blank(text.front())) {
    text.remove_prefix(1);
  }
  return text;
}

std::string_view trimmed(std::string_view text) noexcept {
  text = without_leading_blanks(text);
  while (!text.empty() && is_blank(text.back())) {
    text.remove_suffix(1);
  }
  return text;
}

bool take(std::string_view& text, std::string_view prefix) noexcept {
  if (!text.starts_with(prefix)) {
    return false;
  }
  text.remove_prefix(prefix.size());
  return true;
}

namespace {

std::optional<double> take_whole_number(std::string_view& text) noexcept {
  std::uint32_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{}) {
    return std::nullopt;
  }
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return static_cast<double>(number);
}

/// One character that is a fraction ("½") at the start of the text.
std::optional<double> take_fraction_character(std::string_view& text) noexcept {
  struct Character {
    std::string_view text;
    double above, below;
  };
  constexpr std::array<Character, 9> characters{{{"½", 1.0, 2.0},
                                                 {"¼", 1.0, 4.0},
                                                 {"¾", 3.0, 4.0},
                                                 {"⅛", 1.0, 8.0},
                                                 {"⅜", 3.0, 8.0},
                                                 {"⅝", 5.0, 8.0},
                                                 {"⅞", 7.0, 8.0},
                                                 {"⅓", 1.0, 3.0},
                                                 {"⅔", 2.0, 3.0}}};
  for (const Character& each : characters) {
    if (take(text, each.text)) {
      return each.above / each.below;
    }
  }
  return std::nullopt;
}

/// "13/16" at the start of the text.
std::optional<double> take_plain_fraction(std::string_view& text) noexcept {
  std::string_view rest = text;
  const std::optional<double> above = take_whole_number(rest);
  if (!above || !(take(rest, "/") || take(rest, "⁄"))) {
    return std::nullopt;
  }
  const std::optional<double> below = take_whole_number(rest);
  if (!below || *below == 0.0) {
    return std::nullopt;
  }
  text = rest;
  return *above / *below;
}

}  // namespace

std::optional<double> take_fraction(std::string_view& text) noexcept {
  const auto take_either = [](std::string_view& rest) {
    const std::optional<double> one = take_fraction_character(rest);
    return one ? one : take_plain_fraction(rest);
  };
  std::string_view rest = text;
  if (const std::optional<double> fraction = take_either(rest)) {
    text = rest;
    return fraction;
  }
  const std::optional<double> whole = take_whole_number(rest);
  if (!whole) {
    return std::nullopt;
  }
  const bool apart = take(rest, "-") || (!rest.empty() && is_blank(rest.front()));
  rest = without_leading_blanks(rest);
  const std::optional<double> part = apart ? take_either(rest) : take_fraction_character(rest);
  if (!part) {
    return std::nullopt;
  }
  text = rest;
  return *whole + *part;
}

std::optional<double> take_decimal(std::string_view& text) noexcept {
  // from_chars would take "nan", "inf" and a second sign.
  if (text.empty() || !(is_digit(text.front()) || text.front() == '.')) {
    return std::nullopt;
  }
  double number = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{}) {
    return std::nullopt;
  }
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return number;
}

}  // namespace nockwise::detail
