// The plan: whole trade steps, in the order of work, verified by full launches. Private.
#pragma once

#include "causes/plausible_bow.hpp"

#include <optional>
#include <string>
#include <vector>

namespace nockwise::detail {

/// A hand that twists the bow, to be relaxed before any wrench is taken up.
struct HandStep {
  Adjustment hand;
  double steps = 0.0;
  PlausibleBow tense;  // the most probable bow in this hand; the problem's bows are those in a relaxed one
};

/// What the plan has to repair, and within which limits.
struct PlanProblem {
  Setup supposed;                  // the bow as it should be
  std::vector<PlausibleBow> bows;  // most probable first; the steps must suit all of them
  double distance = 0.0;           // of the paper [m]
  double reading_error = 0.0;      // [m]
  bool gap_known = false;          // measured on a draw board, so that the cables may be adjusted for sync
  bool remedy = false;             // the bows have a part of the tear that nothing explains
  bool unknown = false;            // the bows are drawn from what is not known: a plan may be the first of several
  std::vector<std::string> right;  // adjustments that were checked and found as they should be
  std::optional<HandStep> hand;
  bool arrow_steps = true;                  // may end with another arrow
  bool press = true;                        // there is a bow press
  std::optional<double> shelf_clearance{};  // room to lower the arrow by [m]; none: not known
  std::size_t distances = 1;  // the bows come in groups of so many: each at the plan's distance, then at every other
  Execution execution{};
};

/// Steps of some adjustments, and what they reach.
struct PlanSolution {
  std::vector<Adjustment> adjustments;  // the first sets the timing, if that was known to be off
  std::vector<double> steps;            // as many; whole, but for timing
  bool sets_timing = false;             // by the first of them
  Shot start, end;
  std::vector<Shot> elsewhere;  // the end at the other distances, of the most probable bow
  bool reached = false;         // for the most probable bow, at every distance
  double confidence = 0.0;      // probability that the true tear ends within the reading error
  double attainable = 0.0;      // the same for these bows, if each ended with its most probable tear in the middle
  double half_width_up = 0.0, half_width_right = 0.0;  // of the 90 % interval of the tear at the end [m]
  std::size_t launches = 0;
  std::vector<Adjustment> repair;  // what would only put the cause right, where that ends clean too, but less surely
  std::vector<double> repair_steps;
  double repair_confidence = 0.0;
  std::vector<std::string> obstacles;  // why it is not reached, in words
  bool bows_conflict = false;          // it would be reached, were the most probable bow the only one
};

/// Probability that this is off, among the explanations that are left.
[[nodiscard]] double suspicion(const PlanProblem& problem, const std::string& adjustment);

/// Probability that the cams are out of time, by either cable, a yoke's leg or a stop.
[[nodiscard]] double timing_suspicion(const PlanProblem& problem);

/// The shot with that part of the hole which nothing explains and nothing changes.
[[nodiscard]] Shot with_unexplained(Shot shot, const PlausibleBow& bow);

/// What to be careful with in this work, whatever it reaches.
[[nodiscard]] std::vector<Caution> cautions_of_work(const Adjustment& adjustment);

/// Search for the steps that bring the tear within the reading error, with the least work and within limits.
[[nodiscard]] PlanSolution solve_plan(const PlanProblem& problem);

/// The plan for people: steps in order, each with the launch before and after it.
[[nodiscard]] Plan write_plan(const PlanProblem& problem, const PlanSolution& solution);

}  // namespace nockwise::detail
