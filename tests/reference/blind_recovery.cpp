#include "reference/blind_recovery.hpp"

#include "nockwise/error.hpp"
#include "nockwise/ignorance.hpp"
#include "plan/plan.hpp"
#include "shots/batch.hpp"

#include <algorithm>
#include <cmath>
#include <random>

namespace nockwise {

namespace {

constexpr double largest_reported = 0.0508;  // [m] 2 in; beyond that people look for what is broken

/// The hidden bow, and what is seen of it.
class HiddenBow {
 public:
  HiddenBow(const Setup& bow, std::uint64_t seed) : supposed_(bow), hidden_(bow), random_(seed) {}

  void hide(const BlindOptions& options, BlindCase& result) {
    if (options.off_list) {
      hide_off_list(result);
      return;
    }
    std::vector<Adjustment> suspects;
    for (const Adjustment& each : adjustments(supposed_)) {
      if (each.prior > 0.0) {
        suspects.push_back(each);
      }
    }
    if (!options.every) {
      std::shuffle(suspects.begin(), suspects.end(), random_);
      suspects.resize(static_cast<std::size_t>(options.faults));
    }
    for (const Adjustment& each : suspects) {
      const double steps = each.prior * std::clamp(normal_(random_), -2.5, 2.5);
      hidden_ = adjusted(hidden_, each, steps);
      result.faults.push_back({each.name, steps});
    }
  }

  /// A fault that no adjustment is, of a size that somebody could overlook.
  void hide_off_list(BlindCase& result) {
    struct Fault {
      const char* name;
      std::vector<std::pair<std::string, double>> parts;  // path, and change by one of it
      bool relative;
    };
    const double sixteenth = 0.0254 / 16.0;
    const auto angle = [&](const Cam& cam) { return cam.stop.radius > 0.0 ? sixteenth / cam.stop.radius : 0.0; };
    const std::vector<Fault> faults = {
        {"one limb weaker", {{"limbs.upper.torsion_stiffness", -0.04}, {"limbs.lower.torsion_stiffness", 0.0}}, true},
        {"upper stop peg moved", {{"cams.upper.stop.angle", angle(supposed_.cams.upper)}}, false},
        {"lower stop peg moved", {{"cams.lower.stop.angle", angle(supposed_.cams.lower)}}, false},
        {"tight nock", {{"arrow.nock_hold", 2.0}}, true},
        {"stretched cables", {{"cables.upper.length", 0.0015}, {"cables.lower.length", 0.0015}}, false},
        {"odd arrow", {{"arrow.point_mass", -0.2}}, true},
        {"heavier nock end", {{"arrow.nock_mass", 1.0}}, true},
        {"softer string", {{"string.axial_rigidity", -0.3}}, true},
    };
    const Fault& chosen = faults[random_() % faults.size()];
    const double size = std::clamp(1.0 + 0.5 * normal_(random_), 0.4, 2.0);
    const double side = random_() % 2 == 0 ? 1.0 : -1.0;
    const bool either = chosen.parts.front().first.find("stop.angle") != std::string::npos;
    for (const auto& [path, change] : chosen.parts) {
      const double now = hidden_.get(path);
      hidden_.set(path, now + (either ? side : 1.0) * size * change * (chosen.relative ? now : 1.0));
    }
    result.faults.push_back({chosen.name, size});
  }

