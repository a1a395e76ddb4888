#include "nockwise/parameters.hpp"

#include "base/nearest_name.hpp"
#include "base/quantity_text.hpp"
#include "nockwise/error.hpp"
#include "setup/parameter_table.hpp"

#include <cmath>
#include <cstddef>
#include <unordered_map>

namespace nockwise {

namespace detail {

namespace {

ParameterTable build_table() {
  ParameterTable table;
  add_bow_parameters(table);
  add_line_parameters(table);
  add_arrow_parameters(table);
  mark_required(table);
  mark_knowledge(table);
  return table;
}

template <class Entry>
void append_paths(std::vector<std::string>& paths, const std::vector<Entry>& entries) {
  for (const Entry& entry : entries) {
    paths.push_back(entry.path);
  }
}

}  // namespace

const ParameterTable& parameter_table() {
  static const ParameterTable table = build_table();
  return table;
}

const std::vector<std::string>& parameter_paths() {
  static const std::vector<std::string> paths = [] {
    std::vector<std::string> all;
    append_paths(all, parameter_table().texts);
    append_paths(all, parameter_table().choices);
    append_paths(all, parameter_table().numbers);
    append_paths(all, parameter_table().tracks);
    return all;
  }();
  return paths;
}

}  // namespace detail

namespace {

using detail::nearest_name;
using detail::parameter_paths;
using detail::parameter_table;
using detail::quantity_text;

const Setup& default_setup() {
  static const Setup setup;
  return setup;
}

template <class Entry>
using Index = std::unordered_map<std::string_view, const Entry*>;

/// The keys are views of the paths, which stay where they are because the table never changes once it is built.
template <class Entry>
Index<Entry> index_of(const std::vector<Entry>& entries) {
  Index<Entry> index;
  for (const Entry& entry : entries) {
    index.emplace(entry.path, &entry);
  }
  return index;
}

template <class Entry>
const Entry* find_in(const Index<Entry>& index, std::string_view path) {
  const auto found = index.find(path);
  return found == index.end() ? nullptr : found->second;
}

/// "a, b or c"
std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += i == 0 ? "" : i + 1 == words.size() ? " or " : ", ";
    text += words[i];
  }
  return text;
}

}  // namespace

double Parameter::default_value() const { return get(default_setup()); }

std::string Parameter::allowed() const {
  const std::string kind = whole ? "must be a whole number from " : "must be from ";
  return kind + quantity_text(minimum, quantity, unit) + " to " + quantity_text(maximum, quantity, unit);
}

void Parameter::check(double value) const {
  const bool in_range = value >= minimum && value <= maximum;  // false for a NaN
  if (!in_range || (whole && value != std::floor(value))) {
    throw InputError(path, quantity_text(value, quantity, unit), allowed());
  }
}

std::string ChoiceParameter::default_value() const { return get(default_setup()); }

std::string ChoiceParameter::allowed() const { return "must be " + listed(choices); }

std::span<const Parameter> parameters() { return parameter_table().numbers; }
std::span<const ChoiceParameter> choice_parameters() { return parameter_table().choices; }
std::span<const TextParameter> text_parameters() { return parameter_table().texts; }
std::span<const TrackParameter> track_parameters() { return parameter_table().tracks; }

const Parameter* find_parameter(std::string_view path) noexcept {
  static const Index<Parameter> index = index_of(parameter_table().numbers);
  return find_in(index, path);
}

const ChoiceParameter* find_choice_parameter(std::string_view path) noexcept {
  static const Index<ChoiceParameter> index = index_of(parameter_table().choices);
  return find_in(index, path);
}

const TextParameter* find_text_parameter(std::string_view path) noexcept {
  static const Index<TextParameter> index = index_of(parameter_table().texts);
  return find_in(index, path);
}

const TrackParameter* find_track_parameter(std::string_view path) noexcept {
  static const Index<TrackParameter> index = index_of(parameter_table().tracks);
  return find_in(index, path);
}

const Parameter& parameter(std::string_view path) {
  if (const Parameter* found = find_parameter(path)) {
    return *found;
  }
  if (const ChoiceParameter* found = find_choice_parameter(path)) {
    throw InputError(found->path, "", "is not a number: it " + found->allowed());
  }
  if (find_text_parameter(path) != nullptr || find_track_parameter(path) != nullptr) {
    throw InputError(std::string(path), "", "is not a number");
  }
  if (path.empty()) {
    throw InputError("path", "", "must name a parameter, such as string.nocking_point");
  }
  throw InputError(std::string(path), "",
                   "there is no such parameter; the nearest is " + nearest_name(path, parameter_paths()));
}

}  // namespace nockwise
