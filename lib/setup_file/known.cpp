#include "setup_file/known.hpp"

#include "base/quantity_text.hpp"
#include "nockwise/parameters.hpp"
#include "setup/parameter_table.hpp"
#include "setup_file/layout.hpp"
#include "setup_file/text.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace nockwise::detail {

namespace {

/// What a width is given of.
struct Subject {
  Quantity quantity = Quantity::dimensionless;
  std::string unit;
};

Subject subject_of(const std::string& path) {
  if (const BowMeasure* measure = find_bow_measure(path)) {
    return {measure->quantity, measure->unit};
  }
  const Parameter& number = parameter(path);
  return {number.quantity, number.unit};
}

/// Every path that can be known, for messages.
std::vector<std::string> names_of_known() {
  std::vector<std::string> names;
  for (const BowMeasure& each : bow_measures()) {
    names.push_back(each.name);
  }
  for (const Parameter& each : parameters()) {
    names.push_back(each.path);
  }
  return names;
}

/// The paths that an entry speaks of: one, or those of both halves.
std::vector<std::string> paths_of(const FileEntry& entry, const std::string& name) {
  std::vector<std::string> paths{name};
  const std::size_t dot = name.find('.');
  if (dot != std::string::npos && is_halved(name.substr(0, dot)) && name.substr(dot).starts_with(".both.")) {
    const std::string rest = name.substr(dot + std::string(".both.").size());
    paths = {name.substr(0, dot) + ".upper." + rest, name.substr(0, dot) + ".lower." + rest};
  }
  if (find_bow_measure(paths.front()) == nullptr && find_parameter(paths.front()) == nullptr) {
    throw InputError(entry.path, "", no_such_name(name, names_of_known()), entry.place);
  }
  return paths;
}

Width width_in(const FileEntry& entry, const Subject& subject) {
  if (const auto* text = entry.node->as_string()) {
    try {
      return {parse_quantity(text->get(), Quantity::percent), true};
    } catch (const InputError&) {
      // Then it must be a width in the unit of the number.
    }
  }
  if (subject.quantity == Quantity::percent) {
    throw entry.error(
        "must be a share of the number, such as \"20 %\", or exact, measured, specified, typical or guessed");
  }
  try {
    return {parse_number(entry, subject.quantity, subject.unit), false};
  } catch (const InputError& error) {
    throw entry.error(
        "must be exact, measured, specified, typical, guessed, a share of the number such as \"5 %\", or "
        "a width of its own: it " +
        error.allowed());
  }
}

/// A spine is how people speak of a stiffness.
void speak_of_the_number(const Setup& setup, KnownValue& known) {
  const Parameter* number = find_parameter(known.path);
  if (number == nullptr || number->alias_of.empty()) {
    return;
  }
  if (known.width && !known.width->relative) {
    known.width = Width{known.width->value / std::fabs(number->get(setup)), true};
  }
  known.path = number->alias_of;
}

class KnownReader {
 public:
  KnownReader(const Setup& setup, const std::string& file) : setup_(setup), file_(file) {}

  void read(const FileEntry& table, const std::string& prefix) {
    for (const FileEntry& entry : entries_of(table.table(), table.path, file_)) {
      const std::string name = prefix.empty() ? entry.name : prefix + '.' + entry.name;
      if (entry.node->is_table()) {
        read(entry, name);
        continue;
      }
      for (const std::string& path : paths_of(entry, name)) {
        add(entry, path);
      }
    }
  }
  [[nodiscard]] std::vector<KnownValue> take() { return std::move(known_); }

 private:
  void add(const FileEntry& entry, const std::string& path) {
    KnownValue known{path};
    const auto* text = entry.node->as_string();
    const auto by = text != nullptr ? find_known_by(text->get()) : std::nullopt;
    if (by) {
      known.by = *by;
    } else {
      known.width = width_in(entry, subject_of(path));
    }
    speak_of_the_number(setup_, known);
    try {
      check_known(known);
    } catch (const InputError& error) {
      throw entry.error(error.allowed());
    }
    const auto same = [&](const KnownValue& each) { return each.path == known.path; };
    if (std::any_of(known_.begin(), known_.end(), same)) {
      throw entry.error("must be given once: how well " + known.path + " is known has been said above");
    }
    known_.push_back(std::move(known));
  }

  const Setup& setup_;
  const std::string& file_;
  std::vector<KnownValue> known_;
};

std::string width_text(const KnownValue& known) {
  if (!known.width) {
    return quoted(name_of(known.by));
  }
  if (known.width->relative) {
    return quoted(format_quantity(known.width->value, Quantity::percent, "%"));
  }
  const Subject subject = subject_of(known.path);
  const std::string text = quantity_text(known.width->value, subject.quantity, subject.unit);
  return subject.quantity == Quantity::dimensionless ? text : quoted(text);
}

/// "limbs.both.damping" where the next says the same of the other half; empty otherwise.
std::string of_both_halves(const KnownValue& known, const KnownValue& next) {
  const std::string upper = ".upper.";
  const auto place = known.path.find(upper);
  if (place == std::string::npos || known.by != next.by || known.width != next.width) {
    return "";
  }
  std::string other = known.path;
  std::string both = known.path;
  other.replace(place, upper.size(), ".lower.");
  both.replace(place, upper.size(), ".both.");
  return other == next.path && is_halved(known.path.substr(0, place)) ? both : "";
}

}  // namespace

std::vector<KnownValue> parse_known(const FileEntry& table, const Setup& setup, const std::string& file) {
  KnownReader reader(setup, file);
  reader.read(table, "");
  return reader.take();
}

std::string known_text(const std::vector<KnownValue>& known) {
  if (known.empty()) {
    return "";
  }
  std::string text =
      "\n[known]\n" + comment(
                          "How well single numbers are known, where it differs from how well such numbers usually "
                          "are: a class, or a standard deviation.");
  for (std::size_t i = 0; i < known.size(); ++i) {
    const std::string both = i + 1 < known.size() ? of_both_halves(known[i], known[i + 1]) : "";
    text += quoted(both.empty() ? known[i].path : both) + " = " + width_text(known[i]) + '\n';
    i += both.empty() ? 0 : 1;
  }
  return text;
}

}  // namespace nockwise::detail