  /// Moves what no workshop measures, with what is measured held.
  void depart(const BlindOptions& options) {
    if (!(options.unknown > 0.0)) {
      return;
    }
    IgnoranceOptions how;
    how.level = options.unknown;
    how.threads = options.threads;
    for (const Adjustment& each : adjustments(supposed_)) {
      if (each.prior > 0.0) {
        for (const ParameterStep& part : each.parameters) {
          how.without.push_back(part.path);
        }
      }
    }
    const Ignorance besides = ignorance_of(supposed_, how);
    std::vector<double> place;
    for (std::size_t i = 0; i < besides.directions.size(); ++i) {
      const double z = normal_(random_);
      double square = 0.0;
      for (int degree = 0; degree < 3; ++degree) {
        const double other = normal_(random_);
        square += other * other;
      }
      // Student's t with three degrees of freedom has a standard deviation of √3.
      place.push_back(options.otherwise ? std::clamp(z / std::sqrt(square), -4.0, 4.0) : z);
    }
    if (options.otherwise) {
      place[random_() % place.size()] = normal_(random_) > 0.0 ? 3.0 : -3.0;
    }
    hidden_ = moved(besides, hidden_, place);
  }
  void work(const Adjustment& what, double steps) { hidden_ = adjusted(hidden_, what, steps); }

  [[nodiscard]] const Setup& hidden() const { return hidden_; }

  /// Reads what the hidden bow shows, with error, into the report.
  bool read(TearObservation& tear) {
    detail::ShotRequest request{.setup = hidden_, .distance = tear.distance, .statics = false};
    for (const ParameterChange& change : tear.changes) {
      request.setup.set(change.path, change.value + (change.relative ? request.setup.get(change.path) : 0.0));
    }
    const Shot shot = detail::shoot_many({&request, 1}, {1}).front();
    if (!shot.flew) {
      return false;
    }
    tear.up = shot.value[Output::tear_up] + error(tear.reading_error);
    tear.right = shot.value[Output::tear_right] + error(tear.reading_error);
    return true;
  }
  void read(CheckObservation& check) {
    const OutputDescription* output = find_output(check.what);
    const double value = output != nullptr ? shoot(hidden_).value[output->output] : hidden_.get(check.what);
    check.value = value + error(check.error);
  }

 private:
  double error(double nineteen_of_twenty) { return nineteen_of_twenty / detail::per_reading_error * normal_(random_); }

