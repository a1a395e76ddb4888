// Response curves, and the fit of each deviation alone on them.

#include "causes/fit.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace nockwise::detail {

namespace {

double prior_of(const CaseModel& model, Eigen::Index which) { return model.priors()[which]; }

Eigen::VectorXd alone(const CaseModel& model, Eigen::Index which, double steps) {
  Eigen::VectorXd state = Eigen::VectorXd::Zero(model.size());
  state[which] = steps;
  return model.clamped(state);
}

/// The posterior of one deviation on a fine grid over its curve.
struct GridPosterior {
  std::vector<double> steps;
  std::vector<double> objective;  // minus twice the logarithm of likelihood and prior
  std::vector<double> up, right;  // the first hole there [m]
};

GridPosterior grid_of(const CaseModel& model, double prior, const ResponseCurve& curve, const Visibility& visibility) {
  constexpr int cells = 40;  // per straight piece
  GridPosterior grid;
  const auto add = [&](double steps, const Eigen::VectorXd& predicted) {
    const Eigen::VectorXd residual = model.residual(predicted);
    const double up = model.readings()[0].value - model.first_error(0, residual);
    const double right = model.readings()[1].value - model.first_error(1, residual);
    const double seen = std::max(1e-12, visibility.of(up, right));
    grid.steps.push_back(steps);
    grid.objective.push_back(residual.squaredNorm() + steps * steps / (prior * prior) - 2.0 * std::log(seen));
    grid.up.push_back(up);
    grid.right.push_back(right);
  };
  const auto& points = curve.points();
  for (auto next = std::next(points.begin()); next != points.end(); ++next) {
    const auto before = std::prev(next);
    for (int c = 0; c < cells; ++c) {
      const double share = static_cast<double>(c) / cells;
      add(before->first + share * (next->first - before->first),
          before->second + share * (next->second - before->second));
    }
  }
  add(points.rbegin()->first, points.rbegin()->second);
  return grid;
}

/// The extent of one mode of the posterior, and its most probable place.
struct Mode {
  std::size_t first = 0, last = 0, top = 0;  // on the grid
};

/// The most probable mode, and the next one if the posterior falls well below it in between.
std::vector<Mode> modes_of(const GridPosterior& grid) {
  constexpr double fall = 1.0;  // of the objective
  const auto& f = grid.objective;
  std::vector<Mode> modes{{0, 0, 0}};
  std::size_t crest = 0;  // least probable place since the last mode's top
  for (std::size_t i = 1; i < f.size(); ++i) {
    Mode& mode = modes.back();
    if (f[i] < f[mode.top] && f[crest] - f[mode.top] < fall) {
      mode.top = crest = i;
    } else if (f[i] > f[crest]) {
      crest = i;
    } else if (f[crest] - f[i] >= fall && crest > mode.top) {
      mode.last = crest;
      modes.push_back({crest, crest, i});
      crest = i;
    }
  }
  modes.back().last = f.size() - 1;
  std::stable_sort(modes.begin(), modes.end(), [&](const Mode& a, const Mode& b) { return f[a.top] < f[b.top]; });
  if (modes.size() > 2) {
    modes.resize(2);
  }
  return modes;
}

/// Place on the grid below which `share` of the mode's mass lies.
double quantile(const GridPosterior& grid, const Mode& mode, const std::vector<double>& mass, double share) {
  double total = 0.0;
  for (const double each : mass) {
    total += each;
  }
  double sum = 0.0;
  for (std::size_t k = 0; k < mass.size(); ++k) {
    const double next = sum + mass[k] / total;
    const std::size_t i = mode.first + k;
    if (next >= share && mass[k] > 0.0) {
      return grid.steps[i] + (share - sum) / (next - sum) * (grid.steps[i + 1] - grid.steps[i]);
    }
    sum = next;
  }
  return grid.steps[mode.last];
}

/// Mass of each cell of the mode, by the trapezoidal rule, against that of the most probable place.
std::vector<double> masses(const GridPosterior& grid, const Mode& mode) {
  std::vector<double> mass;
  const auto weight = [&](std::size_t i) { return std::exp(-0.5 * (grid.objective[i] - grid.objective[mode.top])); };
  for (std::size_t i = mode.first; i < mode.last; ++i) {
    mass.push_back(0.5 * (weight(i) + weight(i + 1)) * (grid.steps[i + 1] - grid.steps[i]));
  }
  return mass;
}

/// The fit that a mode stands for.
SingleFit fit_of(const CaseModel& model, Eigen::Index which, const ResponseCurve& curve, const GridPosterior& grid,
                 const Mode& mode) {
  const double prior = prior_of(model, which);
  const std::vector<double> mass = masses(grid, mode);
  double total = 0.0;
  std::array<double, 3> mean{}, square{};
  for (std::size_t k = 0; k < mass.size(); ++k) {
    const std::size_t i = mode.first + k;
    const std::array<double, 3> value{grid.steps[i] - grid.steps[mode.top], grid.up[i] - grid.up[mode.top],
                                      grid.right[i] - grid.right[mode.top]};
    total += mass[k];
    for (std::size_t v = 0; v < value.size(); ++v) {
      mean[v] += mass[k] * value[v];
      square[v] += mass[k] * value[v] * value[v];
    }
  }
  const auto deviation = [&](std::size_t v) {
    return std::sqrt(std::max(0.0, square[v] / total - mean[v] * mean[v] / (total * total)));
  };
  SingleFit fit;
  fit.which = which;
  fit.steps = grid.steps[mode.top];
  fit.low = quantile(grid, mode, mass, 0.05);
  fit.high = quantile(grid, mode, mass, 0.95);
  fit.standard_deviation = deviation(0);
  fit.predicted = curve.at(fit.steps);
  fit.spread = {mean[1] / total + grid.up[mode.top] - fit.predicted[0],
                mean[2] / total + grid.right[mode.top] - fit.predicted[1],
                std::sqrt(deviation(1) * deviation(1) + model.first_error_variance(0)),
                std::sqrt(deviation(2) * deviation(2) + model.first_error_variance(1))};
  fit.chi_square = model.residual(fit.predicted).squaredNorm();
  fit.score = grid.objective[mode.top] - 2.0 * std::log(total / (prior * std::sqrt(2.0 * std::numbers::pi)));
  return fit;
}

std::vector<SingleFit> fits_of(const CaseModel& model, Eigen::Index which, const ResponseCurve& curve) {
  std::vector<SingleFit> fits;
  if (curve.points().size() < 2) {
    return fits;
  }
  const GridPosterior grid = grid_of(model, prior_of(model, which), curve, Visibility(model));
  for (const Mode& mode : modes_of(grid)) {
    if (mode.last > mode.first) {
      fits.push_back(fit_of(model, which, curve, grid, mode));
    }
  }
  return fits;
}

std::vector<SingleFit> all_fits(const CaseModel& model, const std::vector<ResponseCurve>& curves) {
  std::vector<SingleFit> fits;
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    for (SingleFit& each : fits_of(model, i, curves[i])) {
      fits.push_back(std::move(each));
    }
  }
  std::stable_sort(fits.begin(), fits.end(), [](const SingleFit& a, const SingleFit& b) { return a.score < b.score; });
  return fits;
}

}  // namespace

