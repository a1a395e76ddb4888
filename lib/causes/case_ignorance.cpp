#include "causes/case_ignorance.hpp"

#include "ignorance/matrices.hpp"
#include "numerics/dense_solvers.hpp"
#include "numerics/random_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace nockwise::detail {

namespace {

IgnoranceOptions options_of(const Execution& execution) {
  IgnoranceOptions options;
  options.threads = execution.threads;
  options.stop = execution.stop;
  return options;
}

}  // namespace

Ignorance ignorance_besides(const CaseModel& model, double level, const Execution& execution) {
  IgnoranceOptions options = options_of(execution);
  options.level = level;
  for (const Adjustment& each : model.unknowns()) {
    for (const ParameterStep& part : each.parameters) {
      options.without.push_back(part.path);
    }
    if (each.group == AdjustmentGroup::sync) {
      options.without.emplace_back("stop_gap");  // is what these are off by
    }
  }
  return ignorance_of(model.setup(), options);
}

CaseIgnorance answer_to(const Ignorance& ignorance, const CaseModel& model, const Eigen::VectorXd& state,
                        const Execution& execution) {
  std::vector<std::size_t> row_of;
  const std::vector<WatchedShot> shots = model.watched(state, row_of);
  const Sensitivity sensitivity = sensitivity_of(ignorance, shots, options_of(execution));
  const auto slope = slope_of(ignorance, sensitivity);
  CaseIgnorance answer;
  answer.ignorance = ignorance;
  answer.slope.resize(slope.rows(), slope.cols());
  for (std::size_t k = 0; k < row_of.size(); ++k) {
    answer.slope.row(static_cast<Eigen::Index>(row_of[k])) = slope.row(static_cast<Eigen::Index>(k));
  }
  answer.covariance = answer.slope * covariance_of(ignorance) * answer.slope.transpose();
  return answer;
}

Eigen::VectorXd as_told(const CaseModel& model, const CaseIgnorance& ignorance, const Eigen::VectorXd& predicted) {
  if (ignorance.empty()) {
    return predicted;
  }
  const Eigen::MatrixXd whitener = model.whitened(Eigen::MatrixXd::Identity(predicted.size(), predicted.size()));
  return predicted + ignorance.covariance * (whitener.transpose() * model.residual(predicted));
}

namespace {

/// Row of the hole that somebody else, or a relaxed hand, has shot of the bow as the first hole shows it.
std::optional<Eigen::Index> row_in_relaxed_hand(const CaseModel& model) {
  const std::vector<Reading>& readings = model.readings();
  const Variant& own = model.variants()[readings.front().variant];
  std::vector<ParameterChange> relaxed = own.changes;
  relaxed.push_back({hand_torque, 0.0, false});
  for (std::size_t r = 0; r < readings.size(); ++r) {
    const Variant& variant = model.variants()[readings[r].variant];
    if (readings[r].kind == ObservedKind::tear_up &&
        (variant.changes == relaxed || (variant.changes == own.changes && variant.archer != own.archer))) {
      return static_cast<Eigen::Index>(r);
    }
  }
  return {};
}

/// A name as the bow of the other hand has it: of its yokes' legs the left is the right.
std::string of_other_hand(std::string name) {
  const std::size_t left = name.find("left");
  const std::size_t right = name.find("right");
  if (left != std::string::npos) {
    return name.replace(left, 4, "right");
  }
  return right != std::string::npos ? name.replace(right, 5, "left") : name;
}

/// Where each unknown of a left-handed bow is among those of its mirror image, and whether it changes sign: the bows
/// drawn for the one are the mirror images of those drawn for the other. Nothing moves for a right-handed bow.
struct MirrorImage {
  std::vector<Eigen::Index> place;
  std::vector<double> sign;

  MirrorImage(const CaseModel& model, const std::vector<Eigen::Index>& moving,
              const std::vector<IgnoranceDirection>& directions) {
    const bool left = model.setup().handedness == Handedness::left;
    std::vector<std::string> names;
    const auto add = [&](const std::string& name, const std::string& path) {
      const Parameter* const number = find_parameter(path);
      names.push_back(name);
      sign.push_back(left && number != nullptr && number->lateral ? -1.0 : 1.0);
    };
    for (const Eigen::Index i : moving) {
      const Adjustment& each = model.unknowns()[static_cast<std::size_t>(i)];
      add(each.name, each.parameters.front().path);
    }
    for (const IgnoranceDirection& each : directions) {
      add(each.name, each.steps.empty() ? each.name : each.steps.front().path);
    }
    for (std::size_t i = 0; i < names.size(); ++i) {
      const auto other = left ? std::find(names.begin(), names.end(), of_other_hand(names[i])) : names.end();
      place.push_back(other == names.end() ? static_cast<Eigen::Index>(i) : other - names.begin());
    }
  }

