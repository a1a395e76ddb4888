// The plan of an explanation: what it starts from, what was found right, the hand, and what is to be done first.

#include "explain/planning.hpp"

#include "causes/checks.hpp"
#include "nockwise/units.hpp"
#include "plan/plan.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// A plan that is unsure only of the tear it starts from needs more holes of the bow as found.
void more_holes_first(std::vector<NextCheck>& checks) {
  std::stable_partition(checks.begin(), checks.end(), [](const NextCheck& check) { return check.name == more_holes; });
}

/// Why what is most probably off cannot be put right by the plan; empty if it can.
std::string obstacle_of(const Cause& cause) {
  if (!cause.explains) {
    return "";
  }
  const Adjustment& a = cause.adjustment;
  if (a.group == AdjustmentGroup::technique) {
    return "The grip: most probably " + cause.words + ", and no adjustment of the bow stands in for a relaxed hand";
  }
  if (a.group == AdjustmentGroup::arrow) {
    return "The arrow's spine: most probably " + cause.words +
           ", and no adjustment of the bow stands in for an arrow that suits it";
  }
  const double repair = -cause.steps;
  if (repair < a.least_steps || repair > a.most_steps) {
    return "A limit: most probably " + cause.words + ", and it may not be moved so far back (" + a.limit + ")";
  }
  return "";
}

/// Whether the most probable bow could be repaired, were it the only one.
bool repairable_alone(PlanProblem problem, Explanation& e) {
  if (problem.bows.size() < 2) {
    return false;
  }
  problem.bows.resize(1);
  problem.bows.front().weight = 1.0;
  const PlanSolution solution = solve_plan(problem);
  e.launches += solution.launches;
  return solution.reached;
}

/// Why the steps do not reach the end, beyond what the search itself has met.
void name_obstacles(PlanProblem problem, Explanation& e, PlanSolution& solution) {
  if (const std::string first = obstacle_of(e.causes.front()); !first.empty()) {
    solution.obstacles.insert(solution.obstacles.begin(), first);
  }
  solution.bows_conflict = repairable_alone(problem, e);
  if (!problem.arrow_steps) {
    problem.arrow_steps = true;
    const PlanSolution others = solve_plan(problem);
    e.launches += others.launches;
    for (std::size_t i = 0; others.reached && i < others.steps.size(); ++i) {
      if (others.adjustments[i].group == AdjustmentGroup::arrow) {
        solution.obstacles.push_back("The arrow's spine: it would end clean with another arrow (" +
                                     describe_steps(others.adjustments[i], others.steps[i]) + ")");
      }
    }
  }
  if (solution.obstacles.empty()) {
    solution.obstacles.emplace_back(
        solution.bows_conflict ? "What repairs that one makes others worse: find out which it is first"
                               : "The limits: no whole steps of the adjustments within their limits come nearer");
  }
}

/// Adjustments that were checked, and found as the setup has them.
std::vector<std::string> found_right(const Case& observed) {
  std::vector<std::string> names;
  for (const CheckObservation& check : observed.checks) {
    const bool stops = check.what == "stop_gap" && std::fabs(check.value) <= check.error;
    for (const Adjustment& each : adjustments(observed.setup)) {
      const bool moves = std::any_of(each.parameters.begin(), each.parameters.end(),
                                     [&](const ParameterStep& part) { return part.path == check.what; });
      if ((moves && std::fabs(check.value - observed.setup.get(check.what)) <= check.error) ||
          (stops && each.group == AdjustmentGroup::sync)) {
        names.push_back(each.name);
      }
    }
  }
  return names;
}

constexpr const char* hand_name = "grip.torque";

/// Whether somebody else's holes, or a relaxed hand's, tell the hand from the bow.
bool hand_was_tried(const Case& observed) {
  return std::any_of(observed.tears.begin(), observed.tears.end(),
                     [](const TearObservation& tear) { return !tear.archer.empty() || changes_hand(tear); });
}

/// The bows in a relaxed hand, if other holes show that it is the hand.
void relax_hand(const Case& observed, const std::vector<Cause>& causes, PlanProblem& problem) {
  constexpr double likely = 0.5;
  const auto cause =
      std::find_if(causes.begin(), causes.end(), [](const Cause& each) { return each.adjustment.name == hand_name; });
  if (!hand_was_tried(observed) || suspicion(problem, hand_name) < likely || cause == causes.end()) {
    return;
  }
  const double relaxed = observed.setup.hold.grip_torque;
  const double per_step = cause->adjustment.parameters.front().per_step;
  const Setup tense = problem.bows.front().bow;
  const double torque = tense.hold.grip_torque - relaxed;
  const double amount = torque == 0.0 ? cause->steps : torque / per_step;
  const double least = std::max(1.0, std::round(std::fabs(amount)));
  problem.hand = HandStep{cause->adjustment, amount > 0.0 ? -least : least, tense};
  for (PlausibleBow& each : problem.bows) {
    each.bow.hold.grip_torque = relaxed;
    if (std::erase(each.off, hand_name) > 0 && each.off.empty()) {
      each.spread.bias_up = each.spread.bias_right = 0.0;  // it was the hand's alone
    }
  }
}

