// What a check is worth: the information that it is expected to give on which cause it is, and how large.

#include "causes/checks.hpp"
#include "nockwise/units.hpp"
#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// Change of one reading that a cause makes, in words; empty where it is none at two decimals.
std::string change_text(const Reading& reading, double change) {
  const Quantity quantity = reading.kind == ObservedKind::check ? check_quantity(reading.what) : Quantity::length;
  const char* name = reading.kind == ObservedKind::tear_up      ? "tear up "
                     : reading.kind == ObservedKind::tear_right ? "tear right "
                                                                : "";
  const std::string_view unit = quantity == Quantity::length ? "in" : workshop_unit(quantity);
  const std::string text = display(change, quantity, unit, 2);
  if (text.find_first_of("123456789") == std::string::npos) {
    return "";
  }
  return name + std::string(change < 0.0 ? "" : "+") + text;
}

/// What each likely single cause would show; empty where they would show the same.
std::string expected_text(const CaseModel& model, const CheckPlan& check, const Eigen::MatrixXd& slopes,
                          const std::vector<SingleFit>& singles, const std::vector<double>& probability) {
  constexpr std::size_t most = 3;
  constexpr double least_probability = 0.02;
  constexpr double visible = 2.0;  // [standard deviations]
  std::string text;
  std::string nothing;  // causes that would change nothing
  double spread = 0.0;
  std::vector<double> lowest(check.rows.size(), 1e9);
  std::vector<double> highest(check.rows.size(), -1e9);
  for (std::size_t i = 0; i < std::min(most, singles.size()) && probability[i] >= least_probability; ++i) {
    std::string shown;
    for (std::size_t k = 0; k < check.rows.size(); ++k) {
      const std::size_t row = check.rows[k];
      const Reading& reading = model.readings()[row];
      const double change = slopes(static_cast<Eigen::Index>(row), singles[i].which) * singles[i].steps;
      lowest[k] = std::min(lowest[k], change);
      highest[k] = std::max(highest[k], change);
      spread = std::max(spread, (highest[k] - lowest[k]) / reading.standard_deviation);
      const std::string part = change_text(reading, change);
      shown += (shown.empty() || part.empty() ? "" : ", ") + part;
    }
    const std::string cause =
        describe_cause(model.unknowns()[static_cast<std::size_t>(singles[i].which)], singles[i].steps);
    if (shown.empty()) {
      nothing += (nothing.empty() ? "" : ", or if ") + cause;
    } else {
      text += (text.empty() ? "" : "; ") + shown + " if " + cause;
    }
  }
  if (!nothing.empty()) {
    text += (text.empty() ? "" : "; ") + std::string("no change if ") + nothing;
  }
  return spread < visible ? "" : "Against the bow as it should be: " + text + ".";
}

/// Rows and columns of a matrix.
Eigen::MatrixXd part_of(const Eigen::MatrixXd& all, const std::vector<std::size_t>& rows,
                        const std::vector<std::size_t>& columns) {
  Eigen::MatrixXd part(std::ssize(rows), std::ssize(columns));
  for (Eigen::Index r = 0; r < part.rows(); ++r) {
    for (Eigen::Index c = 0; c < part.cols(); ++c) {
      part(r, c) = all(static_cast<Eigen::Index>(rows[static_cast<std::size_t>(r)]),
                       static_cast<Eigen::Index>(columns[static_cast<std::size_t>(c)]));
    }
  }
  return part;
}

/// Normal readings of a bow that is not known, some of them made.
class Readings {
 public:
  /// \param covariance of all of them beforehand, by readers, by what is not known and by what is suspected
  Readings(Eigen::MatrixXd covariance, std::size_t made) : covariance_(std::move(covariance)) {
    for (std::size_t r = 0; r < made; ++r) {
      made_.push_back(r);
    }
    of_made_ = inverse_of(part_of(covariance_, made_, made_));
  }
  /// Of these, given those that are made.
  [[nodiscard]] Eigen::MatrixXd covariance(const std::vector<std::size_t>& rows) const {
    const Eigen::MatrixXd with_made = part_of(covariance_, rows, made_);
    return part_of(covariance_, rows, rows) - with_made * of_made_ * with_made.transpose();
  }
  /// How far these are to be expected from where they were beforehand, if those that are made are off by `left`.
  [[nodiscard]] Eigen::VectorXd shift(const std::vector<std::size_t>& rows, const Eigen::VectorXd& left) const {
    return part_of(covariance_, rows, made_) * (of_made_ * left);
  }

 private:
  Eigen::MatrixXd covariance_, of_made_;
  std::vector<std::size_t> made_;
};

/// What rows would read of one and the same suspected bow, and of whichever it is.
struct Expected {
  Eigen::MatrixXd noise, all;  // covariances
};

