#include "nockwise/explanation.hpp"

#include "explanation_checks.hpp"
#include "explanation_words.hpp"
#include "nockwise/error.hpp"
#include "plan.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

using detail::CaseModel;
using detail::JointFit;
using detail::SingleFit;

constexpr double enough_confidence = 0.9;
constexpr double odds_to_tell_apart = 10.0;
constexpr double one_in_a_thousand = 3.09;  // normal quantile
constexpr double one_in_twenty = 1.645;

bool all_clean(const Case& observed) {
  return std::all_of(observed.tears.begin(), observed.tears.end(), [](const TearObservation& tear) {
    return std::fabs(tear.up) <= tear.reading_error && std::fabs(tear.right) <= tear.reading_error;
  });
}

/// Weight of each single fit, by its evidence.
std::vector<double> probabilities(const std::vector<SingleFit>& singles) {
  std::vector<double> weights;
  double total = 0.0;
  for (const SingleFit& each : singles) {
    weights.push_back(std::exp(-0.5 * (each.score - singles.front().score)));
    total += weights.back();
  }
  for (double& each : weights) {
    each /= total;
  }
  return weights;
}

/// Largest hole that is left when the predicted one is taken from the observed one.
double unexplained(const CaseModel& model, const Eigen::VectorXd& predicted) {
  double largest = 0.0;
  for (std::size_t r = 0; r + 1 < model.readings().size(); ++r) {
    if (model.readings()[r].kind == detail::ReadingKind::tear_up) {
      const auto i = static_cast<Eigen::Index>(r);
      const double up = model.readings()[r].value - predicted[i];
      const double right = model.readings()[r + 1].value - predicted[i + 1];
      largest = std::max(largest, std::hypot(up, right));
    }
  }
  return largest;
}

std::vector<Cause> list_causes(const CaseModel& model, const std::vector<SingleFit>& singles,
                               const std::vector<double>& probability) {
  const auto readings = static_cast<double>(model.readings().size());
  std::vector<Cause> causes;
  for (std::size_t i = 0; i < singles.size(); ++i) {
    const SingleFit& fit = singles[i];
    Cause cause;
    cause.adjustment = model.unknowns()[static_cast<std::size_t>(fit.which)];
    cause.steps = fit.steps;
    cause.low = fit.steps - detail::ninety_percent * fit.standard_deviation;
    cause.high = fit.steps + detail::ninety_percent * fit.standard_deviation;
    cause.implausibility = std::fabs(fit.steps) / model.priors()[fit.which];
    cause.unexplained = unexplained(model, fit.predicted);
    cause.misfit = fit.chi_square / readings;
    cause.probability = probability[i];
    cause.explains = fit.chi_square <= detail::chi_square_limit(readings, one_in_twenty);
    cause.words = describe_cause(cause.adjustment, fit.steps);
    causes.push_back(std::move(cause));
  }
  for (Cause& each : causes) {
    each.like_first = each.probability * odds_to_tell_apart >= causes.front().probability;
  }
  return causes;
}

std::vector<CausePair> list_pairs(const CaseModel& model, const std::vector<detail::PairFit>& fits) {
  const auto readings = static_cast<double>(model.readings().size());
  std::vector<CausePair> pairs;
  double total = 0.0;
  for (const detail::PairFit& fit : fits) {
    CausePair pair;
    for (std::size_t k = 0; k < 2; ++k) {
      pair.adjustment[k] = model.unknowns()[static_cast<std::size_t>(fit.which[k])];
      pair.steps[k] = fit.steps[k];
      pair.deviation[k] = fit.standard_deviation[k];
    }
    pair.unexplained = unexplained(model, fit.predicted);
    pair.probability = std::exp(-0.5 * (fit.score - fits.front().score));
    pair.explains = fit.chi_square <= detail::chi_square_limit(readings, one_in_twenty);
    pair.like_first = pair.probability * odds_to_tell_apart >= 1.0;
    pair.words =
        describe_cause(pair.adjustment[0], fit.steps[0]) + ", and " + describe_cause(pair.adjustment[1], fit.steps[1]);
    total += pair.probability;
    pairs.push_back(std::move(pair));
  }
  for (CausePair& each : pairs) {
    each.probability /= total;
  }
  return pairs;
}

