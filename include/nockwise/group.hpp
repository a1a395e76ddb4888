/// @file
/// Groups on a target: what differs from shot to shot and from arrow to arrow, where the arrows then strike, and which
/// tune forgives most.
///
/// The plan, in one page:
///
///   Scatter (standard deviations, per shot and per arrow) ─► drawn shots ─► launches (the lanes of a sweep)
///     ─► fly_to() each ─► impacts ─► Group: ellipse, widths, score, pattern
///   each source alone, one standard deviation either way ─► Forgiveness: slopes and shares by straight lines
///   Forgiveness over trade steps of what is free ─► ForgivingTune: the smallest group with a hole within a limit
///
/// Every source of every shot has numbers of its own (by seed, name and index), so that two setups are compared on the
/// same shots, and no result depends on the number of threads. What is not known of the *bow* is the same for all its
/// shots and is no scatter: see nockwise/ignorance.hpp; the two are never mixed.
///
/// What the model has no number for, and no group shows: how an archer corrects what he sees. A spine that differs
/// around the shaft has its stiff side anywhere, as on shafts that nobody has indexed; of one that the setup states
/// (`arrow.spine_difference`) the nock's turn moves it. The hand's torque has a direction: about the upright it is
/// grip_torque, across the shot grip_height times the draw force, about the arrow's line the cant. A hand that presses
/// beside the grip's middle is in the torque, which is its force times that way. The face's side load on the string and
/// a release that plucks are known by the velocity alone with which they let the nock go.
///
/// How the variance is shared out exactly, interactions too: nockwise/variance.hpp.
#pragma once

#include "nockwise/adjustment.hpp"
#include "nockwise/export.hpp"
#include "nockwise/target.hpp"
#include "nockwise/units.hpp"

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// Who shoots: for the usual scatter.
enum class Archer {
  beginner,  ///< in the first year
  club,      ///< a good club archer
  expert,    ///< shoots for a national team
  machine,   ///< a shooting machine
};
/// "beginner", "club", "expert", "machine".
[[nodiscard]] const char* name_of(Archer archer) noexcept;

/// One thing that differs from shot to shot or from arrow to arrow.
struct ScatterSource {
  std::string name;        ///< "grip_torque"
  std::string title;       ///< for people: "torque of the hand"
  bool per_arrow = false;  ///< it belongs to an arrow and comes again with it; else to the shot
  std::string path;        ///< parameter that it moves; empty: it moves the aim or the arrow in flight
  bool relative = false;   ///< its deviation is of the parameter's logarithm
  Quantity quantity = Quantity::dimensionless;  ///< of the deviation
  std::string unit;                             ///< in which people give it
  double most = 0.0;                            ///< largest standard deviation allowed [SI]
  double beginner = 0.0;                        ///< usual standard deviation [SI]
  double club = 0.0;                            ///< [SI]
  double expert = 0.0;                          ///< [SI]
  double machine = 0.0;                         ///< [SI]
  std::string source;                           ///< of these figures
  /// It points any way about the shaft, drawn for each arrow; the deviation is of its size.
  bool any_way = false;
};
/// Every source, those of the shot first.
[[nodiscard]] std::span<const ScatterSource> scatter_sources();

/// How far one source scatters.
struct ScatterWidth {
  std::string source;      ///< name of a ScatterSource
  double deviation = 0.0;  ///< standard deviation [SI]; a fraction where the source is relative
  bool operator==(const ScatterWidth&) const = default;
};

/// What differs from shot to shot and from arrow to arrow.
struct Scatter {
  std::string name;                  ///< for reports
  std::vector<ScatterWidth> widths;  ///< sources that are not named do not scatter
  bool operator==(const Scatter&) const = default;
};
/// The usual scatter of such an archer with his arrows.
[[nodiscard]] Scatter scatter_of(Archer archer);
/// @throws InputError for an unknown source (naming the nearest), one given twice, or a width out of range
void validate(const Scatter& scatter);

