#include "numerics/nystrom.hpp"

#include <Eigen/Dense>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_fehlberg78.hpp>
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <complex>

namespace nockwise::detail {
namespace {

using Pair = std::array<double, 2>;  // place, rate

/// One step of q̈ = a(q, q̇).
template <class Acceleration>
Pair stepped(Pair from, double h, const Acceleration& a) {
  const NystromStep<double> sums(h);
  const auto& [q, v] = from;
  double at = 0.0;
  double rate = 0.0;
  const double a1 = a(q, v);
  sums.to_second(1, &q, &v, &a1, &at, &rate);
  const double a2 = a(at, rate);
  sums.to_third(1, &q, &v, &a1, &a2, &at, &rate);
  const double a3 = a(at, rate);
  sums.to_fourth(1, &q, &v, &a1, &a2, &a3, &at, &rate);
  const double a4 = a(at, rate);
  sums.to_end(1, &q, &v, &a1, &a2, &a3, &a4, &at, &rate);
  return {at, rate};
}

/// The coefficients, read off steps of length 1 from rest.
struct Tableau {
  Eigen::Matrix4d places = Eigen::Matrix4d::Zero(), rates = Eigen::Matrix4d::Zero();
  Eigen::Vector4d place_weights = Eigen::Vector4d::Zero(), weights = Eigen::Vector4d::Zero();
  Eigen::Vector4d nodes = Eigen::Vector4d::Zero();

