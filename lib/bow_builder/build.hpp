// One bow of given guesses. Private.
#pragma once

#include "bow_builder/guesses.hpp"
#include "bow_builder/passes.hpp"
#include "nockwise/bow_builder.hpp"

#include <cstdint>
#include <memory>

namespace nockwise::detail {

/// Checked measurements, built with these guesses. `measurements` must outlive the builder.
/// \throws InputError, SolverError in terms of the measurements
std::unique_ptr<BowBuilder> build_with(const BowMeasurements& measurements, const Guesses& guesses, const Setup& base,
                                       const Closeness& close);

/// In a deep valley cams that little holds together have other equilibria near by, which a draw may fall into: a bow is
/// good only if it can be drawn in steps of any length, by hand and on a board, and also with half a twist more or less
/// in either cable. \throws SolverError
void check_draws(const Setup& setup);

/// Whether a bow is near enough to its sheet to be called one of it: 1 % of peak and speed, one point of let-off, and
/// the builder's tolerance of lengths.
bool meets_sheet(const BuildReport& report);

/// The bow of a builder with its report.
BuiltBow report_on(const BowMeasurements& measurements, const BowBuilder& builder);

}  // namespace nockwise::detail
