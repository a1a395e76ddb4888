#include "nockwise/explanation.hpp"

#include "causes/checks.hpp"
#include "causes/weights.hpp"
#include "causes/words.hpp"
#include "explain/next_step.hpp"
#include "explain/plan_first.hpp"
#include "explain/planning.hpp"
#include "explain/verdict.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

using detail::CaseModel;
using detail::Fits;
using detail::JointFit;
using detail::SingleFit;

constexpr double enough_confidence = 0.95;
constexpr double odds_to_tell_apart = 10.0;

detail::Execution execution_of(const ExplanationOptions& options) {
  return {options.threads, options.stop, options.launched};
}

/// Every hole of the bow as it stands.
bool all_clean(const Case& observed) {
  return std::all_of(observed.tears.begin(), observed.tears.end(), [&](const TearObservation& tear) {
    const bool earlier = tear.after != observed.tears.front().after;
    return earlier || (std::fabs(tear.up) <= tear.reading_error && std::fabs(tear.right) <= tear.reading_error);
  });
}

/// Largest hole that is left when the predicted one is taken from the observed one.
double unexplained(const CaseModel& model, const Eigen::VectorXd& predicted) {
  double largest = 0.0;
  for (std::size_t r = 0; r + 1 < model.readings().size(); ++r) {
    if (model.readings()[r].kind == detail::ObservedKind::tear_up) {
      const auto i = static_cast<Eigen::Index>(r);
      const double up = model.readings()[r].value - predicted[i];
      const double right = model.readings()[r + 1].value - predicted[i + 1];
      largest = std::max(largest, std::hypot(up, right));
    }
  }
  return largest;
}

std::vector<Cause> list_causes(const CaseModel& model, const detail::CaseIgnorance& ignorance,
                               const std::vector<SingleFit>& singles, const std::vector<double>& probability) {
  const auto readings = static_cast<double>(model.readings().size());
  std::vector<Cause> causes;
  for (std::size_t i = 0; i < singles.size(); ++i) {
    const SingleFit& fit = singles[i];
    Cause cause;
    cause.adjustment = model.unknowns()[static_cast<std::size_t>(fit.which)];
    cause.steps = fit.steps;
    cause.low = fit.low;
    cause.high = fit.high;
    cause.implausibility = std::fabs(fit.steps) / model.usual_priors()[fit.which];
    cause.unexplained = unexplained(model, detail::as_told(model, ignorance, fit.predicted));
    cause.misfit = fit.chi_square / readings;
    cause.probability = probability[i];
    cause.explains = fit.chi_square <= detail::chi_square_limit(readings, detail::one_in_twenty);
    cause.words = describe_cause(cause.adjustment, fit.steps);
    causes.push_back(std::move(cause));
  }
  for (Cause& each : causes) {
    each.like_first = each.probability * odds_to_tell_apart >= causes.front().probability;
  }
  return causes;
}

/// The pairs that were launched.
std::vector<CausePair> list_pairs(const CaseModel& model, const detail::CaseIgnorance& ignorance,
                                  const std::vector<detail::PairFit>& fits) {
  const auto readings = static_cast<double>(model.readings().size());
  const auto first = std::find_if(fits.begin(), fits.end(), [](const detail::PairFit& fit) { return fit.launched(); });
  std::vector<CausePair> pairs;
  double total = 0.0;
  for (const detail::PairFit& fit : fits) {
    if (!fit.launched()) {
      continue;
    }
    CausePair pair;
    for (std::size_t k = 0; k < 2; ++k) {
      pair.adjustment[k] = model.unknowns()[static_cast<std::size_t>(fit.which[k])];
      pair.steps[k] = fit.steps[k];
      pair.low[k] = fit.low[k];
      pair.high[k] = fit.high[k];
    }
    pair.unexplained = unexplained(model, detail::as_told(model, ignorance, fit.predicted));
    pair.probability = std::exp(-0.5 * (fit.score - first->score));
    pair.explains = fit.chi_square <= detail::chi_square_limit(readings, detail::one_in_twenty);
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

/// The bow as it stands, then as it came in, then all else.
std::vector<TearObservation> as_it_stands_first(std::vector<TearObservation> tears) {
  std::size_t latest = 0;
  for (const TearObservation& each : tears) {
    latest = std::max(latest, each.after);
  }
  const auto place = [&](const TearObservation& t) {
    const bool plain = t.changes.empty() && t.archer.empty();
    return plain && t.after == latest ? 0 : plain && t.after == 0 ? 1 : 2;
  };
  std::stable_sort(tears.begin(), tears.end(),
                   [&](const TearObservation& a, const TearObservation& b) { return place(a) < place(b); });
  return tears;
}

void rank_next_checks(const Case& observed, const CaseModel& model, const Fits& fits,
                      const detail::CaseIgnorance& ignorance, const detail::Execution& execution, bool single_explains,
                      Explanation& e) {
  CaseModel extended = model;
  const std::vector<detail::CheckPlan> checks = detail::add_possible_checks(observed, extended);
  Eigen::MatrixXd scatter;
  if (!ignorance.empty()) {
    const Eigen::VectorXd none = Eigen::VectorXd::Zero(model.size());
    scatter = detail::answer_to(ignorance.ignorance, extended, none, execution).covariance;
  }
  Eigen::VectorXd centre;
  const Eigen::MatrixXd slopes = extended.jacobian(fits.joint.steps, 0.25, centre);
  e.launches += extended.launches() - model.launches();
  e.next_checks = detail::rank_checks(checks, extended, slopes, centre, scatter, fits, single_explains);
}

/// The answer to clean holes: leave the bow alone; where they are not surely clean, shoot more of them.
void leave_alone_plan(Explanation& e, double clean, const ExplanationOptions& options) {
  e.plan.possible = true;
  e.plan.confidence = clean;
  e.plan.stop_rule = e.summary;
  if (clean < enough_confidence && options.next_checks) {
    e.plan.check_first = true;
    CaseModel extended(e.observed, execution_of(options));
    e.next_checks.push_back(detail::reported(detail::more_holes_check(extended, e.observed.workshop.second_arrow)));
    e.plan.first.push_back("It may be a tear all the same, read too small (" +
                           display(1.0 - clean, Quantity::percent, "%", 0) + "). " + e.next_checks.front().instruction);
  }
}

/// Bows that are drawn finely enough for intervals, for what the plan promises and for the next thing to do.
std::vector<detail::PlausibleBow> draw_finely(const ExplanationOptions& options, const CaseModel& model,
                                              const Fits& fits, const detail::CaseIgnorance& ignorance,
                                              Explanation& e) {
  if (!options.plan) {
    return {};
  }
  constexpr int pairs = 6;
  std::vector<detail::PlausibleBow> bows =
      detail::plausible_bows(e.observed, options, model, fits, ignorance, detail::is_remedy(e.verdict), pairs);
  e.launches += bows.size();
  return bows;
}

/// The one next thing to do.
void add_next(const ExplanationOptions& options, const std::vector<detail::PlausibleBow>& bows, Explanation& e) {
  if (!options.plan || !options.next_checks) {
    return;
  }
  e.next = detail::choose_next(e, bows, options.ignorance == 0.0, execution_of(options));
  e.launches += bows.size();
  if (options.ignorance != 0.0) {
    detail::add_next_check(e);
  }
}

}  // namespace

const char* name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::explained:
      return "explained";
    case Verdict::unusual:
      return "unusual";
    case Verdict::unexplained:
      return "unexplained";
    case Verdict::clean:
      return "clean";
    case Verdict::useless:
      return "useless";
    case Verdict::contradictory:
      return "contradictory";
    case Verdict::not_this_bow:
      return "not_this_bow";
  }
  return "";
}

