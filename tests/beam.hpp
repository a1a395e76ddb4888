/// @file
/// The arrow's beam as matrices, for tests: stiffness and thrust written node by node, apart from the banded matrices
/// from which the library has its modes (lib/numerics/beam_modes.hpp); mass from the compiled arrow.
#pragma once

#include "compile/model_data.hpp"
#include "nockwise/setup.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <vector>

namespace nockwise {

/// An arrow of bare shaft, with masses at both ends.
struct BeamSpecification {
  double length = 1.0;
  double bending_stiffness = 1.0;
  double linear_density = 1.0;
  double nock_mass = 0.0;
  double point_mass = 0.0;
  int nodes = 24;
};

/// Its compiled data; ranges of the setup are not checked, so that unit values can be used.
inline detail::ModelData compile_beam(const BeamSpecification& beam) {
  detail::ModelData data;
  Arrow& arrow = data.setup.arrow;
  arrow.length = beam.length;
  arrow.bending_stiffness = beam.bending_stiffness;
  arrow.linear_density = beam.linear_density;
  arrow.nock_mass = beam.nock_mass;
  arrow.point_mass = beam.point_mass;
  arrow.insert_mass = 0.0;
  arrow.fletching.count = 0;
  arrow.damping_ratio = 0.0;
  arrow.nodes = beam.nodes;
  detail::compile_arrow(data);
  return data;
}

/// 1/(4 − previous), the pivots of the tridiagonal (1 4 1) matrix of the spline's curvatures.
struct SplinePivots {
  double inverse[kernel::max_nodes]{};
  constexpr SplinePivots() {
    double previous = 0.0;
    for (double& value : inverse) {
      value = 1.0 / (4.0 - previous);
      previous = value;
    }
  }
};
inline constexpr SplinePivots spline_pivots{};

/// Bending moments EI κ at the nodes (zero at both free ends) of the spline through `y` (Eq. 18), and the transverse
/// forces they exert.
inline void add_bending_forces(const kernel::NodalArrow<double>& arrow, int nodes, const double* y, const double* rate,
                               double* force) {
  const double time = arrow.damping_time;
  const double scale = 6.0 * arrow.bending_stiffness / (arrow.spacing * arrow.spacing);
  double moment[kernel::max_nodes];
  double previous = 0.0;
  double left = y[0] + time * rate[0];
  double middle = y[1] + time * rate[1];
  for (int i = 1; i < nodes - 1; ++i) {
    const double right = y[i + 1] + time * rate[i + 1];
    const double pivot = spline_pivots.inverse[i - 1];
    previous = (scale * ((left - middle) + (right - middle)) - previous) * pivot;
    moment[i] = previous;
    left = middle;
    middle = right;
  }
  double next = 0.0;
  for (int i = nodes - 2; i >= 1; --i) {
    next = moment[i] - spline_pivots.inverse[i - 1] * next;
    moment[i] = next;
  }
  moment[0] = 0.0;
  moment[nodes - 1] = 0.0;
  const double inverse_spacing = 1.0 / arrow.spacing;
  double shear_before = 0.0;
  for (int i = 0; i < nodes - 1; ++i) {
    const double shear = (moment[i + 1] - moment[i]) * inverse_spacing;
    force[i] -= (shear - shear_before);
    shear_before = shear;
  }
  force[nodes - 1] += shear_before;
}

/// Transverse force per unit axial acceleration: g_i = (m_ahead,i−1 Δy_i−1 − m_ahead,i Δy_i)/h. Added as ẍ g (Eq. 22),
/// this is the softening by thrust ("dynamic spine").
inline void nodal_thrust_shape(const kernel::NodalArrow<double>& arrow, int nodes, const double* y, double* shape) {
  const double inverse_spacing = 1.0 / arrow.spacing;
  double before = 0.0;
  for (int i = 0; i < nodes - 1; ++i) {
    const double pull = arrow.mass_ahead[i] * (y[i + 1] - y[i]) * inverse_spacing;
    shape[i] = before - pull;
    before = pull;
  }
  shape[nodes - 1] = before;
}

class Beam {
 public:
  explicit Beam(const BeamSpecification& specification)
      : data_(compile_beam(specification)), nodes_(specification.nodes) {
    const Eigen::Index n = nodes_;
    const Eigen::VectorXd still = Eigen::VectorXd::Zero(n);
    stiffness.resize(n, n);
    thrust.resize(n, n);
    for (Eigen::Index j = 0; j < n; ++j) {
      const Eigen::VectorXd unit = Eigen::VectorXd::Unit(n, j);
      Eigen::VectorXd force = still;
      add_bending_forces(data_.nodal, nodes_, unit.data(), still.data(), force.data());
      stiffness.col(j) = -force;
      nodal_thrust_shape(data_.nodal, nodes_, unit.data(), force.data());
      thrust.col(j) = force;
    }
    mass = Eigen::Map<const Eigen::VectorXd>(data_.nodal.mass, n);
    data_.modes = detail::free_modes(data_.nodal, nodes_, nodes_, data_.balance_point);  // all of them
  }

