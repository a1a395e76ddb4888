/// @file
/// A bow from its spec sheet, or from what a workshop can measure.
///
/// Almost nobody has the drawing of a cam. What there is are a few lines: axle-to-axle length, brace height, draw
/// length, peak, let-off, how cables and stops are arranged, a speed; at best a draw-force table and a chronograph. The
/// plan of the module, from a sheet to an answer:
///
/// 1. `BowMeasurements` holds the lines of the sheet, and guesses that may be fixed; what is not given stays open.
/// 2. Every open guess gets a number (`lib/bow_builder/guesses`): limb, string's track, moving masses. The middle of
/// what
///    is plausible gives the central bow; draws from it, with a seed, give the members of an ensemble.
/// 3. A curve is commanded. Where only peak and let-off are known it is one of a family, from slender to full. A march
///    along the draw of the symmetric half bow finds the take-up lever that draws it, and a convex track is fitted.
/// 4. The whole elastic bow is put on a draw board: lengths, preloads and stops until brace height, axle-to-axle length
///    and draw length are met and both stops touch together; then what peak, let-off, energy and speed lack goes into
///    the command, and again from 3. Speed is met by the curve's fullness first, then by the moving masses.
/// 5. `build_bow` gives the central bow and its report, `build_ensemble` the members with their weights. What all
/// members
///    agree on is known from the sheet; what they do not (nockwise/ensemble.hpp) wants a measurement.
///
/// The bow is *a* bow of this sheet, not *the* bow; the report says what was guessed.

#pragma once

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

/// How the cables run.
enum class Cabling {
  yoke,    ///< both end on a yoke at the other limb's axle
  hybrid,  ///< the lower cam's cable ends on a yoke, the upper cam's on the lower cam's let-out track
  crossed  ///< both end on the other cam's let-out track
};

/// What ends the draw.
enum class StopPegs {
  limb,   ///< a peg on either cam against its limb
  cable,  ///< a peg on either cam against its cable
  both    ///< the lower cam's peg against its limb, the upper cam's against its cable
};

/// Guesses about each limb; both halves are built alike. What is not given is chosen, and reported.
struct LimbGuess {
  std::optional<double> effective_length;   ///< pivot of the equivalent rigid limb to the axle [m], 0.05 to 1
  std::optional<double> brace_angle;        ///< limb angle at brace, from the riser's vertical [rad], 0.05 to 1.35
  std::optional<double> travel;             ///< limb angle at full draw less at brace [rad], 0.05 to 0.8
  std::optional<double> torsion_stiffness;  ///< [N·m/rad], 1 to 1e5
  bool operator==(const LimbGuess&) const = default;
};

/// Guesses about the circle from which each cam lets the string out, and about the let-out track of crossed and hybrid
/// cables. What is not given is chosen, and reported.
struct CamGuess {
  std::optional<double> string_radius;        ///< [m], 0.005 to 0.15
  std::optional<double> string_eccentricity;  ///< distance of the circle's centre from the axle [m], 0 to the radius
  std::optional<double> string_direction;  ///< direction of the circle's centre in the cam's frame [rad], −2π to 2π
  std::optional<double> let_out_radius;    ///< of a concentric let-out track [m], 0.002 to 0.1
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
  StopPegs stop = StopPegs::limb;
  Cabling cabling = Cabling::yoke;
  double center_above_grip = 0.02;  ///< middle between the axles above the grip pivot at brace [m], −0.1 to 0.1
  LimbGuess limb;
  CamGuess cam;
  /// Speed in the standard rating (ASTM F1544: 350 gr, 70 lbf, 30 in of draw) [m/s], 20 to 150. The bow of that peak
  /// and draw is taken to store the same share of peak force times power stroke.
  std::optional<double> rated_speed;
  std::optional<ChronographReading> chronograph;  ///< in place of a rated speed
  bool operator==(const BowMeasurements&) const = default;
};

/// One line of the report.
struct MeasurementCheck {
  std::string path;        ///< of the measurement, "measurements.brace_height"
  double wanted = 0.0;     ///< [SI]
  double achieved = 0.0;   ///< by the elastic bow on a draw board, or by a launch [SI]
  double tolerance = 0.0;  ///< largest difference that the builder accepts without a caution [SI]
  [[nodiscard]] bool met() const { return achieved >= wanted - tolerance && achieved <= wanted + tolerance; }
  bool operator==(const MeasurementCheck&) const = default;
};

/// How well the bow came out, and what it rests on.
struct BuildReport {
  std::vector<MeasurementCheck> checks;
  double curve_rms = 0.0;      ///< root mean square of achieved less measured draw force [N]; 0 without a draw curve
  double curve_largest = 0.0;  ///< largest absolute difference [N]; 0 without a draw curve
  int corrections = 0;         ///< passes of march and elastic draw
  double stored_energy = 0.0;  ///< brace to wall [J]
  double fullness = 0.0;       ///< stored energy / (peak force × power stroke) [fraction]
  // Only where the sheet has a speed:
  std::optional<double> virtual_mass;    ///< 2 × stored energy / speed² less the arrow [kg]
  std::optional<double> efficiency;      ///< energy of that arrow / stored energy [fraction]
  std::optional<double> rated_speed;     ///< in the standard rating, by energy and virtual mass [m/s]
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
[[nodiscard]] BuiltBow build_bow(const BowMeasurements& measurements, const Setup& base);
/// The same with what ordinary_setup() puts around the bow.
/// @throws InputError, SolverError as above
[[nodiscard]] BuiltBow build_bow(const BowMeasurements& measurements);

/// What a sheet does not speak of, as it usually is with such a bow: riser, hand, guard, moving masses, a
/// limb-driven drop-away rest at the height of the nock, and an arrow that reaches past it, of about 6 gr per lbf and a
/// spine to suit. Limbs, cams and the lengths of string and cables are not those of the sheet: build_bow() puts them
/// in.
/// @throws InputError as validate()
[[nodiscard]] Setup ordinary_setup(const BowMeasurements& measurements);

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