/// Where only readers err: what is not known is which single cause it is and how large, or, if none explains it alone,
/// the joint posterior.
class KnownBow {
 public:
  KnownBow(const CaseModel& model, const Eigen::MatrixXd& slopes, const Fits& fits, bool single_explains)
      : model_(model), slopes_(slopes), unknown_(fits.joint.covariance) {
    if (!single_explains) {
      return;
    }
    const Eigen::Index n = model.size();
    unknown_ = Eigen::MatrixXd::Zero(n, n);
    Eigen::VectorXd mean = Eigen::VectorXd::Zero(n);
    for (std::size_t k = 0; k < fits.singles.size(); ++k) {
      const SingleFit& fit = fits.singles[k];
      mean[fit.which] += fits.probability[k] * fit.steps;
      unknown_(fit.which, fit.which) +=
          fits.probability[k] * (fit.steps * fit.steps + fit.standard_deviation * fit.standard_deviation);
    }
    unknown_ -= mean * mean.transpose();
  }
  [[nodiscard]] Expected of(const std::vector<std::size_t>& rows) const {
    Eigen::MatrixXd h(std::ssize(rows), model_.size());
    Expected expected;
    expected.noise = Eigen::MatrixXd::Zero(h.rows(), h.rows());
    for (Eigen::Index r = 0; r < h.rows(); ++r) {
      const std::size_t row = rows[static_cast<std::size_t>(r)];
      h.row(r) = slopes_.row(static_cast<Eigen::Index>(row));
      expected.noise(r, r) = model_.readings()[row].standard_deviation * model_.readings()[row].standard_deviation;
    }
    expected.all = expected.noise + h * unknown_ * h.transpose();
    return expected;
  }

 private:
  const CaseModel& model_;
  const Eigen::MatrixXd& slopes_;
  Eigen::MatrixXd unknown_;
};

/// Where the bow is not known: the readings that are made bind each cause's amount and what is not known together, so
/// that a hole that was read is known whichever it is.
class UnknownBow {
 public:
  UnknownBow(const CaseModel& model, const Eigen::MatrixXd& slopes, const Eigen::VectorXd& centre,
             const Eigen::MatrixXd& scatter, const Fits& fits, bool single_explains)
      : made_(static_cast<std::size_t>(model.scattered())) {
    Eigen::MatrixXd noise = scatter;
    left_ = Eigen::VectorXd(model.scattered());
    for (Eigen::Index r = 0; r < noise.rows(); ++r) {
      const Reading& reading = model.readings()[static_cast<std::size_t>(r)];
      noise(r, r) += reading.standard_deviation * reading.standard_deviation;
      if (r < left_.size()) {
        left_[r] = reading.value - centre[r] + slopes.row(r).dot(fits.joint.steps);
      }
    }
    given_cause_.emplace_back(noise, made_);
    if (!single_explains) {
      const Eigen::MatrixXd scaled = slopes * model.priors().asDiagonal();
      add(1.0, noise + scaled * scaled.transpose());
      return;
    }
    for (std::size_t k = 0; k < fits.singles.size(); ++k) {
      const SingleFit& fit = fits.singles[k];
      const Eigen::VectorXd scaled = slopes.col(fit.which) * model.priors()[fit.which];
      add(fits.probability[k], noise + scaled * scaled.transpose());
    }
  }
  [[nodiscard]] Expected of(const std::vector<std::size_t>& rows) const {
    Expected expected;
    expected.noise = given_cause_.front().covariance(rows);
    expected.all = Eigen::MatrixXd::Zero(std::ssize(rows), std::ssize(rows));
    Eigen::VectorXd mean = Eigen::VectorXd::Zero(std::ssize(rows));
    for (std::size_t k = 0; k < weight_.size(); ++k) {
      const Eigen::VectorXd shift = of_cause_[k].shift(rows, left_);
      mean += weight_[k] * shift;
      expected.all += weight_[k] * (of_cause_[k].covariance(rows) + shift * shift.transpose());
    }
    expected.all -= mean * mean.transpose();
    return expected;
  }

 private:
  void add(double weight, const Eigen::MatrixXd& covariance) {
    weight_.push_back(weight);
    of_cause_.emplace_back(covariance, made_);
  }
  std::size_t made_;
  Eigen::VectorXd left_;  // of the readings that are made, against the bow as it should be
  std::vector<Readings> given_cause_, of_cause_;
  std::vector<double> weight_;
};

}  // namespace

std::vector<NextCheck> rank_checks(const std::vector<CheckPlan>& checks, const CaseModel& model,
                                   const Eigen::MatrixXd& slopes, const Eigen::VectorXd& centre,
                                   const Eigen::MatrixXd& scatter, const Fits& fits, bool single_explains) {
  std::optional<UnknownBow> unknown;
  if (scatter.size() > 0) {
    unknown.emplace(model, slopes, centre, scatter, fits, single_explains);
  }
  const KnownBow known(model, slopes, fits, single_explains);
  std::vector<NextCheck> ranked;
  for (const CheckPlan& check : checks) {
    const Expected expected = unknown ? unknown->of(check.rows) : known.of(check.rows);
    NextCheck next = reported(check);
    next.information = 0.5 * std::log2(std::max(1.0, determinant_of(expected.all) / determinant_of(expected.noise)));
    next.merit = next.information / check.effort;
    if (single_explains) {
      next.expectation = expected_text(model, check, slopes, fits.singles, fits.probability);
    }
    ranked.push_back(std::move(next));
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const NextCheck& a, const NextCheck& b) { return a.merit > b.merit; });
  return ranked;
}

}  // namespace nockwise::detail
