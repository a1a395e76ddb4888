// A case as a vector-valued function of the deviations: what every reading would be, from full launches. Private.
#pragma once

#include "nockwise/explanation.hpp"
#include "nockwise/ignorance.hpp"
#include "nockwise/outputs.hpp"
#include "shots/batch.hpp"

#include <Eigen/Core>

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nockwise::detail {

/// What is read from a shot or from the bow.
enum class ObservedKind { tear_up, tear_right, check, draw_force };

/// One number that was read, or could be.
struct Reading {
  ObservedKind kind = ObservedKind::check;
  std::size_t variant = 0;       // which shot
  double place = 0.0;            // of a tear: distance of the paper [m]; of a draw force: AMO draw length [m]
  std::string what;              // for people; of a check: the name of the output or the path of the parameter
  std::optional<Output> output;  // of a check, if it is one
  double value = 0.0;            // as read
  double standard_deviation = 1.0;
};

/// One way in which the bow is shot.
struct Variant {
  std::vector<ParameterChange> changes;  // against the bow as found
  std::string archer;                    // whose hand: empty for the bow's own archer
  bool draw_curve = false;               // draw forces are read
};

/// The parameter that a relaxed hand sets to zero.
inline constexpr const char* hand_torque = "hold.grip_torque";

/// The adjustment that a hand which twists the bow is.
inline constexpr const char* hand_name = "grip.torque";

/// Whether it is the torque of somebody's hand ("grip.torque@a friend").
inline bool is_hand(const Adjustment& a) { return a.name.starts_with(hand_name); }

/// A shooting machine as the archer of a hole: a hand that twists nothing.
inline constexpr std::string_view shooting_machine = "machine";

constexpr double per_reading_error = 1.959964;  // a reading error holds 19 of 20
constexpr double ninety_percent = 1.644854;

/// Probability that a normal variable of this mean and standard deviation lies within ± `limit`.
[[nodiscard]] double probability_within(double mean, double limit, double standard_deviation);

/// The deviations that are suspected, and the readings they explain.
class CaseModel {
 public:
  /// \throws InputError for values that cannot be meant
  CaseModel(const Case& observed, const Execution& execution) : CaseModel(observed, Suspects::ordinary, execution) {}

  /// Which deviations are thought of.
  enum class Suspects {
    ordinary,  ///< those that are usually off, as far as they usually are
    all        ///< rare ones as well, and all as far as they can physically be
  };
  CaseModel(const Case& observed, Suspects suspects, const Execution& execution);

  /// Other unknowns than the suspected adjustments, with their prior widths in steps.
  CaseModel(Setup setup, std::vector<Adjustment> unknowns, Eigen::VectorXd priors, const Execution& execution);

  [[nodiscard]] const Setup& setup() const { return setup_; }
  [[nodiscard]] const std::vector<Adjustment>& unknowns() const { return unknowns_; }
  [[nodiscard]] Eigen::Index size() const { return static_cast<Eigen::Index>(unknowns_.size()); }
  [[nodiscard]] const Eigen::VectorXd& priors() const { return priors_; }
  /// How far each is usually off, whatever is allowed [steps].
  [[nodiscard]] const Eigen::VectorXd& usual_priors() const { return usual_priors_; }
  /// Farthest steps that a setup can have, either way; the state is kept inside.
  [[nodiscard]] Eigen::VectorXd clamped(const Eigen::VectorXd& state) const {
    return state.cwiseMax(least_).cwiseMin(most_);
  }
  [[nodiscard]] const std::vector<Reading>& readings() const { return readings_; }
  [[nodiscard]] const std::vector<Variant>& variants() const { return variants_; }
  [[nodiscard]] std::size_t launches() const { return launches_; }
  /// Takes over how many launches a copy of this has made.
  void count_launches(const CaseModel& copy) { launches_ = copy.launches_; }

  /// Add readings, also ones that are not made yet; returns the row of the first.
  std::size_t add_tear(const std::vector<ParameterChange>& changes, std::optional<double> distance,
                       const TearObservation& seen);
  std::size_t add_check(const CheckObservation& check, const std::vector<ParameterChange>& changes = {});
  std::size_t add_draw_force(double draw_length, double force, double error);

  /// The readings of each of these bows; nothing for one that cannot be shot.
  [[nodiscard]] std::vector<std::optional<Eigen::VectorXd>> predict(const std::vector<Eigen::VectorXd>& states);
  /// d(reading)/d(step), by central differences over `width` steps either way; `centre` receives the readings there.
  /// \throws SolverError when the bow itself cannot be shot
  [[nodiscard]] Eigen::MatrixXd jacobian(const Eigen::VectorXd& state, double width, Eigen::VectorXd& centre);
  /// The bow as it came in, with these deviations.
  [[nodiscard]] Setup bow(const Eigen::VectorXd& state) const { return bow(state, ""); }
  /// The bow as it stands after the case's work.
  [[nodiscard]] Setup worked(Setup bow) const { return changed(std::move(bow), work_); }
  /// How many steps of work were done.
  [[nodiscard]] std::size_t work_done() const { return work_end_.size(); }
  /// observed − predicted of every reading, so that all are independent and of standard deviation 1: divided by the
  /// readers' errors, or, with a covariance besides, whitened by both.
  [[nodiscard]] Eigen::VectorXd residual(const Eigen::VectorXd& predicted) const;
  /// The same of changes of the readings, a column each.
  [[nodiscard]] Eigen::MatrixXd whitened(const Eigen::MatrixXd& changes) const;

  /// Readings scatter besides by what is not known of the bow [SI]; those that are added later are not whitened.
  void scatter_by(const Eigen::MatrixXd& covariance);
  /// Number of the first readings that it was told of; 0 where only readers err.
  [[nodiscard]] Eigen::Index scattered() const { return whitener_.rows(); }
  /// The reader's error of the first hole's parts is this times the residual, on average, with this variance [m, m²].
  [[nodiscard]] double first_error(int part, const Eigen::VectorXd& residual) const;
  [[nodiscard]] double first_error_variance(int part) const;

  /// The shots of a bow with these deviations and what is read of them; `row_of` receives the reading of each row.
  [[nodiscard]] std::vector<WatchedShot> watched(const Eigen::VectorXd& state, std::vector<std::size_t>& row_of) const;
  /// Whether the vanes of any bow that was predicted so far strike its launcher.
  [[nodiscard]] bool vanes_strike() const { return vanes_strike_; }
  /// Why the last bow could not be shot.
  [[nodiscard]] const std::string& failure() const { return failure_; }

 private:
  void suspect(const Adjustment& what, double prior, const std::string& hand_of);
  void suspect_all(const Case& observed, bool rare);
  void find_bounds();
  /// The bow in this archer's hand.
  [[nodiscard]] Setup bow(const Eigen::VectorXd& state, const std::string& archer) const;
  [[nodiscard]] double farthest(std::size_t unknown, double side) const;
  [[nodiscard]] static Setup changed(Setup bow, const std::vector<ParameterChange>& changes);
  void take_work(const std::vector<WorkStep>& work);
  /// Changes of the first steps of work, and then these.
  [[nodiscard]] std::vector<ParameterChange> after_work(std::size_t steps,
                                                        const std::vector<ParameterChange>& changes) const;
  std::size_t variant_for(const std::vector<ParameterChange>& changes, const std::string& archer = "");
  [[nodiscard]] ShotRequest request(const Eigen::VectorXd& state, const Variant& variant) const;

  Setup setup_;
  Execution execution_;
  std::vector<Adjustment> unknowns_;
  std::vector<std::optional<std::string>> hand_of_;  // whose hand each unknown is, if it is one
  Eigen::VectorXd priors_, usual_priors_, least_, most_;
  std::vector<ParameterChange> work_;  // of all steps
  std::vector<std::size_t> work_end_;  // how many of them after each step
  std::vector<Variant> variants_;
  std::vector<Reading> readings_;
  Eigen::MatrixXd whitener_;  // lower triangle; empty where only readers err
  std::size_t launches_ = 0;
  bool vanes_strike_ = false;
  std::string failure_;
};

}  // namespace nockwise::detail
