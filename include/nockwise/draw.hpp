/// @file
/// The draw: from brace to the wall, one equilibrium after another.
#pragma once

#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/model.hpp"

#include <optional>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// Where the bow is held while it is drawn.
enum class DrawHold {
  archer,      ///< the line of the draw force passes through the hand's pressure point
  draw_board,  ///< it passes through the grip pivot
};

/// One equilibrium of the draw. Positions are relative to the grip pivot.
struct DrawPoint {
  double nock_x = 0.0;                         ///< [m], negative: behind the grip
  double nock_y = 0.0;                         ///< [m]
  double draw_force = 0.0;                     ///< magnitude of the pull on the nock [N]
  double force_x = 0.0;                        ///< of the draw force, on the nock [N]; negative: toward the archer
  double force_y = 0.0;                        ///< [N]
  UpperLower<double> limb_angle;               ///< from the riser's vertical [rad]
  UpperLower<double> cam_angle;                ///< [rad]
  UpperLower<double> string_tension;           ///< [N]
  UpperLower<double> cable_tension;            ///< [N]
  double axle_to_axle = 0.0;                   ///< [m]
  UpperLower<std::optional<double>> stop_gap;  ///< [m]; negative: pressed; none where the cam has no stop
  double stored_energy = 0.0;                  ///< since brace [J]
};

/// Options of draw_cycle().
struct DrawOptions {
  int positions = 120;  ///< equally spaced from brace to full draw, at least 8; the stop's touch is added
  DrawHold hold = DrawHold::archer;
};

/// The whole draw.
struct DrawCycle {
  std::vector<DrawPoint> points;    ///< from brace to full draw
  std::size_t touch_index = 0;      ///< the point at which the first stop touches
  double peak_force = 0.0;          ///< [N]
  double peak_nock_x = 0.0;         ///< [m]
  double holding_force = 0.0;       ///< lowest draw force between the peak and the wall [N]
  double valley_nock_x = 0.0;       ///< where it is [m]
  double let_off = 0.0;             ///< (peak − holding) / peak [fraction] (ASTM F1880)
  double stored_energy = 0.0;       ///< brace to the touch of the first stop [J]
  double brace_height = 0.0;        ///< [m]
  double power_stroke = 0.0;        ///< brace to the touch [m]
  double draw_length = 0.0;         ///< grip pivot to nock at the touch, plus 1 3/4 in (AMO) [m]
  double brace_axle_to_axle = 0.0;  ///< [m]
  double full_axle_to_axle = 0.0;   ///< at the touch [m]
  double static_nock_travel = 0.0;  ///< highest less lowest nock, relative to the line from its brace to its touch [m]
  Side first_stop = Side::upper;    ///< the half whose stop touches first
  std::optional<double>
      late_stop_gap;  ///< gap of the other half's stop at that moment, at least 0 [m]; none without one
  /// Where the arm of a drop-away comes fully up in the draw [m]; none without one, and where it is not up at the wall.
  std::optional<double> rest_up_nock_x;
  /// Tension of a drop-away's cord [N], limb-driven at brace, cable-driven at the wall: with the arm on its stop, and
  /// before arm, limb or cable give way to it, which takes up to a fifth of it.
  std::optional<double> rest_cord_force;
  std::vector<Caution> cautions;
};

/// Draw the bow with the riser clamped.
/// @throws InputError when `positions` is below 8
/// @throws SolverError when the draw cannot be continued (where and why), or no stop touches
[[nodiscard]] DrawCycle draw_cycle(const Model& model, const DrawOptions& options = {});

/// 1 3/4 in, what the trade's draw length adds to the distance from grip pivot to nock (AMO draw length standard) [m].
inline constexpr double draw_length_allowance = 0.04445;

}  // namespace nockwise
