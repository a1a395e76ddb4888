/// @file
/// Mutation that knows what a setup file looks like: numbers, units, lines and tables, besides plain bytes.
#pragma once

#include "fuzz_target.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <random>
#include <string>
#include <vector>

namespace nockwise::fuzz {

/// Changes one thing in a text.
class TomlMutation {
 public:
  explicit TomlMutation(std::mt19937::result_type seed) : random_(seed) {}

  [[nodiscard]] std::string changed(std::string text) {
    switch (pick(14)) {
      case 1:
        return with_nesting(std::move(text));
      case 2:
        return with_hostile_text(std::move(text));
      case 3:
        return with_other_word(std::move(text));
      case 4:
        return with_line(std::move(text), true);
      case 5:
        return with_line(std::move(text), false);
      case 6:
        return with_snippet(std::move(text));
      case 7:
        return with_swapped_values(std::move(text));
      default:
        return with_other_number(std::move(text));
    }
  }

 private:
  std::size_t pick(std::size_t count) {
    return count == 0 ? 0 : std::uniform_int_distribution<std::size_t>(0, count - 1)(random_);
  }

  /// Begin and end of a maximal run of the characters in `set`, the one after a random place.
  [[nodiscard]] std::pair<std::size_t, std::size_t> run_of(const std::string& text, const char* set) {
    const std::size_t from = text.find_first_of(set, pick(text.size()));
    if (from == std::string::npos) {
      return {0, 0};
    }
    const std::size_t to = text.find_first_not_of(set, from);
    return {from, (to == std::string::npos ? text.size() : to) - from};
  }

  std::string with_other_number(std::string text) {
    const auto [from, length] = run_of(text, "0123456789.");
    static const std::array<const char*, 16> special{"0",   "-1",  "1e308", "-1e308", "nan",  "inf", "1e-300", "5e-324",
                                                     "1/0", "1/2", "-0.0",  "1e999",  "0x10", "1_0", "",       "65"};
    std::string number;
    if (pick(3) == 0) {
      number = special[pick(special.size())];
    } else {
      const double old = std::strtod(text.substr(from, length).c_str(), nullptr);
      const double width = std::pow(10.0, std::uniform_real_distribution<double>(-4.0, 0.5)(random_));
      std::array<char, 40> digits{};
      std::snprintf(digits.data(), digits.size(), "%.6g",
                    old * (1.0 + std::uniform_real_distribution<double>(-width, width)(random_)));
      number = digits.data();
    }
    return text.replace(from, length, number);
  }

  std::string with_other_word(std::string text) {
    static const std::array<const char*, 40> words{
        "in",       "mm",     "m",     "deg",     "rad",         "N·m/rad",       "kg",     "gr",     "twist",
        "lbf",      "none",   "blade", "capture", "limb_driven", "cable_driven",  "limb",   "cable",  "yoke",
        "let_out",  "upper",  "lower", "both",    "circle",      "spline",        "groove", "radius", "stop",
        "string",   "arrow",  "rest",  "true",    "false",       "take_up_track", "kind",   "points", "unit",
        "segments", "format", "tears", "checks"};
    const auto [from, length] = run_of(text, "abcdefghijklmnopqrstuvwxyz_");
    return text.replace(from, length, words[pick(words.size())]);
  }

  /// One line repeated somewhere else, or left out.
  std::string with_line(std::string text, bool repeat) {
    const std::size_t start = text.find('\n', pick(text.size()));
    const std::size_t from = start == std::string::npos ? 0 : start + 1;
    const std::size_t end = text.find('\n', from);
    const std::size_t to = end == std::string::npos ? text.size() : end + 1;
    if (!repeat) {
      return text.erase(from, to - from);
    }
    const std::string line = text.substr(from, to - from);
    const std::size_t place = text.find('\n', pick(text.size()));
    return text.insert(place == std::string::npos ? 0 : place + 1, line);
  }

  std::string with_snippet(std::string text) {
    static const std::array<const char*, 14> snippets{
        "\"",   "'''",     "[",        "]]", "{", "}", "#", "=", "\n[limbs.both]\n", "\n[cams.upper.let_out_track]\n",
        "\xff", "\\u0000", " = nan\n", "..."};
    return text.insert(pick(text.size() + 1), snippets[pick(snippets.size())]);
  }

