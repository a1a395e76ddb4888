/// @file
/// Text from outside (names, labels and provenance of a file) in places that give some characters a meaning.
///
/// Whoever prints such text passes it through one of these, so that a file can neither move a terminal's cursor nor put
/// headings, links or HTML into a report. In all of them, control characters, characters that turn the direction of
/// writing, and bytes that are no UTF-8 come out as what they are called (`\x1b`, `\u202e`), and line breaks and tabs
/// as blanks.
#pragma once

#include "nockwise/export.hpp"

#include <string>
#include <string_view>

namespace NOCKWISE_EXPORT nockwise {

/// The text on one line of a terminal.
[[nodiscard]] std::string terminal_text(std::string_view text);

/// The text within a paragraph, a heading, a list or a table's cell of Markdown (CommonMark, GFM).
[[nodiscard]] std::string markdown_text(std::string_view text);

/// The text within an element or a quoted attribute of HTML.
[[nodiscard]] std::string html_text(std::string_view text);

}  // namespace nockwise
