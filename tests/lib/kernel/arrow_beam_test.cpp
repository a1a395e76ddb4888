#include "beam.hpp"
#include "kernel/arrow_modes.hpp"
#include "kernel/right_hand_side.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace nockwise::kernel {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

// --- Stencil -----------------------------------------------------------------------------------------------------

constexpr double spacing = 0.03;
constexpr int nodes = 24;

double sum(const double (&w)[4]) { return w[0] + w[1] + w[2] + w[3]; }

TEST(Stencil, IsAPartitionOfUnityAndExactForLines) {
  std::array<double, nodes> line{};
  for (int i = 0; i < nodes; ++i) {
    line[static_cast<std::size_t>(i)] = 0.2 + 3.0 * i * spacing;
  }
  for (double s = 0.0; s <= (nodes - 1) * spacing; s += 0.0017) {
    const Stencil<double> foot = stencil(s, spacing, nodes);
    EXPECT_NEAR(sum(foot.weight), 1.0, 1e-14) << s;
    EXPECT_NEAR(sum(foot.slope_weight), 0.0, 1e-12) << s;
    EXPECT_NEAR(foot.value(line.data()), 0.2 + 3.0 * s, 1e-13) << s;
    EXPECT_NEAR(foot.slope(line.data()), 3.0, 1e-12) << s;
  }
}

TEST(Stencil, IsContinuousWithItsSlopeAcrossNodes) {
  std::array<double, nodes> wave{};
  for (int i = 0; i < nodes; ++i) {
    wave[static_cast<std::size_t>(i)] = std::sin(1.3 * i);
  }
  for (int i = 1; i < nodes - 1; ++i) {
    const double s = i * spacing;
    const Stencil<double> before = stencil(s * (1.0 - 1e-12), spacing, nodes);
    const Stencil<double> after = stencil(s * (1.0 + 1e-12), spacing, nodes);
    EXPECT_NEAR(before.value(wave.data()), wave[static_cast<std::size_t>(i)], 1e-9) << i;
    EXPECT_NEAR(after.value(wave.data()), wave[static_cast<std::size_t>(i)], 1e-9) << i;
    EXPECT_NEAR(before.slope(wave.data()), after.slope(wave.data()), 1e-7) << i;
  }
}

TEST(Stencil, SlopeIsTheDerivativeOfTheValue) {
  std::array<double, nodes> wave{};
  for (int i = 0; i < nodes; ++i) {
    wave[static_cast<std::size_t>(i)] = std::cos(0.7 * i);
  }
  constexpr double step = 1e-6;
  for (double s = 0.47 * spacing; s < (nodes - 1.1) * spacing; s += 0.61 * spacing) {
    const double up = stencil(s + step, spacing, nodes).value(wave.data());
    const double down = stencil(s - step, spacing, nodes).value(wave.data());
    EXPECT_NEAR(stencil(s, spacing, nodes).slope(wave.data()), (up - down) / (2.0 * step), 1e-7) << s;
  }
}

// --- Beam ----------------------------------------------------------------------------------------------------------

TEST(ArrowBeam, StiffnessIsSymmetricAndLetsRigidMotionsFree) {
  const Beam beam({.nodes = 17});
  const double size = beam.stiffness.norm();
  EXPECT_LT((beam.stiffness - beam.stiffness.transpose()).norm(), 1e-14 * size);
  EXPECT_LT((beam.stiffness * VectorXd::Ones(17)).norm(), 1e-12 * size);
  EXPECT_LT((beam.stiffness * VectorXd::LinSpaced(17, 0.0, 1.0)).norm(), 1e-12 * size);
  const Eigen::SelfAdjointEigenSolver<MatrixXd> solver(beam.stiffness);
  EXPECT_NEAR(solver.eigenvalues()[1] / size, 0.0, 1e-13);
  EXPECT_GT(solver.eigenvalues()[2] / size, 1e-6);
}

/// The spline is the exact shape under nodal loads, so that the deflection is exact at every node whatever their
/// number. Simply supported, load F at a: y = F b x (L² − b² − x²)/(6 L EI) for x ≤ a, b = L − a.
TEST(ArrowBeam, DeflectsExactlyUnderANodalLoadBetweenTwoSupports) {
  for (const int count : {6, 7, 24, 64}) {
    const Beam beam({.length = 0.7, .bending_stiffness = 7.5, .nodes = count});
    for (int loaded = 1; loaded < count - 1; loaded += 3) {
      const VectorXd y = beam.deflection(8.6 * VectorXd::Unit(count, loaded), {0, count - 1});
      const double a = loaded * beam.spacing();
      const double b = 0.7 - a;
      double worst = 0.0;
      for (int i = 0; i <= loaded; ++i) {
        const double x = i * beam.spacing();
        worst = std::fmax(worst, std::fabs(y[i] - 8.6 * b * x * (0.49 - b * b - x * x) / (6.0 * 0.7 * 7.5)));
      }
      EXPECT_LT(worst, 1e-9 * y.maxCoeff()) << count << ", " << loaded;  // conditioning of K grows with nodes⁴
    }
  }
}

