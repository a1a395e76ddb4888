#include "nockwise/text.hpp"

#include "base/utf8.hpp"

#include <array>
#include <cstddef>

namespace nockwise {

namespace {

constexpr bool is_control(char32_t c) noexcept { return c < 0x20 || (c >= 0x7F && c < 0xA0); }

/// What is not seen itself but changes how its neighbours are seen: direction, joining, line and paragraph ends, tags.
constexpr bool is_invisible(char32_t c) noexcept {
  constexpr std::array<std::array<char32_t, 2>, 8> ranges{{{0x061C, 0x061C},
                                                           {0x180E, 0x180E},
                                                           {0x200B, 0x200F},
                                                           {0x2028, 0x202E},
                                                           {0x2060, 0x206F},
                                                           {0xFEFF, 0xFEFF},
                                                           {0xFFF9, 0xFFFB},
                                                           {0xE0000, 0xE007F}}};
  for (const auto& [first, last] : ranges) {
    if (c >= first && c <= last) {
      return true;
    }
  }
  return false;
}

std::string called(const char* prefix, char32_t number, int digits) {
  constexpr std::string_view hexadecimal = "0123456789abcdef";
  std::string text;
  for (; digits > 0 || number != 0; --digits, number /= 16) {
    text.insert(text.begin(), hexadecimal[number % 16]);
  }
  return prefix + text;
}

constexpr bool is_word(char c) noexcept {
  return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// Whether an underscore stands within a word, where it is no emphasis ("stop_gap").
bool within_word(std::string_view text, std::size_t at) {
  return at > 0 && at + 1 < text.size() && is_word(text[at - 1]) && is_word(text[at + 1]);
}

/// Where the text would begin a list, a heading's underline or a rule: the place of the character to be escaped.
std::size_t line_start_mark(std::string_view text) {
  if (!text.empty() && std::string_view("-+=").find(text.front()) != std::string_view::npos) {
    return 0;
  }
  const std::size_t end = text.find_first_not_of("0123456789");
  const bool numbered = end != std::string_view::npos && end > 0 && (text[end] == '.' || text[end] == ')') &&
                        (end + 1 == text.size() || text[end + 1] == ' ');
  return numbered ? end : std::string_view::npos;
}

}  // namespace

std::string terminal_text(std::string_view text) {
  std::string safe;
  while (!text.empty()) {
    const Utf8Character next = first_character(text);
    if (!next.valid) {
      safe += called("\\x", static_cast<unsigned char>(text.front()), 2);
    } else if (next.code == '\n' || next.code == '\r' || next.code == '\t') {
      safe += ' ';
    } else if (is_control(next.code)) {
      safe += called("\\x", next.code, 2);
    } else if (is_invisible(next.code)) {
      safe += called("\\u", next.code, 4);
    } else {
      safe += text.substr(0, next.size);
    }
    text.remove_prefix(next.size);
  }
  return safe;
}

std::string markdown_text(std::string_view text) {
  std::string plain = terminal_text(text);
  plain.erase(0, plain.find_first_not_of(' '));  // four blanks would make it code
  const std::size_t mark = line_start_mark(plain);
  std::string safe;
  for (std::size_t i = 0; i < plain.size(); ++i) {
    const char c = plain[i];
    if (c == '<' || c == '>' || c == '&') {
      safe += c == '<' ? "&lt;" : c == '>' ? "&gt;" : "&amp;";
      continue;
    }
    const bool special = std::string_view("\\`*{}[]#|~$").find(c) != std::string_view::npos;
    if (special || i == mark || (c == '_' && !within_word(plain, i))) {
      safe += '\\';
    }
    safe += c;
  }
  return safe;
}

std::string html_text(std::string_view text) {
  std::string safe;
  for (const char c : terminal_text(text)) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      case '\'':
        safe += "&#39;";
        break;
      default:
        safe += c;
    }
  }
  return safe;
}

}  // namespace nockwise
