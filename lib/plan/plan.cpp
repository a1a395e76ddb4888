#include "plan/plan.hpp"

#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"
#include "plan/wall.hpp"

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
std::string reason_for(const Adjustment& a, bool sets_timing) {
  switch (a.group) {
    case AdjustmentGroup::sync:
      return sets_timing ? "both stops must touch together before anything else is judged"
                         : "a cam set out of time on purpose, the last resort: nothing gentler takes the rest of the "
                           "tear away";
    case AdjustmentGroup::geometry:
      return "geometry of the limbs";
    case AdjustmentGroup::timing:
      return "the rest must neither hold the arrow too long nor drop it too soon";
    case AdjustmentGroup::clearance:
      return "a vane that strikes makes every other step guesswork";
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
      return "no turn of a wrench stands in for a relaxed hand";
  }
  return "";
}

/// Adds to the reason what the case knows of this part.
std::string reason_for(const PlanProblem& problem, const Adjustment& a, bool sets_timing) {
  constexpr double likely = 0.5;
  std::string reason = reason_for(a, sets_timing);
  const double suspected = suspicion(problem, a.name);
  if (suspected >= likely) {
    reason += "; this is the likeliest cause (" + display(suspected, Quantity::percent, "%", 0) + ")";
  } else if (std::find(problem.right.begin(), problem.right.end(), a.name) != problem.right.end()) {
    reason += "; it was found as it should be, and is moved because nothing else does it so well";
  }
  return reason;
}

/// Another way to set the timing that is as likely to be the cause, and why it is not taken; empty where there is none.
std::string other_timing(const PlanProblem& problem, const Adjustment& taken) {
  constexpr double nearly = 0.7;
  const double own = suspicion(problem, taken.name);
  std::string other;
  double most = std::max(0.2, nearly * own);
  for (const Adjustment& each : adjustments(problem.supposed)) {
    const double suspected = suspicion(problem, each.name);
    if (each.group == AdjustmentGroup::sync && each.name != taken.name && suspected > most) {
      most = suspected;
      other = each.title;
    }
  }
  return other.empty()
             ? ""
             : "; " + other + " may as well be the cause (" + display(most, Quantity::percent, "%", 0) + " against " +
                   display(own, Quantity::percent, "%", 0) +
                   "): either closes the gap, and this one leaves draw length and cams nearest to the setup's";
}

