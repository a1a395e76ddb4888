// What stays as it is measured on the bow, whatever else of it is not known. Private.
#pragma once

#include "nockwise/ignorance.hpp"

#include <Eigen/Core>

#include <string>
#include <vector>

namespace nockwise::detail {

/// The bow measures of a bow, and what is moved to hold them. Everything is in the plane of the draw.
class HeldMeasures {
 public:
  /// \throws SolverError where the bow cannot be drawn, or its measures do not answer to what should hold them
  explicit HeldMeasures(Setup setup);

  /// Names of the measures that this bow has.
  [[nodiscard]] const std::vector<const BowMeasure*>& measures() const { return measures_; }
  /// Each of them [SI].
  [[nodiscard]] const Eigen::VectorXd& values() const { return values_; }

  /// Whether a number makes any difference to the measures.
  [[nodiscard]] static bool depend_on(const std::string& path);

  /// What must move with a direction so that the measures stay; empty where nothing must.
  /// \throws SolverError where no bow a standard deviation either way can be drawn
  [[nodiscard]] std::vector<HeldStep> hold(const IgnoranceDirection& direction) const;
  /// What moves one measure by so much and leaves the others.
  [[nodiscard]] std::vector<HeldStep> move(std::size_t measure, double by) const;

  /// The measures of a bow like this one.
  [[nodiscard]] Eigen::VectorXd measured(const Setup& setup) const;

 private:
  /// Numbers that are moved alike, or against each other.
  struct Hold {
    std::vector<std::string> plus, minus;
    double step = 0.0;  // for differences [SI]
  };

  void choose_holds();
  void find_slopes();
  [[nodiscard]] Setup with_holds(Setup setup, const Eigen::VectorXd& amounts) const;
  /// How far each hold must move for a direction at z.
  [[nodiscard]] Eigen::VectorXd solve(const IgnoranceDirection& direction, double z) const;
  [[nodiscard]] std::vector<HeldStep> as_steps(const Eigen::VectorXd& linear, const Eigen::VectorXd& square) const;

  Setup setup_;
  std::vector<const BowMeasure*> measures_;
  std::vector<Hold> holds_;
  Eigen::VectorXd values_;
  Eigen::MatrixXd inverse_;  // amounts of the holds per change of the measures
};

}  // namespace nockwise::detail
