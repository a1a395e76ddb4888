/// @file
/// All the bows that one spec sheet allows: what they agree on, and what would settle the rest.
///
/// A sheet leaves open how long the limbs are and how far they travel, how eccentric the cams' tracks are, what the
/// moving parts weigh, where the cable guard stands. The members of an ensemble all meet the sheet; their guesses are
/// drawn from what is plausible (lib/README.md, "A bow from its sheet"). A sign or a size on which they agree follows
/// from the sheet; where they differ, a measurement is needed, and the ensemble says which one helps most.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/tear_matrix.hpp"

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// One plausible bow of a sheet.
struct EnsembleMember {
  Setup setup;
  double weight = 0.0;          ///< how plausible beside the others; all weights sum to one [fraction]
  std::vector<double> guesses;  ///< where each of its guesses lies in what is plausible for it [fraction]
};

/// The central bow, and plausible ones around it.
struct BowEnsemble {
  BowMeasurements sheet;
  Setup base;        ///< what was put around the limbs and cams
  BuiltBow central;  ///< of the guesses' middle
  std::vector<EnsembleMember> members;
  int refused = 0;               ///< draws of guesses with which the sheet could not be met
  double effective_members = 0;  ///< 1 / Σ weight²: how many members still count after narrowing
  double widening = 1.0;         ///< by which narrowed() multiplied the readings' errors so that three members count
                                 ///< [fraction]; above one, the readings tell more than so few bows can show
};

/// Options of build_ensemble() and of what is done with an ensemble.
struct EnsembleOptions {
  int members = 16;                         ///< 2 to 1,000
  std::uint64_t seed = 1;                   ///< of the draws: the same seed gives the same bows, to the bit
  std::optional<int> threads{};             ///< at least 1; none: as many as the machine runs at once; changes no bit
  std::optional<double> distance{};         ///< of the paper [m]; none: the setup's
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off: Interrupted is thrown
};

/// Build the bows of a sheet around what `base` holds. Guesses that the measurements fix stay fixed.
/// @throws InputError as build_bow(), and for options out of range
/// @throws SolverError as build_bow(); where fewer than two draws can be built
/// @throws Interrupted when stopped
[[nodiscard]] BowEnsemble build_ensemble(const BowMeasurements& measurements, const Setup& base,
                                         const EnsembleOptions& options = {});
/// The same around ordinary_setup().
[[nodiscard]] BowEnsemble build_ensemble(const BowMeasurements& measurements, const EnsembleOptions& options = {});

/// Where most members lie.
struct EnsembleRange {
  double low = 0.0;        ///< 5 % of the weight lies below
  double median = 0.0;     ///< half of the weight
  double high = 0.0;       ///< 5 % of the weight lies above
  bool same_sign = false;  ///< no member within `low` to `high` has another sign
  bool same_size = false;  ///< besides, `low` and `high` differ by a factor of two at most
};

/// What one step of one adjustment does in all members.
struct EnsembleRow {
  Adjustment adjustment;
  EnsembleRange up;                     ///< change of the tear per positive step, tail-high positive [m]
  EnsembleRange right;                  ///< tail-right positive [m]
  std::vector<double> up_of, right_of;  ///< of every member, in their order [m]
  std::vector<double> brace_height_of;  ///< change of brace height per step, of every member [m]
};

/// Tears of all members as they are, and what the adjustments do to them.
struct EnsembleTears {
  EnsembleRange up, right;              ///< of the bow as built [m]
  std::vector<double> up_of, right_of;  ///< of every member [m]
  std::vector<EnsembleRow> rows;        ///< in the order of adjustments()
  // What photographs from the side at brace and at full draw would show of every member:
  std::vector<double> limb_travel_of;        ///< turn of the upper limb [rad]
  std::vector<double> cam_turn_of;           ///< turn of the upper cam [rad]
  std::vector<double> full_axle_to_axle_of;  ///< at the wall [m]
};

/// Shoot every member, and one step either way of every adjustment (or of those named).
/// @throws InputError for an unknown adjustment or an option out of range; SolverError when no member can be shot;
/// Interrupted when stopped
[[nodiscard]] EnsembleTears ensemble_tears(const BowEnsemble& ensemble,
                                           const std::vector<std::string>& adjustments = {},
                                           const EnsembleOptions& options = {});

/// What can be read at a bow to narrow its ensemble.
enum class ReadingKind {
  draw_force,           ///< at a draw length [N]
  speed,                ///< by chronograph, of the setup's arrow [m/s]
  tear_up,              ///< hole in the paper as the bow is, tail-high positive [m]
  tear_right,           ///< tail-right positive [m]
  tear_up_change,       ///< hole after an adjustment less hole before [m]
  tear_right_change,    ///< likewise
  brace_height_change,  ///< after an adjustment less before [m]
  limb_travel,          ///< turn of the upper limb from brace to the wall, in photographs from the side [rad]
  cam_turn,             ///< turn of the upper cam from brace to the wall, likewise [rad]
  full_axle_to_axle,    ///< at the wall [m]
};

