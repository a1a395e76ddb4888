/// @file
/// Derivatives of the right-hand side against differences of it, and against the energy, in states of every combination
/// of kinds.
#include "kernel/jacobian.hpp"

#include "random_mechanism.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace nockwise {
namespace {

/// ∂q̈/∂[q, q̇], n × 2n.
template <int Links>
std::vector<double> jacobian_of(const Mechanism<Links>& m) {
  const std::size_t n = kernel::Layout<Links>{m.topology.modes}.size();
  std::vector<double> jacobian(2 * n * n);
  kernel::jacobian_of_accelerations(m.c, m.topology, m.attached, m.q.data(), m.v.data(), m.run_directions,
                                    jacobian.data());
  return jacobian;
}

/// The mechanism with state j of [q, q̇] moved, run directions found afresh.
template <int Links>
Mechanism<Links> moved(Mechanism<Links> m, std::size_t j, double by) {
  const std::size_t n = kernel::Layout<Links>{m.topology.modes}.size();
  (j < n ? m.q[j] : m.v[j - n]) += by;
  return m;
}

/// Largest difference from central differences of fourth order, as a share of the row's largest entry.
template <int Links>
double worst_entry(const Mechanism<Links>& m) {
  const std::size_t n = kernel::Layout<Links>{m.topology.modes}.size();
  const auto jacobian = jacobian_of(m);
  std::vector<double> largest(n, 1e-9), error(n, 0.0);
  for (std::size_t j = 0; j < 2 * n; ++j) {
    const double step = j < n ? 2e-6 : 1e-3;
    detail::Coordinates a[4]{};
    const double at[4] = {-2.0 * step, -step, step, 2.0 * step};
    for (int k = 0; k < 4; ++k) {
      moved(m, j, at[k]).accelerate(a[k]);
    }
    for (std::size_t i = 0; i < n; ++i) {
      const double slope = (8.0 * (a[2][i] - a[1][i]) - (a[3][i] - a[0][i])) / (12.0 * step);
      const double exact = jacobian[i * 2 * n + j];
      largest[i] = std::max(largest[i], std::fabs(exact));
      error[i] = std::max(error[i], std::fabs(slope - exact));
    }
  }
  double worst = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    worst = std::max(worst, error[i] / largest[i]);
  }
  return worst;
}

TEST(Jacobian, MeetsDifferencesInEveryKindOfMechanism) {
  double largest = 0.0;
  unsigned seed = 0;
  for (const Kinds& kinds : all_kinds()) {
    with_mechanism(kinds, ++seed, [&](const auto& m) {
      const double worst = worst_entry(m);
      largest = std::max(largest, worst);
      EXPECT_LT(worst, 1e-8) << kinds << ", seed " << seed;
    });
  }
  RecordProperty("largest_in_1e-12", static_cast<int>(1e12 * largest));  // measured: 2e-9
}

/// Second differences of the energy's parts, along the flow and by state j.
template <int Links>
std::array<double, 7> mixed_slopes(const Mechanism<Links>& m, const detail::Coordinates& a, std::size_t j,
                                   double step) {
  constexpr double time = 5e-6;
  constexpr double place[4] = {-2.0, -1.0, 1.0, 2.0};
  constexpr double weight[4] = {1.0 / 12.0, -8.0 / 12.0, 8.0 / 12.0, -1.0 / 12.0};
  std::array<double, 7> slopes{};
  for (int along = 0; along < 4; ++along) {
    for (int beside = 0; beside < 4; ++beside) {
      const auto e = moved(later(m, a, place[along] * time), j, place[beside] * step).energy();
      const double parts[7] = {e.arrow, e.mechanism, e.limbs, e.lines, e.contacts, e.gravity, e.hand};
      for (std::size_t part = 0; part < 7; ++part) {
        slopes[part] += weight[along] * weight[beside] / (time * step) * parts[part];
      }
    }
  }
  return slopes;
}

/// Without dampers ∇E·f = 0 in every state, so that along any coordinate w: (∂∇E/∂w)·f + ∇E·(J w) = 0. Here only
/// energies are differenced: no force, whose derivative might share a mistake. As a share of the terms' sizes.
template <int Links>
double power_residual(const Mechanism<Links>& m) {
  const std::size_t n = kernel::Layout<Links>{m.topology.modes}.size();
  const auto jacobian = jacobian_of(m);
  detail::Coordinates a{};
  m.accelerate(a);
  double worst = 0.0;
  for (const int coordinate : m.coordinates) {
    for (const bool of_rate : {false, true}) {
      const auto j = static_cast<std::size_t>(coordinate) + (of_rate ? n : 0);
      // Parts of the energy pass much on to each other, which their sum no longer shows: rounding is measured by them.
      double curved = 0.0;
      double passed_on = 0.0;
      for (const double part : mixed_slopes(m, a, j, of_rate ? 1e-2 : 2e-5)) {
        curved += part;
        passed_on += std::fabs(part);
      }
      double size = 1e-9;
      for (std::size_t i = 0; i < n; ++i) {
        size = std::max(size, std::fabs(jacobian[i * 2 * n + j]));
      }
      const double by_force = slope_of(1.0 / size, [&](double along) {
        auto there = m;
        for (std::size_t i = 0; i < n; ++i) {
          there.v[i] += along * jacobian[i * 2 * n + j];
        }
        return there.energy().total();
      });
      const double by_motion =
          of_rate ? slope_of(1e-6, [&](double by) { return moved(m, j - n, by).energy().total(); }) : 0.0;
      const double scale = passed_on + std::fabs(by_force) + std::fabs(by_motion) + 10.0;
      worst = std::max(worst, std::fabs(curved + by_force + by_motion) / scale);
    }
  }
  return worst;
}

TEST(Jacobian, KeepsThePowerBalance) {
  double largest = 0.0;
  unsigned seed = 0;
  for (const Kinds& kinds : all_kinds()) {
    with_mechanism(kinds, ++seed, [&](const auto& m) {
      const double residual = power_residual(m);
      largest = std::max(largest, residual);
      EXPECT_LT(residual, 5e-5) << kinds << ", seed " << seed;
    });
  }
  RecordProperty("largest_in_1e-9", static_cast<int>(1e9 * largest));  // measured: 1.8e-5, rounding of energies
}

}  // namespace
}  // namespace nockwise
