// Measurements as TOML.
#include "base/quantity_text.hpp"
#include "bow_builder/measurement_fields.hpp"
#include "bow_builder/told_sheet.hpp"
#include "nockwise/error.hpp"
#include "nockwise/files.hpp"
#include "setup_file/file_kind.hpp"
#include "setup_file/text.hpp"
#include "setup_file/toml.hpp"

#include <algorithm>
#include <map>

namespace nockwise {

namespace {

using detail::comment;
using detail::entries_of;
using detail::FileEntry;
using detail::no_such_name;
using detail::parse_document;
using detail::parse_number;
using detail::place_of;
using detail::quantity_text;
using detail::quoted;

constexpr std::int64_t measurements_format = 1;
const std::string measurements_table = "measurements";

/// Names that may stand in a table below "measurements": the first parts of what is left of the paths.
std::vector<std::string> names_below(const std::string& table) {
  std::vector<std::string> names;
  const auto add = [&](const std::string& path) {
    if (path.starts_with(table)) {
      const std::string rest = path.substr(table.size());
      const std::string name = rest.substr(0, rest.find('.'));
      if (std::find(names.begin(), names.end(), name) == names.end()) {
        names.push_back(name);
      }
    }
  };
  for (const char* text : {"name", "provenance", "draw_curve"}) {
    add(text);
  }
  for (const auto& choice : detail::measurement_choices()) {
    add(choice.path);
  }
  for (const auto& field : detail::measurement_fields()) {
    add(field.path);
  }
  return names;
}

/// "limb, cable or both".
std::string in_words(const std::vector<std::string>& words) {
  std::string text = words.front();
  for (std::size_t i = 1; i < words.size(); ++i) {
    text += (i + 1 < words.size() ? ", " : " or ") + words[i];
  }
  return text;
}

class MeasurementsReader {
 public:
  MeasurementsReader(std::string file, std::string root) : file_(std::move(file)), root_(std::move(root)) {}

  BowMeasurements read(const toml::table& document) {
    check_file_kind(document, "measurements", file_);
    check_head(document);
    for (const FileEntry& entry : entries_of(document, "", file_)) {
      if (entry.name == root_) {
        read_table(entry, "");
      }
    }
    // What matters most for the shot is asked first.
    return complete({"draw_length", "axle_to_axle", "brace_height", "cabling", "stop"});
  }

  detail::ToldSheet read_told(const FileEntry& table, const detail::SheetEntry& other) {
    other_ = &other;
    read_table(table, "");
    if (!result_.peak_force && result_.draw_curve.empty()) {
      throw InputError(root_ + ".peak_force", "", "must be given", table.place);
    }
    std::vector<std::string> assumed;
    const auto assume = [&](const std::string& path, const auto& take) {
      if (!places_.contains(root_ + '.' + path)) {
        take();
        assumed.push_back(path);
      }
    };
    if (result_.draw_curve.empty()) {
      assume("let_off", [&] { result_.let_off = detail::ordinary_let_off; });
    }
    assume("cabling", [&] { result_.cabling = Cabling::crossed; });
    assume("stop", [&] { result_.stop = StopPegs::limb; });
    return {complete({"draw_length", "axle_to_axle", "brace_height"}), std::move(assumed)};
  }

 private:
  BowMeasurements complete(const std::vector<std::string>& required) {
    check_pairs();
    for (const std::string& path : required) {
      require(path);
    }
    try {
      validate(result_);
    } catch (const InputError& error) {
      const std::string path = error.path();
      const std::string own =
          path.starts_with(measurements_table) ? root_ + path.substr(measurements_table.size()) : path;
      throw error.with_path(own, place_for(own));
    }
    return result_;
  }

  void check_head(const toml::table& document) const {
    bool format = false;
    bool measurements = false;
    for (const FileEntry& entry : entries_of(document, "", file_)) {
      if (entry.name == "format") {
        format = true;
        if (entry.node->value_exact<std::int64_t>() != measurements_format) {
          throw entry.error("must be 1, the version that is read here");
        }
      } else if (entry.name == root_) {
        measurements = true;
      } else {
        throw InputError(entry.path, "", no_such_name(entry.name, {"format", root_}), entry.place);
      }
    }
    if (!format) {
      throw InputError("format", "", "must be given: begin the file with format = 1", Location{file_, 1, 1});
    }
    if (!measurements) {
      throw InputError(root_, "", "must be given: a table of what was measured", Location{file_, 1, 1});
    }
  }

  /// `prefix` is the table's path below "measurements", with a dot behind unless it is empty.
  void read_table(const FileEntry& table, const std::string& prefix) {
    places_[table.path] = table.place;
    for (const FileEntry& entry : entries_of(table.table(), table.path, file_)) {
      const std::string path = prefix + entry.name;
      places_[entry.path] = entry.place;
      if (!read_value(entry, path) && !(prefix.empty() && other_ != nullptr && (*other_)(entry))) {
        const std::vector<std::string> names = names_below(prefix);
        if (std::find(names.begin(), names.end(), entry.name) == names.end()) {
          throw InputError(entry.path, "", no_such_name(entry.name, names), entry.place);
        }
        read_table(entry, path + '.');
      }
    }
  }

