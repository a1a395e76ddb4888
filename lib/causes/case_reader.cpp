// Case files: what was seen, as TOML.

#include "causes/case_file.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

namespace nockwise {

namespace {

constexpr double usual_touch_error = 0.0254 / 64.0;   // [m] stops that touch together, seen on a draw board
constexpr double usual_square_error = 0.0254 / 32.0;  // [m] bow square, centre shot

bool yes(const FileEntry& entry) {
  const auto value = entry.node->value_exact<bool>();
  if (!value) {
    throw entry.error("must be true or false");
  }
  return *value;
}

}  // namespace

namespace detail {

InputError CaseReader::unknown(const FileEntry& entry, const std::vector<std::string>& names) {
  return {entry.path, "", no_such_name(entry.name, names), entry.place};
}

double CaseReader::positive(const FileEntry& entry, double value) {
  if (!(value > 0.0)) {
    throw entry.error("must be above 0");
  }
  return value;
}

bool CaseReader::read_entry(const FileEntry& entry) {
  if (entry.name == "format") {
    if (entry.node->value_exact<std::int64_t>() != 1) {
      throw entry.error("must be 1, the version that is read here");
    }
    has_format_ = true;
  } else if (entry.name == "setup") {
    case_.setup = read_setup(folder_ / entry.text());
    has_setup_ = true;
  } else if (entry.name == "tears") {
    for (const FileEntry& tear : tables_of(entry)) {
      case_.tears.push_back(read_tear(tear));
    }
  } else if (entry.name == "checks") {
    checks_ = entry;
  } else {
    return false;
  }
  return true;
}

void CaseReader::read_rest() {
  if (!has_format_ || !has_setup_) {
    throw InputError(has_format_ ? "setup" : "format", "",
                     has_format_ ? "must name the setup file of the bow: setup = \"larkspur.toml\""
                                 : "must be given: begin the file with format = 1",
                     Location{file_, 1, 1});
  }
  if (checks_.node != nullptr) {
    read_checks(checks_);
  }
}

std::vector<FileEntry> CaseReader::tables_of(const FileEntry& list) const {
  const toml::array* array = list.node->as_array();
  if (array == nullptr) {
    throw list.error("must be a list of tables: write each under [[" + list.name + "]]");
  }
  std::vector<FileEntry> tables;
  for (const toml::node& item : *array) {
    tables.push_back({list.name, list.path, &item, place_of(item.source(), file_)});
  }
  return tables;
}

FileEntry CaseReader::element(const FileEntry& list, const toml::node& node, std::size_t index) const {
  const std::string name = '[' + std::to_string(index) + ']';
  return {name, list.path + name, &node, place_of(node.source(), file_)};
}

TearObservation CaseReader::read_tear(const FileEntry& entry) const {
  TearObservation tear;
  bool vertical = false;
  bool lateral = false;
  const auto length = [&](const FileEntry& each) { return parse_number(each, Quantity::length, "in"); };
  const auto part = [&](const FileEntry& each, double sign, bool& given, double& value) {
    if (given) {
      throw each.error("must be given once: high or low, left or right");
    }
    given = true;
    value = sign * length(each);
  };
  const auto add_changes = [&](const FileEntry& each, bool relative) {
    const auto changes = read_changes(each, relative);
    tear.changes.insert(tear.changes.end(), changes.begin(), changes.end());
    tear.label = tear.label == "as found" ? "after a change" : tear.label;
  };
  for (const FileEntry& each : entries_of(entry.table(), "tears", file_)) {
    if (each.name == "high") {
      part(each, 1.0, vertical, tear.up);
    } else if (each.name == "low") {
      part(each, -1.0, vertical, tear.up);
    } else if (each.name == "right") {
      part(each, 1.0, lateral, tear.right);
    } else if (each.name == "left") {
      part(each, -1.0, lateral, tear.right);
    } else if (each.name == "distance") {
      tear.distance = positive(each, parse_number(each, Quantity::length, "ft"));
    } else if (each.name == "reading_error") {
      tear.reading_error = positive(each, length(each));
    } else if (each.name == "label") {
      tear.label = each.text();
    } else if (each.name == "bare_shaft") {
      if (yes(each)) {
        tear.changes.push_back(bare_shaft());
        tear.label = "bare shaft";
      }
    } else if (each.name == "changes") {
      add_changes(each, false);
    } else if (each.name == "changes_by") {
      add_changes(each, true);
    } else {
      throw unknown(each, {"high", "low", "right", "left", "distance", "reading_error", "label", "bare_shaft",
                           "changes", "changes_by"});
    }
  }
  if (!vertical && !lateral) {
    throw InputError("tears", "", "must say how the tail tears: high or low, left or right, with a unit", entry.place);
  }
  return tear;
}

std::vector<ParameterChange> CaseReader::read_changes(const FileEntry& entry, bool relative) const {
  std::vector<ParameterChange> changes;
  for (const FileEntry& each : entries_of(entry.table(), entry.path, file_)) {
    const Parameter* found = find_parameter(each.name);
    if (found == nullptr) {
      std::vector<std::string> names;
      for (const Parameter& known : parameters()) {
        names.push_back(known.path);
      }
      throw unknown(each, names);
    }
    const double value = parse_number(each, found->quantity, found->unit);
    try {
      found->check(relative ? value + found->get(case_.setup) : value);
    } catch (const InputError& error) {
      throw each.error(error.allowed());
    }
    changes.push_back({each.name, value, relative});
  }
  return changes;
}

void CaseReader::read_checks(const FileEntry& entry) {
  for (const FileEntry& each : entries_of(entry.table(), "checks", file_)) {
    if (each.name == "stops_touch_together") {
      add_if(each, {"stop_gap", 0.0, usual_touch_error});
    } else if (each.name == "arrow_square_at_brace") {
      add_if(each, {"arrow_square", 0.0, usual_square_error});
    } else if (each.name == "rest_as_in_setup") {
      add_if(each, {"rest.center_shot", case_.setup.rest.center_shot, usual_square_error});
    } else {
      read_measurement(each);
    }
  }
}
void CaseReader::add_if(const FileEntry& entry, const CheckObservation& check) {
  if (yes(entry)) {
    case_.checks.push_back(check);
  }
}

/// `chronograph_speed = { value = "253 ft/s", error = "2 ft/s" }`
void CaseReader::read_measurement(const FileEntry& entry) {
  Quantity quantity{};
  try {
    quantity = check_quantity(entry.name);
  } catch (const InputError& error) {
    throw entry.error(error.allowed());
  }
  CheckObservation check{entry.name, 0.0, 0.0};
  bool has_value = false;
  for (const FileEntry& each : entries_of(entry.table(), entry.path, file_)) {
    if (each.name == "value") {
      check.value = parse_number(each, quantity, workshop_unit(quantity));
      has_value = true;
    } else if (each.name == "error") {
      check.error = positive(each, parse_number(each, quantity, workshop_unit(quantity)));
    } else {
      throw unknown(each, {"value", "error"});
    }
  }
  if (!has_value || !(check.error > 0.0)) {
    throw entry.error("must give a value and its error, both with a unit");
  }
  case_.checks.push_back(check);
}

std::vector<PriorWidth> CaseReader::read_priors(const FileEntry& entry) const {
  std::vector<PriorWidth> priors;
  const std::vector<Adjustment> known = adjustments(case_.setup);
  std::vector<std::string> names;
  names.reserve(known.size());
  for (const Adjustment& each : known) {
    names.push_back(each.name);
  }
  for (const FileEntry& each : entries_of(entry.table(), "priors", file_)) {
    if (std::find(names.begin(), names.end(), each.name) == names.end()) {
      throw unknown(each, names);
    }
    const double steps = parse_number(each, Quantity::dimensionless, "");
    if (!(steps >= 0.0) || !std::isfinite(steps)) {
      throw each.error("must be 0 or more trade steps");
    }
    priors.push_back({each.name, steps});
  }
  return priors;
}

std::string text_of(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  if (!stream || std::filesystem::is_directory(file)) {
    throw InputError("", file.string(), "must be a file that can be read");
  }
  return {std::istreambuf_iterator<char>(stream), {}};
}

}  // namespace detail

Case parse_case(std::string_view toml, const std::filesystem::path& folder, const std::string& source_name) {
  const toml::table document = parse_document(toml, source_name);
  FileEntry priors{};
  detail::CaseReader reader(source_name, folder);
  Case observed = reader.read(document, {"priors"}, [&](const FileEntry& entry, detail::CaseReader&) {
    priors = entry.name == "priors" ? entry : priors;
    return entry.name == "priors";
  });
  if (priors.node != nullptr) {
    observed.priors = reader.read_priors(priors);
  }
  return observed;
}

Case read_case(const std::filesystem::path& file) {
  return parse_case(detail::text_of(file), file.parent_path(), file.string());
}

}  // namespace nockwise
