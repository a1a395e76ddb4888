// The plan of an explanation: what it starts from, what was found right, the hand, and what is to be done first.

#include "explain/planning.hpp"

#include "explain/plan_first.hpp"
#include "nockwise/units.hpp"
#include "plan/promise.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// Why what is most probably off cannot be put right by the plan; empty if it can.
std::string obstacle_of(const Cause& cause) {
  if (!cause.explains) {
    return "";
  }
  const Adjustment& a = cause.adjustment;
  if (a.group == AdjustmentGroup::technique && !is_hand(a)) {
    return "The archer: most probably " + cause.words + ", and no adjustment of the bow stands in for " +
           (a.name.starts_with("release.")
                ? "a clean release: anchor, face contact and release, with a coach, before parts"
                : "a hand that presses where it should");
  }
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

constexpr double likely = 0.5;
constexpr double enough_confidence = 0.95;

void relax(const Case& observed, std::vector<PlausibleBow>& bows) {
  for (PlausibleBow& each : bows) {
    each = in_relaxed_hand(std::move(each), observed.setup);
    if (std::erase(each.off, hand_name) > 0 && each.off.empty()) {
      each.spread.bias_up = each.spread.bias_right = 0.0;  // it was the hand's alone
    }
  }
}

/// The bows in a relaxed hand, with the step that relaxes it; nothing where the hand is not among the causes.
std::optional<PlanProblem> with_relaxed_hand(const Case& observed, const std::vector<Cause>& causes,
                                             PlanProblem problem) {
  const auto cause =
      std::find_if(causes.begin(), causes.end(), [](const Cause& each) { return each.adjustment.name == hand_name; });
  const bool relaxed_already = std::any_of(observed.work.begin(), observed.work.end(),
                                           [](const WorkStep& step) { return step.adjustment == hand_name; });
  if (relaxed_already || suspicion(problem, hand_name) < likely || cause == causes.end()) {
    return {};
  }
  const double relaxed = observed.setup.hold.grip_torque;
  const double per_step = cause->adjustment.parameters.front().per_step;
  const PlausibleBow tense = problem.bows.front();
  const double torque = tense.bow.hold.grip_torque - relaxed;
  const double amount = torque == 0.0 ? cause->steps : torque / per_step;
  const double least = std::max(1.0, std::round(std::fabs(amount)));
  problem.hand = HandStep{cause->adjustment, amount > 0.0 ? -least : least, tense};
  relax(observed, problem.bows);
  return problem;
}

double worst_part(const PlanSolution& solution) {
  return std::max(std::fabs(solution.end.value[Output::tear_up]), std::fabs(solution.end.value[Output::tear_right]));
}

/// The plan's steps. A hand that other holes have shown is relaxed before anything else, or one that is likely where
/// the bow is not known, for the next hole then tells; one that nothing has shown where the bow alone cannot be brought
/// to an end.
PlanSolution solve(const Case& observed, PlanProblem& problem, Explanation& e) {
  const std::optional<PlanProblem> relaxed = with_relaxed_hand(observed, e.causes, problem);
  if (relaxed && (problem.unknown || hand_was_tried(observed))) {
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

/// Whether the steps are worth a round, though they promise no clean hole.
bool takes_much_away(const PlanSolution& solution) {
  constexpr double much = 0.7;  // of the tear is what may be left
  const auto size = [](const Shot& shot) {
    return std::hypot(shot.value[Output::tear_up], shot.value[Output::tear_right]);
  };
  return !solution.steps.empty() && size(solution.end) <= much * size(solution.start);
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
void add_distances(const Case& observed, PlanProblem& problem) {
  const std::vector<std::size_t> tears = shot_from(observed);
  const double usual = observed.setup.surroundings.paper_distance;
  std::vector<PlausibleBow> all;
  for (const PlausibleBow& bow : problem.bows) {
    for (const std::size_t tear : tears) {
      PlausibleBow there = bow;
      there.weight /= static_cast<double>(tears.size());
      if (tear != tears.front()) {
        there.distance = observed.tears[tear].distance.value_or(usual);
        if (problem.remedy) {
          const Shot shot = shoot(there.bow, {.distance = there.distance, .stop = problem.execution.stop});
          there.unexplained = {observed.tears[tear].up - shot.value[Output::tear_up],
                               observed.tears[tear].right - shot.value[Output::tear_right]};
        }
      }
      all.push_back(std::move(there));
    }
  }
  problem.bows = std::move(all);
  problem.distances = tears.size();
}

/// The steps' promises from bows that the search has not seen; where the bow is known there are no others.
void promise_anew(const Case& observed, PlanProblem problem, std::span<const PlausibleBow> bows, PlanSolution& solution,
                  Explanation& e) {
  if (!problem.unknown || bows.empty()) {
    return;
  }
  problem.bows.assign(bows.begin(), bows.end());
  if (problem.hand) {
    relax(observed, problem.bows);
  }
  add_distances(observed, problem);
  const std::size_t before = solution.launches;
  promise(problem, solution);
  e.launches += solution.launches - before;
}

/// The setup as it is supposed to be, or as checks say that it is: what was seen beyond that stays, whatever is
/// adjusted.
std::vector<PlausibleBow> unexplained_bow(const CaseModel& model, const Eigen::VectorXd& steps,
                                          const Eigen::VectorXd& predicted) {
  PlausibleBow bow;
  bow.bow = model.worked(model.bow(steps));
  bow.tear = {model.readings()[0].value, model.readings()[1].value};
  bow.unexplained = {bow.tear[0] - predicted[0], bow.tear[1] - predicted[1]};
  bow.spread.deviation_up = bow.spread.deviation_right = model.readings().front().standard_deviation;
  return {bow};
}

/// What the work has put right is off no longer.
void forget_repaired(const CaseModel& model, std::vector<PlausibleBow>& bows) {
  constexpr double hardly = 0.5;  // [steps]
  for (PlausibleBow& each : bows) {
    std::erase_if(each.off, [&](const std::string& name) {
      const auto a = std::find_if(model.unknowns().begin(), model.unknowns().end(),
                                  [&](const Adjustment& unknown) { return unknown.name == name; });
      if (model.work_done() == 0 || a == model.unknowns().end() || a->parameters.empty()) {
        return false;
      }
      const ParameterStep& part = a->parameters.front();
      return std::fabs(each.bow.get(part.path) - model.setup().get(part.path)) < hardly * std::fabs(part.per_step);
    });
  }
}

}  // namespace

std::vector<PlausibleBow> plausible_bows(const Case& observed, const ExplanationOptions& options,
                                         const CaseModel& model, const Fits& fits, const CaseIgnorance& ignorance,
                                         bool remedy, int pairs) {
  std::vector<PlausibleBow> bows;
  if (remedy) {
    const bool supposed = observed.checks.empty();
    const Eigen::VectorXd steps = supposed ? Eigen::VectorXd::Zero(model.size()) : fits.joint.steps;
    Eigen::VectorXd predicted = fits.joint.predicted;
    if (supposed) {
      CaseModel shot = model;
      predicted = shot.predict({steps}).front().value_or(predicted);
    }
    bows = unexplained_bow(model, steps, predicted);
  } else {
    bows = likely_bows(model, fits, chi_square_limit(static_cast<double>(model.readings().size()), one_in_twenty),
                       ignorance, {options.threads, options.stop, options.launched}, pairs);
  }
  forget_repaired(model, bows);
  return bows;
}

void make_plan(const Case& observed, const ExplanationOptions& options, const CaseModel& model, const Fits& fits,
               const CaseIgnorance& ignorance, std::span<const PlausibleBow> finely, Explanation& e) {
  const TearObservation& tear = observed.tears.front();
  PlanProblem problem;
  problem.supposed = observed.setup;
  problem.remedy = is_remedy(e.verdict);
  problem.unknown = !ignorance.empty();
  problem.bows = plausible_bows(observed, options, model, fits, ignorance, problem.remedy, 1);
  problem.distance = tear.distance.value_or(observed.setup.surroundings.paper_distance);
  problem.reading_error = tear.reading_error;
  problem.gap_known = std::any_of(observed.checks.begin(), observed.checks.end(),
                                  [](const CheckObservation& check) { return check.what == "stop_gap"; });
  problem.right = found_right(observed);
  problem.arrow_steps = options.arrow_steps && observed.workshop.spare_spine;
  problem.press = observed.workshop.bow_press && e.verdict != Verdict::not_this_bow;
  problem.shelf_clearance = observed.shelf_clearance;
  problem.execution = {options.threads, options.stop, options.launched};
  add_distances(observed, problem);
  PlanSolution solution = solve(observed, problem, e);
  promise_anew(observed, problem, finely, solution, e);
  const bool helps = problem.hand || takes_much_away(solution);
  const bool rounds = problem.unknown && solution.confidence < enough_confidence && helps;
  if (!solution.reached && !rounds) {
    name_obstacles(problem, e, solution);
  }
  e.plan = write_plan(problem, solution);
  e.plan.rounds = rounds;
  if (rounds) {  // nothing is refused that may be tried
    e.plan.refusal.clear();
  }
  add_first(observed, problem, solution, e);
  for (const Caution& each : solution.start.cautions) {  // of the bow as it stands
    e.cautions.push_back(each);
  }
}

}  // namespace nockwise::detail
