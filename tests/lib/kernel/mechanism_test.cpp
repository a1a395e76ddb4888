/// @file
/// One half of the mechanism against a dense assembly: positions written down afresh, Jacobians by differences.
#include "kernel/mechanism.hpp"

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include <array>
#include <complex>
#include <random>
#include <type_traits>

namespace nockwise::kernel {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

template <int Links>
struct Sample {
  Half<double, Links> half{};
  VectorXd q = VectorXd::Zero(Links + 4);  // x, y, pitch, joints, cam
  VectorXd v = VectorXd::Zero(Links + 4);

  explicit Sample(unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> between(-1.0, 1.0);
    const auto positive = [&](double size) { return size * (1.0 + 0.5 * between(random)); };
    half.base_x = 0.03;
    half.base_y = 0.28;
    for (auto& link : half.links) {
      link = {0.05 * between(random), positive(0.2),  positive(200.0), 0.1 * between(random),
              positive(0.01),         positive(0.05), positive(1e-3)};
    }
    half.cam_mass = positive(0.1);
    half.cam_inertia = positive(1.5e-4);
    half.cam_x = 0.01 * between(random);
    half.cam_y = 0.01 * between(random);
    for (Eigen::Index i = 0; i < q.size(); ++i) {
      q[i] = 0.5 * between(random);
      v[i] = 10.0 * between(random);
    }
  }

  [[nodiscard]] HalfMotion<double, Links> motion() const {
    const RiserMotion<double> riser{q[2], v[2], std::sin(q[2]), std::cos(q[2]), {v[0], v[1]}};
    return half_motion(half, riser, q.data() + 3, v.data() + 3, q[Links + 3], v[Links + 3]);
  }
};

/// Everything with mass or inertia: x and y of each link's end, of the cam's centre, then the turns. Complex so that
/// derivatives can be taken by a complex step, without cancellation.
template <int Links>
Eigen::VectorXcd body_places(const Half<double, Links>& half, const Eigen::VectorXcd& q) {
  using std::complex;
  const auto turned = [](complex<double> angle, complex<double> x, complex<double> y) {
    return std::array{std::cos(angle) * x - std::sin(angle) * y, std::sin(angle) * x + std::cos(angle) * y};
  };
  Eigen::VectorXcd places(3 * (Links + 1));
  auto angle = q[2];
  auto arm = turned(angle, half.base_x, half.base_y);
  auto x = q[0] + arm[0];
  auto y = q[1] + arm[1];
  for (int j = 0; j < Links; ++j) {
    angle += q[3 + j];
    arm = turned(angle, half.links[j].end_x, half.links[j].end_y);
    x += arm[0];
    y += arm[1];
    places.segment(3 * j, 3) << x, y, angle;
  }
  const auto cam = q[2] + q[Links + 3];
  arm = turned(cam, half.cam_x, half.cam_y);
  places.tail(3) << x + arm[0], y + arm[1], cam;
  return places;
}

template <int Links>
MatrixXd jacobian(const Half<double, Links>& half, const VectorXd& q) {
  MatrixXd j(3 * (Links + 1), q.size());
  for (Eigen::Index k = 0; k < q.size(); ++k) {
    Eigen::VectorXcd moved = q.template cast<std::complex<double>>();
    moved[k] += std::complex<double>(0.0, 1e-30);
    j.col(k) = body_places(half, moved).imag() / 1e-30;
  }
  return j;
}

template <int Links>
VectorXd weights(const Half<double, Links>& half) {
  VectorXd w(3 * (Links + 1));
  for (int j = 0; j < Links; ++j) {
    w.segment(3 * j, 3) << half.links[j].mass, half.links[j].mass, half.links[j].inertia;
  }
  w.tail(3) << half.cam_mass, half.cam_mass, half.cam_inertia;
  return w;
}

/// Mass matrix JᵀWJ and velocity forces −JᵀW J̇ v.
template <int Links>
struct Dense {
  MatrixXd mass;
  VectorXd force;

