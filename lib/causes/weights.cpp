#include "causes/weights.hpp"

#include "causes/pairs.hpp"
#include "nockwise/error.hpp"
#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace nockwise::detail {

namespace {

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

/// Evidence of all these fits together, against that of one with `best_score`.
template <class Fit>
double evidence(const std::vector<Fit>& fits, double best_score) {
  double sum = 0.0;
  for (const Fit& each : fits) {
    sum += std::exp(-0.5 * (each.score - best_score));
  }
  return sum;
}

/// Prior odds of any one single cause against any one pair: one fault and two are equally common in bows that give
/// trouble.
double odds_against_pair(const CaseModel& model) { return 0.5 * static_cast<double>(model.size() - 1); }

/// Mean and standard deviation of the first hole's parts, up and right [m].
struct HoleMoments {
  std::array<double, 2> mean{}, deviation{};
};

/// Moments of a mixture, added up part by part.
class Mixture {
 public:
  void add(double weight, const std::array<double, 2>& mean, const std::array<double, 2>& deviation) {
    total_ += weight;
    for (std::size_t k = 0; k < 2; ++k) {
      sum_[k] += weight * mean[k];
      square_[k] += weight * (mean[k] * mean[k] + deviation[k] * deviation[k]);
    }
  }
  [[nodiscard]] HoleMoments moments() const {
    HoleMoments m;
    for (std::size_t k = 0; k < 2; ++k) {
      m.mean[k] = sum_[k] / total_;
      m.deviation[k] = std::sqrt(std::max(0.0, square_[k] / total_ - m.mean[k] * m.mean[k]));
    }
    return m;
  }

 private:
  double total_ = 0.0;
  std::array<double, 2> sum_{}, square_{};
};

std::array<double, 2> first_of(const Eigen::VectorXd& predicted) { return {predicted[0], predicted[1]}; }

std::array<double, 2> centre(const std::array<double, 2>& tear, const TearSpread& s) {
  return {tear[0] + s.bias_up, tear[1] + s.bias_right};
}

/// The first hole over all explanations, also those whose bows the plan does not consider.
HoleMoments first_hole(const CaseModel& model, const Fits& fits) {
  Mixture all;
  const double best = std::min(fits.singles.front().score, fits.pairs.empty() ? 1e300 : fits.pairs.front().score);
  for (const SingleFit& fit : fits.singles) {
    all.add(std::exp(-0.5 * (fit.score - best)), centre(first_of(fit.predicted), fit.spread),
            {fit.spread.deviation_up, fit.spread.deviation_right});
  }
  for (const PairFit& fit : fits.pairs) {
    all.add(std::exp(-0.5 * (fit.score - best)) / odds_against_pair(model), fit.tear, fit.deviation);
  }
  return all.moments();
}

/// Least standard deviation of a tear, as a share of the reading error: every bow has small deviations that are not
/// among the suspected ones.
constexpr double least_spread = 0.1;

/// Widen each bow's spread, so that all together have the spread of all explanations, also of those that are not among
/// the bows; and none less than what is a little off in every bow makes.
void widen(double reading_error, const HoleMoments& all, std::vector<PlausibleBow>& bows) {
  Mixture chosen;
  for (const PlausibleBow& each : bows) {
    chosen.add(each.weight, centre(each.tear, each.spread), {each.spread.deviation_up, each.spread.deviation_right});
  }
  const HoleMoments some = chosen.moments();
  const auto widened = [&](std::size_t k, double deviation) {
    const double off = all.mean[k] - some.mean[k];
    const double missing = all.deviation[k] * all.deviation[k] + off * off - some.deviation[k] * some.deviation[k];
    const double least = least_spread * reading_error;
    return std::max(least, std::sqrt(deviation * deviation + std::max(0.0, missing)));
  };
  for (PlausibleBow& each : bows) {
    each.spread.deviation_up = widened(0, each.spread.deviation_up);
    each.spread.deviation_right = widened(1, each.spread.deviation_right);
  }
}

std::vector<std::string> names_off(const CaseModel& model, const Eigen::VectorXd& state) {
  std::vector<std::string> names;
  for (Eigen::Index i = 0; i < state.size(); ++i) {
    if (state[i] != 0.0) {
      names.push_back(model.unknowns()[static_cast<std::size_t>(i)].name);
    }
  }
  return names;
}

}  // namespace

