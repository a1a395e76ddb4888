#include "causes/checks.hpp"

#include "nockwise/units.hpp"
#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double sixty_fourth = 0.0254 / 64.0;

/// Collects the checks that this bow allows and that are not made yet.
class CheckList {
 public:
  CheckList(const Case& observed, CaseModel& model) : observed_(observed), model_(model) {}

  void measure(const char* name, const char* instruction, double effort,
               const std::vector<CheckObservation>& readings) {
    CheckPlan plan{name, instruction, effort, {}, {}, {}};
    for (const CheckObservation& each : readings) {
      if (!made(each.what)) {
        CheckObservation check = each;
        check.after = model_.work_done();
        plan.rows.push_back(model_.add_check(check));
        plan.checks.push_back(check);
      }
    }
    keep(std::move(plan));
  }

  [[nodiscard]] bool made(const std::string& what) const {
    return std::any_of(observed_.checks.begin(), observed_.checks.end(),
                       [&](const CheckObservation& check) { return check.what == what; });
  }

  void shoot_again(bool second_arrow) { keep(more_holes_check(model_, second_arrow)); }

  void shoot(const char* name, const std::string& instruction, double effort,
             const std::vector<ParameterChange>& changes, std::optional<double> distance) {
    const Setup& setup = observed_.setup;
    const double usual = setup.surroundings.paper_distance;
    const double wanted = distance.value_or(usual);
    const bool made = std::any_of(observed_.tears.begin(), observed_.tears.end(), [&](const TearObservation& tear) {
      return tear.archer.empty() && tear.changes == changes && tear.after == observed_.work.size() &&
             std::fabs(tear.distance.value_or(usual) - wanted) < 0.15;
    });
    if (made) {
      return;
    }
    CheckPlan plan{name, instruction, effort, {}, {}, {}};
    TearObservation tear;
    tear.after = model_.work_done();
    const std::size_t row = model_.add_tear(changes, wanted, tear);
    plan.rows = {row, row + 1};
    tear.distance = distance;
    tear.label = name;
    tear.changes = changes;
    plan.tears.push_back(tear);
    keep(std::move(plan));
  }

  [[nodiscard]] std::vector<CheckPlan> take() { return std::move(plans_); }

 private:
  void keep(CheckPlan plan) {
    if (!plan.rows.empty()) {
      plans_.push_back(std::move(plan));
    }
  }
  const Case& observed_;
  CaseModel& model_;
  std::vector<CheckPlan> plans_;
};

/// Change of one reading that a cause makes, in words.
std::string change_text(const Reading& reading, double change) {
  const Quantity quantity = reading.kind == ObservedKind::check ? check_quantity(reading.what) : Quantity::length;
  const char* name = reading.kind == ObservedKind::tear_up      ? "tear up "
                     : reading.kind == ObservedKind::tear_right ? "tear right "
                                                                : "";
  const std::string_view unit = quantity == Quantity::length ? "in" : workshop_unit(quantity);
  return name + std::string(change < 0.0 ? "" : "+") + display(change, quantity, unit, 2);
}

/// What each likely single cause would show; empty where they would show the same.
std::string expected_text(const CaseModel& model, const CheckPlan& check, const Eigen::MatrixXd& slopes,
                          const std::vector<SingleFit>& singles, const std::vector<double>& probability) {
  constexpr std::size_t most = 3;
  constexpr double least_probability = 0.02;
  constexpr double visible = 2.0;  // [standard deviations]
  std::string text;
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
      shown += (shown.empty() ? "" : ", ") + change_text(reading, change);
    }
    text += (text.empty() ? "" : "; ") + shown + " if " +
            describe_cause(model.unknowns()[static_cast<std::size_t>(singles[i].which)], singles[i].steps);
  }
  return spread < visible ? "" : "Against the bow as it should be: " + text + ".";
}

}  // namespace

bool changes_hand(const TearObservation& tear) {
  return std::any_of(tear.changes.begin(), tear.changes.end(),
                     [](const ParameterChange& change) { return change.path == hand_torque; });
}

CheckPlan more_holes_check(CaseModel& model, bool second_arrow) {
  CheckPlan plan;
  plan.name = more_holes;
  plan.instruction = second_arrow
                         ? "Shoot two more arrows through fresh paper, the bow as found, and report each hole."
                         : "Shoot the arrow twice more through fresh paper, the bow as found, and report each hole.";
  plan.effort = 3.0;
  for (int i = 0; i < 2; ++i) {
    TearObservation tear;
    tear.after = model.work_done();
    const std::size_t row = model.add_tear({}, {}, tear);
    plan.rows.insert(plan.rows.end(), {row, row + 1});
    tear.label = "once more";
    plan.tears.push_back(tear);
  }
  return plan;
}

