// Case files: what was seen, as TOML.

#include "causes/bow_reader.hpp"
#include "causes/case_file.hpp"
#include "causes/case_ranges.hpp"
#include "causes/suspects.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/files.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"

#include <algorithm>
#include <system_error>
#include <utility>

namespace nockwise {

namespace {

using detail::FileEntry;
using detail::parse_document;

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

std::vector<std::string> CaseReader::names_of(const std::vector<Adjustment>& all) {
  std::vector<std::string> names;
  names.reserve(all.size());
  for (const Adjustment& each : all) {
    names.push_back(each.name);
  }
  return names;
}

InputError CaseReader::unknown(const FileEntry& entry, const std::vector<std::string>& names) {
  return {entry.path, "", no_such_name(entry.name, names), entry.place};
}

double CaseReader::number_in(const CaseRange& range, const FileEntry& entry) {
  const double value = parse_number(entry, range.quantity, range.unit);
  try {
    range.check(entry.path, value);
  } catch (const InputError& error) {
    throw entry.error(error.allowed());
  }
  return value;
}

double CaseReader::number_in(std::string_view range, const FileEntry& entry) {
  return number_in(case_range(range), entry);
}

void CaseReader::check_length(std::string_view range, const FileEntry& entry, std::size_t length) {
  const CaseRange& limit = case_range(range);
  if (static_cast<double>(length) > limit.maximum) {
    throw InputError(entry.path, std::to_string(length) + " of them",
                     "must not be more than " + format_quantity(limit.maximum, Quantity::dimensionless), entry.place);
  }
}

void CaseReader::read_setup(const FileEntry& entry) {
  const std::filesystem::path file = folder_ / entry.text();
  std::error_code failure;
  if (!std::filesystem::exists(file, failure)) {
    const std::filesystem::path folder = std::filesystem::absolute(folder_, failure);
    throw entry.error("must name a setup file; there is none of this name in " + folder.lexically_normal().string());
  }
  SetupFile read = read_setup_file(file);
  case_.setup = std::move(read.setup);
  case_.assumed = std::move(read.assumed);
  has_setup_ = true;
}

bool CaseReader::read_entry(const FileEntry& entry) {
  if (entry.name == "format") {
    if (entry.node->value_exact<std::int64_t>() != 1) {
      throw entry.error("must be 1, the version that is read here");
    }
    has_format_ = true;
  } else if (entry.name == "setup" || entry.name == "bow") {
    if (has_setup_) {
      throw InputError(entry.path, "", "must be one of the two: setup names a file, [bow] tells the bow itself",
                       entry.place);
    }
    if (entry.name == "setup") {
      read_setup(entry);
    } else {
      ToldBow told = read_told_bow(entry, file_);
      case_.setup = std::move(told.setup);
      case_.assumed = std::move(told.assumed);
      has_setup_ = true;
    }
  } else if (entry.name == "tears") {
    tears_ = entry;
  } else if (entry.name == "work") {
    work_ = entry;
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
                     has_format_ ? "must name the setup file of the bow: setup = \"larkspur.toml\", or stand as a "
                                   "table [bow] of what is known of it"
                                 : "must be given: begin the file with format = 1",
                     Location{file_, 1, 1});
  }
  // Behind the setup, wherever they stand: changes and checks are held against it.
  if (work_.node != nullptr) {
    const std::vector<FileEntry> work = tables_of(work_);
    check_length("work", work_, work.size());
    for (const FileEntry& step : work) {
      case_.work.push_back(read_work(step));
    }
  }
  if (tears_.node != nullptr) {
    const std::vector<FileEntry> tears = tables_of(tears_);
    check_length("tears", tears_, tears.size());
    for (const FileEntry& tear : tears) {
      case_.tears.push_back(read_tear(tear));
    }
    check_bows();
  }
  if (checks_.node != nullptr) {
    read_checks(checks_);
  }
}

Workshop CaseReader::read_workshop(const FileEntry& entry) const {
  Workshop workshop;
  const std::pair<const char*, bool*> tools[] = {{"bow_press", &workshop.bow_press},
                                                 {"draw_board", &workshop.draw_board},
                                                 {"second_arrow", &workshop.second_arrow},
                                                 {"spare_spine", &workshop.spare_spine}};
  for (const FileEntry& each : entries_of(entry.table(), entry.path, file_)) {
    const auto* const tool =
        std::find_if(std::begin(tools), std::end(tools), [&](const auto& known) { return each.name == known.first; });
    if (tool != std::end(tools)) {
      *tool->second = yes(each);
    } else if (each.name == "distances") {
      const toml::array* const list = each.node->as_array();
      if (list == nullptr) {
        throw each.error("must be a list of lengths: [\"6 ft\", \"12 ft\"]");
      }
      check_length("workshop.distances", each, list->size());
      for (std::size_t i = 0; i < list->size(); ++i) {
        workshop.distances.push_back(number_in("tears.distance", element(each, *list->get(i), i)));
      }
    } else {
      throw unknown(each, {"bow_press", "draw_board", "second_arrow", "spare_spine", "distances"});
    }
  }
  return workshop;
}

void CaseReader::check_bows() const {
  try {
    check_tears(case_.setup, case_.tears);
  } catch (const InputError& error) {
    throw InputError(error.path(), error.value(), error.allowed(), tears_.place);
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
  const auto part = [&](const FileEntry& each, double sign, bool& given, double& value) {
    if (given) {
      throw each.error("must be given once: high or low, left or right");
    }
    given = true;
    value = sign * number_in("tears.high", each);
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
      tear.distance = number_in("tears.distance", each);
    } else if (each.name == "reading_error") {
      tear.reading_error = number_in("tears.reading_error", each);
    } else if (each.name == "label") {
      tear.label = each.text();
    } else if (each.name == "bare_shaft") {
      if (yes(each)) {
        tear.changes.push_back(bare_shaft());
        tear.label = "bare shaft";
      }
    } else if (each.name == "archer") {
      tear.archer = each.text();
      tear.label = tear.label == "as found" ? "shot by " + tear.archer : tear.label;
    } else if (each.name == "changes") {
      add_changes(each, false);
    } else if (each.name == "changes_by") {
      add_changes(each, true);
    } else if (each.name == "trial") {
      const auto changes = read_trial(each);
      tear.changes.insert(tear.changes.end(), changes.begin(), changes.end());
      tear.label = tear.label == "as found" ? "after a trial" : tear.label;
    } else if (each.name == "after") {
      tear.after = steps_before(each);
      tear.label = tear.label == "as found" && tear.after > 0 ? "after the work" : tear.label;
    } else {
      throw unknown(each, {"high", "low", "right", "left", "distance", "reading_error", "label", "bare_shaft", "archer",
                           "changes", "changes_by", "trial", "after"});
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
  check_length("tears.changes", entry, changes.size());
  return changes;
}

void CaseReader::read_checks(const FileEntry& entry) {
  check_length("checks", entry, entry.table().size());
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
  CaseRange range;
  try {
    range = range_of_check(entry.name);
  } catch (const InputError& error) {
    throw entry.error(error.allowed());
  }
  CheckObservation check{entry.name, 0.0, 0.0};
  bool has_value = false;
  for (const FileEntry& each : entries_of(entry.table(), entry.path, file_)) {
    if (each.name == "value") {
      check.value = number_in(range, each);
      has_value = true;
    } else if (each.name == "error") {
      check.error = number_in(range_of_error(range), each);
    } else if (each.name == "after") {
      check.after = steps_before(each);
    } else {
      throw unknown(each, {"value", "error", "after"});
    }
  }
  if (!has_value || !(check.error > 0.0)) {
    throw entry.error("must give a value and its error, both with a unit");
  }
  case_.checks.push_back(check);
}

std::vector<PriorWidth> CaseReader::read_priors(const FileEntry& entry) const {
  std::vector<PriorWidth> priors;
  const std::vector<Adjustment> known = suspects(case_.setup);
  const std::vector<std::string> names = names_of(known);
  for (const FileEntry& each : entries_of(entry.table(), "priors", file_)) {
    if (std::find(names.begin(), names.end(), each.name) == names.end()) {
      throw unknown(each, names);
    }
    const bool unsuspected = parse_number(each, Quantity::dimensionless, "") == 0.0;
    priors.push_back({each.name, unsuspected ? 0.0 : number_in("priors", each)});
  }
  return priors;
}

}  // namespace detail

Case parse_case(std::string_view toml, const std::filesystem::path& folder, const std::string& source_name) {
  const toml::table document = parse_document(toml, source_name);
  FileEntry priors{};
  Workshop workshop;
  std::optional<double> shelf_clearance;
  detail::CaseReader reader(source_name, folder, "case");
  const auto other = [&](const FileEntry& entry, const detail::CaseReader& from) {
    if (entry.name == "priors") {
      priors = entry;
    } else if (entry.name == "workshop") {
      workshop = from.read_workshop(entry);
    } else if (entry.name == "shelf_clearance") {
      shelf_clearance = detail::CaseReader::number_in("shelf_clearance", entry);
    } else {
      return false;
    }
    return true;
  };
  Case observed = reader.read(document, {"priors", "workshop", "shelf_clearance"}, other);
  observed.workshop = std::move(workshop);
  observed.shelf_clearance = shelf_clearance;
  if (priors.node != nullptr) {
    observed.priors = reader.read_priors(priors);
  }
  return observed;
}

Case read_case(const std::filesystem::path& file) {
  return parse_case(read_text_file(file), file.parent_path(), file.string());
}

}  // namespace nockwise