/// What one source alone does to the impact, by full launches one standard deviation either way. A bent shaft strikes
/// elsewhere by which way it bulges: its change per unit is of a shaft that bulges up, that of a spine which differs
/// around the shaft of one that is stiffer up and down. Gusts, where there are any, are
/// a source too, by flights of one launch in drawn air; they have no change per unit.
struct SourceEffect {
  std::string name;
  std::string title;
  bool per_arrow = false;
  double deviation = 0.0;        ///< of the source [SI]
  double up_per_unit = 0.0;      ///< change of the impact per unit of the source [m per SI unit]
  double right_per_unit = 0.0;   ///< [m per SI unit]
  double deviation_up = 0.0;     ///< standard deviation of the impact from this source, by straight lines [m]
  double deviation_right = 0.0;  ///< [m]
  double share = 0.0;            ///< of the variance of all sources, both ways together, by straight lines [fraction]
  bool straight = true;          ///< it does as much either way, to a fifth
};

/// How a tune answers to the errors of archer and arrows.
struct Forgiveness {
  std::string name;                   ///< of the setup
  double distance = 0.0;              ///< of the target [m]
  Sight sight;                        ///< setting for the shot without error
  double tear_up = 0.0;               ///< of that shot through paper [m]
  double tear_right = 0.0;            ///< [m]
  double deviation_up = 0.0;          ///< of the impact, all sources together, by straight lines [m]
  double deviation_right = 0.0;       ///< [m]
  std::vector<SourceEffect> sources;  ///< those that scatter, largest share first
  std::vector<std::string> notes;     ///< for people
};

/// Options of group() and forgiveness().
struct GroupOptions {
  std::optional<double> distance{};         ///< of the target [m]; none: the setup's
  std::size_t shots = 240;                  ///< 12 to 1,000,000
  std::size_t arrows = 6;                   ///< in the quiver, 1 to 144; they are shot in turn
  std::uint64_t seed = 1;                   ///< the same seed draws the same shots
  FlightConditions conditions{};            ///< gusts are drawn anew for every shot
  std::optional<double> face{};             ///< diameter of a face of ten rings [m], 0.1 to 2; none: no score
  std::optional<int> threads{};             ///< at least 1; none: as many as the machine runs at once; changes no bit
  const std::atomic<bool>* stop = nullptr;  ///< set it to true to break off: Interrupted is thrown
};

/// Many shots at one target. Impacts are from the target's centre, for which the shot without error is sighted in.
struct Group {
  std::string name;                         ///< of the setup
  std::string scatter;                      ///< its name
  double distance = 0.0;                    ///< [m]
  std::vector<double> up;                   ///< impacts, in the order of the shots [m]
  std::vector<double> right;                ///< [m]
  std::vector<int> arrow;                   ///< which arrow was shot, from 0
  std::size_t shots = 0;                    ///< drawn
  std::size_t failed = 0;                   ///< of these: could not be shot, or did not arrive; left out above
  std::size_t touches = 0;                  ///< of these: a vane strikes the launcher or a cable
  std::size_t bounces = 0;                  ///< of these: the shaft meets the launcher again after it has left it
  std::optional<double> least_clearance{};  ///< of these: from launcher to vanes as they pass, negative where one has
                                            ///< to give way [m]; none without vanes, or without a launcher to pass
  double mean_up = 0.0;                     ///< middle of the group [m]
  double mean_right = 0.0;                  ///< [m]
  double deviation_up = 0.0;                ///< standard deviation [m]
  double deviation_right = 0.0;             ///< [m]
  double major = 0.0;                       ///< standard deviation along the group's longest direction [m]
  double minor = 0.0;                       ///< square to it [m]
  double angle = 0.0;            ///< of the longest direction, from level toward up on the right [rad], −π/2 to π/2
  double mean_radius = 0.0;      ///< mean distance from the middle [m]
  double width_of_six_up = 0.0;  ///< mean height of six shots in a row [m]; 2.534 standard deviations if normal
  double width_of_six_right = 0.0;  ///< mean width of six shots in a row [m]
  double spread_of_six = 0.0;       ///< mean largest distance between two of six shots in a row [m]
  double relative_error = 0.0;      ///< of the deviations, from so many shots with these arrows: one standard deviation
                                    ///< [fraction]
  double straight_part = 0.0;       ///< of the impacts' variance that straight lines in the sources explain [fraction]
  std::optional<double> score{};    ///< mean of an arrow on the face, 10 to 0, a line touched counts
  std::optional<double> score_error{};  ///< its standard error
  std::string pattern;                  ///< in words of the trade: "wide, mostly from torque of the hand"
  Forgiveness forgiveness;              ///< what each source does alone
  std::vector<std::string> notes;       ///< for people
};

