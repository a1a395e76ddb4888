/// @file
/// Limbs as hinges: Howell's pseudo-rigid link and the chain of links that `limbs.*.segments` makes, against the exact
/// elastica of a cantilever with a dead load P across its undeformed axis, α = P L²/EI.
#include "check_table.hpp"
#include "compile/model_data.hpp"
#include "kernel/mechanism.hpp"
#include "wheelwright_bow.hpp"

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>

namespace nockwise {
namespace {

constexpr double gamma_factor = 0.8517;
constexpr double stiffness_factor = 2.67617;

struct Elastica {
  double load, angle, deflection, projection, deflection_as_link, projection_as_link;
};
constexpr std::array<Elastica, 5> table{{{0.1, 0.04995426, 0.03329532, 0.99933460, 0.031796, 0.999406},
                                         {0.2, 0.09963616, 0.06636448, 0.99735345, 0.063415, 0.997636},
                                         {1.0, 0.46135195, 0.30172077, 0.94356676, 0.292765, 0.948101},
                                         {2.0, 0.78174983, 0.49345748, 0.83935828, 0.489158, 0.845521},
                                         {5.0, 1.21536812, 0.71379152, 0.61237164, 0.718369, 0.605836}}};

/// Compiled upper half of a limb whose cantilever has length and EI one, of so many segments, straight up when unbent.
template <int Links>
kernel::Half<double, Links> unit_limb() {
  Setup setup = wheelwright_setup("symmetric");
  for (Limb* limb : {&setup.limbs.upper, &setup.limbs.lower}) {
    limb->effective_length = gamma_factor;
    limb->torsion_stiffness = gamma_factor * stiffness_factor;
    limb->free_angle = 0.0;
    limb->segments = Links;
    limb->pivot_x = 0.0;
    limb->pivot_y = 1.0 - gamma_factor;  // the clamp at the origin
  }
  return std::get<kernel::Constants<double, Links>>(detail::compile(setup)->constants).half[0];
}

/// Rest of a limb under a dead load toward −x at its end, by Newton's method on the joint moments.
template <int Links>
struct Bent {
  double deflection = 0.0, projection = 0.0, angle = 0.0;

