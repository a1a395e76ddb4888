/// @file
/// The hole in the paper.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/flight.hpp"

#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// The tear: from the hole of the point to where the tail (the middle of the vanes; the nock of a bare shaft) crosses.
struct PaperTear {
  double up = 0.0;                    ///< [m], > 0 tail-high
  double right = 0.0;                 ///< [m], > 0 tail-right as the archer sees it
  double point_y = 0.0;               ///< hole of the point, above the grip pivot at full draw [m]
  double point_z = 0.0;               ///< [m], + right
  double point_time = 0.0;            ///< since release [s]
  double tail_time = 0.0;             ///< [s]
  double speed = 0.0;                 ///< of the mass centre as the point passes [m/s]
  std::vector<double> section;        ///< sections of the shaft from point to tail, ahead of the nock [m]
  std::vector<double> section_up;     ///< where each crosses, from the hole of the point [m]
  std::vector<double> section_right;  ///< [m]
};

/// Shoot through paper at `distance` [m] ahead of the grip pivot (default: the setup's).
/// `sections` of the shaft are followed, two at least: the point and the tail, which alone make `up` and `right`.
/// @throws InputError when the launch did not end with arrow_clear, the paper is nearer than the arrow's point, or
/// there are fewer than two sections
/// @throws SolverError when the tear is longer than 0.3 m, which no bow tears
[[nodiscard]] PaperTear paper_tear(const Model& model, const Launch& launch, std::optional<double> distance = {},
                                   int sections = 41);

/// "clean", "tail-high 0.50 in", "tail-low 0.25 in, tail-left 0.13 in": a tear in words. Parts below `reading_error`
/// [m] are left out.
[[nodiscard]] std::string describe_tear(const PaperTear& tear, double reading_error = 0.003175);

}  // namespace nockwise