  Tableau() {
    const NystromStep<double> sums(1.0);
    const double none = 0.0;
    const double unit = 1.0;
    const auto read = [&](int row, int column, double at, double rate) {
      places(row, column) = at;
      rates(row, column) = rate;
    };
    for (int j = 0; j < 4; ++j) {
      const Eigen::Vector4d a = Eigen::Vector4d::Unit(j);
      double at = 0.0;
      double rate = 0.0;
      sums.to_second(1, &none, &none, &a[0], &at, &rate);
      read(1, j, j < 1 ? at : 0.0, j < 1 ? rate : 0.0);
      sums.to_third(1, &none, &none, &a[0], &a[1], &at, &rate);
      read(2, j, j < 2 ? at : 0.0, j < 2 ? rate : 0.0);
      sums.to_fourth(1, &none, &none, &a[0], &a[1], &a[2], &at, &rate);
      read(3, j, j < 3 ? at : 0.0, j < 3 ? rate : 0.0);
      sums.to_end(1, &none, &none, &a[0], &a[1], &a[2], &a[3], &at, &rate);
      place_weights[j] = at;
      weights[j] = rate;
    }
    double ignored = 0.0;  // how far a unit rate carries
    sums.to_second(1, &none, &unit, &none, &nodes[1], &ignored);
    sums.to_third(1, &none, &unit, &none, &none, &nodes[2], &ignored);
    sums.to_fourth(1, &none, &unit, &none, &none, &none, &nodes[3], &ignored);
  }
};

/// Hairer, Nørsett and Wanner, Solving Ordinary Differential Equations I, sec. II.2 (order four of Runge–Kutta rules)
/// and II.14 (Nyström methods).
TEST(Nystrom, MeetsTheConditionsOfItsOrder) {
  const Tableau t;
  const Eigen::Vector4d& b = t.weights;
  const Eigen::Vector4d& c = t.nodes;
  const Eigen::Vector4d c2 = c.cwiseProduct(c);
  constexpr double exact = 1e-15;
  EXPECT_EQ(c[0], 0.0);
  EXPECT_EQ(c[3], 1.0);
  for (int i = 0; i < 4; ++i) {
    EXPECT_NEAR(t.rates.row(i).sum(), c[i], exact);
    EXPECT_NEAR(t.places.row(i).sum(), 0.5 * c2[i], exact);
    EXPECT_NEAR(t.place_weights[i], b[i] * (1.0 - c[i]), exact);
  }
  EXPECT_NEAR(b.sum(), 1.0, exact);
  EXPECT_NEAR(b.dot(c), 1.0 / 2.0, exact);
  EXPECT_NEAR(b.dot(c2), 1.0 / 3.0, exact);
  EXPECT_NEAR(b.dot(c2.cwiseProduct(c)), 1.0 / 4.0, exact);
  EXPECT_NEAR(b.dot(c2.cwiseProduct(c2)), 1.0 / 5.0, exact);
  EXPECT_NEAR(b.dot(t.rates * c), 1.0 / 6.0, exact);
  EXPECT_NEAR(b.dot(c.cwiseProduct(t.rates * c)), 1.0 / 8.0, exact);
  EXPECT_NEAR(b.dot(t.rates * c2), 1.0 / 12.0, exact);
  EXPECT_NEAR(b.dot(t.rates * t.rates * c), 1.0 / 24.0, exact);
  EXPECT_NEAR(b.dot(t.places * c), 1.0 / 24.0, exact);
  // Of order five, missed on purpose.
  EXPECT_NEAR(b.dot(c.cwiseProduct(t.places * c)), 1.0 / 30.0 + 9.0 / 4000.0, exact);
  EXPECT_NEAR(b.dot(t.places * c2), 1.0 / 60.0 - 1.0 / 500.0, exact);
}

/// A pendulum in a fluid that also pushes it by the square of its speed, against Odeint at a step so short that nothing
/// is left of its error.
TEST(Nystrom, ConvergesWithTheFourthPowerOfTheStep) {
  const auto acceleration = [](double q, double v) { return -std::sin(q) - 0.4 * v + 0.3 * q * v * v; };
  boost::numeric::odeint::runge_kutta_fehlberg78<Pair> fine;
  Pair exact{1.2, 0.5};
  for (int i = 0; i < 200; ++i) {
    fine.do_step(
        [&](const Pair& x, Pair& rate, double) {
          rate = {x[1], acceleration(x[0], x[1])};
        },
        exact, 0.0, 0.005);
  }
  const auto error = [&](int steps) {
    Pair x{1.2, 0.5};
    for (int i = 0; i < steps; ++i) {
      x = stepped(x, 1.0 / steps, acceleration);
    }
    return std::hypot(x[0] - exact[0], x[1] - exact[1]);
  };
  EXPECT_LT(error(64), 1e-8);
  EXPECT_NEAR(std::log2(error(32) / error(64)), 4.0, 0.3);
}

/// The larger eigenvalue of the step of ẍ = −ω²x − 2ζω ẋ with h = 1.
template <class Step>
std::complex<double> factor(const Step& step) {
  const Pair first = step(Pair{1.0, 0.0});
  const Pair second = step(Pair{0.0, 1.0});
  const double trace = first[0] + second[1];
  const std::complex<double> root =
      std::sqrt(std::complex<double>(0.25 * trace * trace - (first[0] * second[1] - first[1] * second[0])));
  const std::complex<double> a = 0.5 * trace + root;
  const std::complex<double> b = 0.5 * trace - root;
  return std::abs(a) > std::abs(b) ? a : b;
}
Pair nystrom(Pair x, double omega, double zeta) {
  return stepped(x, 1.0, [&](double q, double v) { return -omega * (omega * q + 2.0 * zeta * v); });
}
Pair classical(Pair x, double omega, double zeta) {
  boost::numeric::odeint::runge_kutta4<Pair> stepper;
  stepper.do_step(
      [&](const Pair& at, Pair& rate, double) {
        rate = {at[1], -omega * (omega * at[0] + 2.0 * zeta * at[1])};
      },
      x, 0.0, 1.0);
  return x;
}
template <class Step>
double holds_up_to(const Step& step, double zeta) {
  constexpr double stride = 0.01;
  for (int i = 20; i < 1000; ++i) {
    if (std::abs(factor([&](Pair x) { return step(x, stride * i, zeta); })) > 1.0 + 1e-12) {
      return stride * (i - 1);
    }
  }
  return 10.0;
}

TEST(Nystrom, HoldsOscillationsLongerThanTheClassicalRule) {
  EXPECT_NEAR(holds_up_to(classical, 0.0), std::sqrt(8.0), 0.02);  // Hairer and Wanner, Solving ODEs II, sec. IV.2
  EXPECT_NEAR(holds_up_to(classical, 0.24), 2.90, 0.02);           // computed here
  EXPECT_GT(holds_up_to(nystrom, 0.0), 4.0);
  EXPECT_GT(holds_up_to(nystrom, 0.1), 3.9);
  EXPECT_GT(holds_up_to(nystrom, 0.24), 3.45);  // the shaft's quickest mode
  EXPECT_GT(holds_up_to(nystrom, 0.4), 2.7);
  // What launch/step_size.hpp asks of it.
  for (const double zeta : {0.01, 0.05, 0.15, 0.2, 0.3, 0.35, 0.5, 0.7, 1.0, 1.5, 3.0, 10.0}) {
    EXPECT_GT(holds_up_to(nystrom, zeta), std::min(10.0, 3.2 * std::min(1.0, 0.28 / zeta))) << zeta;
  }
}

TEST(Nystrom, FollowsOscillationsFiveTimesAsClosely) {
  for (const double omega : {0.6, 1.0, 1.57, 2.0}) {
    const std::complex<double> exact(0.0, omega);
    const auto error = [&](const auto& step) {
      const std::complex<double> f = factor([&](Pair x) { return step(x, omega, 0.0); });
      return std::abs(std::log(std::complex<double>(f.real(), std::fabs(f.imag()))) - exact);
    };
    EXPECT_LT(5.0 * error(nystrom), error(classical)) << omega;
  }
}

}  // namespace
}  // namespace nockwise::detail
