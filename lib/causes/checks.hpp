// What to look at next, by expected information. Private.
#pragma once

#include "causes/weights.hpp"

namespace nockwise::detail {

/// Name of the check that shoots the bow as found again.
inline constexpr const char* more_holes = "more_holes";

/// Name of the check that looks how far the stops are apart.
inline constexpr const char* stops_check = "draw_board";

/// Whether a hole was shot with another hand than usual.
[[nodiscard]] bool changes_hand(const TearObservation& tear);

/// A check that could be made, and the rows of the model that it would read.
struct CheckPlan {
  std::string name, instruction;
  double effort = 0.0;  // [min]
  std::vector<std::size_t> rows;
  std::vector<CheckObservation> checks;  // what a report of it would hold
  std::vector<TearObservation> tears;
};

/// Adds the readings of every check that is not made yet.
[[nodiscard]] std::vector<CheckPlan> add_possible_checks(const Case& observed, CaseModel& model);

/// Two more arrows of the bow as found; its readings are added to the model.
[[nodiscard]] CheckPlan more_holes_check(CaseModel& model, bool second_arrow);

/// The check as it is reported, not yet ranked.
[[nodiscard]] NextCheck reported(const CheckPlan& check);

/// Ranks them by expected information per effort: on which cause it is, and how large. `slopes` are those of `model`,
/// which has the added rows, around `centre`; `fits` are without them; `scatter` is that of all rows by what is not
/// known of the bow, or empty.
[[nodiscard]] std::vector<NextCheck> rank_checks(const std::vector<CheckPlan>& checks, const CaseModel& model,
                                                 const Eigen::MatrixXd& slopes, const Eigen::VectorXd& centre,
                                                 const Eigen::MatrixXd& scatter, const Fits& fits,
                                                 bool single_explains);

}  // namespace nockwise::detail