/// A cantilever of length a that grows out of a span c: y = F a² (c + a)/(3 EI) at its end.
TEST(ArrowBeam, DeflectsExactlyAsAnOverhangingCantilever) {
  for (const int root : {1, 3, 8}) {
    const Beam beam({.length = 0.7, .bending_stiffness = 7.5, .nodes = 24});
    const VectorXd y = beam.deflection(2.0 * VectorXd::Unit(24, 23), {0, root});
    const double span = root * beam.spacing();
    const double overhang = 0.7 - span;
    const double expected = 2.0 * overhang * overhang * (span + overhang) / (3.0 * 7.5);
    EXPECT_NEAR(y[23], expected, 1e-9 * expected) << root;
  }
}

TEST(ArrowBeam, MassBalanceAndInertiaDoNotDependOnTheNodes) {
  for (const int count : {6, 11, 24, 64}) {
    const Beam beam({.length = 0.7, .linear_density = 0.02, .nock_mass = 0.001, .point_mass = 0.008, .nodes = count});
    const double shaft = 0.014;
    const double mass = shaft + 0.009;
    const double balance = (0.35 * shaft + 0.7 * 0.008) / mass;
    const double inertia = shaft * 0.49 / 12.0 + shaft * (0.35 - balance) * (0.35 - balance) +
                           0.001 * balance * balance + 0.008 * (0.7 - balance) * (0.7 - balance);
    EXPECT_NEAR(beam.total_mass(), mass, 1e-15) << count;
    EXPECT_NEAR(beam.balance_point(), balance, 1e-14) << count;
    EXPECT_NEAR(beam.inertia(), inertia, 1e-14 * inertia * 10.0) << count;
  }
}

/// Kelvin–Voigt: a rate acts like a displacement τ times as large.
TEST(ArrowBeam, DampingIsTheStiffnessTimesATime) {
  const Beam beam({.nodes = 12});
  NodalArrow<double> arrow = beam.nodal();
  arrow.damping_time = 0.3;
  VectorXd rate(12);
  rate << 0.1, -0.2, 0.5, 0.3, 0.0, 1.0, -0.7, 0.2, 0.2, 0.1, -0.3, 0.4;
  const VectorXd still = VectorXd::Zero(12);
  VectorXd force = still;
  add_bending_forces(arrow, 12, still.data(), rate.data(), force.data());
  EXPECT_LT((force + 0.3 * beam.stiffness * rate).norm(), 1e-12 * force.norm());
}

TEST(ArrowBeam, ThrustIsInternal) {
  const Beam beam({.nock_mass = 0.2, .point_mass = 0.6, .nodes = 15});
  EXPECT_LT((beam.thrust - beam.thrust.transpose()).norm(), 1e-15 * beam.thrust.norm());
  EXPECT_LT((beam.thrust * VectorXd::Ones(15)).norm(), 1e-14 * beam.thrust.norm());
  // A straight shaft at a slope: the thrust pushes the tail across by the mass ahead of it, each node by its own mass.
  const VectorXd force = beam.thrust * VectorXd::LinSpaced(15, 0.0, 0.01);
  EXPECT_NEAR(force[0], -0.01 * (beam.total_mass() - beam.mass[0]), 1e-14);
  for (int i = 1; i < 15; ++i) {
    EXPECT_NEAR(force[i], 0.01 * beam.mass[i], 1e-14) << i;
  }
}

// --- Modes ---------------------------------------------------------------------------------------------------------

TEST(ArrowModes, AreOrthonormalInMassAndDiagonaliseTheStiffness) {
  const Beam beam({.nock_mass = 0.1, .point_mass = 0.5, .nodes = 20});
  const MatrixXd& shapes = beam.shapes();
  const MatrixXd unit = shapes.transpose() * beam.mass.asDiagonal() * shapes;
  EXPECT_LT((unit - MatrixXd::Identity(20, 20)).norm(), 1e-10);
  const MatrixXd diagonal = shapes.transpose() * beam.stiffness * shapes;
  const MatrixXd expected = beam.frequencies().array().square().matrix().asDiagonal();
  EXPECT_LT((diagonal - expected).norm(), 1e-10 * expected.norm());
}