  explicit Bent(double load) {
    const kernel::Half<double, Links> half = unit_limb<Links>();
    const kernel::RiserMotion<double> still{0.0, 0.0, 0.0, 1.0, {0.0, 0.0}};
    Eigen::Matrix<double, Links, 1> joint = Eigen::Matrix<double, Links, 1>::Zero();
    const std::array<double, Links> at_rest{};
    kernel::HalfMotion<double, Links> m;
    for (int step = 1; step <= 20; ++step) {  // the load in steps
      const double now = load * step / 20.0;
      for (int iteration = 0; iteration < 20; ++iteration) {
        m = kernel::half_motion(half, still, joint.data(), at_rest.data(), 0.0, 0.0);
        kernel::HalfLoads<double, Links> loads;
        kernel::add_passive_loads(half, m, joint.data(), at_rest.data(), 0.0, {0.0, 0.0}, loads);
        loads.axle_force = {-now, 0.0};
        const auto forces = kernel::generalised(m, loads);
        const Eigen::Map<const Eigen::Matrix<double, Links, 1>> residual(forces.own);
        // ∂/∂φ_k of the load's moment at joint i turns the arm beyond the later of the two.
        Eigen::Matrix<double, Links, Links> slope;
        for (int i = 0; i < Links; ++i) {
          for (int k = 0; k < Links; ++k) {
            const auto arm = m.axle() - m.joint[std::max(i, k)];
            slope(i, k) = now * arm.x - (i == k ? half.links[i].stiffness : 0.0);
          }
        }
        joint -= slope.partialPivLu().solve(residual);
      }
    }
    m = kernel::half_motion(half, still, joint.data(), at_rest.data(), 0.0, 0.0);
    deflection = -m.axle().x;
    projection = m.axle().y;
    angle = joint.sum();
  }
};

std::string labelled(const char* text, double load) {
  char what[100];
  std::snprintf(what, sizeof what, text, load);
  return what;
}

TEST(PseudoRigidLimb, IsHowellsLink) {
  const Source howell{"Howell, Compliant Mechanisms, Table 5.1", "S2"};
  for (const Elastica& row : table) {
    const Bent<1> link(row.load);
    check_absolute(labelled("pseudo-rigid limb, α = %.1f, tip deflection", row.load), howell, row.deflection_as_link,
                   link.deflection, 6e-7, "L");
    check_absolute(labelled("pseudo-rigid limb, α = %.1f, projected length", row.load), howell, row.projection_as_link,
                   link.projection, 6e-7, "L");
  }
}

/// The stated error of the model: up to 4.5 % of the deflection at small loads, 3 % at α = 1, 0.6 % at α = 5.
TEST(PseudoRigidLimb, DeviatesFromTheElasticaAsStated) {
  const Source elastica{"elastica: elliptic integrals and shooting", "C×2"};
  const std::array bound{0.0455, 0.0450, 0.0300, 0.0090, 0.0066};
  for (std::size_t i = 0; i < table.size(); ++i) {
    const Bent<1> link(table[i].load);
    check_relative(labelled("one hinge, α = %.1f, tip deflection", table[i].load), elastica, table[i].deflection,
                   link.deflection, bound[i], "L");
  }
  const double small = Bent<1>(1e-4).deflection / 1e-4;
  check_relative("one hinge, small loads, deflection per α", {"0.8517/2.67617", "C"}, 0.31825, small, 2e-5);
}

/// Hinges at the middles of n pieces integrate the curvature by the midpoint rule: for small loads the tip is too stiff
/// by exactly 1/(4 n²), 6 % for two segments and 1 % for five, and the error stays of second order for large ones.
TEST(SegmentedLimb, IsTooStiffByTheMidpointRule) {
  const Source midpoint{"1 − 1/(4 n²) by the midpoint rule", "C"};
  check_absolute("limb of 2 segments, small loads, share of the exact deflection", midpoint, 15.0 / 16.0,
                 Bent<2>(1e-4).deflection / (1e-4 / 3.0), 1e-6);
  check_absolute("limb of 5 segments, small loads, share of the exact deflection", midpoint, 0.99,
                 Bent<5>(1e-4).deflection / (1e-4 / 3.0), 1e-6);
}

TEST(SegmentedLimb, ConvergesToTheElastica) {
  const Source elastica{"elastica: elliptic integrals and shooting", "C×2"};
  for (const Elastica& row : table) {
    const Bent<2> two(row.load);
    const Bent<4> four(row.load);
    EXPECT_NEAR(std::log2((two.deflection - row.deflection) / (four.deflection - row.deflection)), 2.0, 0.05)
        << row.load;
    const auto carried_on = [](double coarse, double fine) { return (4.0 * fine - coarse) / 3.0; };
    check_absolute(labelled("limb of 2 and 4 segments carried on, α = %.1f, tip deflection", row.load), elastica,
                   row.deflection, carried_on(two.deflection, four.deflection), 1e-3, "L");
    check_absolute(labelled("limb of 2 and 4 segments carried on, α = %.1f, projected length", row.load), elastica,
                   row.projection, carried_on(two.projection, four.projection), 3e-3, "L");
    check_absolute(labelled("limb of 2 and 4 segments carried on, α = %.1f, tip angle", row.load), elastica, row.angle,
                   carried_on(two.angle, four.angle), 1e-3, "rad");
    // The best there is.
    check_relative(labelled("limb of 5 segments, α = %.1f, tip deflection", row.load), elastica, row.deflection,
                   Bent<5>(row.load).deflection, 0.017, "L");
  }
}

}  // namespace
}  // namespace nockwise
