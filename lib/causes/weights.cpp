#include "causes/weights.hpp"

#include "causes/pairs.hpp"

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

/// How much less probable any one pair is than any one single cause, before the observations: one fault and two are
/// equally common in bows that give trouble.
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

/// The first hole by all explanations, also those that no plan is tried on.
HoleMoments first_hole(const CaseModel& model, const Fits& fits) {
  Mixture all;
  const double best = std::min(fits.singles.front().score, fits.starts.empty() ? 1e300 : fits.starts.front().score);
  for (const SingleFit& fit : fits.singles) {
    all.add(std::exp(-0.5 * (fit.score - best)), centre(first_of(fit.predicted), fit.spread),
            {fit.spread.deviation_up, fit.spread.deviation_right});
  }
  for (const PairStart& start : fits.starts) {
    all.add(std::exp(-0.5 * (start.score - best)) / odds_against_pair(model), start.tear, start.deviation);
  }
  return all.moments();
}

/// Standard deviation that no tear is known better than, whatever the readings say, since in every bow something is a
/// little off that nobody suspects; of the reading error.
constexpr double least_spread = 0.1;

/// Let each bow's spread stand for the explanations like it that are not among the bows, and for what is a little off
/// in every bow.
void widen(double reading_error, const HoleMoments& all, const std::vector<std::array<double, 2>>& tears,
           std::vector<PlausibleBow>& bows) {
  Mixture chosen;
  for (std::size_t h = 0; h < bows.size(); ++h) {
    chosen.add(bows[h].weight, centre(tears[h], bows[h].spread),
               {bows[h].spread.deviation_up, bows[h].spread.deviation_right});
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

}  // namespace

std::vector<PlausibleBow> likely_bows(const CaseModel& model, const Fits& fits, double usual_limit) {
  // A reading that is far out is so for every explanation: one that does as well as all deviations together counts.
  const double limit = std::max(usual_limit, fits.joint.objective + chi_square_limit(2.0, one_in_twenty));
  constexpr std::size_t most = 12;
  constexpr double least_weight = 0.03;  // of the most probable
  struct Candidate {
    Eigen::VectorXd state;
    double score = 0.0;
    TearSpread spread;
    std::array<double, 2> tear{};
  };
  std::vector<Candidate> candidates;
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(model.size());
  for (const SingleFit& fit : fits.singles) {
    if (fit.chi_square <= limit) {
      candidates.push_back({none, fit.score, fit.spread, first_of(fit.predicted)});
      candidates.back().state[fit.which] = fit.steps;
    }
  }
  for (const PairFit& fit : fits.pairs) {
    if (fit.chi_square <= limit) {
      candidates.push_back(
          {none, fit.score + 2.0 * std::log(odds_against_pair(model)), fit.spread, first_of(fit.predicted)});
      candidates.back().state[fit.which[0]] = fit.steps[0];
      candidates.back().state[fit.which[1]] = fit.steps[1];
    }
  }
  if (candidates.empty()) {
    return {{model.bow(fits.joint.steps), 1.0, fits.joint.spread}};
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.score < b.score; });
  std::vector<PlausibleBow> bows;
  std::vector<std::array<double, 2>> tears;
  double total = 0.0;  // with those that are left out, so that they count against the plan
  for (const Candidate& each : candidates) {
    const double weight = std::exp(-0.5 * (each.score - candidates.front().score));
    total += weight;
    if (bows.size() < most && weight >= least_weight) {
      bows.push_back({model.bow(model.clamped(each.state)), weight, each.spread});
      tears.push_back(each.tear);
    }
  }
  for (const PairStart& each : fits.starts) {
    const bool fitted = std::any_of(fits.pairs.begin(), fits.pairs.end(), [&](const PairFit& fit) {
      return fit.which == each.which && fit.score == each.score;
    });
    if (!fitted) {
      total += std::exp(-0.5 * (each.score - candidates.front().score)) / odds_against_pair(model);
    }
  }
  for (PlausibleBow& each : bows) {
    each.weight /= total;
  }
  widen(per_reading_error * model.readings().front().standard_deviation, first_hole(model, fits), tears, bows);
  return bows;
}

double clean_probability(const CaseModel& model, const Case& observed, const Fits& fits) {
  const HoleMoments hole = first_hole(model, fits);
  const double limit = observed.tears.front().reading_error;
  return probability_within(hole.mean[0], limit, hole.deviation[0]) *
         probability_within(hole.mean[1], limit, hole.deviation[1]);
}

Fits fit_case(CaseModel& model) {
  std::vector<ResponseCurve> curves = launch_curves(model);
  Fits fits;
  fits.singles = fit_each(model, curves);
  fits.probability = probabilities(fits.singles);
  if (model.size() > 1) {
    constexpr std::size_t pairs = 16;
    constexpr double worth_fitting = 0.01;  // probability of two faults; below, none of them is anything to the plan
    PairStudy study(model, curves);
    fits.starts = study.starts();
    const double best = std::min(fits.singles.front().score, fits.starts.empty() ? 1e300 : fits.starts.front().score);
    const double two = evidence(fits.starts, best) / odds_against_pair(model);
    if (two > worth_fitting * (two + evidence(fits.singles, best))) {
      fits.pairs = study.fit(pairs);
      fits.starts = study.starts();
    }
  }
  fits.joint = fit_all(model, curves, fits.singles, fits.pairs);
  return fits;
}

}  // namespace nockwise::detail
