#pragma once

/// @file
/// UTF-8, one character at a time.

#include <cstddef>
#include <string_view>

namespace nockwise {

struct Utf8Character {
  char32_t code = 0;
  std::size_t size = 1;  ///< [byte]
  bool valid = false;    ///< else one byte that belongs to no character
};

/// The first character of a text that is not empty.
[[nodiscard]] inline Utf8Character first_character(std::string_view text) noexcept {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  if (lead < 0x80) {
    return {lead, 1, true};
  }
  const std::size_t size = lead >= 0xF0 && lead < 0xF8 ? 4 : lead >= 0xE0 && lead < 0xF0 ? 3 : lead >= 0xC0 ? 2 : 0;
  if (size == 0 || lead >= 0xF8 || size > text.size()) {
    return {};
  }
  char32_t code = lead & (0xFFU >> (size + 1));
  for (std::size_t i = 1; i < size; ++i) {
    if ((byte(i) & 0xC0U) != 0x80U) {
      return {};
    }
    code = (code << 6U) | (byte(i) & 0x3FU);
  }
  constexpr char32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
  const bool valid = code >= least[size] && code <= 0x10FFFF && !(code >= 0xD800 && code <= 0xDFFF);
  return valid ? Utf8Character{code, size, true} : Utf8Character{};
}

}  // namespace nockwise