std::vector<Deviation> list_deviations(const CaseModel& model, const JointFit& fit) {
  std::vector<Deviation> list;
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    Deviation d;
    d.adjustment = model.unknowns()[static_cast<std::size_t>(i)];
    d.prior = model.priors()[i];
    d.steps = fit.steps[i];
    d.deviation = std::sqrt(fit.covariance(i, i));
    d.low = d.steps - detail::ninety_percent * d.deviation;
    d.high = d.steps + detail::ninety_percent * d.deviation;
    list.push_back(std::move(d));
  }
  return list;
}

std::vector<TearObservation> predicted_tears(const Case& observed, const Eigen::VectorXd& predicted) {
  std::vector<TearObservation> tears = observed.tears;
  for (std::size_t i = 0; i < tears.size(); ++i) {
    tears[i].up = predicted[static_cast<Eigen::Index>(2 * i)];
    tears[i].right = predicted[static_cast<Eigen::Index>(2 * i + 1)];
  }
  return tears;
}

/// Half widths of the 90 % interval of the tear that the plan starts from; whole steps do not add to them.
void add_uncertainty(const JointFit& fit, std::size_t row, Plan& plan) {
  const auto half_width = [&](std::size_t r) {
    const Eigen::RowVectorXd slope = fit.slopes.row(static_cast<Eigen::Index>(r));
    return detail::ninety_percent * std::sqrt(std::max(0.0, (slope * fit.covariance * slope.transpose()).value()));
  };
  plan.uncertainty_up = half_width(row);
  plan.uncertainty_right = half_width(row + 1);
}

/// All fits of one case.
struct Fits {
  JointFit joint;
  std::vector<SingleFit> singles;
  std::vector<double> probability;
  std::vector<detail::PairFit> pairs;
};

/// The bows that may be behind what was seen: single causes, or pairs, or the joint fit, with their weights.
std::vector<detail::PlanBow> likely_bows(const CaseModel& model, const Fits& fits, double limit) {
  constexpr std::size_t most = 4;
  constexpr double least_weight = 0.04;
  std::vector<detail::PlanBow> bows;
  const auto add = [&](const std::vector<std::pair<Eigen::Index, double>>& deviations, double weight) {
    if (bows.size() < most && weight >= least_weight) {
      Eigen::VectorXd state = Eigen::VectorXd::Zero(model.size());
      for (const auto& [which, steps] : deviations) {
        state[which] = steps;
      }
      bows.push_back({model.bow(model.clamped(state)), weight});
    }
  };
  for (std::size_t i = 0; i < fits.singles.size(); ++i) {
    const SingleFit& fit = fits.singles[i];
    if (fit.chi_square <= limit) {
      add({{fit.which, fit.steps}}, fits.probability[i]);
    }
  }
  for (const detail::PairFit& fit : fits.pairs) {
    if (fit.chi_square <= limit) {
      add({{fit.which[0], fit.steps[0]}, {fit.which[1], fit.steps[1]}},
          std::exp(-0.5 * (fit.score - fits.pairs.front().score)));
    }
  }
  if (bows.empty()) {
    bows.push_back({model.bow(fits.joint.steps), 1.0});
  }
  double total = 0.0;
  for (const detail::PlanBow& each : bows) {
    total += each.weight;
  }
  for (detail::PlanBow& each : bows) {
    each.weight /= total;
  }
  return bows;
}

void make_plan(const Case& observed, const ExplanationOptions& options, const CaseModel& model, const Fits& fits,
               Explanation& e) {
  const TearObservation& tear = observed.tears.front();
  detail::PlanStart start;
  start.bows =
      likely_bows(model, fits, detail::chi_square_limit(static_cast<double>(model.readings().size()), one_in_twenty));
  start.distance = tear.distance > 0.0 ? tear.distance : observed.setup.surroundings.paper_distance;
  start.reading_error = tear.reading_error;
  start.gap_known = std::any_of(observed.checks.begin(), observed.checks.end(),
                                [](const CheckObservation& check) { return check.what == "stop_gap"; });
  start.arrow_steps = options.arrow_steps;
  start.threads = options.threads;
  detail::PlanMoves moves = detail::find_moves(start);
  e.launches += moves.launches;
  if (moves.confidence < enough_confidence && start.bows.size() > 1) {
    // Nothing suits all of them: plan for the likeliest, and let a check decide first.
    const double weight = start.bows.front().weight;
    start.bows.resize(1);
    moves = detail::find_moves(start);
    moves.confidence = moves.reached ? weight : 0.0;
    e.launches += moves.launches;
  }
  e.plan = detail::write_plan(start, moves);
  add_uncertainty(fits.joint, 0, e.plan);
  if (!start.gap_known) {
    e.plan.first.emplace_back(
        "Draw the bow on a draw board first. If the stops do not touch together, set that right and shoot again before "
        "going on: report the gap, and this plan will be worked out anew.");
  }
  if (e.plan.confidence < enough_confidence && !e.next_checks.empty()) {
    e.plan.first.push_back("Not every likely explanation is answered by these steps. Do this first, and report it: " +
                           e.next_checks.front().instruction);
  }
  const auto torque = std::find_if(e.causes.begin(), e.causes.end(),
                                   [](const Cause& c) { return c.adjustment.group == AdjustmentGroup::technique; });
  if (torque != e.causes.end() && torque->probability > 0.2) {
    e.plan.first.emplace_back(
        "Shoot again with a relaxed, open hand: the hand may make this tear, and then no adjustment "
        "of the bow will keep it away.");
  }
}