Visibility::Visibility(const CaseModel& model) {
  const auto& readings = model.readings();
  if (readings.size() < 2 || readings[0].kind != ObservedKind::tear_up || readings[0].variant != 0) {
    return;
  }
  sigma_ = readings[0].standard_deviation;
  limit_ = per_reading_error * sigma_;
  counts_ = std::fabs(readings[0].value) > limit_ || std::fabs(readings[1].value) > limit_;
}

double Visibility::of(double up, double right) const {
  if (!counts_) {
    return 1.0;
  }
  const double once = 1.0 - within(up) * within(right);
  return once * once * once;
}

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
  std::vector<ResponseCurve> curves(model.size());
  std::size_t k = 1;
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    ResponseCurve& curve = curves[i];
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
  constexpr int rounds = 3;
  constexpr double negligible = 14.0;  // of the score: one in a thousand
  std::vector<SingleFit> fits = all_fits(model, curves);
  for (int round = 0; round < rounds; ++round) {
    // First where each is most probable; then also where the intervals of the likely ones end.
    std::vector<Eigen::VectorXd> states;
    std::vector<Eigen::Index> owner;
    const auto refine = [&](Eigen::Index which, double steps) {
      states.push_back(alone(model, which, steps));
      owner.push_back(which);
    };
    for (const SingleFit& fit : fits) {
      const bool likely = fit.score < fits.front().score + negligible;
      if (round == 0 || likely) {
        refine(fit.which, fit.steps);
      }
      if (round > 0 && likely) {
        refine(fit.which, fit.low);
        refine(fit.which, fit.high);
      }
    }
    const auto predictions = model.predict(states);
    for (std::size_t k = 0; k < states.size(); ++k) {
      if (predictions[k]) {
        curves[owner[k]].add(states[k][owner[k]], *predictions[k]);
      }
    }
    fits = all_fits(model, curves);
  }
  return fits;
}

}  // namespace nockwise::detail
