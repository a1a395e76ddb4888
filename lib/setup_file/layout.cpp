#include "setup_file/layout.hpp"

#include "setup/parameter_table.hpp"

#include <algorithm>

namespace nockwise::detail {

namespace {

void add_once(std::vector<std::string>& list, const std::string& entry) {
  if (std::find(list.begin(), list.end(), entry) == list.end()) {
    list.push_back(entry);
  }
}

void add_with_parents(std::vector<std::string>& tables, const std::string& table) {
  if (!table.empty()) {
    add_with_parents(tables, parent_path(table));
    add_once(tables, table);
  }
}

}  // namespace

bool is_halved(std::string_view table) noexcept { return table == "limbs" || table == "cams" || table == "cables"; }

const std::vector<std::string>& table_paths() {
  static const std::vector<std::string> tables = [] {
    std::vector<std::string> all;
    for (const Parameter& parameter : parameters()) {  // every table holds a number
      add_with_parents(all, parent_path(parameter.path));
    }
    return all;
  }();
  return tables;
}

std::vector<std::string> names_in(std::string_view table) {
  std::vector<std::string> names;
  if (table.empty()) {
    names.emplace_back("format");
  }
  for (const std::string& path : parameter_paths()) {
    if (parent_path(path) == table) {
      names.push_back(last_name(path));
    }
  }
  for (const std::string& path : table_paths()) {
    if (parent_path(path) == table) {
      names.push_back(last_name(path));
    }
  }
  if (is_halved(table)) {
    names.emplace_back("both");
  }
  return names;
}

std::string parent_path(std::string_view path) {
  const auto dot = path.rfind('.');
  return dot == std::string_view::npos ? std::string() : std::string(path.substr(0, dot));
}

std::string last_name(std::string_view path) {
  const auto dot = path.rfind('.');
  return std::string(dot == std::string_view::npos ? path : path.substr(dot + 1));
}

}  // namespace nockwise::detail
