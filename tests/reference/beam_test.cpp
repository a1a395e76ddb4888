/// @file
/// The arrow's beam against beam theory: virtual spine test, free vibration, end masses, the worked arrow.
#include "beam.hpp"

#include "check_table.hpp"
#include "nockwise/model.hpp"
#include "nockwise/parameters.hpp"
#include "wheelwright_bow.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <string>
#include <vector>

namespace nockwise {
namespace {

const Source virtual_spine{"ASTM F2031 test on the meshed shaft", "C"};
const Source blevins{"Blevins; digits as in several open FE codes", "S, C"};
const Source thomson{"Thomson, Theory of Vibration, App. D", "S"};
const Source end_masses{"free-free beam with end masses: determinant and FE", "C×2"};
const Source worked_arrow{"worked arrow: determinant and FE", "C×2"};
const Source park{"Park, Arrows: dynamic behaviour", "S"};

constexpr double inch = 0.0254;
constexpr double grain = 64.79891e-6;

/// βL of the elastic modes: (βL)² = ω for unit EI, length and mass per length.
double beta(const BeamSpecification& specification, int mode) {
  return std::sqrt(Beam(specification).frequencies()[mode + 1]);
}

TEST(VirtualSpineTest, ReturnsTheSpine) {
  for (const int nodes : {7, 25, 63}) {  // odd, so that one is at mid-span
    const Beam beam({.length = 28.0 * inch,
                     .bending_stiffness = bending_stiffness_from_spine(0.340 * inch),
                     .linear_density = 0.02,
                     .nodes = nodes});
    const double load = 1.94 * 0.45359237 * 9.80665;
    const Eigen::VectorXd sag = beam.deflection(load * Eigen::VectorXd::Unit(nodes, nodes / 2), {0, nodes - 1});
    check_absolute("sag of a 0.340 in shaft, " + std::to_string(nodes) + " nodes", virtual_spine, 0.340,
                   sag[nodes / 2] / inch, 1e-9, "in");
    // Its own weight: 5 w L⁴/(384 EI) for a uniform load, here nodal with Gregory's weights.
    if (nodes == 25) {
      const double w = 8.5 * grain / inch * 9.80665;
      const Eigen::VectorXd own = beam.deflection(w / 0.02 * beam.mass, {0, nodes - 1});
      check_relative("sag of an 8.5 gr/in shaft under its own weight", virtual_spine, 0.0946e-3, own[nodes / 2], 1e-3,
                     "m");
    }
  }
}

TEST(FreeFreeBeam, HasBlevinsEigenvalues) {
  const std::array exact{4.730040744862704, 7.853204624095838, 10.99560783800167, 14.13716549125746};
  const std::array printed{22.3733, 61.6728, 120.9034};
  for (int mode = 1; mode <= 4; ++mode) {
    const std::string which = "βL of mode " + std::to_string(mode) + ", 64 nodes";
    const double found = beta({.nodes = 64}, mode);
    // Fourth order with (βL/nodes)⁴: 3e-7 for the first mode, 4e-5 for the fourth.
    check_relative(which, blevins, exact[static_cast<std::size_t>(mode - 1)], found, mode < 3 ? 5e-6 : 1e-4);
    if (mode <= 3) {
      check_relative("(βL)² of mode " + std::to_string(mode) + ", 64 nodes", thomson,
                     printed[static_cast<std::size_t>(mode - 1)], found * found, 1e-4);
    }
  }
}

TEST(FreeFreeBeam, HasItsNodesAndShape) {
  const Beam beam({.nodes = 63});
  const std::array<std::vector<double>, 3> expected{std::vector{0.224157523, 0.775842477},
                                                    {0.132107955, 0.5, 0.867892045},
                                                    {0.094442843, 0.355803454, 0.644196546, 0.905557157}};
  for (std::size_t mode = 0; mode < 3; ++mode) {
    const std::vector<double> found = zero_crossings(beam, static_cast<Eigen::Index>(mode) + 2);
    ASSERT_EQ(found.size(), expected[mode].size());
    for (std::size_t i = 0; i < found.size(); ++i) {
      check_absolute("node " + std::to_string(i + 1) + " of mode " + std::to_string(mode + 1), {"free-free shape", "C"},
                     expected[mode][i], found[i], 5e-6, "L");
    }
  }
  check_absolute("mode 1, amplitude in the middle over that at the end", {"free-free shape", "C"}, -0.607822229,
                 beam.shapes()(31, 2) / beam.shapes()(0, 2), 5e-6);
}

struct Masses {
  double nock, point;
  std::array<double, 3> beta;
};

TEST(FreeFreeBeam, WithEndMassesHasTheTablesEigenvalues) {
  const std::vector<Masses> table{
      {0.0, 0.0, {4.730040745, 7.853204624, 10.995607838}}, {0.0, 0.25, {4.248966929, 7.280433581, 10.370478525}},
      {0.0, 0.5, {4.128137213, 7.189825760, 10.298462113}}, {0.0, 1.0, {4.041832136, 7.133839880, 10.256630260}},
      {0.0, 2.0, {3.988685178, 7.102492709, 10.234019842}}, {0.1, 0.5, {3.865927624, 6.810768362, 9.841707111}},
      {1.0, 1.0, {3.398799335, 6.427259073, 9.524452159}},
  };
  for (const Masses& row : table) {
    for (int mode = 1; mode <= 3; ++mode) {
      const double expected = row.beta[static_cast<std::size_t>(mode - 1)];
      const auto error = [&](int nodes) {
        return std::fabs(beta({.nock_mass = row.nock, .point_mass = row.point, .nodes = nodes}, mode) - expected);
      };
      char what[80];
      std::snprintf(what, sizeof what, "βL of mode %d, end masses %.2f and %.2f, 64 nodes", mode, row.nock, row.point);
      check_relative(what, end_masses, expected,
                     beta({.nock_mass = row.nock, .point_mass = row.point, .nodes = 64}, mode), 2e-5);
      // Order from 16 and 32 intervals: fourth, or better where two errors of that order still cancel.
      const double order = std::log2(error(17) / error(33));
      EXPECT_GT(order, 3.5) << what;
    }
  }
  // A heavy point is a pin.
  check_absolute("βL of mode 1, end masses 0 and 1e6: pinned-free", {"Blevins", "C"}, 3.92660231,
                 beta({.point_mass = 1e6, .nodes = 64}, 1), 1e-5);
}

Setup worked_setup() {
  auto setup = wheelwright_setup("symmetric");
  Arrow& arrow = setup.arrow;
  arrow.length = 28.5 * inch;
  arrow.linear_density = 8.5 * grain / inch;
  arrow.bending_stiffness = bending_stiffness_from_spine(0.340 * inch);
  arrow.point_mass = 125.0 * grain;
  arrow.nock_mass = 31.0 * grain;
  arrow.nodes = 48;
  return setup;
}

TEST(WorkedArrow, HasItsMassBalanceAndFrequencies) {
  const Model model(worked_setup());
  const ArrowProperties arrow = model.arrow();
  check_relative("worked arrow, mass", worked_arrow, 25.8061659e-3, arrow.mass, 1e-8, "kg");
  check_relative("worked arrow, balance point", worked_arrow, 0.447382, arrow.balance_point, 2e-6, "m");
  check_relative("worked arrow, front of centre", worked_arrow, 0.118016, arrow.front_of_center, 5e-6);
  check_relative("worked arrow, transverse inertia", worked_arrow, 1.8214597e-3, arrow.transverse_inertia, 1e-7,
                 "kg·m²");
  check_relative("worked arrow, static spine", worked_arrow, 0.340, arrow.static_spine / inch, 1e-12, "in");
  ASSERT_GE(arrow.frequencies.size(), 3U);
  check_relative("worked arrow, frequency 1, 48 nodes", worked_arrow, 82.2475, arrow.frequencies[0], 5e-6, "Hz");
  check_relative("worked arrow, frequency 2, 48 nodes", worked_arrow, 257.833, arrow.frequencies[1], 5e-5, "Hz");
  check_relative("worked arrow, frequency 3, 48 nodes", worked_arrow, 541.217, arrow.frequencies[2], 5e-4, "Hz");
  // Park's shafts are tapered: a band, not a value; mode 2 not at all.
  check_range("worked arrow, frequency 1", park, 75.0, 95.0, arrow.frequencies[0], "Hz");
  check_range("metres per bending cycle at 90 m/s", park, 0.8, 1.2, 90.0 / arrow.frequencies[0], "m");
}

TEST(WorkedArrow, HasItsNodesAndItsBareShaft) {
  const double density = 8.5 * grain / inch;
  const double stiffness = bending_stiffness_from_spine(0.340 * inch);
  BeamSpecification beam{.length = 28.5 * inch,
                         .bending_stiffness = stiffness,
                         .linear_density = density,
                         .nock_mass = 31.0 * grain,
                         .point_mass = 125.0 * grain,
                         .nodes = 48};
  const std::vector<double> nodes = zero_crossings(Beam(beam), 2);
  ASSERT_EQ(nodes.size(), 2U);
  // The list says 133.77 mm and 67.04 mm; zero crossings of the determinant's shape for the list's own β = 3.817381801
  // are 133.7519 mm and 67.0236 mm, 18 µm off it.
  const Source determinant{"worked arrow: zero crossings of the determinant's shape", "C"};
  check_absolute("worked arrow, node from the nock", determinant, 0.1337519128, nodes[0], 3e-7, "m");
  check_absolute("worked arrow, node from the point", determinant, 0.0670236458, beam.length - nodes[1], 3e-7, "m");
  check_absolute("worked arrow, node from the nock", worked_arrow, 0.13377, nodes[0], 3e-5, "m");
  check_absolute("worked arrow, node from the point", worked_arrow, 0.06704, beam.length - nodes[1], 3e-5, "m");
  check_range("worked arrow, node from the nock", park, 0.115, 0.185, nodes[0], "m");
  check_range("worked arrow, node from the point", park, 0.015, 0.085, beam.length - nodes[1], "m");
  beam.nock_mass = beam.point_mass = 0.0;
  const Beam bare(beam);
  check_relative("bare shaft, frequency 1, 48 nodes", worked_arrow, 126.276,
                 bare.frequencies()[2] / (2.0 * std::numbers::pi), 1e-5, "Hz");
  check_relative("bare shaft, frequency 2, 48 nodes", worked_arrow, 348.085,
                 bare.frequencies()[3] / (2.0 * std::numbers::pi), 1e-4, "Hz");
}

}  // namespace
}  // namespace nockwise
