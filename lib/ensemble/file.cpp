// Files of readings, as TOML.
#include "ensemble/readings.hpp"
#include "nockwise/error.hpp"
#include "nockwise/files.hpp"
#include "setup_file/file_kind.hpp"
#include "setup_file/toml.hpp"

#include <algorithm>
#include <optional>

namespace nockwise {

namespace {

using detail::entries_of;
using detail::FileEntry;
using detail::kinds_of_reading;
using detail::parse_number;
using detail::place_of;

constexpr std::int64_t readings_format = 1;
constexpr std::size_t most_readings = 1000;

ReadingKind kind_named(const FileEntry& entry) {
  const std::string name = entry.text();
  std::string all;
  for (const detail::KindOfReading& kind : kinds_of_reading()) {
    if (name == kind.name) {
      return kind.kind;
    }
    all += (all.empty() ? "" : ", ") + std::string(kind.name);
  }
  throw entry.error("must be one of " + all);
}

double steps_of(const FileEntry& entry) {
  const auto steps = entry.node->value<double>();
  constexpr double most = 100.0;
  if (!steps || !(*steps >= -most && *steps <= most) || *steps == 0.0) {
    throw entry.error("must be a plain number of steps, not zero, as in 0.5 or -2");
  }
  return *steps;
}

/// One table of the list; what the numbers are depends on `kind`, which may stand behind them.
EnsembleReading read_one(const FileEntry& table, const std::string& file) {
  const std::vector<FileEntry> entries = entries_of(table.table(), table.path, file);
  const auto named = [&](const char* name) {
    return std::find_if(entries.begin(), entries.end(), [&](const FileEntry& entry) { return entry.name == name; });
  };
  for (const char* name : {"kind", "value"}) {
    if (named(name) == entries.end()) {
      throw InputError(table.path + '.' + name, "", "must be given", table.place);
    }
  }
  EnsembleReading reading;
  reading.kind = kind_named(*named("kind"));
  const detail::KindOfReading& kind = detail::kind_of_reading(reading.kind);
  reading.error = kind.error;
  for (const FileEntry& entry : entries) {
    if (entry.name == "adjustment") {
      reading.adjustment = entry.text();
    } else if (entry.name == "steps") {
      reading.steps = steps_of(entry);
    } else if (entry.name == "draw_length") {
      reading.draw_length = parse_number(entry, Quantity::length, "in");
    } else if (entry.name == "value") {
      reading.value = parse_number(entry, kind.quantity, kind.unit);
    } else if (entry.name == "error") {
      reading.error = parse_number(entry, kind.quantity, kind.unit);
      if (!(reading.error > 0.0)) {
        throw entry.error("must be above zero");
      }
    } else if (entry.name != "kind") {
      throw InputError(
          entry.path, "",
          detail::no_such_name(entry.name, {"kind", "adjustment", "steps", "draw_length", "value", "error"}),
          entry.place);
    }
  }
  if (detail::is_change(reading.kind) && reading.adjustment.empty()) {
    throw InputError(table.path + ".adjustment", "", "must be given for a change: what was adjusted", table.place);
  }
  if (reading.kind == ReadingKind::draw_force && !(reading.draw_length > 0.0)) {
    throw InputError(table.path + ".draw_length", "", "must be given for a draw force", table.place);
  }
  return reading;
}

std::vector<EnsembleReading> read_list(const FileEntry& entry, const std::string& file) {
  const toml::array* list = entry.node->as_array();
  if (list == nullptr || list->empty() || list->size() > most_readings) {
    throw entry.error("must be a list of tables, each headed by [[readings]], 1,000 at most");
  }
  std::vector<EnsembleReading> readings;
  for (const toml::node& node : *list) {
    const std::string name = '[' + std::to_string(readings.size()) + ']';
    readings.push_back(read_one({name, entry.path + name, &node, place_of(node.source(), file)}, file));
  }
  return readings;
}

}  // namespace

std::vector<EnsembleReading> parse_readings(std::string_view toml, const std::string& source_name) {
  const toml::table document = detail::parse_document(toml, source_name);
  check_file_kind(document, "readings", source_name);
  std::optional<std::vector<EnsembleReading>> readings;
  bool format = false;
  for (const FileEntry& entry : entries_of(document, "", source_name)) {
    if (entry.name == "format") {
      format = true;
      if (entry.node->value_exact<std::int64_t>() != readings_format) {
        throw entry.error("must be 1, the version that is read here");
      }
    } else if (entry.name == "readings") {
      readings = read_list(entry, source_name);
    } else {
      throw InputError(entry.path, "", detail::no_such_name(entry.name, {"format", "readings"}), entry.place);
    }
  }
  if (!format) {
    throw InputError("format", "", "must be given: begin the file with format = 1", Location{source_name, 1, 1});
  }
  if (!readings) {
    throw InputError("readings", "", "must be given: a list of tables, each headed by [[readings]]",
                     Location{source_name, 1, 1});
  }
  return *readings;
}

std::vector<EnsembleReading> read_readings(const std::filesystem::path& file) {
  return parse_readings(read_text_file(file), file.string());
}

}  // namespace nockwise
