#include "nockwise/files.hpp"

#include "nockwise/error.hpp"

#include <algorithm>
#include <array>
#include <fstream>
#include <system_error>

namespace nockwise {

namespace {

namespace fs = std::filesystem;

[[noreturn]] void refuse(const fs::path& file, const std::string& why) {
  throw InputError(file.empty() ? "file" : "", file.string(), "must be a file that can be read" + why);
}

std::string size_limit_text() { return std::to_string(largest_file / 1'000'000) + " MB"; }

[[noreturn]] void cannot_write(const fs::path& file, const std::string& why) {
  throw Error("cannot write " + (file.empty() ? std::string("a file without a name") : file.string()) + why);
}

}  // namespace

std::string read_text_file(const fs::path& file) {
  std::error_code failure;
  const fs::file_status status = fs::status(file, failure);
  switch (status.type()) {
    case fs::file_type::regular:
      break;
    case fs::file_type::not_found:
      refuse(file, file.empty() ? ": its name is empty" : ": there is none of this name");
    case fs::file_type::directory:
      refuse(file, ": this is a folder");
    case fs::file_type::none:
    case fs::file_type::unknown:
      refuse(file, ": " + failure.message());
    default:
      refuse(file, ": this is a pipe or a device, not a regular file");
  }
  std::ifstream stream(file, std::ios::binary);
  if (!stream) {
    refuse(file, ": it may not be opened");
  }
  std::string text;
  std::array<char, 65536> part{};  // not by its stated size, which some file systems give as 0
  while (stream && text.size() <= largest_file) {
    stream.read(part.data(), part.size());
    text.append(part.data(), static_cast<std::size_t>(stream.gcount()));
  }
  if (stream.bad()) {
    refuse(file, ": reading it failed");
  }
  if (text.size() > largest_file) {
    refuse(file, ": it is larger than " + size_limit_text());
  }
  return text;
}

void check_writable(const fs::path& file) {
  std::error_code failure;
  const fs::file_type type = fs::status(file, failure).type();
  if (type == fs::file_type::directory) {
    cannot_write(file, ": this is a folder");
  }
  const fs::path folder = file.has_parent_path() ? file.parent_path() : fs::path(".");
  if (file.empty() || !fs::is_directory(folder, failure)) {
    cannot_write(file, file.empty() ? "" : ": there is no folder " + folder.string());
  }
  if (type != fs::file_type::regular && type != fs::file_type::not_found) {
    return;  // a device or a pipe, which to open may block
  }
  if (!std::ofstream(file, std::ios::binary | std::ios::app)) {
    cannot_write(file, ": it may not be opened");
  }
  if (type == fs::file_type::not_found) {
    fs::remove(file, failure);
  }
}

void write_text_file(const fs::path& file, std::string_view text) {
  std::ofstream stream(file, std::ios::binary | std::ios::trunc);
  stream.write(text.data(), static_cast<std::streamsize>(text.size()));
  stream.close();
  if (!stream) {
    check_writable(file);  // knows more of the reason
    cannot_write(file, "");
  }
}

namespace {

/// Walks through TOML's words without understanding them: strings, comments, brackets, and the dots of names.
///
/// It errs on the safe side only where the parser stops with an error anyway. Up to there both see the same strings:
/// a quotation mark elsewhere than where a name or a value begins is an error of the parser's.
class NestingScanner {
 public:
  NestingScanner(std::string_view text, const std::string& file) : text_(text), file_(file) {}

  void scan() {
    while (at_ < text_.size()) {
      step();
    }
  }

 private:
  void step() {
    const char c = text_[at_];
    switch (c) {
      case '#':
        skip_to_line_end();
        return;
      case '"':
      case '\'':
        skip_string(c);
        return;
      case '\n':
        ++line_;
        line_start_ = at_ + 1;
        levels_ = 0;
        break;
      case '=':
      case ',':
        levels_ = 0;
        break;
      case '[':
      case '{':
        levels_ = 0;
        require(++brackets_);
        break;
      case ']':
      case '}':
        levels_ = 0;
        brackets_ = brackets_ > 0 ? brackets_ - 1 : 0;
        break;
      case '.':
        require(++levels_ + 1);
        break;
      default:
        break;
    }
    ++at_;
  }

  void require(int depth) const {
    if (depth > deepest_nesting) {
      throw InputError(
          "", "", "must not nest names, tables and lists deeper than " + std::to_string(deepest_nesting) + " levels",
          Location{file_, line_, static_cast<int>(at_ - line_start_) + 1});
    }
  }

  void skip_to_line_end() { at_ = std::min(text_.find('\n', at_), text_.size()); }

  /// One of the four kinds; a string that is not closed ends with its line, or with the text if it may span lines.
  void skip_string(char quote) {
    const bool spans_lines = text_.substr(at_, 3) == std::string(3, quote);
    at_ += spans_lines ? 3 : 1;
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '\n') {
        if (!spans_lines) {
          return;
        }
        ++line_;
        line_start_ = at_ + 1;
      } else if (c == '\\' && quote == '"') {
        // A line may be continued so, but its end is still to be counted.
        at_ += at_ + 1 < text_.size() && text_[at_ + 1] != '\n' ? 1 : 0;
      } else if (c == quote && closes(quote, spans_lines)) {
        return;
      }
      ++at_;
    }
    at_ = text_.size();
  }

  /// At a quotation mark within a string: true, and the place behind, if the string ends here. One or two marks may
  /// stand right before the closing three.
  bool closes(char quote, bool spans_lines) {
    if (!spans_lines) {
      ++at_;
      return true;
    }
    std::size_t count = 0;
    while (count < 5 && at_ + count < text_.size() && text_[at_ + count] == quote) {
      ++count;
    }
    if (count < 3) {
      return false;
    }
    at_ += count;
    return true;
  }

  std::string_view text_;
  const std::string& file_;
  std::size_t at_ = 0, line_start_ = 0;
  int line_ = 1;
  int brackets_ = 0;  // open now
  int levels_ = 0;    // dots in the name so far
};

}  // namespace

void check_toml_limits(std::string_view toml, const std::string& source_name) {
  if (toml.size() > largest_file) {
    throw InputError("", "", "must not be larger than " + size_limit_text(), Location{source_name, 1, 1});
  }
  NestingScanner(toml, source_name).scan();
}

}  // namespace nockwise
