// Losses of a built bow from a chronograph. Private.
#pragma once

#include "nockwise/bow_builder.hpp"

namespace nockwise::detail {

/// Chooses the cams' inertia, then their bearings' damping, so that the bow shoots as the chronograph says; adds check,
/// assumptions and cautions to the report.
void fit_losses(const ChronographReading& reading, Setup& setup, BuildReport& report);

}  // namespace nockwise::detail
