// Tracks in setup files.

#include "nockwise/groove.hpp"
#include "setup_file/toml.hpp"

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <optional>

namespace nockwise::detail {

namespace {

/// The entries of one track's table; what is asked for is ticked off.
class TrackTable {
 public:
  TrackTable(const FileEntry& track, const std::string& file)
      : track_(track), file_(file), entries_(entries_of(track.table(), track.path, file)) {}

  [[nodiscard]] const FileEntry* find(const std::string& name) const {
    for (const FileEntry& entry : entries_) {
      if (entry.name == name) {
        return &entry;
      }
    }
    return nullptr;
  }

  [[nodiscard]] const FileEntry& required(const std::string& name) const {
    if (const FileEntry* entry = find(name)) {
      return *entry;
    }
    throw InputError(track_.path + '.' + name, "", "must be given", track_.place);
  }

  [[nodiscard]] double length(const std::string& name, double otherwise) const {
    const FileEntry* entry = find(name);
    return entry != nullptr ? parse_number(*entry, Quantity::length, "mm") : otherwise;
  }

  [[nodiscard]] double angle(const std::string& name, double otherwise) const {
    const FileEntry* entry = find(name);
    return entry != nullptr ? parse_number(*entry, Quantity::angle, "deg") : otherwise;
  }

  /// @throws InputError for the first name that is not one of `names`
  void allow(const std::vector<std::string>& names) const {
    for (const FileEntry& entry : entries_) {
      if (std::find(names.begin(), names.end(), entry.name) == names.end()) {
        throw InputError(entry.path, "", no_such_name(entry.name, names), entry.place);
      }
    }
  }

  /// The unit of plain numbers in a list, if one is given.
  [[nodiscard]] std::optional<std::string> list_unit() const {
    const FileEntry* entry = find("unit");
    if (entry == nullptr) {
      return std::nullopt;
    }
    const std::string unit = entry->text();
    try {
      (void)to_si(1.0, Quantity::length, unit);
    } catch (const InputError& error) {
      throw entry->error(error.allowed());
    }
    return unit;
  }

  [[nodiscard]] const std::string& file() const { return file_; }

 private:
  const FileEntry& track_;
  const std::string& file_;
  std::vector<FileEntry> entries_;
};

const toml::array& array_of(const FileEntry& entry, const char* allowed) {
  if (const toml::array* array = entry.node->as_array()) {
    return *array;
  }
  throw entry.error(allowed);
}

/// Element number `index` of a list, as an entry of its own with its own place.
FileEntry element(const FileEntry& list, const toml::node& node, std::size_t index, const std::string& file) {
  const std::string name = '[' + std::to_string(index) + ']';
  return {name, list.path + name, &node, place_of(node.source(), file)};
}

/// A length in a list: text with its own unit, or a plain number in the list's unit.
double list_length(const FileEntry& entry, const std::optional<std::string>& unit) {
  const auto number = entry.node->is_number() ? entry.node->value<double>() : std::nullopt;
  if (number && !unit) {
    throw entry.error("must have a unit: give the whole list one, such as unit = \"mm\"");
  }
  return number ? to_si(*number, Quantity::length, *unit) : parse_number(entry, Quantity::length, "mm");
}

CircleTrack parse_circle(const TrackTable& table) {
  table.allow({"kind", "radius", "eccentricity", "angle"});
  const CircleTrack circle;
  return {table.length("radius", circle.radius), table.length("eccentricity", circle.eccentricity),
          table.angle("angle", circle.angle)};
}

SplineTrack parse_spline(const TrackTable& table) {
  table.allow({"kind", "first_angle", "angle_step", "unit", "distance"});
  SplineTrack spline;
  spline.first_angle = parse_number(table.required("first_angle"), Quantity::angle, "deg");
  spline.angle_step = parse_number(table.required("angle_step"), Quantity::angle, "deg");
  const std::optional<std::string> unit = table.list_unit();
  const FileEntry& list = table.required("distance");
  for (const toml::node& node : array_of(list, "must be a list of lengths")) {
    spline.distance.push_back(list_length(element(list, node, spline.distance.size(), table.file()), unit));
  }
  return spline;
}

/// Points of the CSV file that the entry names.
GrooveTrack groove_file(const FileEntry& entry, const std::string& unit,
                        const std::optional<std::filesystem::path>& folder) {
  if (!folder) {
    throw entry.error("must be points in a setup that does not come from a file: it has no folder to look in");
  }
  const std::filesystem::path file = *folder / entry.text();
  try {
    return read_groove(file, unit);
  } catch (const InputError& error) {
    // The line of the CSV file is the place to go to; the setup's own stands for what has none.
    throw error.line() ? error : error.with_path(entry.path, entry.place);
  }
}

GrooveTrack parse_groove(const TrackTable& table, const std::optional<std::filesystem::path>& folder) {
  table.allow({"kind", "unit", "points", "file"});
  GrooveTrack groove;
  const std::optional<std::string> unit = table.list_unit();
  if (const FileEntry* file = table.find("file")) {
    if (const FileEntry* points = table.find("points")) {
      throw points->error("must not be given along with file");
    }
    return groove_file(*file, unit.value_or(""), folder);
  }
  const FileEntry& list = table.required("points");
  for (const toml::node& node : array_of(list, "must be a list of points [x, y]")) {
    const FileEntry point = element(list, node, groove.points.size(), table.file());
    const toml::array& pair = array_of(point, "must be a point [x, y]");
    if (pair.size() != 2) {
      throw point.error("must be a point [x, y]");
    }
    groove.points.push_back({list_length(element(point, pair[0], 0, table.file()), unit),
                             list_length(element(point, pair[1], 1, table.file()), unit)});
  }
  return groove;
}

}  // namespace

Track parse_track(const FileEntry& entry, const std::string& file, const std::optional<std::filesystem::path>& folder) {
  const TrackTable table{entry, file};
  const FileEntry& kind = table.required("kind");
  const std::string word = kind.text();
  if (word == "circle") {
    return parse_circle(table);
  }
  if (word == "spline") {
    return parse_spline(table);
  }
  if (word == "groove") {
    return parse_groove(table, folder);
  }
  throw kind.error("must be circle, spline or groove");
}

}  // namespace nockwise::detail