  Setup supposed_, hidden_;
  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
};

double largest_part(const OutputValues& v) {
  return std::max(std::fabs(v[Output::tear_up]), std::fabs(v[Output::tear_right]));
}

/// The intervals of the pair that is hidden, if it is among those that are listed.
void evaluate_pair(const CausePair& pair, BlindCase& result) {
  if (result.faults.size() != 2) {
    return;
  }
  int covered = 0;
  for (std::size_t k = 0; k < 2; ++k) {
    const auto fault = std::find_if(result.faults.begin(), result.faults.end(),
                                    [&](const BlindFault& f) { return f.adjustment == pair.adjustment[k].name; });
    if (fault == result.faults.end()) {
      return;
    }
    covered += pair.low[k] <= fault->steps && fault->steps <= pair.high[k] ? 1 : 0;
  }
  result.pair_stated = 2;
  result.pair_covered = std::max(result.pair_covered, covered);  // of at most two modes
}

void evaluate(const Explanation& e, BlindCase& result) {
  for (const Cause& each : e.causes) {
    result.alike += each.like_first ? 1 : 0;
    if (result.faults.size() == 1 && each.adjustment.name == result.faults.front().adjustment) {
      const double truth = result.faults.front().steps;
      result.ranked = result.ranked || each.like_first;
      result.covered = result.covered || (each.low <= truth && truth <= each.high);
    }
  }
  for (const Deviation& each : e.deviations) {
    const auto fault = std::find_if(result.faults.begin(), result.faults.end(),
                                    [&](const BlindFault& f) { return f.adjustment == each.adjustment.name; });
    const double truth = fault == result.faults.end() ? 0.0 : fault->steps;
    const int holds = each.low <= truth && truth <= each.high ? 1 : 0;
    ++result.joint_stated;
    result.joint_covered += holds;
    result.fault_stated += fault == result.faults.end() ? 0 : 1;
    result.fault_covered += fault == result.faults.end() ? 0 : holds;
  }
  for (const CausePair& pair : e.pairs) {
    evaluate_pair(pair, result);
  }
  result.planned = e.plan.possible;
  result.confidence = e.plan.confidence;
  result.verdict = name_of(e.verdict);
}

/// What somebody who knew the faults could do.
bool repairable(const Setup& supposed, const Setup& hidden) {
  detail::PlanProblem problem;
  problem.supposed = supposed;
  problem.bows = {{hidden, 1.0, {}}};
  problem.distance = hidden.surroundings.paper_distance;
  problem.reading_error = usual_reading_error;
  problem.execution.threads = 1;
  return detail::solve_plan(problem).reached;
}

Explanation with_checks(Case& observed, HiddenBow& bow, const BlindOptions& options, BlindCase& result) {
  ExplanationOptions how;
  how.threads = options.threads;
  how.ignorance = options.assumed;
  Explanation e = explain(observed, how);
  int asked = 0;  // in this round
  while (asked < options.checks && !e.next_checks.empty() && e.plan.check_first) {
    const NextCheck next = e.next_checks.front();
    for (CheckObservation check : next.checks) {
      bow.read(check);
      observed.checks.push_back(check);
    }
    for (TearObservation tear : next.tears) {
      if (bow.read(tear)) {
        observed.tears.push_back(tear);
      }
    }
    ++result.checks;
    ++asked;
    e = explain(observed, how);
  }
  return e;
}

/// Does the plan's steps on the hidden bow, and shoots it.
Shot after_work(const Explanation& e, HiddenBow& bow, BlindCase& result) {
  for (const PlanStep& step : e.plan.steps) {
    bow.work(step.adjustment, step.steps);
    result.plan += (result.plan.empty() ? "" : "; ") + step.instruction;
    ++result.moves;
    result.presses += step.adjustment.needs_press ? 1 : 0;
  }
  result.told = result.told || e.verdict == Verdict::not_this_bow;
  return shoot(bow.hidden());
}

/// Does the one next thing, and adds what is seen to the case; false where there is none.
bool do_next(const Explanation& e, const Setup& supposed, Case& observed, HiddenBow& bow, BlindCase& result) {
  const NextStep& next = e.next;
  result.told = result.told || e.verdict == Verdict::not_this_bow;
  const bool last = next.kind == NextKind::look_at_setup;
  if (next.kind == NextKind::stop || (last && next.work.empty()) || next.kind == NextKind::nothing) {
    return false;
  }
  for (const WorkStep& step : next.work) {
    const std::vector<Adjustment> all = adjustments(supposed);
    const Adjustment& what = find_adjustment(all, step.adjustment);
    bow.work(what, step.steps);
    observed.work.push_back(step);
    ++result.moves;
    result.presses += what.needs_press ? 1 : 0;
  }
  result.checks += next.work.empty() ? 1 : 0;
  result.plan += (result.plan.empty() ? "" : "; ") + next.instruction;
  if (last) {  // what was done is taken back, and people look at the bow
    return false;
  }
  for (CheckObservation check : next.checks) {
    bow.read(check);
    observed.checks.push_back(check);
  }
  bool first = true;
  for (TearObservation tear : next.tears) {
    if (!bow.read(tear)) {
      return false;
    }
    if (first && next.foretold) {
      const ForetoldHole& hole = *next.foretold;
      result.foretold += 2;
      result.foretold_held += tear.up >= hole.up_low && tear.up <= hole.up_high ? 1 : 0;
      result.foretold_held += tear.right >= hole.right_low && tear.right <= hole.right_high ? 1 : 0;
    }
    first = false;
    observed.tears.push_back(tear);
  }
  return true;
}

/// Plans, carried out as a whole, with a hole after each.
Shot play_in_rounds(Case& observed, HiddenBow& bow, const BlindOptions& options, BlindCase& result) {
  Explanation e = with_checks(observed, bow, options, result);
  evaluate(e, result);
  Shot end = after_work(e, bow, result);
  result.first_end = end.flew ? largest_part(end.value) : 1.0;
  const Explanation first = e;
  const Shot first_end = end;
  for (result.rounds = 1; result.rounds < options.rounds; ++result.rounds) {
    for (const PlanStep& step : e.plan.steps) {
      observed.work.push_back({step.adjustment.name, step.steps});
    }
    TearObservation now;
    now.label = "after the work";
    now.after = observed.work.size();
    if (!end.flew || !bow.read(now)) {
      break;
    }
    observed.tears.push_back(now);
    e = with_checks(observed, bow, options, result);
    end = after_work(e, bow, result);
  }
  if (!first.plan.steps.empty() && first_end.flew) {
    result.end_stated = 2;
    for (const auto& [output, half_width] : {std::pair{Output::tear_up, first.plan.uncertainty_up},
                                             std::pair{Output::tear_right, first.plan.uncertainty_right}}) {
      result.end_covered += std::fabs(first_end.value[output] - first.plan.end[output]) <= half_width ? 1 : 0;
    }
  }
  return end;
}

/// The one next thing, again and again.
Shot play_one_by_one(Case& observed, HiddenBow& bow, const BlindOptions& options, BlindCase& result) {
  ExplanationOptions how;
  how.threads = options.threads;
  how.ignorance = options.assumed;
  const Setup supposed = observed.setup;
  result.first_end = result.start;
  bool worked = false;
  while (result.rounds < options.follow) {
    const Explanation e = explain(observed, how);
    if (result.rounds == 0) {
      evaluate(e, result);
    }
    result.verdict = name_of(e.verdict);
    if (!do_next(e, supposed, observed, bow, result)) {
      break;
    }
    ++result.rounds;
    if (!worked && !observed.work.empty()) {
      worked = true;
      const Shot now = shoot(bow.hidden());
      result.first_end = now.flew ? largest_part(now.value) : 1.0;
      result.confidence = e.next.foretold ? e.next.foretold->clean : 0.0;  // in this step alone
    }
  }
  return shoot(bow.hidden());
}

void play(const Setup& supposed, HiddenBow& bow, const BlindOptions& options, BlindCase& result) {
  const Shot start = shoot(bow.hidden());
  result.start = start.flew ? largest_part(start.value) : 0.0;
  if (!start.flew || result.start < usual_reading_error || result.start > largest_reported) {
    return;
  }
  Case observed;
  observed.setup = supposed;
  TearObservation found;
  TearObservation bare;
  bare.label = "bare shaft";
  bare.changes = {bare_shaft()};
  if (!bow.read(found) || !bow.read(bare)) {
    return;
  }
  observed.tears = {found};
  if (std::hypot(bare.up, bare.right) < largest_reported) {
    observed.tears.push_back(bare);
  }
  result.drawn = true;
  const Setup as_found = bow.hidden();
  const Shot end = options.follow > 0 ? play_one_by_one(observed, bow, options, result)
                                      : play_in_rounds(observed, bow, options, result);
  result.end = end.flew ? largest_part(end.value) : 1.0;
  result.worse = result.end > result.start + usual_reading_error;
  result.repaired = result.end <= usual_reading_error;
  result.repairable = result.repaired || repairable(supposed, as_found);
}

}  // namespace

BlindCase blind_case(const Setup& bow, std::uint64_t seed, const BlindOptions& options) {
  // A draw that shows nothing, or that nobody would shoot on with, is drawn again.
  for (std::uint64_t draw = 0; draw < 100; ++draw) {
    BlindCase result;
    result.seed = seed;
    try {
      HiddenBow hidden(options.other.value_or(bow), seed * 1000 + draw);
      hidden.hide(options, result);
      hidden.depart(options);
      play(bow, hidden, options, result);
    } catch (const InputError&) {  // the draw left a parameter's range
      result.drawn = false;
    }
    if (result.drawn) {
      return result;
    }
  }
  return {};
}

}  // namespace nockwise
