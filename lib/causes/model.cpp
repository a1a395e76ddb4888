#include "causes/model.hpp"

#include "causes/case_ranges.hpp"
#include "causes/suspects.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/tear_matrix.hpp"
#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise {

namespace {

/// The output that a check measures; null if it measures a parameter, or nothing that is known.
const OutputDescription* find_check(const std::string& what) {
  const OutputDescription* output = find_output(what);
  return output != nullptr && output->measurable ? output : nullptr;
}

}  // namespace

ParameterChange bare_shaft() { return {"arrow.fletching.count", 0.0, false}; }

namespace detail {

namespace {

/// What a reading would be of this bow.
double value_of(const Reading& reading, LaunchResults& results, const Setup& bow) {
  switch (reading.kind) {
    case ObservedKind::tear_up:
      return results.paper_tear(reading.place).up;
    case ObservedKind::tear_right:
      return results.paper_tear(reading.place).right;
    case ObservedKind::draw_force:
      return draw_force_at(results.draw_cycle(), reading.place);
    case ObservedKind::check:
      break;
  }
  return reading.output ? nockwise::value_of(*reading.output, results) : bow.get(reading.what);
}

}  // namespace

double probability_within(double mean, double limit, double standard_deviation) {
  const double scale = 1.0 / (std::max(1e-9, standard_deviation) * std::numbers::sqrt2);
  return 0.5 * (std::erf((limit - mean) * scale) + std::erf((limit + mean) * scale));
}

namespace {

/// Holes of several archers that are alike: two hands seldom twist a bow alike, so it is hardly any one's.
bool hands_agree(const Case& observed) {
  const auto as_found = [](const TearObservation& tear) { return tear.changes.empty() && tear.after == 0; };
  const auto first = std::find_if(observed.tears.begin(), observed.tears.end(), as_found);
  if (first == observed.tears.end()) {
    return false;
  }
  const double usual = observed.setup.surroundings.paper_distance;
  bool several = false;
  for (const TearObservation& tear : observed.tears) {
    const double apart = std::fabs(tear.distance.value_or(usual) - first->distance.value_or(usual));
    if (!as_found(tear) || tear.archer == first->archer || apart > 0.15) {
      continue;
    }
    const double limit = std::hypot(tear.reading_error, first->reading_error);
    if (std::fabs(tear.up - first->up) > limit || std::fabs(tear.right - first->right) > limit) {
      return false;
    }
    several = true;
  }
  return several;
}

}  // namespace

CaseModel::CaseModel(const Case& observed, Suspects suspects, const Execution& execution)
    : setup_(observed.setup), execution_(execution) {
  check_priors(setup_, observed.priors);
  check_tears(setup_, observed.tears);
  check_checks(observed.checks);
  check_workshop(observed);
  suspect_all(observed, suspects == Suspects::all);
  find_bounds();
  if (suspects == Suspects::all) {
    constexpr double factor = 2.4;  // the curves' 2.5 widths then reach to the bounds, six usual widths
    const bool agree = hands_agree(observed);
    for (Eigen::Index i = 0; i < size(); ++i) {
      // That two hands are off alike, and both far, is beyond belief.
      priors_[i] *= agree && hand_of_[static_cast<std::size_t>(i)] ? 1.0 : factor;
    }
  }
  take_work(observed.work);
  variants_.emplace_back();  // the bow as found
  for (const TearObservation& tear : observed.tears) {
    add_tear(tear.changes, tear.distance, tear);
  }
  for (const CheckObservation& check : observed.checks) {
    add_check(check);
  }
}

CaseModel::CaseModel(Setup setup, std::vector<Adjustment> unknowns, Eigen::VectorXd priors, const Execution& execution)
    : setup_(std::move(setup)),
      execution_(execution),
      unknowns_(std::move(unknowns)),
      hand_of_(unknowns_.size()),
      priors_(std::move(priors)),
      usual_priors_(priors_) {
  find_bounds();
  variants_.emplace_back();  // the bow as found
}

void CaseModel::suspect(const Adjustment& what, double prior, const std::string& hand_of) {
  const bool hand = what.group == AdjustmentGroup::technique;
  Adjustment& added = unknowns_.emplace_back(what);
  hand_of_.emplace_back(hand ? std::optional(hand_of) : std::nullopt);
  if (!hand_of.empty()) {
    added.name += '@' + hand_of;
    added.title += " (" + hand_of + ")";
    added.cause_positive = hand_of + ": " + added.cause_positive;
    added.cause_negative = hand_of + ": " + added.cause_negative;
  }
  priors_.conservativeResize(priors_.size() + 1);
  priors_[priors_.size() - 1] = prior;
  usual_priors_ = priors_;
}

/// Whether vanes that stand otherwise than stated could strike, by a launch of the setup.
bool vanes_come_near(const Setup& setup, const std::atomic<bool>* stop) {
  constexpr double near = 0.003;  // [m]
  const Shot shot = shoot(setup, {.statics = false, .stop = stop});
  return shot.flew && shot.value[Output::fletching_clearance] < near;
}

/// The bow's parts, and the hand of everybody who shot it; a machine's twists nothing.
void CaseModel::suspect_all(const Case& observed, bool rare) {
  constexpr double share_of_agreeing_hands = 0.3;
  const double hands = hands_agree(observed) ? share_of_agreeing_hands : 1.0;
  std::vector<std::string> archers;
  for (const TearObservation& tear : observed.tears) {
    if (tear.archer != shooting_machine && std::find(archers.begin(), archers.end(), tear.archer) == archers.end()) {
      archers.push_back(tear.archer);
    }
  }
  const bool vanes = rare && vanes_come_near(setup_, execution_.stop);
  for (const Adjustment& each : suspects(setup_)) {
    double width = rare && each.prior == 0.0 ? each.rare_prior : each.prior;
    if (each.group == AdjustmentGroup::clearance && !vanes) {
      width = 0.0;
    }
    for (const PriorWidth& given : observed.priors) {
      width = given.adjustment == each.name ? given.steps : width;
    }
    if (!(width > 0.0)) {
      continue;
    }
    if (each.group != AdjustmentGroup::technique) {
      suspect(each, width, "");
      continue;
    }
    for (const std::string& archer : archers) {
      suspect(each, hands * width, archer);
    }
  }
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

std::size_t CaseModel::variant_for(const std::vector<ParameterChange>& changes, const std::string& archer) {
  for (std::size_t i = 0; i < variants_.size(); ++i) {
    if (variants_[i].changes == changes && variants_[i].archer == archer) {
      return i;
    }
  }
  variants_.push_back({changes, archer});
  return variants_.size() - 1;
}

std::size_t CaseModel::add_tear(const std::vector<ParameterChange>& changes, std::optional<double> distance,
                                const TearObservation& seen) {
  const std::size_t variant = variant_for(after_work(seen.after, changes), seen.archer);
  const double paper = distance.value_or(setup_.surroundings.paper_distance);
  const double sigma = seen.reading_error / per_reading_error;
  readings_.push_back({ObservedKind::tear_up, variant, paper, "tear_up", {}, seen.up, sigma});
  readings_.push_back({ObservedKind::tear_right, variant, paper, "tear_right", {}, seen.right, sigma});
  return readings_.size() - 2;
}

std::size_t CaseModel::add_draw_force(double draw_length, double force, double error) {
  variants_[0].draw_curve = true;
  const std::string what = "draw force at " + display(draw_length, Quantity::length, "in", 1);
  readings_.push_back({ObservedKind::draw_force, 0, draw_length, what, {}, force, error / per_reading_error});
  return readings_.size() - 1;
}

std::size_t CaseModel::add_check(const CheckObservation& check, const std::vector<ParameterChange>& changes) {
  (void)check_quantity(check.what);
  Reading reading{ObservedKind::check,
                  variant_for(after_work(check.after, changes)),
                  0.0,
                  check.what,
                  {},
                  check.value,
                  check.error / per_reading_error};
  if (const OutputDescription* output = find_check(check.what)) {
    reading.output = output->output;
  }
  readings_.push_back(std::move(reading));
  return readings_.size() - 1;
}

Setup CaseModel::changed(Setup bow, const std::vector<ParameterChange>& changes) {
  for (const ParameterChange& change : changes) {
    bow.set(change.path, change.value + (change.relative ? bow.get(change.path) : 0.0));
  }
  return bow;
}

void CaseModel::take_work(const std::vector<WorkStep>& work) {
  const std::vector<Adjustment> all = adjustments(setup_);
  for (const WorkStep& step : work) {
    const auto found =
        std::find_if(all.begin(), all.end(), [&](const Adjustment& a) { return a.name == step.adjustment; });
    if (found == all.end()) {
      throw InputError("work.adjustment", step.adjustment, "is no adjustment of this bow");
    }
    for (const ParameterStep& part : found->parameters) {
      work_.push_back({part.path, step.steps * part.per_step, true});
    }
    work_end_.push_back(work_.size());
  }
}

std::vector<ParameterChange> CaseModel::after_work(std::size_t steps,
                                                   const std::vector<ParameterChange>& changes) const {
  if (steps == 0) {
    return changes;
  }
  if (steps > work_end_.size()) {
    throw InputError("after", std::to_string(steps),
                     "must be at most the number of steps of work, " + std::to_string(work_end_.size()));
  }
  std::vector<ParameterChange> all(work_.begin(), work_.begin() + static_cast<std::ptrdiff_t>(work_end_[steps - 1]));
  all.insert(all.end(), changes.begin(), changes.end());
  return all;
}

Setup CaseModel::bow(const Eigen::VectorXd& state, const std::string& archer) const {
  Setup bow = setup_;
  if (!archer.empty()) {
    bow.hold.grip_torque = 0.0;  // what the setup says of the hand is said of the bow's own archer
  }
  for (Eigen::Index i = 0; i < size(); ++i) {
    const auto& hand = hand_of_[static_cast<std::size_t>(i)];
    if (state[i] != 0.0 && (!hand || *hand == archer)) {
      bow = adjusted(bow, unknowns_[static_cast<std::size_t>(i)], state[i]);
    }
  }
  return bow;
}

ShotRequest CaseModel::request(const Eigen::VectorXd& state, const Variant& variant) const {
  try {
    Setup bow = this->bow(state, variant.archer);
    return {.setup = changed(std::move(bow), variant.changes), .draw_curve = variant.draw_curve};
  } catch (const InputError& error) {
    return {.setup = setup_, .failure = error.what()};
  }
}

std::vector<std::optional<Eigen::VectorXd>> CaseModel::predict(const std::vector<Eigen::VectorXd>& states) {
  std::vector<ShotRequest> requests;
  for (const Eigen::VectorXd& state : states) {
    for (const Variant& variant : variants_) {
      requests.push_back(request(state, variant));
    }
  }
  std::vector<std::optional<Eigen::VectorXd>> predictions(states.size(),
                                                          Eigen::VectorXd(static_cast<Eigen::Index>(readings_.size())));
  std::vector<char> struck(requests.size(), 0);  // a place for every thread
  const auto read = [&](std::size_t i, LaunchResults& results) {
    struck[i] = results.launch().rest.fletching_contact ? 1 : 0;
    Eigen::VectorXd& prediction = *predictions[i / variants_.size()];
    for (std::size_t r = 0; r < readings_.size(); ++r) {
      if (readings_[r].variant == i % variants_.size()) {
        prediction[static_cast<Eigen::Index>(r)] = value_of(readings_[r], results, requests[i].setup);
      }
    }
  };
  const std::vector<std::string> failures = launch_many(requests, execution_, read);
  launches_ += requests.size();
  vanes_strike_ = vanes_strike_ || std::find(struck.begin(), struck.end(), 1) != struck.end();
  for (std::size_t i = 0; i < requests.size(); ++i) {
    if (!failures[i].empty()) {
      predictions[i / variants_.size()].reset();
      failure_ = failures[i];
    }
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
  Eigen::VectorXd left(predicted.size());
  for (Eigen::Index i = 0; i < predicted.size(); ++i) {
    left[i] = readings_[static_cast<std::size_t>(i)].value - predicted[i];
  }
  return whitened(left);
}

Eigen::MatrixXd CaseModel::whitened(const Eigen::MatrixXd& changes) const {
  if (whitener_.size() > 0) {
    return whitener_.triangularView<Eigen::Lower>() * changes;
  }
  Eigen::MatrixXd result = changes;
  for (Eigen::Index r = 0; r < changes.rows(); ++r) {
    result.row(r) /= readings_[static_cast<std::size_t>(r)].standard_deviation;
  }
  return result;
}

void CaseModel::scatter_by(const Eigen::MatrixXd& covariance) {
  Eigen::MatrixXd all = covariance;
  for (Eigen::Index r = 0; r < all.rows(); ++r) {
    const double error = readings_[static_cast<std::size_t>(r)].standard_deviation;
    all(r, r) += error * error;
  }
  const Eigen::MatrixXd factor = cholesky_factor(all);
  whitener_ = factor.triangularView<Eigen::Lower>().solve(Eigen::MatrixXd::Identity(all.rows(), all.cols()));
}

double CaseModel::first_error(int part, const Eigen::VectorXd& residual) const {
  const double error = readings_[static_cast<std::size_t>(part)].standard_deviation;
  return whitener_.size() == 0 ? error * residual[part] : error * error * whitener_.col(part).dot(residual);
}

double CaseModel::first_error_variance(int part) const {
  if (whitener_.size() == 0) {
    return 0.0;
  }
  const double error = readings_[static_cast<std::size_t>(part)].standard_deviation;
  return error * error * std::max(0.0, 1.0 - error * error * whitener_.col(part).squaredNorm());
}

std::vector<WatchedShot> CaseModel::watched(const Eigen::VectorXd& state, std::vector<std::size_t>& row_of) const {
  std::vector<WatchedShot> shots;
  row_of.clear();
  for (std::size_t v = 0; v < variants_.size(); ++v) {
    const ShotRequest shot = request(state, variants_[v]);
    if (!shot.failure.empty()) {
      throw SolverError("explanation", "a bow as explained cannot be: " + shot.failure);
    }
    WatchedShot watched{shot.setup, {}};
    for (std::size_t r = 0; r < readings_.size(); ++r) {
      const Reading& reading = readings_[r];
      if (reading.variant != v) {
        continue;
      }
      ShotReading read;
      switch (reading.kind) {
        case ObservedKind::tear_up:
        case ObservedKind::tear_right:
          read.output = reading.kind == ObservedKind::tear_up ? Output::tear_up : Output::tear_right;
          read.distance = reading.place;
          break;
        case ObservedKind::draw_force:
          read.draw_length = reading.place;
          break;
        case ObservedKind::check:
          read.output = reading.output.value_or(Output::tear_up);
          read.number = reading.output ? "" : reading.what;
          break;
      }
      watched.readings.push_back(std::move(read));
      row_of.push_back(r);
    }
    if (!watched.readings.empty()) {
      shots.push_back(std::move(watched));
    }
  }
  return shots;
}

}  // namespace detail

}  // namespace nockwise