/// What each source of the scatter does alone.
/// @throws InputError for an option, a width or a condition out of range; SolverError when the setup cannot be shot or
/// sighted in; Interrupted when stopped
[[nodiscard]] Forgiveness forgiveness(const Setup& setup, const Scatter& scatter, const GroupOptions& options = {});

/// Shoot a group.
/// @throws as forgiveness(); InputError too when the scatter puts a parameter out of its range, with in how many of how
/// many shots; SolverError when more than half of the shots cannot be shot
[[nodiscard]] Group group(const Setup& setup, const Scatter& scatter, const GroupOptions& options = {});

/// Score of an impact so far from the centre on a face of ten rings, the arrow's radius counted in.
[[nodiscard]] int ring_score(double distance, double face, double arrow_diameter) noexcept;

/// Options of forgiving().
struct ForgivingOptions {
  double within = 0.0064;   ///< largest tear allowed, both ways [m]; a quarter inch is about what a hole can be read to
  double most_steps = 4.0;  ///< farthest from the setup, in trade steps of each adjustment, 1 to 20
  std::size_t shots = 600;  ///< with which the tunes are compared at the end, as GroupOptions
  GroupOptions group{};     ///< distance, conditions, arrows, seed, face, threads, stop
};

/// One tune that was looked at.
struct TriedTune {
  std::vector<double> steps;  ///< of each free adjustment
  double tear = 0.0;          ///< size of the hole [m]
  double deviation = 0.0;     ///< of the impacts, both ways together, by straight lines [m]
};

/// The tune with the smallest group among those that tear clean.
struct ForgivingTune {
  Setup setup;
  std::vector<std::string> adjustments;   ///< names of what was free
  std::vector<double> steps;              ///< of each, from the setup as given
  std::vector<std::string> instructions;  ///< what to do
  std::vector<double> clean_steps;        ///< of the plain clean tune: smallest hole, without regard to the group
  Group clean;                            ///< the group of that
  Group group;                            ///< of the forgiving tune, the same shots
  double gain = 0.0;        ///< by how much the group is smaller than the plain clean tune's [fraction of its size]
  double gain_error = 0.0;  ///< standard error of that, from so many shots
  std::vector<TriedTune> frontier;  ///< no other tune has both a smaller hole and a smaller group; smallest hole first
  std::size_t tried = 0;            ///< tunes looked at
  std::vector<Caution> cautions;    ///< before anything is done
};

/// The setting of these adjustments that makes the group smallest while the hole stays within a limit.
///
/// Whole trade steps, by a pattern search from the setup and from the plain clean tune; a tune with a caution that the
/// setup does not have (a vane that strikes, a light arrow, …) is not taken.
/// @param free  names of adjustments, at most 8
/// @throws as group(); InputError for an adjustment that the bow does not have, or none
/// @throws SolverError when no tune that was looked at tears within the limit
[[nodiscard]] ForgivingTune forgiving(const Setup& setup, const Scatter& scatter, const std::vector<std::string>& free,
                                      const ForgivingOptions& options = {});

}  // namespace nockwise