std::vector<TearObservation> as_found_first(std::vector<TearObservation> tears) {
  std::stable_partition(tears.begin(), tears.end(), [](const TearObservation& t) { return t.changes.empty(); });
  return tears;
}

Fits fit_case(CaseModel& model) {
  std::vector<detail::ResponseCurve> curves = detail::launch_curves(model);
  Fits fits;
  fits.singles = detail::fit_each(model, curves);
  fits.probability = probabilities(fits.singles);
  const double limit = detail::chi_square_limit(static_cast<double>(model.readings().size()), one_in_twenty);
  const bool single = std::any_of(fits.singles.begin(), fits.singles.end(),
                                  [&](const SingleFit& fit) { return fit.chi_square <= limit; });
  if (!single && model.size() > 1) {
    constexpr std::size_t pairs = 6;
    fits.pairs = detail::fit_pairs(model, curves, pairs);
  }
  fits.joint = detail::fit_all(model, curves, fits.singles, fits.pairs);
  return fits;
}

void rank_next_checks(const Case& observed, const Fits& fits, bool single_explains, int threads, Explanation& e) {
  CaseModel extended(observed, threads);
  const std::vector<detail::CheckPlan> checks = detail::add_possible_checks(observed, extended);
  Eigen::VectorXd centre;
  const Eigen::MatrixXd slopes = extended.jacobian(fits.joint.steps, 0.25, centre);
  e.launches += extended.launches();
  e.next_checks = detail::rank_checks(checks, extended, slopes, fits.joint.covariance, fits.singles, fits.probability,
                                      single_explains);
}

}  // namespace

const char* name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::explained:
      return "explained";
    case Verdict::clean:
      return "clean";
    case Verdict::useless:
      return "useless";
    case Verdict::contradictory:
      return "contradictory";
  }
  return "";
}

Explanation explain(const Case& observed, const ExplanationOptions& options) {
  Explanation e;
  e.observed = observed;
  e.observed.tears = as_found_first(observed.tears);
  e.cautions = general_cautions();
  detail::add_assumptions(observed, e);
  CaseModel model(e.observed, options.threads);
  e.summary = detail::why_useless(e.observed);
  if (!e.summary.empty()) {
    e.plan.refusal = e.summary;
    return e;
  }
  if (model.size() == 0) {
    throw InputError("priors", "", "must leave at least one adjustment suspected");
  }
  const Fits fits = fit_case(model);
  e.deviations = list_deviations(model, fits.joint);
  e.predicted = predicted_tears(e.observed, fits.joint.predicted);
  e.misfit = fits.joint.chi_square / static_cast<double>(model.readings().size());
  e.causes = list_causes(model, fits.singles, fits.probability);
  e.pairs = list_pairs(model, fits.pairs);
  e.launches = model.launches();
  const auto count = static_cast<double>(model.readings().size());
  const bool fits_prior = fits.joint.objective <= detail::chi_square_limit(count, one_in_a_thousand);
  e.verdict = all_clean(e.observed) ? Verdict::clean : fits_prior ? Verdict::explained : Verdict::contradictory;
  detail::summarise(e);
  if (e.verdict == Verdict::clean) {
    e.plan.possible = true;
    e.plan.stop_rule = e.summary;
    return e;
  }
  detail::find_misfits(model, fits.joint, e);
  detail::describe_causes(e);
  if (options.next_checks) {
    rank_next_checks(e.observed, fits, e.causes.front().explains, options.threads, e);
  }
  if (e.verdict == Verdict::contradictory) {
    e.plan.refusal = e.summary;
  } else if (options.plan) {
    make_plan(e.observed, options, model, fits, e);
  }
  return e;
}

}  // namespace nockwise
