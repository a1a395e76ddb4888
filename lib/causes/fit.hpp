// Fits of a case: each deviation alone, two together, and all at once. Private.
//
// A tear is not a monotonic function of a deviation: an arrow that is nocked low may bounce off its rest and show the
// same hole as one nocked high. So each deviation is first launched over its whole likely range.
#pragma once

#include "causes/model.hpp"

#include <array>
#include <map>

namespace nockwise::detail {

/// What every reading would be as one deviation is moved alone: full launches, straight lines between them.
class ResponseCurve {
 public:
  void add(double steps, const Eigen::VectorXd& predicted) { points_[steps] = predicted; }
  [[nodiscard]] const std::map<double, Eigen::VectorXd>& points() const { return points_; }
  /// Predicted readings at `steps`, and their change per step there.
  [[nodiscard]] Eigen::VectorXd at(double steps) const;
  [[nodiscard]] Eigen::VectorXd slope(double steps) const;

 private:
  [[nodiscard]] std::map<double, Eigen::VectorXd>::const_iterator after(double steps) const;
  std::map<double, Eigen::VectorXd> points_;
};

/// Probability that three more arrows of the bow as found all show a tear: a bow is brought in because its tear
/// repeats. 1 where the hole that is reported is no tear, or not of the bow as found.
class Visibility {
 public:
  explicit Visibility(const CaseModel& model);
  [[nodiscard]] double of(double up, double right) const;

 private:
  [[nodiscard]] double within(double tear) const { return probability_within(tear, limit_, sigma_); }
  double sigma_ = 1.0, limit_ = 0.0;
  bool counts_ = false;
};

/// Uncertainty of the first hole under one explanation: the true tear is that of its most probable bow plus the bias,
/// give or take one standard deviation [m].
struct TearSpread {
  double bias_up = 0.0, bias_right = 0.0;
  double deviation_up = 0.0, deviation_right = 0.0;
};

/// One deviation alone: one of at most two amounts that explain the readings.
struct SingleFit {
  Eigen::Index which = 0;
  double steps = 0.0;               // most probable
  double low = 0.0, high = 0.0;     // hold 90 % of the posterior around it
  double standard_deviation = 0.0;  // after the readings
  Eigen::VectorXd predicted;
  TearSpread spread;
  double chi_square = 0.0;
  double score = 0.0;  // minus twice the logarithm of its evidence, up to a constant
};

/// Bounds of an amount [steps].
struct AmountRange {
  double low = -1e300, high = 1e300;
};

/// Two deviations, and no other: one of at most two modes of their posterior.
struct PairFit {
  std::array<Eigen::Index, 2> which{};
  std::array<AmountRange, 2> range{};           // of the mode
  std::array<double, 2> steps{};                // most probable
  std::array<std::array<double, 2>, 4> ends{};  // where the intervals of either amount end, with the other's there
  double score = 0.0;                           // as that of a SingleFit
  std::array<double, 2> tear{}, deviation{};    // of the first hole, up and right: mean and standard deviation [m]

  // Of the launch where the two are most probable, which only the likeliest pairs have.
  Eigen::VectorXd predicted;
  std::array<double, 2> low{}, high{};  // hold 90 % of the posterior of each
  TearSpread spread;
  double chi_square = 0.0;
  [[nodiscard]] bool launched() const { return predicted.size() > 0; }
};

/// The most probable deviations together, and their uncertainty, linearised there.
struct JointFit {
  Eigen::VectorXd steps;
  Eigen::VectorXd predicted;   // of every reading
  Eigen::MatrixXd slopes;      // of every reading, per step
  Eigen::MatrixXd covariance;  // [steps²]
  TearSpread spread;
  double chi_square = 0.0;
  double objective = 0.0;  // chi-square and prior
};

/// Launches over ± 2.5 prior widths of every deviation.
/// \throws SolverError when the setup as given cannot be shot
[[nodiscard]] std::vector<ResponseCurve> launch_curves(CaseModel& model);

/// How every reading answers to one more step of each deviation of a bow that has these: each on its own curve, as if
/// the others left it as it is [SI per step].
[[nodiscard]] Eigen::MatrixXd curve_slopes(const std::vector<ResponseCurve>& curves, const Eigen::VectorXd& state);

/// Every deviation alone, most probable first; the curves are refined on the way.
[[nodiscard]] std::vector<SingleFit> fit_each(CaseModel& model, std::vector<ResponseCurve>& curves);

/// All deviations: Gauss–Newton with full launches, from the best of the single fits and the launched pairs; slopes
/// refreshed at the end.
[[nodiscard]] JointFit fit_all(CaseModel& model, const std::vector<ResponseCurve>& curves,
                               const std::vector<SingleFit>& singles, const std::vector<PairFit>& pairs);

/// Value that a chi-square exceeds as rarely as a normal variable exceeds `normal_quantile` (Wilson and Hilferty).
[[nodiscard]] double chi_square_limit(double degrees, double normal_quantile);

}  // namespace nockwise::detail
