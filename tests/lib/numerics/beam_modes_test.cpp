// The banded solution for the lowest bending modes against Eigen's dense one of the same matrices.
#include "numerics/beam_modes.hpp"

#include "beam.hpp"

#include <Eigen/Eigenvalues>
#include <gtest/gtest.h>

namespace nockwise {
namespace {

class BendingModesOf : public ::testing::TestWithParam<BeamSpecification> {};

TEST_P(BendingModesOf, AreThoseOfTheDenseMatrices) {
  const Beam beam(GetParam());
  const auto nodes = beam.mass.size();
  const Eigen::VectorXd scale = beam.mass.array().sqrt().inverse();
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> dense(scale.asDiagonal() * beam.stiffness * scale.asDiagonal());
  const auto count = static_cast<int>(nodes - 2);
  const auto modes = detail::bending_modes(beam.mass, beam.spacing(), GetParam().bending_stiffness, count);
  for (Eigen::Index k = 0; k < count; ++k) {
    const double wanted = std::sqrt(dense.eigenvalues()[k + 2]);
    EXPECT_NEAR(modes.frequency[k], wanted, 1e-7 * wanted) << k;
    // The residual is a sharper measure than the dense vectors, which lose digits in the lowest modes.
    const Eigen::VectorXd y = modes.shapes.col(k);
    const Eigen::VectorXd inertia = modes.frequency[k] * modes.frequency[k] * beam.mass.cwiseProduct(y);
    EXPECT_LT((beam.stiffness * y - inertia).norm(), 1e-9 * (beam.stiffness * y).norm() + 1e-7 * inertia.norm()) << k;
    EXPECT_GE(y[0], 0.0);
  }
  const Eigen::MatrixXd gram = modes.shapes.transpose() * beam.mass.asDiagonal() * modes.shapes;
  EXPECT_LT((gram - Eigen::MatrixXd::Identity(count, count)).cwiseAbs().maxCoeff(), 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Beams, BendingModesOf,
                         ::testing::Values(BeamSpecification{.nodes = 5}, BeamSpecification{.nodes = 16},
                                           BeamSpecification{.nock_mass = 0.1, .point_mass = 0.5, .nodes = 24},
                                           BeamSpecification{.point_mass = 20.0, .nodes = 24},
                                           BeamSpecification{.nock_mass = 1e-3, .nodes = 64}));

}  // namespace
}  // namespace nockwise
