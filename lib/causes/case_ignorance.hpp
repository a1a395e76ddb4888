// What is not known of the bow besides what is suspected, in a case: how its readings scatter by it, and bows that are
// as likely as any after the readings. Private.
//
// A reading is y = f(a) + J z + e: launches of the bow with the deviations a, what is not known z (lib/ignorance,
// normal beforehand), linear around the bow, and the reader's error e. z is the same for every shot of a bow, so that
// the errors of readings by what is not known go together: their covariance is C = J Σ Jᵀ, and fits are judged by R + C
// in place of R (a Gaussian discrepancy shared by the observations; Kennedy and O'Hagan 2001, with launches in place of
// a kernel). Given a, the posterior of z is normal; a plan is tried on draws of a and z together.
#pragma once

#include "causes/model.hpp"
#include "nockwise/ignorance.hpp"

#include <vector>

namespace nockwise::detail {

/// Ignorance of a case's bow, and how its readings answer to it.
struct CaseIgnorance {
  Ignorance ignorance;
  Eigen::MatrixXd slope;       // readings × directions, per standard deviation, in the readings' order
  Eigen::MatrixXd covariance;  // of the readings [SI]
  [[nodiscard]] bool empty() const { return ignorance.directions.empty(); }
};

/// What is not known of the case's bow, without what the model suspects.
[[nodiscard]] Ignorance ignorance_besides(const CaseModel& model, double level, const Execution& execution);

/// How the model's readings answer to it around a bow with these deviations.
/// \throws SolverError where that bow cannot be shot
[[nodiscard]] CaseIgnorance answer_to(const Ignorance& ignorance, const CaseModel& model, const Eigen::VectorXd& state,
                                      const Execution& execution);

/// Readings of the bow that an explanation predicts, with what those that were made tell of what is not known.
[[nodiscard]] Eigen::VectorXd as_told(const CaseModel& model, const CaseIgnorance& ignorance,
                                      const Eigen::VectorXd& predicted);

/// One draw of a bow that would show the readings.
struct DrawnBow {
  Eigen::VectorXd state;                           // deviations [steps]
  Setup bow;                                       // with what is not known
  std::array<double, 2> tear{};                    // at the first hole, up and right, as the readings leave it [m]
  std::optional<std::array<double, 2>> relaxed{};  // the same of the hole that another hand, or a relaxed one, shot [m]
  double share = 1.0;                              // of the explanation's weight
};

/// Draws around an explanation: its most probable bow, then pairs on either side of it. `slopes` are those of the
/// readings per step of each deviation, at the explanation (a nock on a blade has others on either side); only
/// deviations other than zero in `state` are drawn.
[[nodiscard]] std::vector<DrawnBow> draw_bows(const CaseModel& model, const CaseIgnorance& ignorance,
                                              const Eigen::VectorXd& state, const Eigen::VectorXd& predicted,
                                              const Eigen::MatrixXd& slopes, int pairs);

}  // namespace nockwise::detail
