#pragma once

/// @file
/// A bow from what a workshop can measure (lib/README.md, "A bow from what can be measured").
///
/// Almost nobody has the drawing of a cam. Tape, draw board and chronograph give axle-to-axle length, brace height,
/// draw length, the draw-force curve and a launch speed; the builder finds a limb and a take-up track that draw and
/// shoot like that. The bow is *a* bow with this draw, not *the* bow: what cannot be measured (limb geometry, the
/// string's track) is a stated guess, and the report says which.

#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// One reading of a draw board.
struct DrawForceReading {
  double draw_length = 0.0;  ///< the trade's: grip pivot to nock plus 1 3/4 in [m]
  double force = 0.0;        ///< [N], at least 0
  bool operator==(const DrawForceReading&) const = default;
};

/// Guesses about each limb; both halves are built alike.
struct LimbGuess {
  double effective_length = 0.30;  ///< pivot of the equivalent rigid limb to the axle [m], 0.05 to 1
  double brace_angle = 0.60;       ///< limb angle at brace, from the riser's vertical [rad], 0.05 to 1.2
  double travel = 0.24;            ///< limb angle at full draw less at brace [rad], 0.05 to 0.8
  /// Torsion stiffness [N·m/rad], 1 to 1e5; without it the limb's moment grows by a third from brace to full draw.
  std::optional<double> torsion_stiffness;
  bool operator==(const LimbGuess&) const = default;
};

/// Guesses about the circle from which each cam lets the string out, and about the let-out track of crossed cables.
struct CamGuess {
  double string_radius = 0.052;        ///< [m], 0.005 to 0.15
  double string_eccentricity = 0.018;  ///< distance of the circle's centre from the axle [m], 0 to the radius
  double string_direction = 0.0;       ///< direction of the circle's centre in the cam's frame [rad], −2π to 2π
  double let_out_radius = 0.02;        ///< of a concentric let-out track, for crossed cables only [m], 0.002 to 0.1
  bool operator==(const CamGuess&) const = default;
};

/// A launch speed as a chronograph shows it.
struct ChronographReading {
  double speed = 0.0;       ///< of the arrow 36 in ahead of the grip pivot [m/s], 20 to 150
  double arrow_mass = 0.0;  ///< of the whole arrow that was shot [kg], 0.005 to 0.1
  bool operator==(const ChronographReading&) const = default;
};

/// What was measured at the bow, and what was guessed.
struct BowMeasurements {
  std::string name = "unnamed";
  std::string provenance;
  double axle_to_axle = 0.0;  ///< at brace [m], 0.4 to 1.6; to be given, as the next two
  double brace_height = 0.0;  ///< grip pivot to string [m], 0.08 to 0.35
  double draw_length = 0.0;   ///< the trade's, where the stops touch: grip pivot to nock plus 1 3/4 in [m], 0.45 to 1
  std::optional<double> peak_force;  ///< [N], 20 to 700; with `let_off` in place of a draw curve
  std::optional<double> let_off;     ///< (peak − holding) / peak [fraction], 0.3 to 0.95
  /// Readings from near brace to the wall in any order, at least eight, in place of `peak_force` and `let_off`.
  std::vector<DrawForceReading> draw_curve;
  StopKind stop = StopKind::limb;     ///< limb or cable
  CableEnd cabling = CableEnd::yoke;  ///< where the cables end: yoke, or let_out for cross-slaved cams
  double center_above_grip = 0.02;    ///< middle between the axles above the grip pivot at brace [m], −0.1 to 0.1
  LimbGuess limb;
  CamGuess cam;
  std::optional<ChronographReading> chronograph;
  bool operator==(const BowMeasurements&) const = default;
};

/// One line of the report.
struct MeasurementCheck {
  std::string path;        ///< of the measurement, "measurements.brace_height"
  double wanted = 0.0;     ///< [SI]
  double achieved = 0.0;   ///< by the elastic bow on a draw board, or by a launch [SI]
  double tolerance = 0.0;  ///< largest difference that the builder accepts without a caution [SI]
  [[nodiscard]] bool met() const { return achieved >= wanted - tolerance && achieved <= wanted + tolerance; }
};

/// How well the bow came out, and what it rests on.
struct BuildReport {
  std::vector<MeasurementCheck> checks;
  double curve_rms = 0.0;                ///< root mean square of achieved less wanted draw force, brace to wall [N]
  double curve_largest = 0.0;            ///< largest absolute difference [N]
  int corrections = 0;                   ///< passes of march and elastic draw
  std::vector<std::string> assumptions;  ///< in sentences
  std::vector<Caution> cautions;
};

/// A setup that braces, draws and (with a chronograph) shoots as measured.
struct BuiltBow {
  Setup setup;
  BuildReport report;
};

/// Build a bow: a march along the draw of the symmetric half bow gives the take-up track, then passes with the whole
/// elastic bow on a draw board correct it.
///
/// Everything that is not measured (riser, grip, lines' rigidity, masses, arrow, rest) is taken from `base`; limb
/// pivots and springs, tracks, anchors, draw stops and the lengths of string and cables are replaced. θ is zero at
/// brace. Tolerances, met by ordinary bows: brace height, axle-to-axle and draw length 0.1 mm, peak force 0.1 %,
/// let-off 0.2 points, curve 1 % of the peak, chronograph 0.1 %.
///
/// @throws InputError for a value out of range, with its path ("measurements.let_off"), and for demands that no such
/// cam can meet: a track that would have to be hollow, a lever that would have to be negative, limbs that cannot hold
/// the energy
/// @throws SolverError when the march or the elastic bow has no equilibrium (where and why)
[[nodiscard]] BuiltBow build_bow(const BowMeasurements& measurements, const Setup& base = {});

/// Reads measurements from TOML: the names of the structs, quantities as text with units, like a setup file.
///
///     format = 1
///     [measurements]
///     axle_to_axle = "33 in"
///     draw_curve = [["8 in", "12 lbf"], ["9 in", "25.5 lbf"], …]   # trade's draw length, force
///     limb.brace_angle = "28 deg"
///     chronograph = { speed = "285 ft/s", arrow_mass = "380 gr" }
///
/// @throws InputError with file, line and column, as read_setup
[[nodiscard]] BowMeasurements read_measurements(const std::filesystem::path& file);

/// The same for the text of a file; `source_name` stands for the file in messages.
/// @throws InputError as read_measurements
[[nodiscard]] BowMeasurements parse_measurements(std::string_view toml,
                                                 const std::string& source_name = "measurements");

/// The measurements as such a file; parse_measurements gives an equal value, to the bit.
/// @throws InputError for a value out of range
[[nodiscard]] std::string format_measurements(const BowMeasurements& measurements);

/// Checks every range, and what must hold between fields.
/// @throws InputError with the path of the first that is wrong
void validate(const BowMeasurements& measurements);

}  // namespace nockwise
