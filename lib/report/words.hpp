// What the forms of the report share. Private.
#pragma once

#include "nockwise/report.hpp"

#include <string>
#include <vector>

namespace nockwise::detail {

/// "tail-high 0.50 in, tail-left 0.25 in".
[[nodiscard]] std::string tear_text(double up, double right);
/// "12 ft".
[[nodiscard]] std::string distance_text(double distance);
/// "37 %".
[[nodiscard]] std::string percent_text(double fraction);
/// Rows "name, value" of the bow and the arrow.
[[nodiscard]] std::vector<std::pair<std::string, std::string>> setup_rows(const Setup& setup);
/// "0.8 twist to 1.6 twists missing …": the 90 % interval of a cause.
[[nodiscard]] std::string interval_text(const Cause& cause);
/// The same for one deviation of the joint fit.
[[nodiscard]] std::string interval_text(const Deviation& deviation);
/// "stop gap 0.170 in ± 0.016 in": a check that was made.
[[nodiscard]] std::string check_text(const CheckObservation& check);
/// What a cause weighs: "12 % among single causes; 90 %: …".
[[nodiscard]] std::string weight_text(const Cause& cause);
/// Of what is usual: an amount so small is not told.
inline constexpr double hardly_off = 0.05;
/// What the joint fit says of one part.
[[nodiscard]] std::string cause_text(const Deviation& deviation);
/// "tells much": what a check is worth, in words.
[[nodiscard]] std::string information_text(const NextCheck& check);
/// The lines that a case file needs for what the check shows, with gaps to fill in.
[[nodiscard]] std::string lines_to_paste(const NextCheck& check);
/// The same for the one next thing, with the work that was done.
[[nodiscard]] std::string lines_to_paste(const NextStep& next);
/// A hole that is foretold, with its interval.
[[nodiscard]] std::string foretold_text(const ForetoldHole& hole);
/// Whether pairs of causes are worth a line: only where no single one explains it all.
[[nodiscard]] bool pairs_matter(const Explanation& explanation);
/// Whether what comes before the plan asks for this check already.
[[nodiscard]] bool told_first(const Explanation& explanation, const NextCheck& check);
/// "Plan", or "What takes this tear away".
[[nodiscard]] std::string plan_title(const Explanation& explanation);
/// "At 6 ft: tail-high 0.02 in.": the end at the other distances; empty where there are none.
[[nodiscard]] std::string elsewhere_text(const Plan& plan);
/// Where the trade would expect something else of this answer, with the page that says why; empty where it would not.
[[nodiscard]] std::string disagreement_text(const Explanation& explanation);
/// Whether a cause is worth a line.
[[nodiscard]] bool worth_telling(const Cause& cause);
/// With a capital first letter.
[[nodiscard]] std::string capitalised(std::string text);
/// The sentences of cautions.
[[nodiscard]] std::vector<std::string> words_of(const std::vector<Caution>& cautions);
/// The sentence in front of values that were assumed.
[[nodiscard]] std::string assumed_text();
/// "nockwise 0.1.0".
[[nodiscard]] std::string version_text();

}  // namespace nockwise::detail
