/// @file
/// Measured grooves: points from a CSV file, and how well a smooth groove goes through them.
///
/// The plan of the module. A cam is measured by a scanner, a caliper or a digitised photograph: a list of points in the
/// cam's own frame. `parse_groove` reads them and tells every mistake with line and column. `fit_groove` does what the
/// compiler of a setup does (spline_from_groove) and says what became of the points: their distance from the groove,
/// which of them lie in a hollow that a taut line spans, and how far apart they are. `read_groove` is both, and refuses
/// points from which no groove can be told: too few, a gap too wide, one that stands out from all the others. A setup
/// file names such a file, `string_track = { kind = "groove", file = "string.csv" }`; in the setup the groove is its
/// points, and it is fitted once (GrooveTrack).
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/track.hpp"

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>

namespace NOCKWISE_EXPORT nockwise {

/// A fitted groove, and how its points lie to it. Points are counted from 0, in the order given.
struct GrooveFit {
  SplineTrack spline;              ///< two turns either side of zero: what a setup with these points is launched with
  double scatter = 0.0;            ///< root mean square distance of the points from the groove, without those in
                                   ///< hollows [m]
  double farthest = 0.0;           ///< largest of these distances [m], at least 0
  std::size_t farthest_point = 0;  ///< which point that is
  std::size_t points_in_hollows = 0;  ///< points more than 0.3 mm inside: a taut line spans the hollow they lie in
  double deepest = 0.0;               ///< depth of the deepest of these under the line [m]; 0 without hollows
  std::size_t deepest_point = 0;      ///< which point that is; 0 without hollows
  double widest_gap = 0.0;            ///< largest angle between neighbouring points, as seen from the axle [rad]
  std::size_t gap_after = 0;          ///< the point after which it opens, counter-clockwise
  double smallest_radius = 0.0;       ///< smallest radius of curvature of the groove [m]
  bool operator==(const GrooveFit&) const = default;
};

/// Fit a groove and measure the fit.
/// @throws InputError as spline_from_groove()
[[nodiscard]] GrooveFit fit_groove(const GrooveTrack& groove);

/// The largest gap between neighbouring points, as seen from the axle, that read_groove() accepts [rad]: 60°.
inline constexpr double widest_groove_gap = 1.0471975511965976;
/// How far one point may stand out from the groove that the others make, for read_groove() [m].
inline constexpr double farthest_groove_point = 5e-4;

/// Points from CSV, in the cam's frame with the axle at (0, 0).
///
///     # string groove, upper cam
///     x [mm], y [mm]
///     31.20, 0.15
///     30.98, 2.11
///
/// Cells are separated by commas, semicolons or tabs, by the same in the whole file; lines that are empty or begin with
/// # are passed over. Columns are found by their headings x and y, others are passed over; the units of x and y stand
/// in brackets. Without headings there are two columns, x and y, in the unit `unit`; headings without a unit have that
/// too.
/// @param unit of lengths without one, "mm"; may be empty where the headings have units
/// @throws InputError with line and column for a cell that is no number, a missing cell or one too many, an unknown
/// unit or none
[[nodiscard]] GrooveTrack parse_groove(std::string_view csv, const std::string& source_name = "groove",
                                       const std::string& unit = "");

/// The points of a CSV file, of which a groove can be told.
/// @throws InputError as parse_groove() and fit_groove(); with the line, for a point that stands more than
/// `farthest_groove_point` out from the groove through all others, and for a gap of more than `widest_groove_gap`
[[nodiscard]] GrooveTrack read_groove(const std::filesystem::path& file, const std::string& unit = "");

}  // namespace nockwise
