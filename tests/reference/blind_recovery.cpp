#include "reference/blind_recovery.hpp"

#include "nockwise/error.hpp"
#include "nockwise/ignorance.hpp"
#include "plan/plan.hpp"
#include "shots/batch.hpp"

#include <algorithm>
#include <cmath>
#include <iomanip>
#include <random>
#include <sstream>

namespace nockwise {

namespace {

constexpr double largest_reported = 0.0508;  // [m] 2 in; beyond that people look for what is broken

/// The hidden bow, and what is seen of it.
class HiddenBow {
 public:
  HiddenBow(const Setup& bow, std::uint64_t seed) : supposed_(bow), hidden_(bow), random_(seed) {}

  void hide(const BlindOptions& options, BlindCase& result) {
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
  result.end = end.flew ? largest_part(end.value) : 1.0;
  if (!first.plan.steps.empty() && first_end.flew) {
    result.end_stated = 2;
    for (const auto& [output, half_width] : {std::pair{Output::tear_up, first.plan.uncertainty_up},
                                             std::pair{Output::tear_right, first.plan.uncertainty_right}}) {
      result.end_covered += std::fabs(first_end.value[output] - first.plan.end[output]) <= half_width ? 1 : 0;
    }
  }
  result.repaired = result.end <= usual_reading_error;
  result.repairable = result.repaired || repairable(supposed, as_found);
}

std::string share(std::size_t part, std::size_t whole) {
  std::ostringstream text;
  text << part << " of " << whole;
  if (whole > 0) {
    text << " (" << std::fixed << std::setprecision(1) << 100.0 * static_cast<double>(part) / static_cast<double>(whole)
         << " %)";
  }
  return text.str();
}

/// How many of how many.
struct Share {
  std::size_t part = 0, whole = 0;
  void add(int more, int of) {
    part += static_cast<std::size_t>(more);
    whole += static_cast<std::size_t>(of);
  }
  [[nodiscard]] std::string text() const { return share(part, whole); }
};

}  // namespace

BlindCase blind_case(const Setup& bow, std::uint64_t seed, const BlindOptions& options) {
  // A draw that shows nothing, or that nobody would shoot on with, is drawn again.
  for (std::uint64_t draw = 0; draw < 100; ++draw) {
    BlindCase result;
    result.seed = seed;
    try {
      HiddenBow hidden(bow, seed * 1000 + draw);
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

std::string blind_table(const std::string& heading, const std::vector<BlindCase>& cases) {
  std::size_t drawn = 0, repairable = 0, repaired = 0, promised = 0, kept = 0, single = 0, ranked = 0, covered = 0;
  std::size_t alike = 0, checks = 0;
  Share joint, faults, pairs, ends_held;
  double confidence = 0.0;
  std::vector<double> ends;
  for (const BlindCase& each : cases) {
    if (!each.drawn) {
      continue;
    }
    ++drawn;
    repairable += each.repairable ? 1 : 0;
    repaired += each.repaired ? 1 : 0;
    promised += each.planned ? 1 : 0;
    kept += each.planned && each.repaired ? 1 : 0;
    single += each.faults.size() == 1 ? 1 : 0;
    ranked += each.ranked ? 1 : 0;
    covered += each.covered ? 1 : 0;
    alike += each.alike;
    checks += static_cast<std::size_t>(each.checks);
    joint.add(each.joint_covered, each.joint_stated);
    faults.add(each.fault_covered, each.fault_stated);
    pairs.add(each.pair_covered, each.pair_stated);
    ends_held.add(each.end_covered, each.end_stated);
    confidence += each.confidence;
    ends.push_back(each.end / 0.0254);
  }
  std::sort(ends.begin(), ends.end());
  std::ostringstream text;
  text << std::fixed << std::setprecision(2) << "## " << heading << "\n\n| what | result |\n|---|---|\n";
  text << "| cases | " << drawn << " |\n";
  text << "| can be repaired within limits | " << share(repairable, drawn) << " |\n";
  text << "| hidden bow within 1/8 in after the plan, of those | " << share(repaired, repairable) << " |\n";
  text << "| plan promises it | " << share(promised, drawn) << " |\n";
  text << "| and keeps the promise | " << share(kept, promised) << " |\n";
  if (single > 0) {
    text << "| true cause first or inseparable | " << share(ranked, single) << " |\n";
    text << "| its 90 % interval holds it | " << share(covered, single) << " |\n";
  }
  text << "| intervals of the hidden pair that hold its parts, where it is listed | " << pairs.text() << " |\n";
  text << "| intervals of the joint fit that hold the truth | " << joint.text() << " |\n";
  text << "| those of them for what is hidden | " << faults.text() << " |\n";
  text << "| intervals of the final tear that hold it | " << ends_held.text() << " |\n";
  text << "| confidence in the plan, on average | "
       << 100.0 * confidence / static_cast<double>(std::max<std::size_t>(1, drawn)) << " % |\n";
  const auto count = static_cast<double>(std::max<std::size_t>(1, drawn));
  text << "| causes declared inseparable, on average | " << static_cast<double>(alike) / count << " |\n";
  text << "| checks asked for, on average | " << static_cast<double>(checks) / count << " |\n";
  if (!ends.empty()) {
    text << "| final tear: median, 95 % [in] | " << ends[ends.size() / 2] << ", " << ends[ends.size() * 95 / 100]
         << " |\n";
  }
  return text.str();
}

}  // namespace nockwise
