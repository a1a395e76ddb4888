#include "causes/pairs.hpp"

#include "causes/pair_posterior.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace nockwise::detail {

namespace {

constexpr double corner = 1.2;  // [prior widths] every pair is launched at these amounts, both signs of both
constexpr int rounds = 3;       // of launches where a pair is most probable, in the last ones where intervals end

ScaledCurve scaled_curve(const CaseModel& model, Eigen::Index which, const ResponseCurve& curve,
                         const Eigen::VectorXd& nominal) {
  ScaledCurve result;
  result.prior = model.priors()[which];
  const auto places = std::ssize(curve.points());
  result.steps.resize(places);
  result.change.resize(nominal.size(), places);
  Eigen::Index i = 0;
  for (const auto& [steps, predicted] : curve.points()) {
    result.steps[i] = steps;
    result.change.col(i) = model.whitened(predicted - nominal);
    ++i;
  }
  return result;
}

}  // namespace

Eigen::VectorXd ScaledCurve::at(double amount) const {
  const auto next = std::upper_bound(steps.begin() + 1, steps.end() - 1, amount);
  const auto i = next - steps.begin();
  const double share = (amount - steps[i - 1]) / (steps[i] - steps[i - 1]);
  return (1.0 - share) * change.col(i - 1) + share * change.col(i);
}

PairStudy::PairStudy(CaseModel& model, const std::vector<ResponseCurve>& curves)
    : model_(model), nominal_(curves.front().at(0.0)), residual_(model.residual(nominal_)) {
  for (std::size_t i = 0; i < curves.size(); ++i) {
    curves_.push_back(scaled_curve(model, i, curves[i], nominal_));
  }
  interactions_.resize(curves_.size() * curves_.size());
  std::vector<std::array<Eigen::Index, 2>> pairs;
  std::vector<std::array<Eigen::Index, 2>> owner;
  std::vector<Eigen::VectorXd> states;
  for (Eigen::Index a = 0; a < model.size(); ++a) {
    for (Eigen::Index b = a + 1; b < model.size(); ++b) {
      if (curves_[a].steps.size() < 2 || curves_[b].steps.size() < 2) {
        continue;
      }
      pairs.push_back({a, b});
      for (const double first : {-corner, corner}) {
        for (const double second : {-corner, corner}) {
          owner.push_back({a, b});
          states.push_back(state_of({a, b}, {first * model.priors()[a], second * model.priors()[b]}));
        }
      }
    }
  }
  const auto predictions = model.predict(states);
  for (std::size_t i = 0; i < states.size(); ++i) {
    if (predictions[i]) {
      add_interaction(owner[i], states[i], *predictions[i]);
    }
  }
  for (const auto& which : pairs) {
    find_modes(which);
  }
  sort();
}

std::size_t PairStudy::number_of(const std::array<Eigen::Index, 2>& which) const {
  return which[0] * curves_.size() + which[1];
}

Eigen::VectorXd PairStudy::state_of(const std::array<Eigen::Index, 2>& which,
                                    const std::array<double, 2>& steps) const {
  Eigen::VectorXd state = Eigen::VectorXd::Zero(model_.size());
  state[which[0]] = steps[0];
  state[which[1]] = steps[1];
  return model_.clamped(state);
}

void PairStudy::add_interaction(const std::array<Eigen::Index, 2>& which, const Eigen::VectorXd& state,
                                const Eigen::VectorXd& predicted) {
  const ScaledCurve& first = curves_[which[0]];
  const ScaledCurve& second = curves_[which[1]];
  const Eigen::VectorXd together = residual_ - model_.residual(predicted);
  interactions_[number_of(which)].add(state[which[0]] / first.prior, state[which[1]] / second.prior,
                                      together - first.at(state[which[0]]) - second.at(state[which[1]]));
}

/// The modes of a pair.
void PairStudy::find_modes(const std::array<Eigen::Index, 2>& which) {
  std::erase_if(fits_, [&](const PairFit& fit) { return fit.which == which; });
  const ScaledCurve& first = curves_[which[0]];
  const ScaledCurve& second = curves_[which[1]];
  const Interaction& interaction = interactions_[number_of(which)];
  std::array<AmountRange, 2> below;
  std::array<AmountRange, 2> above;
  if (const auto valley = valley_of(PairPosterior(model_, residual_, first, second, interaction, {}).run())) {
    below[0].high = above[0].low = *valley;
  } else if (const auto other =
                 valley_of(PairPosterior(model_, residual_, second, first, interaction.swapped(), {}).run())) {
    below[1].high = above[1].low = *other;
  } else {
    fits_.push_back(fit_of(which, {}));
    return;
  }
  fits_.push_back(fit_of(which, below));
  fits_.push_back(fit_of(which, above));
}

