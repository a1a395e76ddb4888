// The draw of a bow whose stops are not yet set: what its lines do, and where the pegs belong. Private; for
// bow_builder/cam_fit.cpp.
#pragma once

#include "nockwise/model.hpp"
#include "nockwise/upper_lower.hpp"

namespace nockwise::detail {

/// Normal angles at which a line leaves a groove in the draw [rad].
struct NormalRange {
  double lowest = 0.0, highest = 0.0;
};

/// One cam over a draw to a given nock position, its stop out of the way.
struct CamDraw {
  NormalRange string, take_up, let_out;  // let_out: of the other cam's cable, where it ends here
  double stop_gap = 0.0;                 // there, of the peg as the setup has it [m]
  double cable_normal = 0.0;             // there, of the own cable [rad]
  double cable_lever = 0.0;              // likewise [m]
};

/// Draws from brace until the nock is at `wall` (negative, behind the grip) [m], on a draw board.
/// \throws SolverError with how far the bow can be drawn, where it cannot be drawn so far
[[nodiscard]] UpperLower<CamDraw> draw_to(const Model& model, double wall);

}  // namespace nockwise::detail