  /// A name, a list or a table within itself, from a few times to more than a stack holds.
  std::string with_nesting(std::string text) {
    static const std::array<const char*, 8> parts{"a.", "a . ", "\"a\".", "[", "{ a = ", "[[", "a.b.", "{ a.b = "};
    static const std::array<const char*, 6> hosts{"\n[", "\n", "\nx = ", " = ", "\nx = { ", "\"\"\"\"\"\n"};
    const char* const part = parts[pick(parts.size())];
    std::string nested = hosts[pick(hosts.size())];
    for (std::size_t left = pick(3) == 0 ? 1 + pick(40000) : 1 + pick(40); left > 0; --left) {
      nested += part;
    }
    const std::size_t line = text.find('\n', pick(text.size()));
    return text.insert(line == std::string::npos ? 0 : line, nested + (pick(2) == 0 ? "a = 1\n" : "a]\n"));
  }

  /// What a terminal, a report or a person obeys, in a value.
  std::string with_hostile_text(std::string text) {
    static const std::array<const char*, 18> values{
        "\"\\u001b[31m\"", "\"\\u009b2J\"", "\"# x\\n\\n- y\"", "'<script>'",      "'| a | b'",     "\"\\u202e\"",
        "\"28-1/2 in\"",   "'28½\"'",       "\"28,5 in\"",      "\"28.5 INCHES\"", "\"60 #\"",      "\"60 lbs\"",
        "\"280 fps\"",     "\"1/2\"",       "\"100 grains\"",   "\"8 gpi\"",       "\"1e-300 in\"", "\"1e300 m\""};
    const std::size_t from = text.find('=', pick(text.size()));
    if (from == std::string::npos) {
      return text;
    }
    const std::size_t end = std::min(text.find('\n', from), text.size());
    return text.replace(from + 1, end - from - 1, std::string(" ") + values[pick(values.size())]);
  }

  /// What stands behind the `=` of two lines changes places.
  std::string with_swapped_values(std::string text) {
    std::array<std::size_t, 2> from{};
    std::array<std::size_t, 2> length{};
    for (std::size_t i = 0; i < 2; ++i) {
      from[i] = text.find('=', pick(text.size()));
      if (from[i] == std::string::npos) {
        return text;
      }
      length[i] = std::min(text.find('\n', from[i]), text.size()) - from[i];
    }
    if (from[0] > from[1]) {
      std::swap(from[0], from[1]);
      std::swap(length[0], length[1]);
    }
    if (from[0] + length[0] > from[1]) {
      return text;
    }
    const std::string first = text.substr(from[0], length[0]);
    const std::string second = text.substr(from[1], length[1]);
    text.replace(from[1], length[1], first);
    return text.replace(from[0], length[0], second);
  }

  std::mt19937 random_;
};

/// One to four changes as a rule, some of them of plain bytes; the new size.
inline std::size_t mutate_toml(std::uint8_t* data, std::size_t size, std::size_t max_size, unsigned seed) {
  std::mt19937 random(seed);
  std::string text(text_of(data, size));
  for (std::size_t left = random() % 2 == 0 ? 1 : random() % 5; left > 0; --left) {
    if (random() % 8 == 0) {
      std::vector<std::uint8_t> bytes(text.begin(), text.end());
      const std::size_t before = bytes.size();
      bytes.resize(std::max(before, max_size));
      const std::size_t after = LLVMFuzzerMutate(bytes.data(), before, max_size);
      text.assign(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(after));
    } else {
      text = TomlMutation(random()).changed(std::move(text));
    }
  }
  const std::size_t fits = std::min(text.size(), max_size);
  std::memcpy(data, text.data(), fits);
  return fits;
}

}  // namespace nockwise::fuzz

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t max_size,
                                               unsigned seed);
#define NOCKWISE_FUZZ_TOML                                                                                   \
  extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t max_size, \
                                                 unsigned seed) {                                            \
    return nockwise::fuzz::mutate_toml(data, size, max_size, seed);                                          \
  }
