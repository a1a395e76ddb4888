#include "setup_file/text.hpp"

#include "base/quantity_text.hpp"
#include "setup_file/layout.hpp"

#include <charconv>
#include <cstddef>
#include <sstream>
#include <string_view>
#include <vector>

namespace nockwise::detail {

namespace {

/// The plain number of a length in `unit`; empty if the length has none that converts back to the same bits.
std::string plain_length(double value, const std::string& unit) {
  const std::string text = format_quantity(value, Quantity::length, unit);
  const std::string number = number_of(text);
  double parsed = 0.0;
  const auto end = std::from_chars(number.data(), number.data() + number.size(), parsed);
  return end.ec == std::errc{} && to_si(parsed, Quantity::length, unit) == value ? number : "";
}

struct PlainList {
  std::string unit;
  std::vector<std::string> numbers;
};

/// The lengths in the first unit that holds all of them to the bit; metres always do.
PlainList plain_lengths(const std::vector<double>& values) {
  for (const char* unit : {"mm", "in", "m"}) {
    PlainList list{unit, {}};
    for (const double value : values) {
      const std::string number = plain_length(value, unit);
      if (number.empty()) {
        break;
      }
      list.numbers.push_back(number);
    }
    if (list.numbers.size() == values.size()) {
      return list;
    }
  }
  return {};
}

/// Cells of a list, `per_line` to a line.
std::string list_lines(const std::vector<std::string>& cells, std::size_t per_line) {
  std::string text = "[";
  for (std::size_t i = 0; i < cells.size(); ++i) {
    text += i % per_line == 0 ? "\n  " : " ";
    text += cells[i] + ',';
  }
  return text + "\n]\n";
}

std::string circle_text(const CircleTrack& circle) {
  return "{ kind = \"circle\", radius = " + quoted(quantity_text(circle.radius, Quantity::length, "mm")) +
         ", eccentricity = " + quoted(quantity_text(circle.eccentricity, Quantity::length, "mm")) +
         ", angle = " + quoted(quantity_text(circle.angle, Quantity::angle, "deg")) + " }\n";
}

std::string spline_text(const SplineTrack& spline) {
  const PlainList list = plain_lengths(spline.distance);
  return "kind = \"spline\"\nfirst_angle = " + quoted(quantity_text(spline.first_angle, Quantity::angle, "deg")) +
         "\nangle_step = " + quoted(quantity_text(spline.angle_step, Quantity::angle, "deg")) +
         "\nunit = " + quoted(list.unit) + "\ndistance = " + list_lines(list.numbers, 8);
}

std::string groove_text(const GrooveTrack& groove) {
  std::vector<double> values;
  for (const auto& point : groove.points) {
    values.insert(values.end(), point.begin(), point.end());
  }
  const PlainList list = plain_lengths(values);
  std::vector<std::string> cells;
  for (std::size_t i = 0; i + 1 < list.numbers.size(); i += 2) {
    cells.push_back('[' + list.numbers[i] + ", " + list.numbers[i + 1] + ']');
  }
  return "kind = \"groove\"\nunit = " + quoted(list.unit) + "\npoints = " + list_lines(cells, 4);
}

}  // namespace

std::string quoted(const std::string& text) {
  constexpr std::string_view hexadecimal = "0123456789ABCDEF";
  std::string result = "\"";
  for (const char character : text) {
    const auto code = static_cast<unsigned char>(character);
    if (character == '"' || character == '\\') {
      result += '\\';
      result += character;
    } else if (character == '\n') {
      result += "\\n";
    } else if (character == '\t') {
      result += "\\t";
    } else if (code < 0x20 || code == 0x7F) {
      result += "\\u00";
      result += hexadecimal[code >> 4U];
      result += hexadecimal[code & 0xFU];
    } else {
      result += character;
    }
  }
  return result + '"';
}

std::string plain_value_text(const Parameter& parameter, const Setup& setup) {
  if (parameter.quantity == Quantity::dimensionless) {
    return format_quantity(parameter.get(setup), parameter.quantity);
  }
  return quantity_text(parameter.get(setup), parameter.quantity, parameter.unit);
}

std::string value_text(const Parameter& parameter, const Setup& setup) {
  const std::string text = plain_value_text(parameter, setup);
  return parameter.quantity == Quantity::dimensionless ? text : quoted(text);
}

bool is_long(const Track& track) { return !std::holds_alternative<CircleTrack>(track); }

std::string track_text(const Track& track, const std::string& path) {
  if (const auto* circle = std::get_if<CircleTrack>(&track)) {
    return last_name(path) + " = " + circle_text(*circle);
  }
  const auto* spline = std::get_if<SplineTrack>(&track);
  return '[' + path + "]\n" + (spline != nullptr ? spline_text(*spline) : groove_text(std::get<GrooveTrack>(track)));
}

std::string comment(const std::string& text) {
  constexpr std::size_t width = 100;
  std::istringstream words(text);
  std::string result;
  std::string line = "#";
  for (std::string word; words >> word;) {
    if (line.size() + 1 + word.size() > width) {
      result += line + '\n';
      line = "#";
    }
    line += ' ' + word;
  }
  return result + line + '\n';
}

}  // namespace nockwise::detail