/// The likeliest cause, where the plan does not touch it, and why.
std::string untouched_cause(const PlanProblem& problem, const PlanSolution& solution,
                            const std::vector<Cause>& causes) {
  constexpr double likely = 0.5;
  for (const Cause& each : causes) {
    const Adjustment& a = each.adjustment;
    const bool touched = std::any_of(solution.adjustments.begin(), solution.adjustments.end(),
                                     [&](const Adjustment& moved) { return moved.name == a.name; });
    if (!a.plannable || touched || solution.steps.empty() || suspicion(problem, a.name) < likely) {
      continue;
    }
    const bool far = -each.steps < a.least_steps || -each.steps > a.most_steps;
    const bool press = a.needs_press && std::none_of(solution.adjustments.begin(), solution.adjustments.end(),
                                                     [](const Adjustment& moved) { return moved.needs_press; });
    return "Another way than the likeliest cause (" + each.words + "), which these steps leave as it is: " +
           (far     ? "it may not be moved so far (" + a.limit + ")."
            : press ? std::string("they do as much without a bow press. With one at hand, put the cause right instead.")
                    : std::string("they suit more of the explanations that are left. If a check shows that it is the "
                                  "cause, put that right instead."));
  }
  return "";
}

/// What was seen beyond what these deviations make of the bow.
std::vector<PlausibleBow> unexplained_bow(const CaseModel& model, const Fits& fits) {
  PlausibleBow bow;
  bow.bow = model.bow(fits.joint.steps);
  const auto& readings = model.readings();
  for (Eigen::Index k = 0; k < 2; ++k) {
    const auto i = static_cast<std::size_t>(k);
    bow.tear[i] = readings[i].value;
    bow.unexplained[i] = readings[i].value - fits.joint.predicted[k];
  }
  bow.spread.deviation_up = bow.spread.deviation_right = readings.front().standard_deviation;
  return {bow};
}

/// What to do before the first step.
void add_first(const Case& observed, const PlanProblem& problem, const PlanSolution& solution, Explanation& e) {
  constexpr double enough_confidence = 0.95;
  std::vector<std::string>& first = e.plan.first;
  if (problem.hand) {
    first.emplace_back(
        "Other holes show that it is the hand, not the bow: no wrench before a relaxed hand shoots this tear too.");
  } else if (e.verdict == Verdict::unusual || e.verdict == Verdict::unexplained) {
    first.emplace_back(
        "Before a wrench, look for what is not suspected here: another arrow (a nock that is loose or bent, a cracked "
        "shaft), another archer with a relaxed hand, a vane that strikes, and the setup's entries against the bow.");
  }
  if (!problem.gap_known && observed.setup.cams.upper.stop.kind != StopKind::none &&
      observed.setup.cams.lower.stop.kind != StopKind::none) {
    first.emplace_back(
        "Draw the bow on a draw board first. If the stops do not touch together, set that right and shoot again before "
        "going on: report the gap, and this plan will be worked out anew.");
  }
  if (e.plan.confidence < enough_confidence && !e.next_checks.empty()) {
    const bool unsure_holes = solution.attainable < enough_confidence;
    if (unsure_holes) {
      more_holes_first(e.next_checks);
    }
    first.push_back((unsure_holes ? "The holes are read too coarsely for a sure plan. Do this first, and report it: "
                                  : "Not every likely explanation is answered by these steps. Do this first, and "
                                    "report it: ") +
                    e.next_checks.front().instruction);
  }
  if (const std::string other_way = untouched_cause(problem, solution, e.causes); !other_way.empty()) {
    first.push_back(other_way);
  }
  const auto torque = std::find_if(e.causes.begin(), e.causes.end(),
                                   [](const Cause& c) { return c.adjustment.group == AdjustmentGroup::technique; });
  if (!problem.hand && !hand_was_tried(observed) && torque != e.causes.end() && torque->probability > 0.2) {
    first.emplace_back(
        "Shoot again with a relaxed, open hand: the hand may make this tear, and then no adjustment "
        "of the bow will keep it away.");
  }
}

}  // namespace

void make_plan(const Case& observed, const ExplanationOptions& options, const CaseModel& model, const Fits& fits,
               Explanation& e) {
  const TearObservation& tear = observed.tears.front();
  PlanProblem problem;
  problem.supposed = observed.setup;
  problem.remedy = e.verdict == Verdict::unexplained;
  problem.bows =
      problem.remedy
          ? unexplained_bow(model, fits)
          : likely_bows(model, fits, chi_square_limit(static_cast<double>(model.readings().size()), one_in_twenty));
  problem.distance = tear.distance.value_or(observed.setup.surroundings.paper_distance);
  problem.reading_error = tear.reading_error;
  problem.gap_known = std::any_of(observed.checks.begin(), observed.checks.end(),
                                  [](const CheckObservation& check) { return check.what == "stop_gap"; });
  problem.right = found_right(observed);
  problem.arrow_steps = options.arrow_steps;
  problem.execution = {options.threads, options.stop, options.launched};
  relax_hand(observed, e.causes, problem);
  PlanSolution solution = solve_plan(problem);
  e.launches += solution.launches;
  if (!solution.reached) {
    name_obstacles(problem, e, solution);
  }
  e.plan = write_plan(problem, solution);
  add_first(observed, problem, solution, e);
}

}  // namespace nockwise::detail