  /// A lower factor of a covariance, such as that of the mirror image gives.
  [[nodiscard]] Eigen::MatrixXd factor(const Eigen::MatrixXd& covariance) const {
    const Eigen::Index n = covariance.rows();
    const auto at = [&](Eigen::Index i) { return static_cast<std::size_t>(i); };
    Eigen::MatrixXd image(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
      for (Eigen::Index j = 0; j < n; ++j) {
        image(place[at(i)], place[at(j)]) = sign[at(i)] * sign[at(j)] * covariance(i, j);
      }
    }
    const Eigen::MatrixXd lower = cholesky_factor(image);
    Eigen::MatrixXd own(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
      own.row(i) = sign[at(i)] * lower.row(place[at(i)]);
    }
    return own;
  }
};

/// The normal posterior of deviations and ignorance together, linear around an explanation.
class JointPosterior {
 public:
  JointPosterior(const CaseModel& model, const CaseIgnorance& ignorance, const Eigen::VectorXd& state,
                 const Eigen::VectorXd& predicted, const Eigen::MatrixXd& slopes)
      : ignorance_(ignorance), state_(state) {
    for (Eigen::Index i = 0; i < state.size(); ++i) {
      if (state[i] != 0.0) {
        moving_.push_back(i);
      }
    }
    const auto own = std::ssize(moving_);
    const Eigen::Index rows = predicted.size();
    const Eigen::Index unknowns = own + ignorance.slope.cols();
    Eigen::MatrixXd g(rows, unknowns);  // readings per unknown, and then in the readers' standard deviations
    Eigen::VectorXd left(rows);
    prior_mean_ = Eigen::VectorXd::Zero(unknowns);
    Eigen::MatrixXd precision = Eigen::MatrixXd::Zero(unknowns, unknowns);
    for (Eigen::Index k = 0; k < own; ++k) {
      const Eigen::Index i = moving_[k];
      g.col(k) = slopes.col(i);
      prior_mean_[k] = -state[i];
      precision(k, k) = 1.0 / (model.priors()[i] * model.priors()[i]);
    }
    g.rightCols(ignorance.slope.cols()) = ignorance.slope;
    const auto directions = ignorance.slope.cols();
    prior_mean_.tail(directions) = as_vector(ignorance.ignorance.mean);
    precision.bottomRightCorner(directions, directions) = inverse_of(covariance_of(ignorance.ignorance));
    hole_ = g.topRows(2);
    relaxed_ = row_in_relaxed_hand(model);
    if (relaxed_) {
      relaxed_hole_ = g.middleRows(*relaxed_, 2);
    }
    for (Eigen::Index r = 0; r < rows; ++r) {
      const Reading& reading = model.readings()[static_cast<std::size_t>(r)];
      g.row(r) /= reading.standard_deviation;
      left[r] = (reading.value - predicted[r]) / reading.standard_deviation;
    }
    precision += gram_matrix(g);
    mean_ = prior_mean_ + solve_symmetric(precision, g.transpose() * (left - g * prior_mean_));
    factor_ = MirrorImage(model, moving_, ignorance.ignorance.directions).factor(inverse_of(precision));
  }

  /// The unknowns at this many standard deviations of each of as many independent directions.
  [[nodiscard]] Eigen::VectorXd at(const Eigen::VectorXd& normal) const { return mean_ + factor_ * normal; }
  [[nodiscard]] Eigen::Index size() const { return mean_.size(); }

  [[nodiscard]] DrawnBow bow(const CaseModel& model, const Eigen::VectorXd& predicted,
                             const Eigen::VectorXd& unknowns) const {
    DrawnBow drawn;
    drawn.state = state_;
    for (std::size_t k = 0; k < moving_.size(); ++k) {
      drawn.state[moving_[k]] += unknowns[static_cast<Eigen::Index>(k)];
    }
    drawn.state = model.clamped(drawn.state);
    const std::vector<double> place = as_values(unknowns.tail(ignorance_.slope.cols()));
    drawn.bow = model.worked(moved(ignorance_.ignorance, model.bow(drawn.state), place));
    const Eigen::VectorXd hole = predicted.head(2) + hole_ * unknowns;
    drawn.tear = {hole[0], hole[1]};
    if (relaxed_) {
      const Eigen::VectorXd other = predicted.segment(*relaxed_, 2) + relaxed_hole_ * unknowns;
      drawn.relaxed = {other[0], other[1]};
    }
    return drawn;
  }

 private:
  const CaseIgnorance& ignorance_;
  Eigen::VectorXd state_, prior_mean_, mean_;
  std::vector<Eigen::Index> moving_;
  std::optional<Eigen::Index> relaxed_;  // row of another hand's hole
  Eigen::MatrixXd hole_, relaxed_hole_, factor_;
};

}  // namespace

std::vector<DrawnBow> draw_bows(const CaseModel& model, const CaseIgnorance& ignorance, const Eigen::VectorXd& state,
                                const Eigen::VectorXd& predicted, const Eigen::MatrixXd& slopes, int pairs) {
  const JointPosterior posterior(model, ignorance, state, predicted, slopes);
  std::vector<DrawnBow> bows;
  const double share = 1.0 / (1.0 + 2.0 * pairs);
  // The mean takes a share of the weight; the others stand farther out for it, so that the variance is what it should
  // be.
  const double farther = std::sqrt((1.0 + 2.0 * pairs) / (2.0 * pairs));
  bows.push_back(posterior.bow(model, predicted, posterior.at(Eigen::VectorXd::Zero(posterior.size()))));
  for (int pair = 0; pair < pairs; ++pair) {
    Eigen::VectorXd normal(posterior.size());
    for (Eigen::Index i = 0; i < normal.size(); ++i) {
      normal[i] = random_numbers_of(1, "draw_bows", static_cast<std::uint64_t>(pair * normal.size() + i)).normal();
    }
    for (const double side : {farther, -farther}) {
      bows.push_back(posterior.bow(model, predicted, posterior.at(side * normal)));
    }
  }
  for (DrawnBow& each : bows) {
    each.share = share;
  }
  return bows;
}

}  // namespace nockwise::detail
