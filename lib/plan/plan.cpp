#include "plan/plan.hpp"

#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

std::string inches(double length, int decimals = 2) { return display(length, Quantity::length, "in", decimals); }

std::string join(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& each : words) {
    text += (text.empty() ? "" : ", ") + each;
  }
  return text;
}

/// What the step is for.
std::string reason_for(const Adjustment& a, bool gap_known) {
  switch (a.group) {
    case AdjustmentGroup::sync:
      return gap_known ? "both stops must touch together before anything else is judged"
                       : "a deliberate cam bias, because nothing gentler takes the rest of the tear away";
    case AdjustmentGroup::geometry:
      return "geometry of the limbs";
    case AdjustmentGroup::timing:
      return "the rest must neither hold the arrow too long nor drop it too soon";
    case AdjustmentGroup::height:
      return "moves the arrow against the string's middle without changing its angle";
    case AdjustmentGroup::nocking_point:
      return "sets the nock against the rest";
    case AdjustmentGroup::lateral:
      return a.name == "center_shot" ? "brings the arrow into the line of the string's travel"
                                     : "brings the line of the string's travel to the arrow";
    case AdjustmentGroup::arrow:
      return "this arrow does not suit this bow; nothing gentler takes the rest of the tear away";
    case AdjustmentGroup::technique:
      return "technique";
  }
  return "";
}

int order_of(const Adjustment& a, bool gap_known) {
  if (a.group == AdjustmentGroup::sync && !gap_known) {
    return static_cast<int>(AdjustmentGroup::lateral) * 10 + 5;  // bias comes after all others but the arrow
  }
  return static_cast<int>(a.group) * 10;
}

std::vector<std::string> changes_between(const OutputValues& before, const OutputValues& after) {
  struct Threshold {
    Output output;
    double least;
    int decimals;
  };
  static constexpr Threshold thresholds[] = {
      {Output::stop_gap, 2.0e-4, 3},        {Output::draw_length, 8.0e-4, 2}, {Output::peak_force, 1.0, 1},
      {Output::let_off, 0.003, 1},          {Output::exit_speed, 0.2, 1},     {Output::fletching_clearance, 8.0e-4, 2},
      {Output::cable_clearance, 8.0e-4, 2}, {Output::lean_upper, 0.004, 1},   {Output::lean_lower, 0.004, 1}};
  std::vector<std::string> words;
  for (const Threshold& each : thresholds) {
    const double change = after[each.output] - before[each.output];
    if (std::fabs(change) >= each.least) {
      const OutputDescription& d = output_descriptions()[static_cast<std::size_t>(each.output)];
      words.push_back(d.title + (change > 0.0 ? " +" : " −") +
                      display(std::fabs(change), d.quantity, d.unit, each.decimals));
    }
  }
  return words;
}

/// "at 20 yd the arrow strikes 0.8 in higher and 0.3 in farther left": what the sight must follow; empty for less than
/// a group shows.
std::string impact_change(const OutputValues& before, const OutputValues& after, double distance) {
  constexpr double least = 0.1 * 0.0254;
  std::string words;
  const auto add = [&](Output output, const char* positive, const char* negative) {
    const double change = after[output] - before[output];
    if (std::fabs(change) >= least) {
      words += (words.empty() ? "" : " and ") + inches(std::fabs(change), 1) + (change > 0.0 ? positive : negative);
    }
  };
  add(Output::impact_up, " higher", " lower");
  add(Output::impact_right, " farther right", " farther left");
  return words.empty() ? "" : "at " + display(distance, Quantity::length, "yd", 0) + " the arrow strikes " + words;
}

}  // namespace

Plan write_plan(const PlanProblem& problem, const PlanSolution& solution) {
  Plan plan;
  plan.distance = problem.distance;
  plan.reading_error = problem.reading_error;
  plan.start = solution.start.value;
  plan.end = solution.end.value;
  plan.possible = solution.reached;
  plan.confidence = solution.confidence;
  plan.uncertainty_up = solution.half_width_up;
  plan.uncertainty_right = solution.half_width_right;
  for (const Caution& each :
       solution.end.cautions) {  // such as vanes that strike the rest: no tear is to be trusted then
    plan.first.push_back(each.words);
  }
  std::vector<std::size_t> order(solution.steps.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return order_of(solution.adjustments[a], problem.gap_known) < order_of(solution.adjustments[b], problem.gap_known);
  });
  std::vector<ShotRequest> requests;
  Setup bow = problem.bows.front().bow;
  for (const std::size_t i : order) {
    bow = adjusted(bow, solution.adjustments[i], solution.steps[i]);
    requests.push_back({.setup = bow, .distance = problem.distance});
  }
  const std::vector<Shot> shots = shoot_many(requests, problem.execution);
  OutputValues before = solution.start.value;
  const double target = problem.supposed.surroundings.target_distance;
  for (std::size_t k = 0; k < order.size(); ++k) {
    const Adjustment& a = solution.adjustments[order[k]];
    PlanStep step;
    step.adjustment = a;
    step.steps = solution.steps[order[k]];
    step.instruction = describe_steps(a, step.steps);
    step.reason = reason_for(a, problem.gap_known);
    step.before = before;
    step.after = shots[k].flew ? shots[k].value : before;
    step.side_effects = changes_between(step.before, step.after);
    if (const std::string impact = impact_change(step.before, step.after, target); !impact.empty()) {
      step.side_effects.push_back(impact + ": the sight must follow");
    }
    step.side_effects.push_back("look afterwards at: " + join(a.side_effects));
    if (a.needs_press) {
      step.cautions.push_back({CautionKind::bow_press, "Needs a bow press, and someone who knows it."});
    }
    if (a.caution) {
      step.cautions.push_back(*a.caution);
    }
    before = step.after;
    plan.steps.push_back(std::move(step));
  }
  if (const std::string impact = impact_change(plan.start, plan.end, target); !plan.steps.empty() && !impact.empty()) {
    plan.sight = "Set the sight last, after the arrow: " + impact + " than before the first step.";
  }
  plan.stop_rule = "Stop as soon as three shots in a row tear no more than " + inches(problem.reading_error, 3) +
                   " in any direction: that is what a reading is good to.";
  if (!solution.reached) {
    plan.refusal =
        (solution.bows_conflict ? "No one plan suits every likely explanation: for the likeliest of them the "
                                  "best that was found leaves "
                                : "This cannot be tuned within safe limits: the best that was found leaves ") +
        inches(std::fabs(plan.end[Output::tear_up])) + " vertically and " +
        inches(std::fabs(plan.end[Output::tear_right])) + " sideways.";
    for (const std::string& each : solution.obstacles) {
      plan.refusal += " " + each + ".";
    }
  }
  return plan;
}

}  // namespace nockwise::detail
