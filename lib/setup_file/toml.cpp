#include "setup_file/toml.hpp"

#include "base/nearest_name.hpp"
#include "base/quantity_text.hpp"
#include "nockwise/files.hpp"

#include <algorithm>
#include <sstream>
#include <tuple>

namespace nockwise::detail {

namespace {

/// Every unit of the quantity: "kg, g or lb".
std::string unit_list(Quantity quantity) {
  const auto units = units_of(quantity);
  std::string list;
  for (const Unit& unit : units) {
    list += list.empty() ? "" : &unit == &units.back() ? " or " : ", ";
    list += unit.symbol;
  }
  return list;
}

}  // namespace

std::string FileEntry::value_text() const {
  switch (node->type()) {
    case toml::node_type::table:
      return "a table";
    case toml::node_type::array:
      return "an array";
    case toml::node_type::string:
      return node->as_string()->get();
    case toml::node_type::floating_point:
      return format_quantity(node->as_floating_point()->get(), Quantity::dimensionless);
    default: {
      std::ostringstream text;
      node->visit([&text](const auto& value) {
        if constexpr (toml::is_value<decltype(value)>) {
          text << value;
        }
      });
      return text.str();
    }
  }
}

const toml::table& FileEntry::table() const {
  if (const toml::table* found = node->as_table()) {
    return *found;
  }
  throw error("must be a table");
}

std::string FileEntry::text() const {
  if (const auto* found = node->as_string()) {
    return found->get();
  }
  throw error("must be text, in quotes");
}

Location place_of(const toml::source_region& region, const std::string& file) {
  return {file, static_cast<int>(region.begin.line), static_cast<int>(region.begin.column)};
}

namespace {

/// Whether the parser stops at a place that it does not tell.
bool is_malformed(std::string_view text, const std::string& file) {
  try {
    (void)toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    return error.source().begin.line == 0;
  }
  return false;
}

/// The line, from 1, with which the text is malformed in a way whose place the parser does not tell: the text up to
/// there is, too, and with fewer lines is not.
int malformed_line(std::string_view text, const std::string& file) {
  std::vector<std::size_t> ends;  // behind each line
  for (std::size_t end = text.find('\n'); end != std::string_view::npos; end = text.find('\n', end + 1)) {
    ends.push_back(end + 1);
  }
  const auto first = std::partition_point(ends.begin(), ends.end(),
                                          [&](std::size_t end) { return !is_malformed(text.substr(0, end), file); });
  return static_cast<int>(first - ends.begin()) + 1;
}

/// What a person most likely did, where the parser's own words do not tell it.
std::string advice_on(std::string_view description) {
  const auto says = [&](std::string_view words) { return description.find(words) != std::string_view::npos; };
  if (says("unescaped control characters")) {
    return " (is a closing quote missing on this line?)";
  }
  if (says("redefine existing table")) {
    return " (a table of this name stands above: what there are several of is written under [[name]] each time)";
  }
  if (says("redefine existing")) {
    return " (it is given twice)";
  }
  if (says("expected a comment or whitespace")) {
    return " (text and numbers with a unit stand in quotes, as in mass = \"2.3 kg\")";
  }
  return says("expected value") ? " (a value is missing behind the equals sign)" : "";
}

}  // namespace

toml::table parse_document(std::string_view text, const std::string& file) {
  check_toml_limits(text, file);
  try {
    return toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    const bool known = error.source().begin.line > 0;
    throw InputError("", "", "this is not TOML: " + std::string(error.description()) + advice_on(error.description()),
                     known ? place_of(error.source(), file) : Location{file, malformed_line(text, file), 1});
  }
}

std::vector<FileEntry> entries_of(const toml::table& table, const std::string& path, const std::string& file) {
  const std::string prefix = path.empty() ? "" : path + '.';
  std::vector<FileEntry> entries;
  for (const auto& [key, node] : table) {
    const std::string name(key.str());
    entries.push_back({name, prefix + name, &node, place_of(key.source(), file)});
  }
  const auto position = [](const FileEntry& entry) { return std::tie(*entry.place.line, *entry.place.column); };
  std::sort(entries.begin(), entries.end(),
            [&](const FileEntry& a, const FileEntry& b) { return position(a) < position(b); });
  return entries;
}

double parse_number(const FileEntry& entry, Quantity quantity, std::string_view unit) {
  const auto number = entry.node->is_number() ? entry.node->value<double>() : std::nullopt;
  if (quantity == Quantity::dimensionless) {
    if (!number) {
      throw entry.error("must be a plain number, without quotes");
    }
    return *number;
  }
  if (number) {
    // Whoever writes 0.8 for a share means 80 %.
    const bool share = quantity == Quantity::percent && *number >= -1.0 && *number <= 1.0;
    std::string allowed = "must have a unit and quotes: write \"";
    allowed.append(share ? format_quantity(*number, quantity, unit) : entry.value_text().append(" ").append(unit));
    allowed.append("\", or another of ").append(unit_list(quantity));
    throw entry.error(allowed);
  }
  if (!entry.node->is_string()) {
    throw entry.error("must be text with a unit: " + unit_list(quantity));
  }
  try {
    return parse_quantity_in(entry.text(), quantity, unit);
  } catch (const InputError& error) {
    throw entry.error(error.allowed());
  }
}

std::string no_such_name(const std::string& name, const std::vector<std::string>& names) {
  return "there is no such name here; the nearest is " + nearest_name(name, names);
}

}  // namespace nockwise::detail
