#include "causes/bow_reader.hpp"

#include "base/quantity_text.hpp"
#include "bow_builder/measurement_fields.hpp"
#include "bow_builder/moving_parts.hpp"
#include "bow_builder/told_sheet.hpp"
#include "causes/case_file.hpp"
#include "nockwise/bow_builder.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/units.hpp"
#include "setup_file/text.hpp"

#include <algorithm>
#include <array>
#include <optional>

namespace nockwise::detail {

namespace {

bool is_number(const FileEntry& entry) { return find_parameter(entry.name) != nullptr; }
bool is_choice(const FileEntry& entry) { return find_choice_parameter(entry.name) != nullptr; }

/// What was told beside the sheet's lines, in the order of the file.
struct Besides {
  std::vector<FileEntry> entries;  // numbers and choices, by path
  std::optional<FileEntry> arrow_mass;

  bool take(const FileEntry& entry) {
    if (entry.name == "arrow_mass") {
      arrow_mass = entry;
      return true;
    }
    if (is_number(entry) || is_choice(entry)) {
      entries.push_back(entry);
      return true;
    }
    return false;
  }
  [[nodiscard]] bool tell(std::string_view path) const {
    return std::any_of(entries.begin(), entries.end(), [&](const FileEntry& each) { return each.name == path; });
  }
};

double number(const FileEntry& entry) {
  const Parameter& known = parameter(entry.name);
  return parse_number(entry, known.quantity, known.unit);
}

void put(const FileEntry& entry, Setup& setup) {
  try {
    if (is_number(entry)) {
      setup.set(entry.name, number(entry));
    } else {
      setup.set(entry.name, entry.text());
    }
  } catch (const InputError& error) {
    throw entry.error(error.allowed());
  }
}

/// The whole arrow's mass by its point, or, where that was told, by the shaft.
void put_arrow_mass(const Besides& besides, double mass, const FileEntry& entry, Setup& setup) {
  if (!besides.tell("arrow.point_mass")) {
    setup = with_arrow_of(std::move(setup), mass);
    return;
  }
  Arrow& arrow = setup.arrow;
  const double parts =
      arrow.point_mass + arrow.insert_mass + arrow.nock_mass + arrow.fletching.count * arrow.fletching.mass_each;
  const double density = (mass - parts) / arrow.length;
  const Parameter& known = parameter("arrow.linear_density");
  if (!(density >= known.minimum && density <= known.maximum)) {
    throw entry.error("must be what this point, insert, nock and vanes leave for a shaft: " + known.allowed() +
                      " for each length");
  }
  arrow.linear_density = density;
}

Setup around(const Besides& besides, const BowMeasurements& sheet) {
  Setup setup = ordinary_setup(sheet);
  for (const FileEntry& each : besides.entries) {
    if (each.name == "handedness") {
      Setup hand;
      put(each, hand);
      setup = hand.handedness == setup.handedness ? setup : mirrored(setup);
    }
  }
  for (const FileEntry& each : besides.entries) {
    put(each, setup);
  }
  if (besides.arrow_mass) {
    const double mass =
        CaseReader::number_in({"bow.arrow_mass", Quantity::mass, "gr", 0.005, 0.1, ""}, *besides.arrow_mass);
    put_arrow_mass(besides, mass, *besides.arrow_mass, setup);
  } else if (sheet.chronograph && !besides.tell("arrow.linear_density")) {
    setup = with_arrow_of(std::move(setup), sheet.chronograph->arrow_mass);
  }
  return setup;
}

/// A number that the builder sets from the sheet's lines cannot be told besides.
void check_kept(const Besides& besides, const Setup& setup) {
  for (const FileEntry& each : besides.entries) {
    if (is_number(each) && parameter(each.name).alias_of.empty() && setup.get(each.name) != number(each)) {
      throw each.error("cannot be told beside the lines of the sheet: the bow is built from those");
    }
  }
}

/// What nobody told is known a class less well than what stands in a setup file.
std::vector<KnownValue> known_of(const Besides& besides) {
  std::vector<KnownValue> known;
  for (const BowMeasure& each : bow_measures()) {
    known.push_back({each.name, KnownBy::specified});
  }
  const auto told = [&](const Parameter& number) {
    return std::any_of(besides.entries.begin(), besides.entries.end(), [&](const FileEntry& entry) {
      const Parameter* const entered = find_parameter(entry.name);
      return entered != nullptr && (entered->path == number.path || entered->alias_of == number.path);
    });
  };
  for (const Parameter& number : parameters()) {
    if (!number.alias_of.empty() || told(number)) {
      continue;
    }
    if (number.known.by == KnownBy::measured) {
      known.push_back({number.path, KnownBy::specified});
    } else if (number.known.by == KnownBy::specified || number.known.by == KnownBy::typical) {
      known.push_back({number.path, KnownBy::guessed});
    }
  }
  return known;
}

/// A number as a person writes it: what the builder has worked out has more digits than anybody reads.
std::string rounded_text(const Parameter& number, const Setup& setup) {
  constexpr std::size_t readable = 9;
  const std::string text = plain_value_text(number, setup);
  return number_of(text).size() <= readable ? text : display(number.get(setup), number.quantity, number.unit, 2);
}

std::vector<AssumedValue> assumed_of(const ToldSheet& told, const Besides& besides, const Setup& setup) {
  std::vector<AssumedValue> assumed;
  for (const MeasurementChoice& each : measurement_choices()) {
    if (std::find(told.assumed.begin(), told.assumed.end(), each.path) != told.assumed.end()) {
      assumed.push_back({"bow." + each.path, each.get(told.sheet)});
    }
  }
  if (std::find(told.assumed.begin(), told.assumed.end(), "let_off") != told.assumed.end()) {
    assumed.push_back({"bow.let_off", quantity_text(*told.sheet.let_off, Quantity::percent, "%")});
  }
  // What people can tell, and the tear depends on.
  constexpr std::array<const char*, 9> asked{"rest.kind",        "arrow.spine",        "arrow.length",
                                             "arrow.point_mass", "rest.height",        "string.nocking_point",
                                             "rest.center_shot", "cable_guard.offset", "arrow.fletching.count"};
  for (const char* path : asked) {
    if (besides.tell(path) || (std::string_view(path) == "arrow.point_mass" && besides.arrow_mass)) {
      continue;
    }
    const Parameter* const number = find_parameter(path);
    assumed.push_back(
        {path, number != nullptr ? rounded_text(*number, setup) : find_choice_parameter(path)->get(setup)});
  }
  return assumed;
}

}  // namespace

ToldBow read_told_bow(const FileEntry& table, const std::string& file) {
  Besides besides;
  const ToldSheet told = read_told_sheet(table, file, [&](const FileEntry& entry) { return besides.take(entry); });
  const Setup base = around(besides, told.sheet);
  ToldBow bow;
  try {
    bow.setup = build_bow(told.sheet, base).setup;
  } catch (const InputError& error) {
    throw InputError(table.path + " (" + error.path() + ")", error.value(), error.allowed(), table.place);
  } catch (const SolverError& error) {
    throw InputError(table.path, "", std::string("must be lines that one bow can meet: ") + error.what(), table.place);
  }
  check_kept(besides, bow.setup);
  bow.assumed = assumed_of(told, besides, bow.setup);
  bow.setup.known = known_of(besides);
  return bow;
}

}  // namespace nockwise::detail
