#pragma once

/// @file
/// Which of the kinds of file a document is.

#include <toml++/toml.h>

#include <string>
#include <string_view>

namespace nockwise {

/// The same as the public check_file_kind, of a document.
void check_file_kind(const toml::table& document, std::string_view expected, const std::string& file);

}  // namespace nockwise
