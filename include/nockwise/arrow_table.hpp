/// @file
/// Which spine, point and length to buy for a bow: every choice shot by the same archer with the same errors, and
/// through paper by all the bows that this one may be.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/group.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// An arrow that can be bought; what is not given stays as the setup has it.
struct ArrowChoice {
  std::optional<double> spine{};       ///< static spine [m]
  std::optional<double> point_mass{};  ///< [kg]
  std::optional<double> length{};      ///< groove of the nock to the front end of the shaft [m]
  bool operator==(const ArrowChoice&) const = default;
};

/// What one choice does.
struct ArrowRow {
  ArrowChoice choice;
  std::string title;             ///< for people: "0.400 in, 100 gr, 28.5 in"
  std::string failure;           ///< why it cannot be shot; everything below is zero then
  double mass = 0.0;             ///< of the whole arrow [kg]
  double mass_per_peak = 0.0;    ///< over the bow's peak force; 5 gr per lbf are 7.28e-5 [kg/N]
  bool light = false;            ///< so light that the shot is close to a dry fire: not to be shot
  double speed = 0.0;            ///< as it leaves the string [m/s]
  double tear_up = 0.0;          ///< [m]
  double tear_right = 0.0;       ///< [m]
  double tear_up_low = 0.0;      ///< 5 % of the bows that this one may be tear lower [m]; the tear itself if not drawn
  double tear_up_high = 0.0;     ///< 5 % of them tear higher [m]
  double tear_right_low = 0.0;   ///< the same sideways [m]
  double tear_right_high = 0.0;  ///< [m]
  std::optional<double> vane_clearance{};  ///< launcher to vanes as they pass, negative: they can strike [m]
  double touches = 0.0;                    ///< share of the shots in which a vane would touch [fraction]
  double near_size = 0.0;       ///< of the group at the nearer distance: both standard deviations' root mean square [m]
  double far_size = 0.0;        ///< the same at the farther one [m]
  double far_width = 0.0;       ///< mean width of six there [m]
  double far_height = 0.0;      ///< mean height of six there [m]
  double near_elevation = 0.0;  ///< of the sight [rad]
  double far_elevation = 0.0;   ///< [rad]
  /// Mark of the sight: how far its pin stands lower than for the first choice that can be shot at the nearer distance,
  /// at the conditions' sight_radius from the eye [m].
  double near_mark = 0.0;
  double far_mark = 0.0;  ///< the same at the farther distance [m]
  double larger = 0.0;    ///< than the smallest group of all choices, at the farther distance, same shots [fraction]
  double larger_error = 0.0;  ///< its standard error [fraction]
  bool as_good = false;       ///< not distinguishable from the best: within two standard errors, or 2 %
};

/// All choices.
struct ArrowTable {
  std::string name;            ///< of the setup
  std::string scatter;         ///< its name
  double near_distance = 0.0;  ///< [m]
  double far_distance = 0.0;   ///< [m]
  std::size_t bows = 0;        ///< drawn for the tears
  std::vector<ArrowRow> rows;  ///< in the order of the choices
  std::string advice;          ///< in one or two sentences
  std::vector<std::string> notes;
};

/// Options of compare_arrows().
struct ArrowTableOptions {
  double near_distance = 18.288;  ///< [m]
  double far_distance = 36.576;   ///< [m]
  std::size_t bows = 40;          ///< that this bow may be, for the tears, 0 (none) to 1,000
  GroupOptions group{};           ///< shots, arrows, seed, conditions, threads, stop; its distance is not looked at
};

/// The usual choices: every combination of these. An empty list leaves that number as it is.
[[nodiscard]] std::vector<ArrowChoice> arrow_choices(const std::vector<double>& spines,
                                                     const std::vector<double>& point_masses,
                                                     const std::vector<double>& lengths);

/// Shoot every choice from this bow, as it stands: no choice is tuned.
/// @throws InputError for no choice or more than 200, an option out of range, or a number that no arrow can have;
/// SolverError when none can be shot; Interrupted when stopped
[[nodiscard]] ArrowTable compare_arrows(const Setup& setup, const Scatter& scatter,
                                        const std::vector<ArrowChoice>& choices, const ArrowTableOptions& options = {});

}  // namespace nockwise