namespace {

/// A reading far off is far off for every explanation: one that fits as well as all deviations together is kept.
double kept_limit(const Fits& fits, double usual_limit) {
  return std::max(usual_limit, fits.joint.objective + chi_square_limit(2.0, one_in_twenty));
}

}  // namespace

bool explained_by_few(const Fits& fits, double usual_limit) {
  const double limit = kept_limit(fits, usual_limit);
  return std::any_of(fits.singles.begin(), fits.singles.end(),
                     [&](const SingleFit& fit) { return fit.chi_square <= limit; }) ||
         std::any_of(fits.pairs.begin(), fits.pairs.end(),
                     [&](const PairFit& fit) { return fit.launched() && fit.chi_square <= limit; });
}

namespace {

/// The bows that an explanation stands for, where the bow is not known: draws, each with the hole that the readings
/// leave it. What their spread then still has to hold is what it held beyond the explanation's own.
void add_drawn(const CaseModel& model, const Fits& fits, const CaseIgnorance& ignorance, const Eigen::VectorXd& state,
               const Eigen::VectorXd& predicted, const TearSpread& own, const PlausibleBow& bow, int pairs,
               std::vector<PlausibleBow>& all) {
  constexpr double worth_drawing = 0.04;
  if (bow.weight < worth_drawing) {
    all.push_back(bow);
    return;
  }
  const auto beyond = [](double whole, double part) { return std::sqrt(std::max(0.0, whole * whole - part * part)); };
  for (const DrawnBow& drawn : draw_bows(model, ignorance, state, predicted, curve_slopes(fits.curves, state), pairs)) {
    PlausibleBow each = bow;
    each.bow = drawn.bow;
    each.weight *= drawn.share;
    each.spread = {0.0, 0.0, beyond(bow.spread.deviation_up, own.deviation_up),
                   beyond(bow.spread.deviation_right, own.deviation_right)};
    each.believed = drawn.tear;
    each.believed_relaxed = drawn.relaxed;
    all.push_back(std::move(each));
  }
}

/// What its hole is believed to be beyond what it shoots.
std::array<double, 2> beyond_launch(const std::array<double, 2>& believed, const Shot& shot) {
  return {believed[0] - shot.value[Output::tear_up], believed[1] - shot.value[Output::tear_right]};
}

/// Launches the drawn bows: what their holes are believed to be beyond what they shoot stays, whatever is adjusted.
void shoot_drawn_bows(const CaseModel& model, double least_deviation, const Execution& execution,
                      std::vector<PlausibleBow>& bows) {
  const double distance = model.readings().front().place;
  std::vector<ShotRequest> requests;
  for (const PlausibleBow& each : bows) {
    requests.push_back({.setup = each.bow, .distance = distance, .statics = false});
    if (each.believed_relaxed) {
      requests.push_back({.setup = in_relaxed_hand(each, model.setup()).bow, .distance = distance, .statics = false});
    }
  }
  const std::vector<Shot> shots = shoot_many(requests, execution);
  auto shot = shots.begin();
  double lost = 0.0;
  std::vector<PlausibleBow> kept;
  for (PlausibleBow& each : bows) {
    const Shot& own = *shot++;
    const Shot* const relaxed = each.believed_relaxed ? &*shot++ : nullptr;
    if (each.believed && !own.flew) {
      lost += each.weight;
      continue;
    }
    if (each.believed) {
      each.tear = *each.believed;
      each.unexplained = beyond_launch(*each.believed, own);
      each.spread.deviation_up = std::max(least_deviation, each.spread.deviation_up);
      each.spread.deviation_right = std::max(least_deviation, each.spread.deviation_right);
    }
    if (relaxed != nullptr && relaxed->flew) {
      each.unexplained_relaxed = beyond_launch(*each.believed_relaxed, *relaxed);
    }
    kept.push_back(std::move(each));
  }
  for (PlausibleBow& each : kept) {
    each.weight /= 1.0 - lost;
  }
  bows = std::move(kept);
}

}  // namespace

