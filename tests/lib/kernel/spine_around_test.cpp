/// @file
/// A shaft that is stiffer one way than across, at rest: the beam's equations in its own two planes, each with a
/// stiffness of its own, against the modes with their coupling (lib/README.md, Eq. 26b).
#include "beam.hpp"
#include "kernel/arrow_modes.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace nockwise::kernel {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int nodes = 15;
constexpr double difference = 0.2;
constexpr double direction = 0.4;

/// A shaft of unit stiffness in all its modes; its stiff side `direction` from up, of which the nock has turned it
/// some.
struct Shaft {
  detail::ModelData data = compile_beam({.nock_mass = 0.1, .point_mass = 0.5, .nodes = nodes});
  ArrowConstants<double> constants;

  Shaft() {
    data.setup.arrow.modes = nodes - 2;
    data.setup.arrow.spine_difference = difference;
    data.setup.arrow.spine_direction = direction - 0.3;
    data.setup.arrow.fletching.clocking = 0.3;
    data.shapes.clear();
    constants = detail::compile_arrow(data);
  }

  /// Forces on the nodes per displacement of the nodes, both up and then aside.
  [[nodiscard]] MatrixXd stiffness() const {
    const MatrixXd modes = data.modes.shapes.leftCols(nodes);
    const MatrixXd to_modes = modes.transpose() * Eigen::Map<const VectorXd>(data.nodal.mass, nodes).asDiagonal();
    const VectorXd still = VectorXd::Zero(nodes);
    MatrixXd of_modes(2 * nodes, 2 * nodes);
    for (int j = 0; j < 2 * nodes; ++j) {
      const VectorXd c = VectorXd::Unit(2 * nodes, j);
      VectorXd force = VectorXd::Zero(2 * nodes);
      add_elastic_forces(constants, nodes, c.data(), still.data(), c.data() + nodes, still.data(), force.data(),
                         force.data() + nodes);
      of_modes.col(j) = -force;
    }
    MatrixXd both = MatrixXd::Zero(2 * nodes, 2 * nodes);
    both.topLeftCorner(nodes, nodes) = both.bottomRightCorner(nodes, nodes) = to_modes;
    return both.transpose() * of_modes * both;
  }
};

/// Sag of the middle of a span under a force there: F a³/(48 EI) in either plane of the shaft's own.
TEST(SpineAround, SagsInItsOwnPlanesAsABeam) {
  const Shaft shaft;
  constexpr int first = 2;
  constexpr int last = nodes - 3;
  constexpr int middle = (first + last) / 2;
  const double span = (last - first) * shaft.constants.spacing;
  const double mean = span * span * span / 48.0;
  for (const double to : {0.0, 0.4, 1.0, 2.5}) {
    MatrixXd system = shaft.stiffness();
    VectorXd load = VectorXd::Zero(2 * nodes);
    load[middle] = std::cos(to);
    load[nodes + middle] = std::sin(to);
    for (const int held : {first, last, nodes + first, nodes + last}) {
      system.row(held).setZero();
      system(held, held) = 1.0;
    }
    const VectorXd bent = system.partialPivLu().solve(load);
    const double stiff = mean * std::cos(to - direction) / (1.0 + difference);
    const double weak = mean * std::sin(to - direction) / (1.0 - difference);
    EXPECT_NEAR(bent[middle], stiff * std::cos(direction) - weak * std::sin(direction), 1e-8 * mean) << to;
    EXPECT_NEAR(bent[nodes + middle], stiff * std::sin(direction) + weak * std::cos(direction), 1e-8 * mean) << to;
  }
}

TEST(SpineAround, IsAlikeHalfATurnOnAndExchangedAQuarterOn) {
  Arrow arrow;
  arrow.spine_difference = difference;
  arrow.spine_direction = direction;
  const SpineAround<double> here = detail::spine_around(arrow);
  const auto expect = [](const SpineAround<double>& found, double upright, double level, double slanted) {
    EXPECT_NEAR(found.upright, upright, 1e-15);
    EXPECT_NEAR(found.level, level, 1e-15);
    EXPECT_NEAR(found.slanted, slanted, 1e-15);
  };
  expect(here, 1.0 + 0.2 * std::cos(0.8), 1.0 - 0.2 * std::cos(0.8), 0.2 * std::sin(0.8));
  arrow.spine_direction = direction - std::numbers::pi;
  expect(detail::spine_around(arrow), here.upright, here.level, here.slanted);
  arrow.spine_direction = direction - 0.5 * std::numbers::pi;
  expect(detail::spine_around(arrow), here.level, here.upright, -here.slanted);
  arrow.spine_difference = -difference;
  expect(detail::spine_around(arrow), here.upright, here.level, here.slanted);
}

}  // namespace
}  // namespace nockwise::kernel
