/// @file
/// An explanation as a page for people: one self-contained HTML file, the same in Markdown, and all of it as JSON.
#pragma once

#include "nockwise/explanation.hpp"
#include "nockwise/export.hpp"

#include <filesystem>
#include <string>

namespace NOCKWISE_EXPORT nockwise {

/// Everything in an explanation, SI units, one object; the key "format" is 1.
[[nodiscard]] std::string explanation_json(const Explanation& explanation);

/// For terminals, notes and issue trackers.
[[nodiscard]] std::string explanation_markdown(const Explanation& explanation);

/// The one next thing: what to do and why, the hole to expect, what each other outcome would mean, and the lines that
/// the case file needs afterwards.
[[nodiscard]] std::string next_step_markdown(const NextStep& next);

/// One page without anything to load: pictures of the holes are inline SVG; for desktop, phone, dark mode and paper.
[[nodiscard]] std::string explanation_html(const Explanation& explanation);

/// Finds out before the explanation is worked out whether its report can be written there.
/// @throws InputError for an extension that write_report() does not know; Error with the reason
void check_report_file(const std::filesystem::path& file);

/// Writes one of them, by the file's extension: .html, .md or .json.
/// @throws InputError for another extension; Error if the file cannot be written
void write_report(const Explanation& explanation, const std::filesystem::path& file);

}  // namespace nockwise