/// What a launch runs in is the nodal beam, seen through the kept modes.
TEST(ArrowModes, RepeatTheNodalBeam) {
  constexpr int count = 20;
  detail::ModelData data = compile_beam({.nock_mass = 0.1, .point_mass = 0.5, .nodes = count});
  data.setup.arrow.modes = 9;
  data.shapes.clear();
  const ArrowConstants<double> arrow = detail::compile_arrow(data);
  constexpr int kept = 11;
  const Beam beam({.nock_mass = 0.1, .point_mass = 0.5, .nodes = count});
  const MatrixXd shapes = beam.shapes().leftCols(kept);
  VectorXd c(kept);
  c << 0.3, -0.2, 0.5, 0.1, -0.4, 0.2, 0.3, 0.1, 0.05, -0.1, 0.02;
  const VectorXd y = shapes * c;

  VectorXd force = VectorXd::Zero(kept);
  thrust_shape(arrow, kept, c.data(), force.data());
  force *= arrow.total_mass;
  EXPECT_LT((force - shapes.transpose() * (beam.thrust * y)).norm(), 1e-12 * force.norm());

  VectorXd elastic = VectorXd::Zero(kept);
  VectorXd aside = VectorXd::Zero(kept);
  const VectorXd still = VectorXd::Zero(kept);
  add_elastic_forces(arrow, kept, c.data(), still.data(), still.data(), still.data(), elastic.data(), aside.data());
  EXPECT_LT((elastic + shapes.transpose() * (beam.stiffness * y)).norm(), 1e-9 * elastic.norm());
  EXPECT_EQ(aside.norm(), 0.0);

  for (const double s : {0.0, 0.013, 0.37, 0.62, 0.99}) {
    const ShaftPoint<double> point = shaft_point(arrow, count, kept, s);
    const Stencil<double> foot = stencil(s, arrow.spacing, count);
    EXPECT_NEAR(modal_sum(kept, point.shape, c.data()), foot.value(y.data()), 1e-13) << s;
    EXPECT_NEAR(modal_sum(kept, point.slope, c.data()), foot.slope(y.data()), 1e-12) << s;
  }
  EXPECT_NEAR(modal_sum(kept, arrow.nock_shape, c.data()), y[0], 1e-13);
}

/// The push on the nock is what the string's force leaves after moving its own lump (Eq. 25), for a strongly bent shaft
/// as well.
TEST(ArrowModes, ThePushOnTheNockMovesTheLumpWithIt) {
  detail::ModelData data = compile_beam({.nock_mass = 0.1, .point_mass = 0.5, .nodes = 12});
  data.shapes.clear();
  const ArrowConstants<double> arrow = detail::compile_arrow(data);
  constexpr int kept = 8;
  const Eigen::Map<const VectorXd> nock(arrow.nock_shape, kept);
  VectorXd c(kept);
  c << 0.1, -0.2, 0.5, 0.3, -0.1, 0.05, 0.02, -0.01;
  const VectorXd rate = c.reverse();
  const VectorXd force = 3.0 * c - 2.0 * rate;
  const VectorXd z = 0.3 * rate - 0.4 * c;
  const VectorXd z_rate = 0.7 * c;
  const VectorXd z_force = rate - c;
  ThrustShapes<double> thrust{};
  const double lump = 0.7;
  const double axial = 1.3;
  const NockForce<double> string{{5.0, -2.0}, 1.5};
  NockInertia<double> at_nock = nock_inertia(arrow, kept, 1.0, lump);
  thrust_shapes(arrow, kept, at_nock.inverse_mass, c.data(), z.data(), rate.data(), z_rate.data(), thrust);
  VectorXd y_forces = force;
  VectorXd z_forces = z_force;
  const ShaftModes<double> y_modes{kept, c.data(), rate.data(), y_forces.data()};
  const ShaftModes<double> z_modes{kept, z.data(), z_rate.data(), z_forces.data()};
  const NockForce<double> push = nock_push(arrow, at_nock, string, axial, thrust, y_modes, z_modes);
  const auto all = [](const double* of) { return Eigen::Map<const VectorXd>(of, kept); };
  const VectorXd up = force + nock * push.in_plane.y + all(thrust.y) * push.in_plane.x;
  const VectorXd aside = z_force + nock * push.aside + all(thrust.z) * push.in_plane.x;
  const double nock_x = (push.in_plane.x + axial) / arrow.total_mass + all(thrust.y).dot(up) +
                        all(thrust.z).dot(aside) + rate.dot(all(thrust.rate)) + z_rate.dot(all(thrust.z_rate));
  EXPECT_NEAR(push.in_plane.x, string.in_plane.x - lump * nock_x, 1e-12);
  EXPECT_NEAR(push.in_plane.y, string.in_plane.y - lump * nock.dot(up), 1e-12);
  EXPECT_NEAR(push.aside, string.aside - lump * nock.dot(aside), 1e-12);
  at_nock.attached = 0.0;
  const NockForce<double> none = nock_push(arrow, at_nock, string, axial, thrust, y_modes, z_modes);
  EXPECT_EQ(none.in_plane.x, 0.0);
  EXPECT_EQ(none.in_plane.y, 0.0);
  EXPECT_EQ(none.aside, 0.0);
}

}  // namespace
}  // namespace nockwise::kernel