int order_of(const Adjustment& a, bool sets_timing) {
  if (a.group == AdjustmentGroup::sync && !sets_timing) {
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

/// How much farther the hole tears on the way than before the first step, upward or sideways, where it is worst [m].
double new_tear_of(const OutputValues& start, const OutputValues& now) {
  const auto more = [&](Output part) { return std::fabs(now[part]) - std::fabs(start[part]); };
  return std::max({0.0, more(Output::tear_up), more(Output::tear_right)});
}

double worst_on_the_way(const Shot& start, const std::vector<Shot>& shots) {
  double worst = 0.0;
  for (const Shot& each : shots) {
    worst = std::max(worst, new_tear_of(start.value, each.value));
  }
  return worst;
}

/// The shots after each step of the most probable bow, in this order.
std::vector<Shot> shots_after(const PlanProblem& problem, const PlanSolution& solution,
                              const std::vector<std::size_t>& order) {
  std::vector<ShotRequest> requests;
  Setup bow = problem.bows.front().bow;
  for (const std::size_t i : order) {
    bow = adjusted(bow, solution.adjustments[i], solution.steps[i]);
    requests.push_back({.setup = bow, .distance = problem.distance});
  }
  std::vector<Shot> shots = shoot_many(requests, problem.execution);
  for (Shot& each : shots) {
    each = with_unexplained(std::move(each), problem.bows.front());
  }
  return shots;
}

constexpr double new_tear = 0.00762;  // [m] 0.3 in

/// The steps in the order of work; of those that may change places, so that no step makes a large tear on the way.
std::vector<std::size_t> order_of_work(const PlanProblem& problem, const PlanSolution& solution) {
  std::vector<std::size_t> order(solution.steps.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  const auto place = [&](std::size_t i) { return order_of(solution.adjustments[i], solution.sets_timing && i == 0); };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return place(a) < place(b); });
  double least = worst_on_the_way(solution.start, shots_after(problem, solution, order));
  if (least <= new_tear) {
    return order;
  }
  // Timing stays first, and another arrow last; what stands between may be done in any order.
  const auto movable = [&](std::size_t i) {
    return place(i) > static_cast<int>(AdjustmentGroup::sync) * 10 &&
           place(i) < static_cast<int>(AdjustmentGroup::arrow) * 10;
  };
  const auto first = std::find_if(order.begin(), order.end(), movable);
  const auto last = std::find_if_not(first, order.end(), movable);
  std::vector<std::size_t> best = order;
  std::sort(first, last);
  do {
    const double worst = worst_on_the_way(solution.start, shots_after(problem, solution, order));
    if (worst < least - 1e-4) {
      least = worst;
      best = order;
    }
  } while (std::next_permutation(first, last));
  return best;
}

PlanStep hand_step(const PlanProblem& problem, const HandStep& hand, const Shot& before, const Shot& after) {
  PlanStep step;
  step.adjustment = hand.hand;
  step.steps = hand.steps;
  step.instruction = "relax the hand: open fingers, the grip on the heel of the thumb, and shoot again";
  step.reason = reason_for(problem, hand.hand, false) + "; ask a coach, and let a second archer shoot this bow";
  step.before = before.value;
  step.after = after.value;
  step.side_effects = changes_between(step.before, step.after);
  return step;
}

std::string refusal_of(const Plan& plan, const PlanSolution& solution) {
  PaperTear left;
  left.up = plan.end[Output::tear_up];
  left.right = plan.end[Output::tear_right];
  std::string text = (solution.bows_conflict ? "No one plan suits every likely explanation: for the likeliest of them "
                                               "the best that was found leaves "
                                             : "This cannot be tuned within safe limits: the best that was found "
                                               "leaves ") +
                     describe_tear(left) + ".";
  for (const std::string& each : solution.obstacles) {
    text += " " + each + ".";
  }
  return text;
}

/// What a step does besides, and what to be careful with.
void add_notes(const PlanProblem& problem, PlanStep& step, const OutputValues& start, const Setup& before,
               const Setup& after) {
  step.side_effects = changes_between(step.before, step.after);
  const double target = problem.supposed.surroundings.target_distance;
  if (const std::string impact = impact_change(step.before, step.after, target); !impact.empty()) {
    step.side_effects.push_back(impact + ": the sight must follow");
  }
  step.side_effects.push_back("look afterwards at: " + join(step.adjustment.side_effects));
  step.cautions = cautions_of_work(step.adjustment);
  if (after.rest.height < before.rest.height && !problem.shelf_clearance) {
    step.side_effects.emplace_back("the arrow comes nearer to the riser's shelf: see that vanes and shaft clear it");
  }
  if (new_tear_of(start, step.after) > new_tear) {
    step.cautions.push_back({CautionKind::general,
                             "The hole is larger after this step alone, and no other order avoids it: the next step "
                             "takes it back. Do not stop in between."});
  }
  const double gap = std::fabs(step.after[Output::stop_gap]);
  if (gap > 0.0254 / 32.0 && gap > std::fabs(step.before[Output::stop_gap]) + 1e-4) {
    const std::string wall = wall_words(before, after);
    step.cautions.push_back(
        {CautionKind::overdraw, "One cam then comes to its stop " + inches(gap) +
                                    " after the other: one stop alone carries the wall until the second touches" +
                                    (wall.empty() ? "" : ": " + wall) +
                                    ". Never beyond 3/16 in, and only if the maker allows it."});
  }
}

}  // namespace

