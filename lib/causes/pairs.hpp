// Two deviations together: the whole posterior of every pair. Private.
//
// What two deviations do together is their curves' sum and an interaction: with the nock high the arrow bounces, and
// then the rest's height has another effect than alone. The interaction is launched at a few places of every pair, and
// of the likely pairs again where they are most probable, and interpolated between those by a Gaussian process
// (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, eq. 2.25); it is zero where one of the two is
// zero. One deviation's posterior is summed on a grid that zooms in, that of the other exactly: along a straight piece
// of its curve it is a normal distribution that is cut off at the ends. Where the posterior falls into two modes
// (nocked high and bouncing, or nocked low), each is an explanation of its own, with its own repair.
#pragma once

#include "causes/fit.hpp"

namespace nockwise::detail {

/// What two deviations together do beyond the sum of what each does alone, interpolated between launches. Amounts in
/// prior widths, effects in standard deviations of the readings.
class Interaction {
 public:
  void add(double first, double second, const Eigen::VectorXd& effect);
  [[nodiscard]] bool empty() const { return places_.empty(); }
  /// Effects at one amount of the first and many of the second, a column each.
  [[nodiscard]] Eigen::MatrixXd at(double first, const Eigen::VectorXd& second) const;
  /// The same with the two in the other order.
  [[nodiscard]] Interaction swapped() const;

 private:
  void solve();

  std::vector<std::array<double, 2>> places_;
  Eigen::MatrixXd effects_;  // a column for each place
  Eigen::MatrixXd weights_;  // of each place's covariance
};

/// A curve against the bow as it should be, in standard deviations of the readings.
struct ScaledCurve {
  Eigen::VectorXd steps;
  Eigen::MatrixXd change;  // a column for each of them
  double prior = 1.0;

  [[nodiscard]] Eigen::VectorXd at(double amount) const;
};

/// All pairs of one case.
class PairStudy {
 public:
  /// Launches a few places of every pair.
  PairStudy(CaseModel& model, const std::vector<ResponseCurve>& curves);

  /// Every mode of every pair, most probable first.
  [[nodiscard]] const std::vector<PairFit>& fits() const { return fits_; }
  /// Launch the `count` most probable of them where each is most probable, again and again as that place moves.
  void launch_likely(std::size_t count);

 private:
  [[nodiscard]] std::size_t number_of(const std::array<Eigen::Index, 2>& which) const;
  [[nodiscard]] Eigen::VectorXd state_of(const std::array<Eigen::Index, 2>& which,
                                         const std::array<double, 2>& steps) const;
  void add_interaction(const std::array<Eigen::Index, 2>& which, const Eigen::VectorXd& state,
                       const Eigen::VectorXd& predicted);
  void find_modes(const std::array<Eigen::Index, 2>& which);
  [[nodiscard]] PairFit fit_of(const std::array<Eigen::Index, 2>& which, const std::array<AmountRange, 2>& range) const;
  void add_launch(const Eigen::VectorXd& predicted, PairFit& fit) const;
  /// Launch these where they are most probable and, if wanted, where their intervals end; find their modes anew.
  void refine(const std::vector<PairFit>& likely, bool at_ends);
  void sort();

  CaseModel& model_;
  Eigen::VectorXd nominal_, residual_;
  std::vector<ScaledCurve> curves_;
  std::vector<Interaction> interactions_;  // by number_of()
  std::vector<PairFit> fits_;
};

}  // namespace nockwise::detail
