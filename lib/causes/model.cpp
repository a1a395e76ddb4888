#include "causes/model.hpp"

#include "base/nearest_name.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise {

namespace {

struct KnownCheck {
  const char* name;
  Quantity quantity;
  bool statics;
};

constexpr KnownCheck known_checks[] = {
    {"stop_gap", Quantity::length, true},          {"arrow_square", Quantity::length, false},
    {"lean_upper", Quantity::angle, false},        {"lean_lower", Quantity::angle, false},
    {"chronograph_speed", Quantity::speed, false}, {"peak_force", Quantity::force, true},
    {"draw_length", Quantity::length, true},       {"let_off", Quantity::percent, true},
    {"axle_to_axle", Quantity::length, false},     {"brace_height", Quantity::length, false},
};

const KnownCheck* find_check(const std::string& what) {
  const auto found = std::find_if(std::begin(known_checks), std::end(known_checks),
                                  [&](const KnownCheck& check) { return what == check.name; });
  return found == std::end(known_checks) ? nullptr : found;
}

void require_finite(const std::string& path, double value) {
  if (!std::isfinite(value)) {
    throw InputError(path, format_quantity(value, Quantity::dimensionless), "must be a finite number");
  }
}

void require_positive(const std::string& path, double value) {
  if (!(value > 0.0) || !std::isfinite(value)) {
    throw InputError(path, format_quantity(value, Quantity::dimensionless), "must be above 0");
  }
}

}  // namespace

Quantity check_quantity(const std::string& what) {
  if (const KnownCheck* check = find_check(what)) {
    return check->quantity;
  }
  if (const Parameter* found = find_parameter(what)) {
    return found->quantity;
  }
  std::vector<std::string> names;
  for (const KnownCheck& each : known_checks) {
    names.emplace_back(each.name);
  }
  for (const Parameter& each : parameters()) {
    names.push_back(each.path);
  }
  throw InputError(what, "", "is no check that is known here; the nearest is " + nearest_name(what, names));
}

ParameterChange bare_shaft() { return {"arrow.fletching.count", 0.0, false}; }

