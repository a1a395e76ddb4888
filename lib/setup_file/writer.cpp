// Setups to TOML.

#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/track.hpp"
#include "setup_file/known.hpp"
#include "setup_file/layout.hpp"
#include "setup_file/text.hpp"

#include <array>
#include <charconv>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace nockwise {

namespace {

using detail::comment;
using detail::is_halved;
using detail::is_long;
using detail::last_name;
using detail::parent_path;
using detail::quoted;
using detail::table_paths;
using detail::track_text;
using detail::value_text;

/// One parameter of a table, ready to be written.
struct Line {
  std::string path;
  std::string doc;
  std::string text;  ///< `name = value`, or the whole table of a long track
  bool is_table = false;
};

/// The parameter by its alias, if a value of few digits gives the same bits ("340 spine"); empty otherwise.
std::string alias_line(const Parameter& parameter, const Setup& setup) {
  for (const Parameter& alias : parameters()) {
    if (alias.alias_of != parameter.path) {
      continue;
    }
    if (alias.get(setup) < alias.minimum || alias.get(setup) > alias.maximum) {
      continue;
    }
    constexpr int digits = 6;
    std::array<char, 32> buffer{};
    const double number = from_si(alias.get(setup), alias.quantity, alias.unit);
    const auto end =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), number, std::chars_format::general, digits);
    const std::string text = std::string(buffer.data(), end.ptr) + ' ' + alias.unit;
    Setup copy = setup;
    alias.set(copy, parse_quantity(text, alias.quantity));
    if (parameter.get(copy) == parameter.get(setup)) {
      return last_name(alias.path) + " = " + quoted(text) + '\n';
    }
  }
  return "";
}

std::string number_line(const Parameter& parameter, const Setup& setup) {
  const std::string alias = alias_line(parameter, setup);
  return !alias.empty() ? alias : last_name(parameter.path) + " = " + value_text(parameter, setup) + '\n';
}

/// Everything that stands directly in `table`, long tracks last.
std::vector<Line> lines_of(const Setup& setup, const std::string& table) {
  std::vector<Line> lines;
  for (const TextParameter& text : text_parameters()) {
    if (parent_path(text.path) == table) {
      lines.push_back({text.path, text.doc, last_name(text.path) + " = " + quoted(text.get(setup)) + '\n'});
    }
  }
  for (const ChoiceParameter& choice : choice_parameters()) {
    if (parent_path(choice.path) == table) {
      lines.push_back({choice.path, choice.doc, last_name(choice.path) + " = " + quoted(choice.get(setup)) + '\n'});
    }
  }
  for (const Parameter& parameter : parameters()) {
    if (parent_path(parameter.path) == table && parameter.alias_of.empty()) {
      lines.push_back({parameter.path, parameter.doc, number_line(parameter, setup)});
    }
  }
  for (const bool is_table : {false, true}) {
    for (const TrackParameter& parameter : track_parameters()) {
      const std::optional<Track> track = parameter.get(setup);
      if (parent_path(parameter.path) == table && track && is_long(*track) == is_table) {
        lines.push_back({parameter.path, parameter.doc, track_text(*track, parameter.path), is_table});
      }
    }
  }
  return lines;
}

/// Writes tables one by one and explains each name the first time.
class SetupWriter {
 public:
  void write(const std::string& table, const std::vector<Line>& lines) {
    std::string body;
    bool needs_head = false;  // a table with nothing but tables in it needs no head of its own
    for (const Line& line : lines) {
      body += line.is_table ? "\n" : "";
      // The halves of the bow share their explanations.
      if (explained_.insert(half_free(line.path)).second) {
        body += comment(line.doc);
      }
      body += line.text;
      needs_head = needs_head || !line.is_table;
    }
    if (!lines.empty()) {
      text_ += (needs_head && !table.empty() ? "\n[" + table + "]\n" : "") + body;
    }
  }

  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  static std::string half_free(std::string path) {
    for (const std::string_view half : {".both.", ".upper.", ".lower."}) {
      const auto found = path.find(half);
      if (found != std::string::npos) {
        return path.replace(found, half.size(), ".*.");
      }
    }
    return path;
  }

  std::string text_ = "# A setup of nockwise. Every quantity may be written in any of its units.\nformat = " +
                      std::to_string(setup_file_format) + '\n';
  std::set<std::string> explained_;
};

/// The line with its path, and the path in its text, moved from one half to another.
Line moved(Line line, const std::string& from, const std::string& to) {
  const std::string old_head = '[' + line.path + ']';
  line.path.replace(0, from.size(), to);
  if (line.is_table) {
    line.text.replace(0, old_head.size(), '[' + line.path + ']');
  }
  return line;
}

/// One table of a part that exists in both halves ("cams.*.stop"), with what the halves have in common taken out.
struct HalvedTable {
  std::string suffix;  ///< ".stop", or empty for the part itself
  std::vector<Line> both;
  std::vector<Line> upper;
  std::vector<Line> lower;
};

HalvedTable halved_table(const Setup& setup, const std::string& root, const std::string& suffix) {
  const std::string upper = root + ".upper";
  const std::string lower = root + ".lower";
  HalvedTable result{suffix, {}, {}, lines_of(setup, lower + suffix)};
  for (const Line& line : lines_of(setup, upper + suffix)) {
    const Line twin = moved(line, upper, lower);
    const auto is_twin = [&twin](const Line& other) { return other.path == twin.path && other.text == twin.text; };
    if (std::erase_if(result.lower, is_twin) != 0) {
      result.both.push_back(moved(line, upper, root + ".both"));
    } else {
      result.upper.push_back(line);
    }
  }
  return result;
}

/// The tables `root.both…`, `root.upper…` and `root.lower…`.
void write_halves(SetupWriter& writer, const Setup& setup, const std::string& root) {
  std::vector<HalvedTable> tables;
  const std::string upper = root + ".upper";
  for (const std::string& path : table_paths()) {
    if (path.starts_with(upper)) {
      tables.push_back(halved_table(setup, root, path.substr(upper.size())));
    }
  }
  for (const HalvedTable& table : tables) {
    writer.write(root + ".both" + table.suffix, table.both);
  }
  for (const HalvedTable& table : tables) {
    writer.write(upper + table.suffix, table.upper);
  }
  for (const HalvedTable& table : tables) {
    writer.write(root + ".lower" + table.suffix, table.lower);
  }
}

/// Whatever is refused here would be refused when the file is read.
void check_readable(const Setup& setup) {
  validate(setup);
  for (const TrackParameter& parameter : track_parameters()) {
    if (const std::optional<Track> track = parameter.get(setup)) {
      (void)CompiledTrack(*track, parameter.path);
    }
  }
}

}  // namespace

std::string format_setup(const Setup& setup) {
  check_readable(setup);
  SetupWriter writer;
  writer.write("", lines_of(setup, ""));
  for (const std::string& table : table_paths()) {
    if (is_halved(table)) {
      write_halves(writer, setup, table);
    } else if (!is_halved(parent_path(table)) && !is_halved(parent_path(parent_path(table)))) {
      writer.write(table, lines_of(setup, table));
    }
  }
  return writer.text() + detail::known_text(setup.known);
}

}  // namespace nockwise
