// What is to be looked at, tried or known before the first step of a plan.

#include "explain/plan_first.hpp"

#include "causes/checks.hpp"
#include "explain/same_bow.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// A plan that is unsure only of the tear it starts from needs more holes of the bow as found.
void more_holes_first(std::vector<NextCheck>& checks) {
  std::stable_partition(checks.begin(), checks.end(), [](const NextCheck& check) { return check.name == more_holes; });
}

/// The likeliest cause, where the plan does not touch it, and why.
std::string untouched_cause(const PlanProblem& problem, const PlanSolution& solution,
                            const std::vector<Cause>& causes) {
  constexpr double likely = 0.5;
  for (const Cause& each : causes) {
    const Adjustment& a = each.adjustment;
    const bool touched = std::any_of(solution.adjustments.begin(), solution.adjustments.end(),
                                     [&](const Adjustment& moved) { return moved.name == a.name; });
    if (!a.plannable || !each.explains || touched || solution.steps.empty() || suspicion(problem, a.name) < likely) {
      continue;
    }
    const bool far = -each.steps < a.least_steps || -each.steps > a.most_steps;
    const bool press = a.needs_press && std::none_of(solution.adjustments.begin(), solution.adjustments.end(),
                                                     [](const Adjustment& moved) { return moved.needs_press; });
    return "Another way than the likeliest cause (" + each.words + "), which these steps leave as it is: " +
           (far ? "it may not be moved so far (" + a.limit + ")."
            : press
                ? std::string("it needs a bow press, and they do as much without one. With a press at hand, put the "
                              "cause right instead.")
                : std::string("they suit more of the explanations that are left. If a check shows that it is the "
                              "cause, put that right instead."));
  }
  return "";
}

/// Only to put the cause right would do, and is less sure.
std::string less_sure_repair(const PlanSolution& solution) {
  std::string steps;
  for (std::size_t i = 0; i < solution.repair.size(); ++i) {
    steps += (i == 0 ? "" : ", ") + describe_steps(solution.repair[i], solution.repair_steps[i]);
  }
  return "These steps are safer than only to put the cause right (" + steps +
         "), which should end clean as well, but with " +
         display(solution.repair_confidence, Quantity::percent, "%", 0) + " instead of " +
         display(solution.confidence, Quantity::percent, "%", 0) + ".";
}

/// Where a hole was shot after a trial change, and the plan starts before it.
std::string before_trial(const Case& observed) {
  for (std::size_t i = 0; i < observed.tears.size(); ++i) {
    const auto& changes = observed.tears[i].changes;
    const bool trial = std::any_of(changes.begin(), changes.end(), [](const ParameterChange& change) {
      return !(change == bare_shaft()) && change.path != hand_torque && !change.path.starts_with("arrow.");
    });
    if (trial) {
      return "The steps start from the bow as it was before shot " + std::to_string(i + 1) + " (" +
             observed.tears[i].label +
             "): take what was changed for it back first. If it is to stay, write it into the setup and ask anew.";
    }
  }
  return "";
}

/// What has to be told of the cams' timing before a step.
std::string timing_first(const PlanProblem& problem, const PlanSolution& solution) {
  constexpr double apart = 0.0254 / 32.0;
  const double gap = std::fabs(solution.start.value[Output::stop_gap]);
  if (!problem.gap_known) {
    return "Draw the bow on a draw board first, or let somebody watch the stops. If they do not touch together, set "
           "that right and shoot again before going on: report the gap, and this plan will be worked out anew.";
  }
  if (gap > apart && !solution.sets_timing) {
    return "One stop is " + display(gap, Quantity::length, "in", 2) + " open, and that comes before all else" +
           (problem.press ? ", but no cable brings it nearer within its limits."
                          : ": it takes a bow press, and someone who knows it. Have it set, shoot again and ask anew; "
                            "these steps are what can be done without one.");
  }
  return "";
}

/// Whether the steps move a cable or a stop, or these are the likeliest to be off, whichever of them, although nobody
/// has looked how far the stops are apart; the check of it is then the next.
bool wants_stops_looked_at(const PlanProblem& problem, const PlanSolution& solution, const std::vector<Cause>& causes,
                           std::vector<NextCheck>& checks) {
  constexpr double likely = 0.5;
  const bool moved = std::any_of(solution.adjustments.begin(), solution.adjustments.end(),
                                 [](const Adjustment& a) { return a.group == AdjustmentGroup::sync; });
  double blamed = 0.0;
  for (const Cause& each : causes) {
    blamed += each.adjustment.group == AdjustmentGroup::sync ? each.probability : 0.0;
  }
  if (problem.gap_known || !(moved || blamed > likely)) {
    return false;
  }
  std::stable_partition(checks.begin(), checks.end(), [](const NextCheck& check) { return check.name == stops_check; });
  return !checks.empty() && checks.front().name == stops_check;
}

}  // namespace