  /// Free angular frequencies, the two rigid ones first [rad/s].
  [[nodiscard]] const Eigen::VectorXd& frequencies() const { return data_.modes.frequency; }
  [[nodiscard]] const Eigen::MatrixXd& shapes() const { return data_.modes.shapes; }
  [[nodiscard]] double spacing() const { return data_.nodal.spacing; }
  [[nodiscard]] double total_mass() const { return data_.nodal.total_mass; }
  [[nodiscard]] double balance_point() const { return data_.balance_point; }
  [[nodiscard]] double inertia() const {
    const auto place = Eigen::VectorXd::LinSpaced(mass.size(), 0.0, spacing() * (nodes_ - 1)).array();
    return (mass.array() * (place - balance_point()).square()).sum();
  }
  [[nodiscard]] const kernel::NodalArrow<double>& nodal() const { return data_.nodal; }

  /// Deflection under nodal loads with the given nodes held at zero.
  [[nodiscard]] Eigen::VectorXd deflection(const Eigen::VectorXd& load, const std::vector<int>& held) const {
    Eigen::MatrixXd system = stiffness;
    Eigen::VectorXd right = load;
    for (const int i : held) {
      system.row(i).setZero();
      system(i, i) = 1.0;
      right[i] = 0.0;
    }
    return system.partialPivLu().solve(right);
  }

  Eigen::MatrixXd stiffness;
  Eigen::MatrixXd thrust;  // transverse nodal force = ẍ · thrust · y
  Eigen::VectorXd mass;

 private:
  detail::ModelData data_;
  int nodes_;
};

/// Where a mode shape crosses zero, from the nock, by cubic interpolation between the nodes [m].
inline std::vector<double> zero_crossings(const Beam& beam, Eigen::Index mode) {
  std::vector<double> found;
  const auto n = static_cast<int>(beam.mass.size());
  const Eigen::VectorXd shape = beam.shapes().col(mode);
  for (int i = 0; i + 1 < n; ++i) {
    if (shape[i] * shape[i + 1] > 0.0) {
      continue;
    }
    // Lagrange's cubic through four nodes around the interval.
    const int first = std::clamp(i - 1, 0, n - 4);
    const auto value = [&](double at) {
      double sum = 0.0;
      for (int a = first; a < first + 4; ++a) {
        double weight = shape[a];
        for (int b = first; b < first + 4; ++b) {
          weight *= a == b ? 1.0 : (at - b) / (a - b);
        }
        sum += weight;
      }
      return sum;
    };
    double low = i;
    double high = i + 1.0;
    for (int k = 0; k < 60; ++k) {
      const double middle = 0.5 * (low + high);
      (value(middle) * value(low) > 0.0 ? low : high) = middle;
    }
    found.push_back(low * beam.spacing());
  }
  return found;
}

}  // namespace nockwise