NextCheck reported(const CheckPlan& check) {
  NextCheck next;
  next.name = check.name;
  next.instruction = check.instruction;
  next.effort = check.effort;
  next.checks = check.checks;
  next.tears = check.tears;
  return next;
}

namespace {

void add_measurements(const Case& observed, CheckList& list) {
  const Setup& setup = observed.setup;
  const bool stops = setup.cams.upper.stop.kind != StopKind::none && setup.cams.lower.stop.kind != StopKind::none;
  if (stops && observed.workshop.draw_board) {
    list.measure(stops_check,
                 "Draw the bow slowly on a draw board: do both stops touch together, and if not, how far "
                 "open is the late one?",
                 10.0, {{"stop_gap", 0.0, sixty_fourth}});
  } else if (stops) {
    list.measure(stops_check,
                 "Draw the bow by hand with an arrow on the string, pointed at a safe target, and let somebody who "
                 "stands beside you watch the stops: do both touch together, and if not, how far open is the late one?",
                 10.0, {{"stop_gap", 0.0, 4.0 * sixty_fourth}});
  }
  if (setup.rest.kind != RestKind::none) {
    list.measure("square",
                 list.made("arrow_square")
                     ? "Measure with a bow square how far the nocking point stands from where the setup has it."
                 : list.made("string.nocking_point")
                     ? "Put a bow square on the string: does the arrow stand square at brace?"
                     : "Put a bow square on the string: does the arrow stand square at brace, and where does it run?",
                 3.0, {{"arrow_square", 0.0, 2.0 * sixty_fourth}, {"string.nocking_point", 0.0, 2.0 * sixty_fourth}});
    list.measure("center_shot", "Measure centre shot, from the riser to the middle of the arrow at the rest.", 3.0,
                 {{"rest.center_shot", 0.0, 2.0 * sixty_fourth}});
  }
  if (observed.workshop.draw_board) {
    list.measure("cam_lean", "Lay a straight arrow along each cam at full draw on the draw board and read its lean.",
                 8.0, {{"lean_upper", 0.0, 0.01}, {"lean_lower", 0.0, 0.01}});
  }
  if (setup.rest.kind == RestKind::limb_driven || setup.rest.kind == RestKind::cable_driven) {
    list.measure("rest_timing",
                 list.made("rest.arm.cord_attachment")
                     ? "Draw slowly and watch the rest: how far before the wall does it come fully up?"
                     : "Draw slowly and watch the rest: how far before the wall does it come fully up, and where is "
                       "its cord tied?",
                 5.0, {{"rest_up_before_wall", 0.0, 0.00635}, {"rest.arm.cord_attachment", 0.0, 0.004}});
  }
}

/// A distance that the bow was not shot from yet, and that can be; half the usual one, if any can.
std::optional<double> other_distance(const Case& observed) {
  const double usual = observed.setup.surroundings.paper_distance;
  if (observed.workshop.distances.empty()) {
    return std::max(1.5, 0.5 * usual);
  }
  std::optional<double> farthest;
  double apart = 0.3;  // [m] nearer than that is no other distance
  for (const double each : observed.workshop.distances) {
    double nearest = std::fabs(each - usual);
    for (const TearObservation& tear : observed.tears) {
      nearest = std::min(nearest, std::fabs(each - tear.distance.value_or(usual)));
    }
    if (nearest > apart) {
      apart = nearest;
      farthest = each;
    }
  }
  return farthest;
}

void add_shots(const Case& observed, CheckList& list) {
  const Workshop& workshop = observed.workshop;
  list.shoot_again(workshop.second_arrow);
  const bool other_hand = std::any_of(observed.tears.begin(), observed.tears.end(), [](const TearObservation& tear) {
    return !tear.archer.empty() || changes_hand(tear);
  });
  if (!other_hand) {
    list.shoot("no_grip_torque", "Shoot again with a relaxed, open hand, or let another archer shoot the bow.", 3.0,
               {{hand_torque, 0.0, false}}, {});
  }
  if (const auto distance = other_distance(observed)) {
    const std::string where =
        workshop.distances.empty() ? "at half the distance" : "from " + display(*distance, Quantity::length, "ft", 0);
    list.shoot("second_distance", "Shoot again through paper " + where + ".", 3.0, {}, distance);
  }
  if (observed.setup.arrow.fletching.count > 0 && workshop.second_arrow) {
    list.shoot("bare_shaft", "Shoot a bare shaft of the same mass and point through the paper.", 5.0, {bare_shaft()},
               {});
  }
  if (workshop.spare_spine) {
    list.shoot("another_spine", "Shoot an arrow one spine class stiffer.", 5.0, {{"arrow.spine", -0.05 * 0.0254, true}},
               {});
  }
}

}  // namespace

std::vector<CheckPlan> add_possible_checks(const Case& observed, CaseModel& model) {
  CheckList list(observed, model);
  add_measurements(observed, list);
  add_shots(observed, list);
  return list.take();
}

namespace {

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
