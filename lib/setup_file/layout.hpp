#pragma once

/// @file
/// How the parameters are laid out in tables of a setup file.

#include <string>
#include <string_view>
#include <vector>

namespace nockwise::detail {

/// Tables that hold an upper and a lower half, and so may hold `both`.
[[nodiscard]] bool is_halved(std::string_view table) noexcept;

/// Paths of all tables that hold parameters or tables, in the order of the parameters ("limbs", "limbs.upper", …).
[[nodiscard]] const std::vector<std::string>& table_paths();

/// Names in one table, of parameters and of tables; the path of the whole file is empty.
[[nodiscard]] std::vector<std::string> names_in(std::string_view table);

/// "limbs.upper" for "limbs.upper.pivot_x"; empty for a name at the top.
[[nodiscard]] std::string parent_path(std::string_view path);
/// "pivot_x" for "limbs.upper.pivot_x".
[[nodiscard]] std::string last_name(std::string_view path);

}  // namespace nockwise::detail
