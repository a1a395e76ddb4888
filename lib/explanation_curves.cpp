// Response curves, and the fit of each deviation alone on them.

#include "explanation_fit.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

double prior_of(const CaseModel& model, Eigen::Index which) { return model.priors()[which]; }

Eigen::VectorXd alone(const CaseModel& model, Eigen::Index which, double steps) {
  Eigen::VectorXd state = Eigen::VectorXd::Zero(model.size());
  state[which] = steps;
  return model.clamped(state);
}

Eigen::VectorXd scaled(const CaseModel& model, Eigen::VectorXd readings) {
  for (Eigen::Index r = 0; r < readings.size(); ++r) {
    readings[r] /= model.readings()[static_cast<std::size_t>(r)].standard_deviation;
  }
  return readings;
}

struct Minimum {
  double steps = 0.0;
  double value = 0.0;  // chi-square and prior
};

/// Lowest point of the objective on the line between two launches.
Minimum on_segment(const CaseModel& model, double prior, double a, const Eigen::VectorXd& at_a, double b,
                   const Eigen::VectorXd& at_b) {
  const Eigen::VectorXd residual = model.residual(at_a);
  const Eigen::VectorXd slope = scaled(model, (at_b - at_a) / (b - a));
  const double curvature = slope.squaredNorm() + 1.0 / (prior * prior);
  const double move = (slope.dot(residual) - a / (prior * prior)) / curvature;
  const double steps = std::clamp(a + move, a, b);
  const double ahead = steps - a;
  return {steps, (residual - ahead * slope).squaredNorm() + steps * steps / (prior * prior)};
}

/// The lowest point, and the next one that lies apart from it with a rise between.
std::vector<Minimum> minima(const CaseModel& model, double prior, const ResponseCurve& curve) {
  std::vector<Minimum> all;
  const auto& points = curve.points();
  for (auto next = std::next(points.begin()); next != points.end(); ++next) {
    const auto before = std::prev(next);
    all.push_back(on_segment(model, prior, before->first, before->second, next->first, next->second));
  }
  std::vector<Minimum> valleys;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const bool falls_before = i == 0 || all[i - 1].value >= all[i].value;
    const bool rises_after = i + 1 == all.size() || all[i + 1].value > all[i].value;
    if (falls_before && rises_after) {
      valleys.push_back(all[i]);
    }
  }
  std::sort(valleys.begin(), valleys.end(), [](const Minimum& a, const Minimum& b) { return a.value < b.value; });
  if (valleys.size() > 2) {
    valleys.resize(2);
  }
  return valleys;
}

}  // namespace

std::map<double, Eigen::VectorXd>::const_iterator ResponseCurve::after(double steps) const {
  auto next = points_.upper_bound(steps);
  next = next == points_.end() ? std::prev(next) : next;
  return next == points_.begin() ? std::next(next) : next;
}

Eigen::VectorXd ResponseCurve::slope(double steps) const {
  if (points_.size() < 2) {
    return Eigen::VectorXd::Zero(points_.begin()->second.size());
  }
  const auto next = after(steps);
  const auto before = std::prev(next);
  return (next->second - before->second) / (next->first - before->first);
}

Eigen::VectorXd ResponseCurve::at(double steps) const {
  if (points_.size() < 2) {
    return points_.begin()->second;
  }
  const auto before = std::prev(after(steps));
  return before->second + (steps - before->first) * slope(steps);
}

std::vector<ResponseCurve> launch_curves(CaseModel& model) {
  static constexpr double widths[] = {-2.5, -1.6, -0.9, -0.35, 0.35, 0.9, 1.6, 2.5};  // in prior widths
  std::vector<Eigen::VectorXd> states{Eigen::VectorXd::Zero(model.size())};
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    for (const double width : widths) {
      states.push_back(alone(model, i, width * prior_of(model, i)));
    }
  }
  const auto predictions = model.predict(states);
  if (!predictions.front()) {
    throw SolverError("explanation", "the setup as given cannot be shot: " + model.failure());
  }
  std::vector<ResponseCurve> curves(static_cast<std::size_t>(model.size()));
  std::size_t k = 1;
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    ResponseCurve& curve = curves[static_cast<std::size_t>(i)];
    curve.add(0.0, *predictions.front());
    for (std::size_t w = 0; w < std::size(widths); ++w, ++k) {
      if (predictions[k]) {
        curve.add(states[k][i], *predictions[k]);
      }
    }
  }
  return curves;
}

std::vector<SingleFit> fit_each(CaseModel& model, std::vector<ResponseCurve>& curves) {
  constexpr int rounds = 2;
  for (int round = 0; round < rounds; ++round) {
    std::vector<Eigen::VectorXd> states;
    std::vector<Eigen::Index> owner;
    for (Eigen::Index i = 0; i < model.size(); ++i) {
      const ResponseCurve& curve = curves[static_cast<std::size_t>(i)];
      if (curve.points().size() < 2) {
        continue;
      }
      for (const Minimum& each : minima(model, prior_of(model, i), curve)) {
        states.push_back(alone(model, i, each.steps));
        owner.push_back(i);
      }
    }
    const auto predictions = model.predict(states);
    for (std::size_t k = 0; k < states.size(); ++k) {
      if (predictions[k]) {
        curves[static_cast<std::size_t>(owner[k])].add(states[k][owner[k]], *predictions[k]);
      }
    }
  }
  std::vector<SingleFit> fits;
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    const ResponseCurve& curve = curves[static_cast<std::size_t>(i)];
    const double prior = prior_of(model, i);
    if (curve.points().size() < 2) {
      continue;
    }
    for (const Minimum& each : minima(model, prior, curve)) {
      const double curvature = scaled(model, curve.slope(each.steps)).squaredNorm() + 1.0 / (prior * prior);
      SingleFit fit;
      fit.which = i;
      fit.steps = each.steps;
      fit.standard_deviation = 1.0 / std::sqrt(curvature);
      fit.predicted = curve.at(each.steps);
      fit.chi_square = model.residual(fit.predicted).squaredNorm();
      fit.score = each.value + std::log(prior * prior * curvature);
      fits.push_back(std::move(fit));
    }
  }
  std::stable_sort(fits.begin(), fits.end(), [](const SingleFit& a, const SingleFit& b) { return a.score < b.score; });
  return fits;
}

}  // namespace nockwise::detail
