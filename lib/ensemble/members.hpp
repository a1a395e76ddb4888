// Members of an ensemble, by where their guesses lie. Private.
#pragma once

#include "nockwise/ensemble.hpp"

#include <optional>
#include <vector>

namespace nockwise::detail {

/// The bow of these guesses; nothing where the sheet cannot be met so, or the bow does not shoot.
std::optional<Setup> member_at(const std::vector<double>& places, const BowMeasurements& measurements,
                               const Setup& base);

/// @throws InputError for a number out of range
void check_member_count(int members);

/// Builds what can be built at these places and adds it, without weight. @throws Interrupted when stopped
void build_members(BowEnsemble& ensemble, const std::vector<std::vector<double>>& places,
                   const EnsembleOptions& options);

}  // namespace nockwise::detail
