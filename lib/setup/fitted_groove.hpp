/// \file
/// Splines as the kernels read them, and fitted grooves that are kept. Private.
///
/// Every launch of a sweep compiles its own setup, and the fit of one groove takes as long as some hundred launches. So
/// a groove is fitted when it is first compiled, and the outcome is kept for whoever comes with the same points: other
/// samples, other threads, the other half of the bow, the reader and the writer of files. A fit is a function of its
/// points alone, so no result depends on what is kept.
#pragma once

#include "nockwise/track.hpp"

#include <array>
#include <cstddef>
#include <memory>
#include <vector>

namespace nockwise::detail {

/// A spline track laid out in rows (CompiledTrack::coefficients()).
struct SplineRows {
  double first_angle = 0.0, last_angle = 0.0, angle_step = 0.0;  // [rad]
  double smallest_radius = 0.0;                                  // [m]
  double smallest_radius_angle = 0.0;                            // where that is [rad]
  std::shared_ptr<const std::vector<std::array<double, 5>>> coefficients;
};

/// \param spline checked: at least four finite knots
[[nodiscard]] SplineRows spline_rows(const SplineTrack& spline);

/// A groove's spline, and its rows.
struct FittedGroove {
  SplineTrack spline;
  SplineRows rows;
};

/// How many grooves are kept: a bow has up to six, and a study compares a few bows.
inline constexpr std::size_t grooves_kept = 64;

/// `spline_from_groove(groove)`, fitted or kept from an earlier call; from any thread.
/// \throws InputError as spline_from_groove()
[[nodiscard]] std::shared_ptr<const FittedGroove> fitted_groove(const GrooveTrack& groove);

/// How many grooves this process has fitted so far: for tests.
[[nodiscard]] std::size_t groove_fits();

}  // namespace nockwise::detail