/// One reading, to be compared with what each member gives.
struct EnsembleReading {
  ReadingKind kind = ReadingKind::tear_up;
  std::string adjustment;    ///< that was made, for changes
  double steps = 1.0;        ///< how many of its steps, for changes
  double draw_length = 0.0;  ///< AMO, for a draw force [m]
  double value = 0.0;        ///< what was read [SI]
  double error = 0.0;        ///< the truth lies within ± this in 19 of 20 readings [SI]; above 0
  bool operator==(const EnsembleReading&) const = default;
};

/// The same members with the weights that the readings leave them: each is multiplied by the likelihood of what was
/// read (normal errors). Where fewer than three members would count, all errors are widened until three do; a larger
/// ensemble then tells more.
/// @throws InputError for a reading that cannot be meant, or that no member comes near
[[nodiscard]] BowEnsemble narrowed(const BowEnsemble& ensemble, std::span<const EnsembleReading> readings,
                                   const EnsembleOptions& options = {});

/// The same, with new members around those that the readings favour: tracks and limb geometry move, within what is
/// plausible, to where the readings are met. Two rounds of `options.members` draws each are added to those there are;
/// before the readings all of them count alike. Give all readings at once: weights of an earlier narrowing are not
/// kept.
/// @throws InputError as narrowed(), and for options out of range; Interrupted when stopped
[[nodiscard]] BowEnsemble refined(const BowEnsemble& ensemble, std::span<const EnsembleReading> readings,
                                  const EnsembleOptions& options = {});

/// Reads readings from TOML. `error` may be left out: then it is what people commonly have.
///
///     format = 1
///     [[readings]]
///     kind = "tear_up_change"
///     adjustment = "cable.upper"    # as adjustments() names it
///     steps = 0.5                   # of its steps: half of half a twist
///     value = "0.2 in"
///     error = "1/8 in"              # in 19 of 20 readings
///     [[readings]]
///     kind = "draw_force"
///     draw_length = "20 in"
///     value = "61.5 lbf"
///
/// @throws InputError with file, line and column, as read_setup
[[nodiscard]] std::vector<EnsembleReading> read_readings(const std::filesystem::path& file);
/// The same for the text of a file; `source_name` stands for the file in messages.
/// @throws InputError as read_readings
[[nodiscard]] std::vector<EnsembleReading> parse_readings(std::string_view toml,
                                                          const std::string& source_name = "readings");

/// A measurement or test shot and what it would leave open.
struct SettlingTest {
  EnsembleReading reading;  ///< without a value: what to read, with the error that it usually has
  std::string instruction;  ///< "put half a twist into the upper cam's cable, shoot again, …"
  double remaining = 1.0;   ///< mean share of the spread of the tears per step that is left after it [fraction]
  bool operator==(const SettlingTest&) const = default;
};

/// Which single reading narrows the answers of the adjustments most, best first: by linear regression over the members,
/// of the answers (tears per step, in the rows given) on what would be read. What is tried can be taken back: no other
/// arrow, no draw beyond the stops.
/// @param adjustment  narrow the answer of this one only; empty: of all rows
/// @throws InputError for an adjustment that is not among the rows
[[nodiscard]] std::vector<SettlingTest> settling_tests(const BowEnsemble& ensemble, const EnsembleTears& tears,
                                                       const std::string& adjustment = {});

/// How far the members agree on what a move does.
enum class Agreement {
  sign_and_size,  ///< the same way, and nearly as far: it can be done at once
  sign,           ///< the same way, but how far is open: half of it first, then another shot
  nothing         ///< not even which way: a test comes first
};

/// One way to take a tear away by one adjustment.
struct EnsembleMove {
  Adjustment adjustment;
  bool sideways = false;       ///< whether it is the tear's sideways part
  double steps = 0.0;          ///< whole steps that leave least in the middle of the members; within the limits
  EnsembleRange steps_needed;  ///< that take all of it away, in each member
  EnsembleRange left;          ///< what such a move leaves of that part of the tear [m]
  Agreement agreement = Agreement::nothing;
  std::string instruction;                 ///< what to do, in words
  std::optional<SettlingTest> settled_by;  ///< what would tell, where the members do not agree on sign and size
};

/// What can be said of a tear when only the bow's sheet is known.
struct EnsemblePlan {
  std::vector<EnsembleMove> moves;  ///< of the tear's larger part first; those that hold first, least effort first
  std::vector<Caution> cautions;
};

/// Moves that would take a tear away that was shot with this bow: which of them hold whatever the sheet leaves open,
/// and what would settle the others. Moves that change too little within their limits are left out.
/// @param up, right  the tear that was seen, tail-high and tail-right positive [m]
/// @throws InputError for a tear that is not a number or larger than 0.3 m
[[nodiscard]] EnsemblePlan ensemble_plan(const BowEnsemble& ensemble, const EnsembleTears& tears, double up,
                                         double right);

}  // namespace nockwise