PairFit PairStudy::fit_of(const std::array<Eigen::Index, 2>& which, const std::array<AmountRange, 2>& range) const {
  const PairSums sums =
      PairPosterior(model_, residual_, curves_[which[0]], curves_[which[1]], interactions_[number_of(which)], range)
          .run();
  PairFit fit;
  fit.which = which;
  fit.range = range;
  fit.steps = sums.best;
  fit.score =
      -2.0 * (sums.top + std::log(sums.mass / (two_pi * model_.priors()[which[0]] * model_.priors()[which[1]])));
  const auto deviation = [](double mean, double square) { return std::sqrt(std::max(0.0, square - mean * mean)); };
  const std::array<double, 2> spread{deviation(sums.amount[0], sums.amount_square[0]),
                                     deviation(sums.amount[1], sums.amount_square[1])};
  const double common = sums.product - sums.amount[0] * sums.amount[1];
  for (std::size_t i = 0; i < 4; ++i) {
    const std::size_t k = i / 2;
    const double reach = (i % 2 == 0 ? -ninety_percent : ninety_percent) * spread[k];
    fit.ends[i][k] = sums.amount[k] + reach;
    fit.ends[i][1 - k] = sums.amount[1 - k] + reach * common / std::max(1e-12, spread[k] * spread[k]);
  }
  for (std::size_t k = 0; k < 2; ++k) {
    fit.tear[k] = model_.readings()[k].value - sums.hole[k];
    fit.deviation[k] = std::hypot(deviation(sums.hole[k], sums.hole_square[k]),
                                  std::sqrt(model_.first_error_variance(static_cast<int>(k))));
  }
  return fit;
}

void PairStudy::sort() {
  std::stable_sort(fits_.begin(), fits_.end(), [](const PairFit& a, const PairFit& b) { return a.score < b.score; });
}

void PairStudy::add_launch(const Eigen::VectorXd& predicted, PairFit& fit) const {
  fit.predicted = predicted;
  fit.chi_square = model_.residual(predicted).squaredNorm();
  fit.spread = {fit.tear[0] - predicted[0], fit.tear[1] - predicted[1], fit.deviation[0], fit.deviation[1]};
  const ScaledCurve& first = curves_[fit.which[0]];
  const ScaledCurve& second = curves_[fit.which[1]];
  const Interaction& interaction = interactions_[number_of(fit.which)];
  const PairSums of_first = PairPosterior(model_, residual_, first, second, interaction, fit.range).run();
  const PairSums of_second =
      PairPosterior(model_, residual_, second, first, interaction.swapped(), {fit.range[1], fit.range[0]}).run();
  fit.low = {quantile(of_first, 0.05), quantile(of_second, 0.05)};
  fit.high = {quantile(of_first, 0.95), quantile(of_second, 0.95)};
}

void PairStudy::refine(const std::vector<PairFit>& likely, bool at_ends) {
  std::vector<Eigen::VectorXd> states;
  std::vector<std::array<Eigen::Index, 2>> owner;
  for (const PairFit& each : likely) {
    std::vector<std::array<double, 2>> places{each.steps};
    if (at_ends) {
      places.insert(places.end(), each.ends.begin(), each.ends.end());
    }
    for (const auto& place : places) {
      owner.push_back(each.which);
      states.push_back(state_of(each.which, place));
    }
  }
  const auto predictions = model_.predict(states);
  for (std::size_t i = 0; i < states.size(); ++i) {
    if (predictions[i]) {
      add_interaction(owner[i], states[i], *predictions[i]);
    }
  }
  std::vector<std::array<Eigen::Index, 2>> studied;  // both modes of a pair may be likely
  for (const PairFit& each : likely) {
    if (std::find(studied.begin(), studied.end(), each.which) == studied.end()) {
      find_modes(each.which);
      studied.push_back(each.which);
    }
  }
  sort();
}

void PairStudy::launch_likely(std::size_t count) {
  const auto likely = [&] {
    return std::vector<PairFit>(fits_.begin(), fits_.begin() + std::min(count, fits_.size()));
  };
  for (int round = 0; round < rounds; ++round) {
    refine(likely(), round > 0);
  }
  std::vector<Eigen::VectorXd> states;
  for (const PairFit& each : likely()) {
    states.push_back(state_of(each.which, each.steps));
  }
  const auto predictions = model_.predict(states);
  for (std::size_t i = 0; i < states.size(); ++i) {
    if (predictions[i]) {
      add_launch(*predictions[i], fits_[i]);
    }
  }
}

}  // namespace nockwise::detail
