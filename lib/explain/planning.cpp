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
  if (problem.bows.size() <= problem.distances) {
    return false;
  }
  problem.bows.resize(problem.distances);
  for (PlausibleBow& each : problem.bows) {
    each.weight = 1.0 / static_cast<double>(problem.distances);
  }
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
  if (!problem.arrow_steps) {  // not taken, and yet what would help
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

/// What the setup as supposed would show at a check of an output.
double supposed_value(const Setup& setup, Output output) {
  const Model model(setup);
  LaunchResults results(model, nullptr);
  return value_of(output, results);
}

/// Groups of adjustments that a check of the whole finds right, where it shows what the setup shows.
struct GroupCheck {
  const char* what;
  std::vector<std::string> names;
};

/// Adjustments that were checked, and found as the setup has them.
std::vector<std::string> found_right(const Case& observed) {
  static const std::vector<GroupCheck> groups = {{"arrow_square", {"nocking_point", "rest.height"}},
                                                 {"rest_up_before_wall", {"cord.attachment", "cord.length"}}};
  std::vector<std::string> names;
  for (const CheckObservation& check : observed.checks) {
    for (const GroupCheck& group : groups) {
      if (check.what == group.what &&
          std::fabs(check.value - supposed_value(observed.setup, find_output(check.what)->output)) <= check.error) {
        names.insert(names.end(), group.names.begin(), group.names.end());
      }
    }
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

constexpr double likely = 0.5;

/// The bows in a relaxed hand, with the step that relaxes it; nothing where the hand is not among the causes.
std::optional<PlanProblem> with_relaxed_hand(const Case& observed, const std::vector<Cause>& causes,
                                             PlanProblem problem) {
  const auto cause =
      std::find_if(causes.begin(), causes.end(), [](const Cause& each) { return each.adjustment.name == hand_name; });
  if (suspicion(problem, hand_name) < likely || cause == causes.end()) {
    return {};
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
  return problem;
}

double worst_part(const PlanSolution& solution) {
  return std::max(std::fabs(solution.end.value[Output::tear_up]), std::fabs(solution.end.value[Output::tear_right]));
}

/// The plan's steps. A hand that other holes have shown is relaxed before anything else, and one that nothing has shown
/// where the bow alone cannot be brought to an end.
PlanSolution solve(const Case& observed, PlanProblem& problem, Explanation& e) {
  const std::optional<PlanProblem> relaxed = with_relaxed_hand(observed, e.causes, problem);
  if (relaxed && hand_was_tried(observed)) {
    problem = *relaxed;
  }
  PlanSolution solution = solve_plan(problem);
  e.launches += solution.launches;
  if (solution.reached || !relaxed || problem.hand) {
    return solution;
  }
  PlanSolution other = solve_plan(*relaxed);
  e.launches += other.launches;
  if (other.reached || worst_part(other) < 0.5 * worst_part(solution)) {
    problem = *relaxed;
    return other;
  }
  return solution;
}

/// The likeliest cause, where the plan does not touch it, and why.
std::string untouched_cause(const PlanProblem& problem, const PlanSolution& solution,
                            const std::vector<Cause>& causes) {
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

/// Rows of the holes that the bow as found was shot at, one for every distance; the first hole's first.
std::vector<std::size_t> shot_from(const Case& observed) {
  constexpr double apart = 0.15;  // [m] nearer than that is the same distance
  const double usual = observed.setup.surroundings.paper_distance;
  std::vector<std::size_t> tears{0};
  for (std::size_t i = 1; i < observed.tears.size(); ++i) {
    const TearObservation& tear = observed.tears[i];
    const bool known = std::any_of(tears.begin(), tears.end(), [&](std::size_t k) {
      return std::fabs(observed.tears[k].distance.value_or(usual) - tear.distance.value_or(usual)) < apart;
    });
    if (tear.changes.empty() && tear.archer == observed.tears.front().archer &&
        tear.after == observed.tears.front().after && !known) {
      tears.push_back(i);
    }
  }
  return tears;
}

/// Each bow at every distance that it was shot from.
void add_distances(const Case& observed, const CaseModel& model, const Eigen::VectorXd& predicted,
                   PlanProblem& problem) {
  const std::vector<std::size_t> tears = shot_from(observed);
  std::vector<PlausibleBow> all;
  for (const PlausibleBow& bow : problem.bows) {
    for (const std::size_t tear : tears) {
      PlausibleBow there = bow;
      there.weight /= static_cast<double>(tears.size());
      if (tear != tears.front()) {
        there.distance = observed.tears[tear].distance.value_or(observed.setup.surroundings.paper_distance);
      }
      for (std::size_t k = 0; problem.remedy && k < 2; ++k) {
        const auto row = static_cast<Eigen::Index>(2 * tear + k);
        there.unexplained[k] = model.readings()[2 * tear + k].value - predicted[row];
      }
      all.push_back(std::move(there));
    }
  }
  problem.bows = std::move(all);
  problem.distances = tears.size();
}

/// The setup as it is supposed to be, or as checks say that it is: what was seen beyond that stays, whatever is
/// adjusted.
std::vector<PlausibleBow> unexplained_bow(const CaseModel& model, const Eigen::VectorXd& steps) {
  PlausibleBow bow;
  bow.bow = model.worked(model.bow(steps));
  bow.tear = {model.readings()[0].value, model.readings()[1].value};
  bow.spread.deviation_up = bow.spread.deviation_right = model.readings().front().standard_deviation;
  return {bow};
}

/// What the work has put right is off no longer.
void forget_repaired(const CaseModel& model, PlanProblem& problem) {
  constexpr double hardly = 0.5;  // [steps]
  for (PlausibleBow& each : problem.bows) {
    std::erase_if(each.off, [&](const std::string& name) {
      const auto a = std::find_if(model.unknowns().begin(), model.unknowns().end(),
                                  [&](const Adjustment& unknown) { return unknown.name == name; });
      if (model.work_done() == 0 || a == model.unknowns().end() || a->parameters.empty()) {
        return false;
      }
      const ParameterStep& part = a->parameters.front();
      return std::fabs(each.bow.get(part.path) - problem.supposed.get(part.path)) < hardly * std::fabs(part.per_step);
    });
  }
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

/// Whether the steps move a cable or a stop although nobody has looked how far the stops are apart; the check of it is
/// then the next.
bool wants_stops_looked_at(const PlanProblem& problem, const PlanSolution& solution, std::vector<NextCheck>& checks) {
  const bool moved = std::any_of(solution.adjustments.begin(), solution.adjustments.end(),
                                 [](const Adjustment& a) { return a.group == AdjustmentGroup::sync; });
  if (problem.gap_known || !moved) {
    return false;
  }
  std::stable_partition(checks.begin(), checks.end(), [](const NextCheck& check) { return check.name == stops_check; });
  return !checks.empty() && checks.front().name == stops_check;
}

/// What to do before the first step.
void add_first(const Case& observed, const PlanProblem& problem, const PlanSolution& solution, Explanation& e) {
  constexpr double enough_confidence = 0.95;
  std::vector<std::string>& first = e.plan.first;
  if (problem.hand) {
    first.emplace_back(
        hand_was_tried(observed)
            ? "Other holes show that it is the hand, not the bow: no wrench before a relaxed hand shoots this tear too."
            : "No turn of a wrench takes all of this away, and a hand that twists the bow would make it: shoot again "
              "with a relaxed, open hand, or let another archer shoot, and report that hole before any wrench.");
  } else if (e.verdict == Verdict::unusual || e.verdict == Verdict::unexplained) {
    first.emplace_back(
        std::string(
            "Before a wrench, look for what is not suspected here: another arrow (a nock that is loose or bent, "
            "a cracked shaft), ") +
        (hand_was_tried(observed) ? "" : "another archer with a relaxed hand, ") +
        "a vane that strikes, and the setup's entries against the bow.");
  }
  if (const std::string trial = before_trial(observed); !trial.empty()) {
    first.push_back(trial);
  }
  if (observed.setup.cams.upper.stop.kind != StopKind::none && observed.setup.cams.lower.stop.kind != StopKind::none) {
    if (const std::string timing = timing_first(problem, solution); !timing.empty()) {
      first.push_back(timing);
    }
  }
  if (wants_stops_looked_at(problem, solution, e.next_checks)) {
    e.plan.check_first = true;  // told with the timing
  } else if (e.plan.confidence < enough_confidence && !e.next_checks.empty()) {
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
               const CaseIgnorance& ignorance, Explanation& e) {
  const TearObservation& tear = observed.tears.front();
  PlanProblem problem;
  problem.supposed = observed.setup;
  problem.remedy = e.verdict == Verdict::unexplained;
  Eigen::VectorXd predicted = fits.joint.predicted;
  if (problem.remedy) {
    const bool supposed = observed.checks.empty();
    const Eigen::VectorXd steps = supposed ? Eigen::VectorXd::Zero(model.size()) : fits.joint.steps;
    if (supposed) {
      CaseModel shot = model;
      predicted = shot.predict({steps}).front().value_or(predicted);
    }
    problem.bows = unexplained_bow(model, steps);
  } else {
    problem.bows =
        likely_bows(model, fits, chi_square_limit(static_cast<double>(model.readings().size()), one_in_twenty),
                    ignorance, {options.threads, options.stop, options.launched});
  }
  forget_repaired(model, problem);
  problem.distance = tear.distance.value_or(observed.setup.surroundings.paper_distance);
  problem.reading_error = tear.reading_error;
  problem.gap_known = std::any_of(observed.checks.begin(), observed.checks.end(),
                                  [](const CheckObservation& check) { return check.what == "stop_gap"; });
  problem.right = found_right(observed);
  problem.arrow_steps = options.arrow_steps && observed.workshop.spare_spine;
  problem.press = observed.workshop.bow_press;
  problem.shelf_clearance = observed.shelf_clearance;
  problem.execution = {options.threads, options.stop, options.launched};
  add_distances(observed, model, predicted, problem);
  PlanSolution solution = solve(observed, problem, e);
  if (!solution.reached) {
    name_obstacles(problem, e, solution);
  }
  e.plan = write_plan(problem, solution);
  add_first(observed, problem, solution, e);
  for (const Caution& each : solution.start.cautions) {  // of the bow as it stands
    e.cautions.push_back(each);
  }
}

}  // namespace nockwise::detail