PlausibleBow in_relaxed_hand(PlausibleBow bow, const Setup& supposed) {
  bow.bow.hold.grip_torque = supposed.hold.grip_torque;
  if (bow.believed) {
    bow.unexplained = bow.unexplained_relaxed;
  }
  return bow;
}

std::vector<PlausibleBow> likely_bows(const CaseModel& model, const Fits& fits, double usual_limit,
                                      const CaseIgnorance& ignorance, const Execution& execution, int pairs) {
  const double limit = kept_limit(fits, usual_limit);
  const std::size_t most = ignorance.empty() ? 12 : 8;  // of which each is several bows
  constexpr double least_weight = 0.03;                 // of the most probable
  struct Candidate {
    Eigen::VectorXd state;
    double score = 0.0;
    TearSpread spread;
    Eigen::VectorXd predicted;
  };
  std::vector<Candidate> candidates;
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(model.size());
  for (const SingleFit& fit : fits.singles) {
    if (fit.chi_square <= limit) {
      candidates.push_back({none, fit.score, fit.spread, fit.predicted});
      candidates.back().state[fit.which] = fit.steps;
    }
  }
  for (const PairFit& fit : fits.pairs) {
    if (fit.launched() && fit.chi_square <= limit) {
      candidates.push_back({none, fit.score + 2.0 * std::log(odds_against_pair(model)), fit.spread, fit.predicted});
      candidates.back().state[fit.which[0]] = fit.steps[0];
      candidates.back().state[fit.which[1]] = fit.steps[1];
    }
  }
  if (candidates.empty()) {
    return {
        {model.worked(model.bow(fits.joint.steps)), 1.0, fits.joint.spread, first_of(fits.joint.predicted), {}, {}}};
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.score < b.score; });
  std::vector<PlausibleBow> bows;
  double total = 0.0;  // with those that are left out, so that they count against the plan
  for (const Candidate& each : candidates) {
    const double weight = std::exp(-0.5 * (each.score - candidates.front().score));
    total += weight;
    if (bows.size() < most && weight >= least_weight) {
      bows.push_back({model.worked(model.bow(model.clamped(each.state))),
                      weight,
                      each.spread,
                      first_of(each.predicted),
                      {},
                      names_off(model, each.state)});
    }
  }
  for (const PairFit& each : fits.pairs) {
    if (!each.launched()) {
      total += std::exp(-0.5 * (each.score - candidates.front().score)) / odds_against_pair(model);
    }
  }
  for (PlausibleBow& each : bows) {
    each.weight /= total;
  }
  const double reading_error = per_reading_error * model.readings().front().standard_deviation;
  widen(reading_error, first_hole(model, fits), bows);
  if (ignorance.empty()) {
    return bows;
  }
  std::vector<PlausibleBow> drawn;
  for (std::size_t i = 0; i < bows.size(); ++i) {
    const Candidate& of = candidates[i];
    add_drawn(model, fits, ignorance, of.state, of.predicted, of.spread, bows[i], pairs, drawn);
  }
  shoot_drawn_bows(model, least_spread * reading_error, execution, drawn);
  return drawn;
}

double clean_probability(const CaseModel& model, const Case& observed, const Fits& fits) {
  const HoleMoments hole = first_hole(model, fits);
  const double limit = observed.tears.front().reading_error;
  return probability_within(hole.mean[0], limit, hole.deviation[0]) *
         probability_within(hole.mean[1], limit, hole.deviation[1]);
}

