// Points of a groove from CSV, and whether a groove can be told of them.
#include "base/number_text.hpp"
#include "nockwise/error.hpp"
#include "nockwise/files.hpp"
#include "nockwise/groove.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>
#include <vector>

namespace nockwise {

namespace {

struct Cell {
  std::string_view text;
  int column = 1;  // of its first character that is not blank, from 1
};

/// A line that says something.
struct Row {
  std::vector<Cell> cells;
  int line = 1;
};

Cell cell_of(std::string_view line, std::size_t from, std::size_t to) {
  const std::string_view raw = line.substr(from, to - from);
  const std::string_view text = detail::trimmed(raw);
  const std::size_t blanks = text.empty() ? 0 : static_cast<std::size_t>(text.data() - raw.data());
  return {text, static_cast<int>(from + blanks) + 1};
}

/// One separator to a file: a comma may also be meant as a decimal sign, and must then be refused, not divided.
char separator_of(std::string_view line) {
  return line.find('\t') != std::string_view::npos ? '\t' : line.find(';') != std::string_view::npos ? ';' : ',';
}

std::vector<Row> rows_of(std::string_view csv) {
  constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
  (void)detail::take(csv, byte_order_mark);
  std::vector<Row> rows;
  char separator = ',';
  int number = 0;
  while (!csv.empty()) {
    const std::size_t end = std::min(csv.find('\n'), csv.size());
    std::string_view line = csv.substr(0, end);
    csv.remove_prefix(std::min(end + 1, csv.size()));
    ++number;
    if (!line.empty() && line.back() == '\r') {
      line.remove_suffix(1);
    }
    const std::string_view text = detail::trimmed(line);
    if (text.empty() || text.front() == '#') {
      continue;
    }
    separator = rows.empty() ? separator_of(text) : separator;
    Row row{{}, number};
    for (std::size_t from = 0; from <= line.size();) {
      const std::size_t to = std::min(line.find(separator, from), line.size());
      row.cells.push_back(cell_of(line, from, to));
      from = to + 1;
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

std::optional<double> number_of(std::string_view text) {
  double sign = 1.0;
  if (detail::take(text, "-") || detail::take(text, "−")) {
    sign = -1.0;
  } else {
    (void)detail::take(text, "+");
  }
  const std::optional<double> number = detail::take_decimal(text);
  if (!number || !text.empty() || !std::isfinite(*number)) {
    return std::nullopt;
  }
  return sign * *number;
}

/// Where x or y stands, and its unit.
struct Column {
  std::size_t index = 0;
  double to_metres = 0.0;
};

class GrooveReader {
 public:
  GrooveReader(const std::string& source, const std::string& unit) : source_(source), unit_(unit) {}

  /// \param lines filled with the line of every point
  GrooveTrack read(std::string_view csv, std::vector<int>* lines) {
    const std::vector<Row> rows = rows_of(csv);
    if (rows.empty()) {
      throw InputError("points", "", "must be given: the file has no line with numbers", {source_, 1, 1});
    }
    const bool headed = !number_of(rows.front().cells.front().text);
    if (headed) {
      columns_ = {heading(rows.front(), "x"), heading(rows.front(), "y")};
    } else {
      const double factor = unit_factor(unit_, rows.front(), rows.front().cells.front());
      columns_ = {Column{0, factor}, Column{1, factor}};
    }
    GrooveTrack groove;
    for (std::size_t i = headed ? 1 : 0; i < rows.size(); ++i) {
      const std::size_t index = groove.points.size();
      const std::size_t expected = headed ? rows.front().cells.size() : 2;
      if (rows[i].cells.size() > expected) {
        const Cell& extra = rows[i].cells[expected];
        throw InputError("points[" + std::to_string(index) + "]", std::string(extra.text),
                         "must have " + std::to_string(expected) + " cells; decimals begin with a point, not a comma",
                         place(rows[i], extra));
      }
      groove.points.push_back({length(rows[i], 0, index), length(rows[i], 1, index)});
      if (lines != nullptr) {
        lines->push_back(rows[i].line);
      }
    }
    return groove;
  }

 private:
  [[nodiscard]] Location place(const Row& row, const Cell& cell) const { return {source_, row.line, cell.column}; }

  [[nodiscard]] double unit_factor(const std::string& unit, const Row& row, const Cell& cell) const {
    if (unit.empty()) {
      throw InputError("points", std::string(cell.text),
                       "must have a unit: head the columns \"x [mm], y [mm]\", or say unit = \"mm\"", place(row, cell));
    }
    try {
      return to_si(1.0, Quantity::length, unit);
    } catch (const InputError& error) {
      throw InputError("unit", unit, error.allowed(), place(row, cell));
    }
  }

  [[nodiscard]] Column heading(const Row& row, std::string_view name) const {
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
      std::string_view text = row.cells[i].text;
      if (!detail::take(text, name)) {
        continue;
      }
      text = detail::trimmed(text);
      if (text.empty()) {
        return {i, unit_factor(unit_, row, row.cells[i])};
      }
      if (text.front() == '[' && text.back() == ']') {
        const std::string unit(detail::trimmed(text.substr(1, text.size() - 2)));
        return {i, unit_factor(unit, row, row.cells[i])};
      }
    }
    throw InputError("points", std::string(row.cells.front().text),
                     "must be a number, or the headings must name a column " + std::string(name) + ", as in \"" +
                         std::string(name) + " [mm]\"",
                     place(row, row.cells.front()));
  }

  [[nodiscard]] double length(const Row& row, std::size_t axis, std::size_t index) const {
    const Column& column = columns_[axis];
    const std::string path = "points[" + std::to_string(index) + "][" + std::to_string(axis) + "]";
    if (column.index >= row.cells.size()) {
      throw InputError(path, "", std::string("must be given: the line has no ") + (axis == 0 ? "x" : "y"),
                       place(row, row.cells.back()));
    }
    const Cell& cell = row.cells[column.index];
    const std::optional<double> number = number_of(cell.text);
    if (!number) {
      throw InputError(path, std::string(cell.text), "must be a number, with a point for its decimals",
                       place(row, cell));
    }
    return *number * column.to_metres;
  }

  const std::string& source_;
  const std::string& unit_;
  std::array<Column, 2> columns_{};
};

/// How far each point stands out from the chord between its neighbours, seen round the axle [m]; the one that does
/// most.
std::size_t most_exposed(const GrooveTrack& groove, double& height) {
  std::vector<std::size_t> order(groove.points.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  const auto direction = [&](std::size_t i) { return std::atan2(groove.points[i][1], groove.points[i][0]); };
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return direction(a) < direction(b); });
  std::size_t most = 0;
  height = -std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < order.size(); ++k) {
    const auto& before = groove.points[order[(k + order.size() - 1) % order.size()]];
    const auto& here = groove.points[order[k]];
    const auto& after = groove.points[order[(k + 1) % order.size()]];
    const double x = after[0] - before[0];
    const double y = after[1] - before[1];
    const double length = std::hypot(x, y);
    const double out = length > 0.0 ? ((here[0] - before[0]) * y - (here[1] - before[1]) * x) / length : 0.0;
    if (out > height) {
      height = out;
      most = order[k];
    }
  }
  return most;
}

std::string millimetres(double length) { return display(length, Quantity::length, "mm", 2); }

/// Points of a file, and where each of them stands.
struct PlacedPoints {
  GrooveTrack groove;
  std::vector<int> lines;
  std::string source;

