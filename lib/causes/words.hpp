// What an explanation says to people. Private.
#pragma once

#include "causes/fit.hpp"

#include <string>

namespace nockwise::detail {

/// Why these observations cannot be explained at all; empty if they can.
[[nodiscard]] std::string why_useless(const Case& observed);
/// Findings about causes that look alike, or that no single one will do.
void describe_causes(Explanation& e);
/// Findings about readings that the joint fit misses by more than they may be missed.
void find_misfits(const CaseModel& model, const JointFit& fit, Explanation& e);
/// The summary, by the verdict. \param may_be_right a bow with nothing off may shoot this, by what is not known of it
void summarise(Explanation& e, bool may_be_right);
/// "tail-low 0.10 in to tail-high 0.40 in": an interval of one part of a hole.
[[nodiscard]] std::string range_words(double low, double high, const char* positive, const char* negative);
void add_assumptions(const Case& observed, Explanation& e);

}  // namespace nockwise::detail