  explicit Dense(const Sample<Links>& s) {
    const MatrixXd j = jacobian(s.half, s.q);
    const VectorXd w = weights(s.half);
    mass = j.transpose() * w.asDiagonal() * j;
    constexpr double step = 1e-6;
    const VectorXd turning =
        (jacobian(s.half, s.q + step * s.v) - jacobian(s.half, s.q - step * s.v)) * s.v / (2.0 * step);
    force = -j.transpose() * w.asDiagonal() * turning;
  }
};

template <int Links>
class Assembled {
 public:
  explicit Assembled(const Sample<Links>& s) {
    HalfForces<double, Links> forces{};
    const HalfInertia<double, Links> inertia = assemble(s.half, s.motion(), forces);
    constexpr int n = Links + 1;
    mass = MatrixXd::Zero(n + 3, n + 3);
    force = VectorXd::Zero(n + 3);
    for (int i = 0; i < 3; ++i) {
      force[i] = forces.riser[i];
      for (int k = i; k < 3; ++k) {
        mass(i, k) = mass(k, i) = inertia.riser[i][k];
      }
    }
    for (int i = 0; i < n; ++i) {
      force[3 + i] = forces.own[i];
      for (int k = 0; k < 3; ++k) {
        mass(3 + i, k) = mass(k, 3 + i) = inertia.coupling[i][k];
      }
      for (int k = 0; k <= i; ++k) {
        mass(3 + i, 3 + k) = mass(3 + k, 3 + i) = inertia.own[i][k];
      }
    }
  }
  MatrixXd mass;
  VectorXd force;
};

template <class Links>
class Mechanism : public testing::Test {};
using LinkCounts = testing::Types<std::integral_constant<int, 1>, std::integral_constant<int, 2>,
                                  std::integral_constant<int, 3>, std::integral_constant<int, 5>>;
TYPED_TEST_SUITE(Mechanism, LinkCounts);

TYPED_TEST(Mechanism, AssemblesTheDenseMassMatrixAndVelocityForces) {
  for (unsigned seed = 1; seed <= 10; ++seed) {
    const Sample<TypeParam::value> sample(seed);
    const Dense<TypeParam::value> dense(sample);
    const Assembled<TypeParam::value> assembled(sample);
    EXPECT_LT((assembled.mass - dense.mass).norm(), 1e-14 * dense.mass.norm()) << seed;
    // The expected velocity forces are differences over 1e-6.
    EXPECT_LT((assembled.force - dense.force).norm(), 1e-8 * dense.force.norm()) << seed;
  }
}

TYPED_TEST(Mechanism, KineticEnergyIsThatOfItsParts) {
  constexpr int links = TypeParam::value;
  for (unsigned seed = 1; seed <= 10; ++seed) {
    const Sample<links> sample(seed);
    const HalfMotion<double, links> m = sample.motion();
    double energy = 0.0;
    for (int j = 0; j < links; ++j) {
      energy += 0.5 * sample.half.links[j].mass * dot(m.end_velocity[j], m.end_velocity[j]) +
                0.5 * sample.half.links[j].inertia * m.rate[j] * m.rate[j];
    }
    const Vector2<double> cam = m.axle_velocity() + m.alpha_rate * quarter_turn(m.cam_arm);
    energy += 0.5 * sample.half.cam_mass * dot(cam, cam) + 0.5 * sample.half.cam_inertia * m.alpha_rate * m.alpha_rate;
    const Assembled<links> assembled(sample);
    EXPECT_NEAR(0.5 * sample.v.dot(assembled.mass * sample.v), energy, 1e-14 * energy * 10.0) << seed;
  }
}

/// The reduced system with a riser of its own gives the accelerations of the whole one.
template <int Links>
void check_reduction(bool locked) {
  for (unsigned seed = 1; seed <= 10; ++seed) {
    Sample<Links> sample(seed);
    if (locked) {
      sample.v[3] = 0.0;
    }
    HalfForces<double, Links> forces{};
    for (int i = 0; i <= Links; ++i) {
      forces.own[i] = 3.0 * i - 2.0;
    }
    const VectorXd applied = Eigen::Map<const VectorXd>(forces.own, Links + 1);
    HalfInertia<double, Links> inertia = assemble(sample.half, sample.motion(), forces);
    const Dense<Links> dense(sample);
    MatrixXd mass = dense.mass;
    VectorXd force = dense.force;
    force.tail(Links + 1) += applied;
    if (locked) {
      lock(0, inertia, forces);
      mass.row(3).setZero();
      mass.col(3).setZero();
      mass(3, 3) = 1.0;
      force[3] = 0.0;
    }
    const ReducedHalf<double, Links> reduced = reduce(inertia, forces);
    double m[3][3];
    double f[3];
    for (int i = 0; i < 3; ++i) {
      const double own = i == 2 ? 0.2 : 2.3;  // riser
      f[i] = reduced.force[i];
      for (int k = 0; k < 3; ++k) {
        m[i][k] = reduced.inertia[i][k] + (i == k ? own : 0.0);
      }
      mass(i, i) += own;
    }
    double riser[3];
    solve3(m, f, riser);
    const VectorXd expected = mass.ldlt().solve(force);
    VectorXd found(Links + 4);
    for (int i = 0; i < 3; ++i) {
      found[i] = riser[i];
    }
    for (int i = 0; i <= Links; ++i) {
      found[3 + i] = reduced.free[i];
      for (int k = 0; k < 3; ++k) {
        found[3 + i] -= reduced.follow[i][k] * riser[k];
      }
    }
    EXPECT_LT((found - expected).norm(), 1e-7 * expected.norm()) << seed;
    if (locked) {
      EXPECT_EQ(found[3], 0.0);
    }
  }
}

TYPED_TEST(Mechanism, ReductionGivesTheWholeSystemsAccelerations) { check_reduction<TypeParam::value>(false); }

TYPED_TEST(Mechanism, ALockedFirstLinkStaysAndTheRestMovesOn) { check_reduction<TypeParam::value>(true); }

/// Generalised forces are the Jacobian's transpose applied to the loads.
TYPED_TEST(Mechanism, PassiveLoadsAreGradientsOfSpringsAndWeight) {
  constexpr int links = TypeParam::value;
  Sample<links> sample(3);
  const double gravity = -9.8;
  HalfLoads<double, links> loads;
  add_passive_loads(sample.half, sample.motion(), sample.q.data() + 3, sample.v.data() + 3, 0.0, {0.0, gravity}, loads);
  for (int j = 0; j < links; ++j) {
    loads.joint[j] += sample.half.links[j].damping * sample.v[3 + j];  // springs and weight alone
  }
  const HalfForces<double, links> forces = generalised(sample.motion(), loads);
  const MatrixXd jacobian_now = jacobian(sample.half, sample.q);
  VectorXd expected = VectorXd::Zero(links + 4);
  const VectorXd w = weights(sample.half);
  for (int body = 0; body <= links; ++body) {
    expected += w[3 * body] * gravity * jacobian_now.row(3 * body + 1).transpose();
  }
  for (int j = 0; j < links; ++j) {
    expected[3 + j] -= sample.half.links[j].stiffness * (sample.q[3 + j] - sample.half.links[j].free_angle);
  }
  for (int i = 0; i < 3; ++i) {
    EXPECT_NEAR(forces.riser[i], expected[i], 1e-13);
  }
  for (int i = 0; i <= links; ++i) {
    EXPECT_NEAR(forces.own[i], expected[3 + i], 1e-12);
  }
}

}  // namespace
}  // namespace nockwise::kernel