  bool read_value(const FileEntry& entry, const std::string& path) {
    if (path == "name") {
      result_.name = entry.text();
      return true;
    }
    if (path == "provenance") {
      result_.provenance = entry.text();
      return true;
    }
    if (path == "draw_curve") {
      read_curve(entry);
      return true;
    }
    for (const auto& choice : detail::measurement_choices()) {
      if (choice.path == path) {
        const std::string word = entry.text();
        if (std::find(choice.words.begin(), choice.words.end(), word) == choice.words.end()) {
          throw entry.error("must be " + in_words(choice.words));
        }
        choice.set(result_, word);
        return true;
      }
    }
    for (const auto& field : detail::measurement_fields()) {
      if (field.path == path) {
        field.set(result_, checked(entry, field));
        return true;
      }
    }
    return false;
  }

  static double checked(const FileEntry& entry, const detail::MeasurementField& field) {
    const double value = parse_number(entry, field.quantity, field.unit);
    try {
      field.check(value);
    } catch (const InputError& error) {
      throw entry.error(error.allowed());
    }
    return value;
  }

  void read_curve(const FileEntry& entry) {
    constexpr const char* allowed = "must be a list of readings [draw length, force]: [[\"9 in\", \"25.5 lbf\"], …]";
    const toml::array* list = entry.node->as_array();
    if (list == nullptr) {
      throw entry.error(allowed);
    }
    for (const toml::node& node : *list) {
      const FileEntry reading = element(entry, node, result_.draw_curve.size());
      const toml::array* pair = node.as_array();
      if (pair == nullptr || pair->size() != 2) {
        throw reading.error(allowed);
      }
      result_.draw_curve.push_back({checked(element(reading, (*pair)[0], 0), detail::reading_position()),
                                    checked(element(reading, (*pair)[1], 1), detail::reading_force())});
    }
  }

  [[nodiscard]] FileEntry element(const FileEntry& list, const toml::node& node, std::size_t index) const {
    const std::string name = '[' + std::to_string(index) + ']';
    return {name, list.path + name, &node, place_of(node.source(), file_)};
  }

  /// What is measured at every bow has no default; guesses have.
  void require(const std::string& path) const {
    if (!places_.contains(root_ + '.' + path)) {
      throw InputError(root_ + '.' + path, "", "must be given", places_.at(root_));
    }
  }

  void check_pairs() const {
    const auto given = [&](const std::string& path) { return places_.contains(root_ + '.' + path); };
    if (!given("chronograph")) {
      return;
    }
    for (const char* path : {"chronograph.speed", "chronograph.arrow_mass"}) {
      if (!given(path)) {
        throw InputError(root_ + '.' + path, "", "must be given: a speed says nothing without the arrow's mass",
                         places_.at(root_ + ".chronograph"));
      }
    }
  }

  [[nodiscard]] Location place_for(const std::string& path) const {
    const auto found = places_.find(path);
    return found != places_.end() ? found->second : places_.at(root_);
  }

  std::string file_, root_;
  const detail::SheetEntry* other_ = nullptr;
  BowMeasurements result_;
  std::map<std::string, Location> places_;
};

}  // namespace

detail::ToldSheet detail::read_told_sheet(const FileEntry& table, const std::string& file, const SheetEntry& other) {
  return MeasurementsReader(file, table.path).read_told(table, other);
}

BowMeasurements parse_measurements(std::string_view toml, const std::string& source_name) {
  return MeasurementsReader(source_name, measurements_table).read(parse_document(toml, source_name));
}

BowMeasurements read_measurements(const std::filesystem::path& file) {
  return parse_measurements(read_text_file(file), file.string());
}

std::string format_measurements(const BowMeasurements& measurements) {
  validate(measurements);
  std::string text =
      "# What was measured at a bow. Every quantity may be written in any of its units.\nformat = 1\n\n[" +
      measurements_table + "]\nname = " + quoted(measurements.name) + "\n";
  text += comment("Where the numbers come from.") + "provenance = " + quoted(measurements.provenance) + '\n';
  for (const auto& choice : detail::measurement_choices()) {
    text += choice.path + " = " + quoted(choice.get(measurements)) + '\n';
  }
  for (const auto& field : detail::measurement_fields()) {
    if (const auto value = field.get(measurements)) {
      text += field.path + " = " + quoted(quantity_text(*value, field.quantity, field.unit)) + '\n';
    }
  }
  if (!measurements.draw_curve.empty()) {
    text +=
        comment("Draw board: the trade's draw length (grip pivot to nock plus 1 3/4 in), force.") + "draw_curve = [\n";
    for (const DrawForceReading& reading : measurements.draw_curve) {
      text += "  [" + quoted(quantity_text(reading.draw_length, Quantity::length, "in")) + ", " +
              quoted(quantity_text(reading.force, Quantity::force, "lbf")) + "],\n";
    }
    text += "]\n";
  }
  return text;
}

}  // namespace nockwise
