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
/// The summary, by the verdict.
void summarise(Explanation& e);
void add_assumptions(const Case& observed, Explanation& e);

}  // namespace nockwise::detail