  [[nodiscard]] Location place(std::size_t i) const { return {source, lines[i], 1}; }
  static std::string path(std::size_t i) { return "points[" + std::to_string(i) + "]"; }
};

/// The fit, or its refusal with the line of the point whose fault it is, or else of the last.
GrooveFit fit_or_tell(const PlacedPoints& points) {
  try {
    return fit_groove(points.groove);
  } catch (const InputError& error) {
    std::size_t at = points.lines.size() - 1;
    for (std::size_t i = 0; i < points.lines.size(); ++i) {
      at = error.path() == PlacedPoints::path(i) ? i : at;
    }
    throw error.with_path(error.path(), points.place(at));
  }
}

void refuse_wide_gap(const PlacedPoints& points, const GrooveFit& fit) {
  if (fit.widest_gap > widest_groove_gap) {
    throw InputError(PlacedPoints::path(fit.gap_after), "",
                     "must be followed by a nearer point: seen from the axle, " +
                         display(fit.widest_gap, Quantity::angle, "deg", 0) +
                         " lie between it and the next, and at most " +
                         display(widest_groove_gap, Quantity::angle, "deg", 0) + " are bridged",
                     points.place(fit.gap_after));
  }
}

/// How far a point stands outside a groove [m]; negative: inside.
double outside_of(const std::array<double, 2>& point, const CompiledTrack& track) {
  constexpr int grid = 3600;
  double outside = -std::numeric_limits<double>::infinity();
  for (int i = 0; i < grid; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / grid;
    outside =
        std::max(outside, point[0] * std::cos(angle) + point[1] * std::sin(angle) - track.evaluate(angle).distance);
  }
  return outside;
}

void refuse_point_that_stands_out(const PlacedPoints& points) {
  constexpr std::size_t fewest = 9;  // so that eight are left
  double height = 0.0;
  const std::size_t exposed = most_exposed(points.groove, height);
  if (!(height > farthest_groove_point) || points.groove.points.size() < fewest) {
    return;
  }
  // What the others make of the groove there; a cam of few points stands out everywhere and yet fits.
  GrooveTrack others = points.groove;
  others.points.erase(others.points.begin() + static_cast<std::ptrdiff_t>(exposed));
  const auto& point = points.groove.points[exposed];
  const double outside = outside_of(point, CompiledTrack{spline_from_groove(others)});
  if (outside > farthest_groove_point) {
    throw InputError(PlacedPoints::path(exposed), millimetres(point[0]) + ", " + millimetres(point[1]),
                     "must lie within " + millimetres(farthest_groove_point) +
                         " of the groove through all other points: it stands out by " + millimetres(outside),
                     points.place(exposed));
  }
}

}  // namespace

GrooveTrack parse_groove(std::string_view csv, const std::string& source_name, const std::string& unit) {
  return GrooveReader(source_name, unit).read(csv, nullptr);
}

GrooveTrack read_groove(const std::filesystem::path& file, const std::string& unit) {
  PlacedPoints points{{}, {}, file.string()};
  points.groove = GrooveReader(points.source, unit).read(read_text_file(file), &points.lines);
  refuse_wide_gap(points, fit_or_tell(points));
  refuse_point_that_stands_out(points);
  return std::move(points.groove);
}

}  // namespace nockwise