bool hand_was_tried(const Case& observed) {
  return std::any_of(observed.tears.begin(), observed.tears.end(),
                     [](const TearObservation& tear) { return !tear.archer.empty() || changes_hand(tear); });
}

void add_first(const Case& observed, const PlanProblem& problem, const PlanSolution& solution, Explanation& e) {
  constexpr double enough_confidence = 0.95;
  std::vector<std::string>& first = e.plan.first;
  if (problem.hand) {
    first.emplace_back(
        hand_was_tried(observed)
            ? "Other holes show that it is the hand, not the bow: no wrench before a relaxed hand shoots this tear too."
        : problem.unknown
            ? "A hand that twists the bow is likelier than not, and costs an arrow to know: shoot again with a "
              "relaxed, "
              "open hand, or let another archer shoot, and report that hole before any wrench."
            : "No turn of a wrench takes all of this away, and a hand that twists the bow would make it: shoot again "
              "with a relaxed, open hand, or let another archer shoot, and report that hole before any wrench.");
  } else if (e.verdict == Verdict::unusual || e.verdict == Verdict::unexplained) {
    first.emplace_back(
        std::string(
            "Before a wrench, look for what is not suspected here: another arrow (a nock that is loose or bent, "
            "a cracked shaft), ") +
        (hand_was_tried(observed) ? "" : "another archer with a relaxed hand, ") +
        "a vane that strikes (powder or lipstick on the vanes shows where), and the setup's entries against the bow.");
  }
  if (e.verdict == Verdict::not_this_bow) {
    first.emplace_back(
        "The setup is not this bow: check its entries first, and shoot another arrow. Nothing here is done on a press; "
        "these steps only take the tear away.");
  } else if (e.plan.rounds) {
    first.emplace_back(
        "This is the first of several rounds, since too little is known of the bow to promise a clean hole: make one "
        "step, shoot, add step and hole to the case (the next thing to do comes with the lines for it), and ask "
        "again.");
  }
  if (problem.unknown && !problem.hand && !solution.steps.empty()) {
    if (const std::optional<NextCheck> lengths = same_bow_check(observed)) {
      first.push_back(
          "See that the setup is of this bow. " + lengths->instruction +
          " Report both before anything is turned: lengths that no twist or bolt accounts for are another bow's.");
    }
  }
  if (const std::string trial = before_trial(observed); !trial.empty()) {
    first.push_back(trial);
  }
  if (observed.setup.cams.upper.stop.kind != StopKind::none && observed.setup.cams.lower.stop.kind != StopKind::none) {
    if (const std::string timing = timing_first(problem, solution); !timing.empty()) {
      first.push_back(timing);
    }
  }
  if (wants_stops_looked_at(problem, solution, e.causes, e.next_checks)) {
    e.plan.check_first = true;  // told with the timing
  } else if (!problem.unknown && e.verdict != Verdict::not_this_bow && e.plan.confidence < enough_confidence &&
             !e.next_checks.empty()) {  // where the bow is not known, the next thing to do says what is worth a check
    e.plan.check_first = true;
    const bool unsure_holes = solution.attainable < enough_confidence;
    if (unsure_holes) {
      more_holes_first(e.next_checks);
    }
    first.push_back((unsure_holes ? "The holes are read too coarsely for a sure plan. Do this first, and report it: "
                                  : "Not every likely explanation is answered by these steps. Do this first, and "
                                    "report it: ") +
                    e.next_checks.front().instruction);
  }
  if (!solution.repair.empty()) {
    first.push_back(less_sure_repair(solution));
  } else if (const std::string other_way = untouched_cause(problem, solution, e.causes); !other_way.empty()) {
    first.push_back(other_way);
  }
  const auto torque =
      std::find_if(e.causes.begin(), e.causes.end(), [](const Cause& c) { return is_hand(c.adjustment); });
  if (!problem.hand && !hand_was_tried(observed) && torque != e.causes.end() && torque->probability > 0.2) {
    first.emplace_back(
        "Shoot again with a relaxed, open hand: the hand may make this tear, and then no adjustment "
        "of the bow will keep it away.");
  }
}

void add_next_check(Explanation& e) {
  if (e.next.kind != NextKind::check || e.plan.check_first || e.plan.steps.empty()) {
    return;
  }
  const auto next = std::find_if(e.next_checks.begin(), e.next_checks.end(),
                                 [&](const NextCheck& each) { return each.instruction == e.next.instruction; });
  if (next == e.next_checks.end()) {
    return;
  }
  std::rotate(e.next_checks.begin(), next, next + 1);
  e.plan.check_first = true;
  e.plan.first.push_back("Not every likely explanation is answered by these steps. Do this first, and report it: " +
                         e.next_checks.front().instruction);
}

}  // namespace nockwise::detail