double contradiction(const CaseModel& model, const JointFit& fit) {
  constexpr double common = 0.05;     // [m] of every hole, whoever and whatever is shot: no tear is larger
  constexpr double apart = 0.009525;  // [m] 3/8 in: by how much a bare shaft, or another arrow, may show it otherwise
  std::size_t variants = 0;
  for (const Reading& each : model.readings()) {
    variants = std::max(variants, each.variant + 1);
  }
  const auto rows = static_cast<Eigen::Index>(model.readings().size());
  const Eigen::Index own = model.size();
  const Eigen::Index unknowns = own + 2 * static_cast<Eigen::Index>(variants + 1);
  // Rows: the readings, then the widths of what is unknown. The most probable deviations are the zero.
  Eigen::MatrixXd a = Eigen::MatrixXd::Zero(rows + unknowns, unknowns);
  Eigen::VectorXd b = Eigen::VectorXd::Zero(rows + unknowns);
  const Eigen::VectorXd residual = model.residual(fit.predicted);
  for (Eigen::Index r = 0; r < rows; ++r) {
    const Reading& reading = model.readings()[static_cast<std::size_t>(r)];
    a.row(r).head(own) = fit.slopes.row(r);
    b[r] = residual[r];
    if (reading.kind == ObservedKind::tear_up || reading.kind == ObservedKind::tear_right) {
      const Eigen::Index part = reading.kind == ObservedKind::tear_up ? 0 : 1;
      a(r, own + part) = 1.0;
      a(r, own + 2 * static_cast<Eigen::Index>(reading.variant + 1) + part) = 1.0;
    }
  }
  const Eigen::MatrixXd whitened = model.whitened(a.topRows(rows));  // as the residuals are
  a.topRows(rows) = whitened;
  for (Eigen::Index u = 0; u < unknowns; ++u) {
    a(rows + u, u) = 1.0 / (u < own ? model.priors()[u] : u < own + 2 ? common : apart);
    b[rows + u] = u < own ? -fit.steps[u] / model.priors()[u] : 0.0;
  }
  const Eigen::VectorXd best = least_squares(a, b);
  return (b - a * best).head(rows).squaredNorm();
}

namespace {

/// All fits but those of each deviation alone, which are there.
Fits fit_together(CaseModel& model, std::vector<ResponseCurve> curves, std::vector<SingleFit> singles) {
  Fits fits;
  fits.singles = std::move(singles);
  fits.probability = probabilities(fits.singles);
  if (model.size() > 1) {
    constexpr std::size_t pairs = 16;
    constexpr double worth_fitting = 0.01;  // probability of two faults; below, no pair gets into the plan
    PairStudy study(model, curves);
    fits.pairs = study.fits();
    const double best = std::min(fits.singles.front().score, fits.pairs.empty() ? 1e300 : fits.pairs.front().score);
    const double two = evidence(fits.pairs, best) / odds_against_pair(model);
    if (two > worth_fitting * (two + evidence(fits.singles, best))) {
      study.launch_likely(pairs);
      fits.pairs = study.fits();
    }
  }
  fits.joint = fit_all(model, curves, fits.singles, fits.pairs);
  fits.curves = std::move(curves);
  return fits;
}

}  // namespace

Fits fit_case(CaseModel& model) {
  std::vector<ResponseCurve> curves = launch_curves(model);
  std::vector<SingleFit> singles = fit_each(model, curves);
  return fit_together(model, std::move(curves), std::move(singles));
}

Fits fit_case(CaseModel& model, const Ignorance& ignorance, const Execution& execution, CaseIgnorance& answer) {
  if (ignorance.directions.empty()) {
    return fit_case(model);
  }
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(model.size());
  answer = answer_to(ignorance, model, none, execution);
  model.scatter_by(answer.covariance);
  std::vector<ResponseCurve> curves = launch_curves(model);
  std::vector<SingleFit> singles = fit_each(model, curves);
  Eigen::VectorXd likeliest = none;
  likeliest[singles.front().which] = singles.front().steps;
  try {
    answer = answer_to(ignorance, model, model.clamped(likeliest), execution);
  } catch (const SolverError&) {  // no bow a standard deviation from there can be shot: the answer around the setup has
                                  // to do
    return fit_together(model, std::move(curves), std::move(singles));
  }
  model.scatter_by(answer.covariance);
  singles = fit_each(model, curves);
  return fit_together(model, std::move(curves), std::move(singles));
}

}  // namespace nockwise::detail
