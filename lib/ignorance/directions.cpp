#include "ignorance/directions.hpp"

#include "base/nearest_name.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace nockwise::detail {

namespace {

const std::string upper_half = ".upper.";
const std::string lower_half = ".lower.";

/// The path with another half in it; empty if it names none.
std::string with_half(std::string path, const std::string& from, const std::string& to) {
  const auto place = path.find(from);
  return place == std::string::npos ? "" : path.replace(place, from.size(), to);
}

std::string in_words(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

/// "limbs: torsion stiffness" of "limbs.upper.torsion_stiffness".
std::string title_of(const std::string& path) {
  std::string part = path.substr(0, path.rfind('.'));
  for (const std::string half : {".upper", ".lower"}) {
    if (const auto place = part.find(half); place != std::string::npos) {
      part.erase(place, half.size());
    }
  }
  std::replace(part.begin(), part.end(), '.', ' ');
  return in_words(part + ": " + path.substr(path.rfind('.') + 1));
}

/// Puts the directions of one setup together, number by number.
class Directions {
 public:
  Directions(const Setup& setup, const IgnoranceOptions& options) : setup_(setup), options_(options) {}

  std::vector<IgnoranceDirection> all() {
    for (const Parameter& number : parameters()) {
      names_.push_back(number.path);
      if (is_unknown(number)) {
        add(number);
      }
    }
    for (const BowMeasure& each : bow_measures()) {
      names_.push_back(each.name);
    }
    for (const IgnoranceDirection& each : list_) {
      names_.push_back(each.name);
    }
    for (const std::string& each : options_.without) {
      if (!is_among(names_, each)) {
        throw InputError(
            "without", each,
            "must be the path of a number or the name of a direction; the nearest is " + nearest_name(each, names_));
      }
    }
    std::erase_if(list_, [&](const IgnoranceDirection& each) { return is_among(options_.without, each.name); });
    return std::move(list_);
  }

 private:
  [[nodiscard]] bool is_unknown(const Parameter& number) const {
    return number.alias_of.empty() && !number.whole && (!number.used || number.used(setup_)) &&
           standard_deviation(setup_, number) > 0.0 && !is_among(options_.without, number.path);
  }
  [[nodiscard]] bool is_unknown(const std::string& path) const {
    const Parameter* number = path.empty() ? nullptr : find_parameter(path);
    return number != nullptr && is_unknown(*number);
  }

  /// A part of a number's width.
  [[nodiscard]] IgnoranceStep step(const Parameter& number, double part) const {
    const bool logarithmic = width_of(setup_, number).relative && number.minimum >= 0.0;
    const double side = number.lateral && setup_.handedness == Handedness::left ? -1.0 : 1.0;
    const double whole = logarithmic ? width_of(setup_, number).value : side * standard_deviation(setup_, number);
    return {number.path, options_.level * part * whole, logarithmic};
  }
  [[nodiscard]] KnownBy class_of(const Parameter& number) const {
    for (const KnownValue& each : setup_.known) {
      if (each.path == number.path) {
        return each.by;
      }
    }
    return number.known.by;
  }
  IgnoranceDirection& begin(const Parameter& number, const std::string& name, const std::string& title) {
    return list_.emplace_back(IgnoranceDirection{name, title, class_of(number), number.known.reason, {}, {}});
  }

  void add(const Parameter& number) {
    if (!number.known.together.empty()) {
      add_together(number);
      return;
    }
    const std::string other = with_half(number.path, upper_half, lower_half);
    const std::string first = with_half(number.path, lower_half, upper_half);
    if (is_unknown(first)) {
      return;  // came with the upper half
    }
    if (!is_unknown(other)) {
      begin(number, number.path, title_of(number.path)).steps = {step(number, 1.0)};
      return;
    }
    const Parameter& below = parameter(other);
    const double apart = number.known.apart;
    const double common = std::sqrt(1.0 - apart * apart);
    begin(number, with_half(number.path, upper_half, ".both."), title_of(number.path) + ", both alike").steps = {
        step(number, common), step(below, common)};
    if (apart > 0.0) {
      begin(number, with_half(number.path, upper_half, ".difference."), title_of(number.path) + ", upper against lower")
          .steps = {step(number, apart), step(below, -apart)};
    }
  }
  void add_together(const Parameter& number) {
    const std::string& name = number.known.together;
    auto found = std::find_if(list_.begin(), list_.end(), [&](const auto& each) { return each.name == name; });
    IgnoranceDirection& direction = found == list_.end() ? begin(number, name, in_words(name)) : *found;
    direction.steps.push_back(step(number, 1.0));
  }

  const Setup& setup_;
  const IgnoranceOptions& options_;
  std::vector<IgnoranceDirection> list_;
  std::vector<std::string> names_;
};

/// A step of x toward an end that is `room` away.
double bounded(double x, double room) {
  if (std::isinf(room)) {
    return x;
  }
  if (!(room > 0.0)) {
    return 0.0;
  }
  const double share = x / room;
  const double fourth = share * share * share * share;
  return x / std::sqrt(std::sqrt(1.0 + fourth));
}

}  // namespace

bool is_among(const std::vector<std::string>& list, const std::string& name) {
  return std::find(list.begin(), list.end(), name) != list.end();
}

std::vector<IgnoranceDirection> number_directions(const Setup& setup, const IgnoranceOptions& options) {
  return Directions(setup, options).all();
}

double moved_value(const Parameter& number, double value, double shift, bool logarithmic) {
  const bool up = shift > 0.0;
  if (!logarithmic) {
    const double moved = value + (up ? bounded(shift, number.maximum - value) : bounded(shift, value - number.minimum));
    return std::min(std::max(moved, number.minimum), number.maximum);  // against rounding in the last bit
  }
  if (!(value > 0.0)) {
    return value;  // what is not there has no share that is not known
  }
  const double far = std::numeric_limits<double>::infinity();
  const double room = up                     ? std::log(number.maximum / value)
                      : number.minimum > 0.0 ? std::log(value / number.minimum)
                                             : far;
  const double moved = value * std::exp(bounded(shift, room));
  return std::min(std::max(moved, number.minimum), number.maximum);
}

}  // namespace nockwise::detail