std::vector<Caution> cautions_of_work(const Adjustment& adjustment) {
  std::vector<Caution> cautions;
  if (adjustment.needs_press) {
    cautions.push_back({CautionKind::bow_press, "Needs a bow press, and someone who knows it."});
  }
  if (adjustment.caution) {
    cautions.push_back(*adjustment.caution);
  }
  return cautions;
}

Plan write_plan(const PlanProblem& problem, const PlanSolution& solution) {
  Plan plan;
  plan.distance = problem.distance;
  plan.reading_error = problem.reading_error;
  plan.remedy = problem.remedy;
  plan.start = solution.start.value;
  plan.end = solution.end.value;
  for (std::size_t i = 0; i < solution.elsewhere.size(); ++i) {
    const OutputValues& v = solution.elsewhere[i].value;
    plan.elsewhere.push_back(
        {problem.bows[i + 1].distance.value_or(problem.distance), v[Output::tear_up], v[Output::tear_right]});
  }
  plan.possible = solution.reached;
  plan.confidence = solution.confidence;
  plan.uncertainty_up = solution.half_width_up;
  plan.uncertainty_right = solution.half_width_right;
  for (const Caution& each : solution.end.cautions) {  // such as vanes that strike: no tear is to be trusted then
    plan.first.push_back(each.words);
  }
  if (problem.hand) {
    const PlausibleBow& bow = problem.hand->tense;
    const Shot tense =
        with_unexplained(shoot(bow.bow, {.distance = problem.distance, .stop = problem.execution.stop}), bow);
    if (tense.flew) {
      plan.start = tense.value;
      plan.steps.push_back(hand_step(problem, *problem.hand, tense, solution.start));
    }
  }
  const std::vector<std::size_t> order = order_of_work(problem, solution);
  const std::vector<Shot> shots = shots_after(problem, solution, order);
  OutputValues before = solution.start.value;
  Setup bow = problem.bows.front().bow;
  std::size_t clean_after = 0;  // the first step that should end it, if there are more
  for (std::size_t k = 0; k < order.size(); ++k) {
    const Adjustment& a = solution.adjustments[order[k]];
    PlanStep step;
    step.adjustment = a;
    step.steps = solution.steps[order[k]];
    step.instruction = describe_steps(a, step.steps);
    step.reason = reason_for(problem, a, solution.sets_timing && order[k] == 0);
    if (solution.sets_timing && order[k] == 0) {
      step.reason += other_timing(problem, a);
    }
    if (clean_after > 0) {
      step.reason = "only if the hole still tears after step " + std::to_string(clean_after) + ": " + step.reason;
    }
    step.before = before;
    step.after = shots[k].flew ? shots[k].value : before;
    const Setup next = adjusted(bow, a, step.steps);
    add_notes(problem, step, solution.start.value, bow, next);
    bow = next;
    before = step.after;
    plan.steps.push_back(std::move(step));
    const bool clean = shots[k].flew && std::fabs(before[Output::tear_up]) <= problem.reading_error &&
                       std::fabs(before[Output::tear_right]) <= problem.reading_error;
    clean_after = clean && clean_after == 0 && problem.distances == 1 ? plan.steps.size() : clean_after;
  }
  const double target = problem.supposed.surroundings.target_distance;
  if (const std::string impact = impact_change(plan.start, plan.end, target); !plan.steps.empty() && !impact.empty()) {
    plan.sight = "Set the sight last, after the arrow: " + impact + " than before the first step.";
  }
  plan.stop_rule = "Stop as soon as three shots in a row tear no more than " + inches(problem.reading_error, 3) +
                   " in any direction: that is what a reading is good to.";
  if (!solution.reached) {
    plan.refusal = refusal_of(plan, solution);
  }
  return plan;
}

}  // namespace nockwise::detail
