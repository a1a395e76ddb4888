/// @file
/// Cams of one's own tried side by side on one bow, and one bow with its cables laid three ways.
///
/// The plan of the module. `compare_cams` puts every cam on the same bow (fit_to_cam), so that all are compared at the
/// same brace, axle-to-axle length and draw length, and, where a peak is asked for, at the same peak. For each it draws
/// the bow on a draw board, shoots it, and shoots it again with a quarter of a twist more and less in the upper cam's
/// cable: what a cable that creeps or is tied a little off does to cams, stops, nock and hole (`SyncChain`). A cam that
/// cannot be fitted, drawn or shot has the reason in its row. `compare_layouts` does the same for one sheet: its bow
/// is built (build_bow), and two more with the same limbs, string grooves, masses and draw curve, with yokes, as a
/// hybrid or crossed: what is left to differ is what the layout makes of the same error.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "nockwise/cam_fit.hpp"
#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"

#include <atomic>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// How an error in the length of the upper cam's cable travels to the hole: what a quarter of a twist more does, half
/// the difference of a quarter of a twist either way. Every part is signed: the upper cam late, the nock or the tail
/// high or right are positive.
struct SyncChain {
  double cable_length = 0.0;  ///< of the upper cam's cable; a twist shortens it: negative [m]
  double cam_angle = 0.0;  ///< upper less lower cam at the touch of the first stop, positive: the upper is ahead [rad]
  double stop_gap = 0.0;   ///< upper less lower gap there, positive: the upper cam is late [m]
  double nock_travel = 0.0;  ///< mean static nock travel, positive: the nock runs above its line from brace to wall [m]
  double tear_up = 0.0;      ///< positive: tail-high [m]
  double tear_right = 0.0;   ///< positive: tail-right as the archer sees it [m]
  bool operator==(const SyncChain&) const = default;
};

/// One bow of the comparison.
struct CamRow {
  std::string name;
  std::string failure;           ///< why it cannot be built, drawn or shot; what is below of that is zero then
  Setup setup;                   ///< the bow
  double axle_to_axle = 0.0;     ///< at brace [m]
  double brace_height = 0.0;     ///< [m]
  double draw_length = 0.0;      ///< the trade's [m]
  double peak_force = 0.0;       ///< [N]
  double holding_force = 0.0;    ///< [N]
  double let_off = 0.0;          ///< (peak − holding) / peak [fraction]
  double stored_energy = 0.0;    ///< brace to wall [J]
  double fullness = 0.0;         ///< stored energy / (peak force × power stroke) [fraction]
  double cam_turn = 0.0;         ///< of the cams from brace to wall, their mean [rad]
  double brace_cam_angle = 0.0;  ///< how far the cams stand turned from as drawn, at brace [rad]
  double largest_lead = 0.0;     ///< upper less lower cam angle where they are farthest apart in the draw, positive:
                                 ///< the upper is ahead [rad]
  double nock_travel = 0.0;      ///< mean static one, positive: the nock runs above its line from brace to wall [m]
  double exit_speed = 0.0;       ///< of the arrow [m/s]
  double tear_up = 0.0;          ///< positive: tail-high [m]
  double tear_right = 0.0;       ///< positive: tail-right as the archer sees it [m]
  SyncChain chain;               ///< what a quarter of a twist does
  std::vector<DrawForceReading> draw_curve;  ///< from brace to the wall, on a draw board
  bool operator==(const CamRow&) const = default;
};

/// Bows side by side, in the order given.
struct CamTable {
  std::vector<CamRow> rows;
};

/// A cam and its name for the table.
struct NamedCam {
  std::string name;
  CamTracks tracks;  ///< of both cams
  bool operator==(const NamedCam&) const = default;
};

/// Options of compare_cams() and compare_layouts().
struct CamTableOptions {
  CamAims aims{};                           ///< for compare_cams(): what all bows shall have in common
  std::optional<double> distance{};         ///< of the paper [m]; none: the setup's
  std::optional<int> threads{};             ///< at least 1; none: as many as the machine runs at once
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off: Interrupted is thrown
};

/// Try cams on a bow, side by side. What is not asked for in `aims` is as the bow has it before.
/// @throws InputError for no cam, or an option out of range; SolverError where the bow as given has no brace or draw
/// from which to take what is not asked for; Interrupted when stopped
[[nodiscard]] CamTable compare_cams(const Setup& setup, std::span<const NamedCam> cams,
                                    const CamTableOptions& options = {});

/// Bows that are there already, side by side by the same measures; names are the setups'.
/// @throws InputError for no bow, or an option out of range; Interrupted when stopped
[[nodiscard]] CamTable compare_bows(std::span<const Setup> setups, const CamTableOptions& options = {});

/// The bow of a sheet laid with yokes, as a hybrid and crossed, in this order. The sheet's own layout is built from the
/// sheet, the others from its draw curve, with its limbs, string grooves and masses; a layout that cannot draw so has
/// the reason in its row.
/// @throws InputError, SolverError as build_bow() for the sheet itself, InputError for an option out of range;
/// Interrupted when stopped
[[nodiscard]] CamTable compare_layouts(const BowMeasurements& sheet, const CamTableOptions& options = {});

}  // namespace nockwise