namespace detail {

double probability_within(double mean, double limit, double standard_deviation) {
  const double scale = 1.0 / (std::max(1e-9, standard_deviation) * std::numbers::sqrt2);
  return 0.5 * (std::erf((limit - mean) * scale) + std::erf((limit + mean) * scale));
}

CaseModel::CaseModel(const Case& observed, const Execution& crew) : setup_(observed.setup), crew_(crew) {
  const std::vector<Adjustment> all = adjustments(setup_);
  std::vector<double> widths;
  for (const PriorWidth& each : observed.priors) {
    (void)find_adjustment(all, each.adjustment);
    if (!(each.steps >= 0.0) || !std::isfinite(each.steps)) {
      throw InputError("priors." + each.adjustment, format_quantity(each.steps, Quantity::dimensionless),
                       "must be 0 or more trade steps");
    }
  }
  for (const Adjustment& each : all) {
    double width = each.prior;
    for (const PriorWidth& given : observed.priors) {
      width = given.adjustment == each.name ? given.steps : width;
    }
    if (width > 0.0) {
      unknowns_.push_back(each);
      widths.push_back(width);
    }
  }
  priors_ = Eigen::Map<const Eigen::VectorXd>(widths.data(), static_cast<Eigen::Index>(widths.size()));
  find_bounds();
  variants_.push_back({{}, {setup_.surroundings.paper_distance}, false, {}});
  for (const TearObservation& tear : observed.tears) {
    require_finite("tears.up", tear.up);
    require_finite("tears.right", tear.right);
    require_positive("tears.reading_error", tear.reading_error);
    for (const ParameterChange& change : tear.changes) {
      require_finite("tears.changes." + parameter(change.path).path, change.value);
    }
    add_tear(tear.changes, tear.distance, tear);
  }
  for (const CheckObservation& check : observed.checks) {
    require_finite("checks." + check.what, check.value);
    require_positive("checks." + check.what + ".error", check.error);
    add_check(check);
  }
}

CaseModel::CaseModel(Setup setup, std::vector<Adjustment> unknowns, Eigen::VectorXd priors, const Execution& crew)
    : setup_(std::move(setup)), crew_(crew), unknowns_(std::move(unknowns)), priors_(std::move(priors)) {
  find_bounds();
  variants_.push_back({{}, {setup_.surroundings.paper_distance}, false, {}});
}

void CaseModel::find_bounds() {
  least_ = most_ = priors_;
  for (std::size_t i = 0; i < unknowns_.size(); ++i) {
    least_[static_cast<Eigen::Index>(i)] = -farthest(i, -1.0);
    most_[static_cast<Eigen::Index>(i)] = farthest(i, 1.0);
  }
}

/// How many steps one way leave a setup that validate() takes, at most six prior widths.
double CaseModel::farthest(std::size_t unknown, double side) const {
  const auto possible = [&](double steps) {
    try {
      validate(adjusted(setup_, unknowns_[unknown], side * steps));
      return true;
    } catch (const InputError&) {
      return false;
    }
  };
  double high = 6.0 * priors_[static_cast<Eigen::Index>(unknown)];
  if (possible(high)) {
    return high;
  }
  double low = 0.0;
  for (int i = 0; i < 20; ++i) {
    const double middle = 0.5 * (low + high);
    (possible(middle) ? low : high) = middle;
  }
  return low;
}

std::size_t CaseModel::variant_for(const std::vector<ParameterChange>& changes) {
  for (std::size_t i = 0; i < variants_.size(); ++i) {
    if (variants_[i].changes == changes) {
      return i;
    }
  }
  variants_.push_back({changes, {setup_.surroundings.paper_distance}, false, {}});
  return variants_.size() - 1;
}

std::size_t CaseModel::distance_for(std::size_t variant, double distance) {
  std::vector<double>& distances = variants_[variant].distances;
  const double wanted = distance > 0.0 ? distance : setup_.surroundings.paper_distance;
  const auto found = std::find(distances.begin(), distances.end(), wanted);
  if (found != distances.end()) {
    return static_cast<std::size_t>(found - distances.begin());
  }
  distances.push_back(wanted);
  return distances.size() - 1;
}

std::size_t CaseModel::add_tear(const std::vector<ParameterChange>& changes, double distance,
                                const TearObservation& seen) {
  const std::size_t variant = variant_for(changes);
  const std::size_t paper = distance_for(variant, distance);
  const double sigma = seen.reading_error / per_reading_error;
  readings_.push_back({ReadingKind::tear_up, variant, paper, "tear_up", seen.up, sigma});
  readings_.push_back({ReadingKind::tear_right, variant, paper, "tear_right", seen.right, sigma});
  return readings_.size() - 2;
}

std::size_t CaseModel::add_draw_force(double draw_length, double force, double error) {
  variants_[0].draw_lengths.push_back(draw_length);
  readings_.push_back({ReadingKind::draw_force, 0, variants_[0].draw_lengths.size() - 1,
                       "draw force at " + display(draw_length, Quantity::length, "in", 1), force,
                       error / per_reading_error});
  return readings_.size() - 1;
}

std::size_t CaseModel::add_check(const CheckObservation& check, const std::vector<ParameterChange>& changes) {
  (void)check_quantity(check.what);
  const KnownCheck* known = find_check(check.what);
  const std::size_t variant = variant_for(changes);
  variants_[variant].statics = variants_[variant].statics || (known != nullptr && known->statics);
  readings_.push_back({ReadingKind::check, variant, 0, check.what, check.value, check.error / per_reading_error});
  return readings_.size() - 1;
}

Setup CaseModel::bow(const Eigen::VectorXd& state) const {
  Setup bow = setup_;
  for (Eigen::Index i = 0; i < size(); ++i) {
    if (state[i] != 0.0) {
      bow = adjusted(bow, unknowns_[static_cast<std::size_t>(i)], state[i]);
    }
  }
  return bow;
}

ShotRequest CaseModel::request(const Eigen::VectorXd& state, const Variant& variant) const {
  try {
    Setup bow = this->bow(state);
    for (const ParameterChange& change : variant.changes) {
      bow.set(change.path, change.value + (change.relative ? bow.get(change.path) : 0.0));
    }
    return {bow, "", variant.distances, variant.statics, variant.draw_lengths};
  } catch (const InputError& error) {
    return {setup_, error.what(), {}, false};
  }
}

double CaseModel::read(const Reading& reading, const ShotResult& result, const Setup& bow) const {
  if (reading.kind == ReadingKind::tear_up) {
    return result.up[reading.distance];
  }
  if (reading.kind == ReadingKind::tear_right) {
    return result.right[reading.distance];
  }
  if (reading.kind == ReadingKind::draw_force) {
    return result.draw_forces[reading.distance];
  }
  const std::string& what = reading.what;
  if (what == "arrow_square") {
    return result.arrow_square;
  }
  if (what == "chronograph_speed") {
    return result.chronograph_speed;
  }
  if (what == "axle_to_axle") {
    return result.axle_to_axle;
  }
  if (what == "brace_height") {
    return result.brace_height;
  }
  for (const OutputDescription& each : output_descriptions()) {
    if (each.name == what) {
      return result.shot.value[each.output];
    }
  }
  return bow.get(what);
}

std::vector<std::optional<Eigen::VectorXd>> CaseModel::predict(const std::vector<Eigen::VectorXd>& states) {
  std::vector<ShotRequest> requests;
  for (const Eigen::VectorXd& state : states) {
    for (const Variant& variant : variants_) {
      requests.push_back(request(state, variant));
    }
  }
  const std::vector<ShotResult> results = launch_many(requests, crew_);
  launches_ += requests.size();
  std::vector<std::optional<Eigen::VectorXd>> predictions(states.size());
  for (std::size_t s = 0; s < states.size(); ++s) {
    const std::size_t first = s * variants_.size();
    bool flew = true;
    for (std::size_t v = 0; v < variants_.size(); ++v) {
      if (!results[first + v].shot.flew) {
        flew = false;
        failure_ = results[first + v].shot.failure;
      }
    }
    if (!flew) {
      continue;
    }
    Eigen::VectorXd values(static_cast<Eigen::Index>(readings_.size()));
    for (std::size_t r = 0; r < readings_.size(); ++r) {
      const std::size_t at = first + readings_[r].variant;
      values[static_cast<Eigen::Index>(r)] = read(readings_[r], results[at], requests[at].setup);
    }
    predictions[s] = values;
  }
  return predictions;
}

Eigen::MatrixXd CaseModel::jacobian(const Eigen::VectorXd& state, double width, Eigen::VectorXd& centre) {
  std::vector<Eigen::VectorXd> states{state};
  for (Eigen::Index i = 0; i < size(); ++i) {
    for (const double side : {width, -width}) {
      states.push_back(state);
      states.back()[i] += side;
    }
  }
  const auto predictions = predict(states);
  if (!predictions.front()) {
    throw SolverError("explanation", "the bow cannot be shot: " + failure_);
  }
  centre = *predictions.front();
  Eigen::MatrixXd slopes = Eigen::MatrixXd::Zero(centre.size(), size());
  for (Eigen::Index i = 0; i < size(); ++i) {
    const auto& plus = predictions[static_cast<std::size_t>(2 * i + 1)];
    const auto& minus = predictions[static_cast<std::size_t>(2 * i + 2)];
    const double span = width * ((plus ? 1.0 : 0.0) + (minus ? 1.0 : 0.0));
    if (span > 0.0) {
      slopes.col(i) = ((plus ? *plus : centre) - (minus ? *minus : centre)) / span;
    }
  }
  return slopes;
}

Eigen::VectorXd CaseModel::residual(const Eigen::VectorXd& predicted) const {
  Eigen::VectorXd result(predicted.size());
  for (Eigen::Index i = 0; i < predicted.size(); ++i) {
    const Reading& reading = readings_[static_cast<std::size_t>(i)];
    result[i] = (reading.value - predicted[i]) / reading.standard_deviation;
  }
  return result;
}

}  // namespace detail

}  // namespace nockwise
