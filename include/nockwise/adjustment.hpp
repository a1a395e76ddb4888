/// @file
/// What can be changed at the bench, in trade steps: half a twist, a sixteenth of an inch, half a turn of a limb bolt.
///
/// Every adjustment is described once, in the table behind adjustments(): which parameters one step moves and by how
/// much, the words for both directions, what it costs, what it does besides, how far it may go, and its caution. What
/// belongs together exists as one adjustment: nocking point and rest together, turns into one yoke leg and out of the
/// other.
#pragma once

#include "nockwise/caution.hpp"
#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// Where an adjustment belongs in the order of work.
enum class AdjustmentGroup {
  sync,           ///< lengths of the cables and places of the stops, until both stops touch together
  geometry,       ///< limb bolts, both cables
  timing,         ///< when the drop-away rest falls
  clearance,      ///< vanes past the launcher: the nock turned, lower vanes
  height,         ///< nocking point and rest together
  nocking_point,  ///< nocking point against rest
  lateral,        ///< cams, yoke legs, centre shot
  arrow,          ///< another arrow
  technique,      ///< what the archer does
};

/// The unit in which people count an adjustment.
enum class TradeUnit { twist, inch, turn, grain, spine, newton_metre, riser_flex, feet_per_second, degree };

/// One parameter that an adjustment moves.
struct ParameterStep {
  std::string path;
  double per_step = 0.0;  ///< change of the parameter by one positive step [SI]
  bool operator==(const ParameterStep&) const = default;
};

/// One adjustment of one bow. Positive steps do what `positive` says.
struct Adjustment {
  std::string name;   ///< for files and options: "cable.upper"
  std::string title;  ///< for tables: "upper cam's cable"
  AdjustmentGroup group = AdjustmentGroup::sync;
  std::vector<ParameterStep> parameters;
  TradeUnit unit = TradeUnit::inch;
  double amount_per_step = 0.0;  ///< in `unit`: 0.5 twist, 1/16 in
  std::string positive;          ///< instruction, {} stands for the amount: "put {} into the upper cam's cable"
  std::string negative;
  std::string cause_positive;  ///< finding, if the bow stands there unbidden: "{} too much in the upper cam's cable"
  std::string cause_negative;
  double effort = 0.0;                    ///< rough time for one visit to it, setting up included [min]
  std::vector<std::string> side_effects;  ///< what else it changes
  double least_steps = 0.0;               ///< farthest negative move from the bow as found [steps]
  double most_steps = 0.0;                ///< farthest positive move [steps]
  std::string limit;                      ///< why there
  std::optional<Caution> caution;         ///< beyond the general ones
  bool needs_press = false;               ///< only with a bow press
  bool plannable = true;                  ///< may stand in a plan as a turn of a wrench
  double prior = 0.0;  ///< how far this is off, unnoticed, in an ordinary bow that gives trouble: standard deviation
                       ///< [steps]; 0: not suspected by default
  double rare_prior = 0.0;   ///< the same of what is suspected only where nothing ordinary explains all that was seen
  std::string prior_reason;  ///< why so far; empty where it is not suspected
};

/// The adjustments that this bow has, in the order of the table: yokes only where cables end on one, the cord only of a
/// drop-away rest, stops only where there are some. Words follow `setup.handedness`.
[[nodiscard]] std::vector<Adjustment> adjustments(const Setup& setup);

/// The adjustment of that name.
/// @throws InputError naming the nearest one
[[nodiscard]] const Adjustment& find_adjustment(std::span<const Adjustment> among, std::string_view name);

/// The setup after so many steps (fractions allowed).
/// @throws InputError when a parameter would leave its range
[[nodiscard]] Setup adjusted(const Setup& setup, const Adjustment& adjustment, double steps);

/// "put half a twist into the upper cam's cable": what to do for so many steps; "leave … alone" for none.
[[nodiscard]] std::string describe_steps(const Adjustment& adjustment, double steps);
/// "half a twist too much in the upper cam's cable": the same amount as a finding.
[[nodiscard]] std::string describe_cause(const Adjustment& adjustment, double steps);
/// "half a twist", "1/16 in", "0.8 twist": an amount without its sign.
[[nodiscard]] std::string describe_amount(const Adjustment& adjustment, double steps);

/// "sync", "nocking_point", …
[[nodiscard]] const char* name_of(AdjustmentGroup group);

/// What holds for every work on a bow, for the foot of every plan.
[[nodiscard]] const std::vector<Caution>& general_cautions();

}  // namespace nockwise