Explanation explain(const Case& observed, const ExplanationOptions& options) {
  Explanation e;
  e.observed = observed;
  e.observed.tears = as_it_stands_first(observed.tears);
  e.cautions = general_cautions();
  detail::add_assumptions(observed, e);
  for (std::string& doubt : handedness_doubts(observed.setup)) {
    e.cautions.push_back({CautionKind::general, std::move(doubt) + "."});
  }
  CaseModel model(e.observed, execution_of(options));
  e.summary = detail::why_useless(e.observed);
  if (!e.summary.empty()) {
    e.plan.refusal = e.summary;
    e.next.instruction = e.summary;
    return e;
  }
  if (model.size() == 0) {
    throw InputError("priors", "", "must leave at least one adjustment suspected");
  }
  const detail::Execution execution = execution_of(options);
  Ignorance besides;
  if (options.ignorance != 0.0) {
    besides = detail::ignorance_besides(model, options.ignorance, execution);
  }
  detail::CaseIgnorance ignorance;
  Fits fits = detail::fit_case(model, besides, execution, ignorance);
  const double clean = detail::clean_probability(model, e.observed, fits);
  e.verdict = all_clean(e.observed) && clean > 0.5 ? Verdict::clean
                                                   : detail::judge(e.observed, execution, model, fits, ignorance);
  const detail::Forecast foretold = detail::forecast(e.observed, model, fits.joint, ignorance);
  if (foretold.missed && (e.verdict == Verdict::explained || e.verdict == Verdict::unusual)) {
    e.verdict = Verdict::not_this_bow;
  }
  e.deviations = list_deviations(model, fits.joint);
  e.predicted = predicted_tears(e.observed, detail::as_told(model, ignorance, fits.joint.predicted));
  e.misfit = fits.joint.chi_square / static_cast<double>(model.readings().size());
  e.causes = list_causes(model, ignorance, fits.singles, fits.probability);
  e.pairs = list_pairs(model, ignorance, fits.pairs);
  e.launches = model.launches();
  detail::summarise(e, e.verdict == Verdict::explained && detail::may_be_right(model, ignorance));
  if (e.verdict == Verdict::clean) {
    leave_alone_plan(e, clean, options);
    add_next(options, draw_finely(options, model, fits, ignorance, e), e);
    return e;
  }
  detail::find_doubts(e.observed, model, fits, ignorance, foretold, e);
  detail::find_misfits(model, fits.joint, e);
  detail::describe_causes(e);
  if (options.next_checks) {
    rank_next_checks(e.observed, model, fits, ignorance, execution, e.causes.front().explains, e);
  }
  const std::vector<detail::PlausibleBow> finely = draw_finely(options, model, fits, ignorance, e);
  if (e.verdict == Verdict::contradictory) {
    e.plan.refusal = e.summary;
  } else if (options.plan) {
    detail::make_plan(e.observed, options, model, fits, ignorance, finely, e);
  }
  add_next(options, finely, e);
  return e;
}

}  // namespace nockwise
