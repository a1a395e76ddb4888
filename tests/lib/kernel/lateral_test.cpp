/// @file
/// The lateral plane obeys Newton's third law in three dimensions: lateral momentum and the angular momentum about the
/// x and y axes change by what the hand and gravity give and nothing else, in random states of every topology. Inner
/// forces must therefore act in pairs along one line, at their displaced points of application.
#include "random_mechanism.hpp"

#include <Eigen/Dense>
#include <gtest/gtest.h>

namespace nockwise {
namespace {

using Eigen::Vector3d;

/// Everything lateral so small that its third power is lost; cams centred on their axles.
template <int Links>
void displace(Mechanism<Links>& m, unsigned seed) {
  using L = kernel::Layout<Links>;
  constexpr double small = 1e-3;
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> between(-small, small);
  for (int h = 0; h < 2; ++h) {
    m.c.half[h].cam_x = m.c.half[h].cam_y = 0.0;
    m.c.half[h].string_z = 0.01 * between(random);
    m.c.half[h].take_up_z = 0.01 * between(random);
    m.c.half[h].let_out_z = 0.01 * between(random);
    m.c.guard.z[h] = 0.03 * between(random);
    m.c.yoke[h] = {0.12, 0.004 * between(random)};
    m.at(L::lean(h)) = 0.03 * between(random);
    m.rate(L::lean(h)) = between(random);
  }
  for (const int i : {L::riser_z, L::riser_yaw, L::riser_roll, L::string_z}) {
    m.at(i) = 0.01 * between(random);
    m.rate(i) = between(random);
  }
  m.c.hand.force_z = 5.0 * between(random);
  m.c.hand.moment_yaw = between(random);
  m.c.hand.moment_roll = between(random);
  const int z = L{m.topology.modes}.arrow_z();
  for (int k = 0; k < m.topology.modes; ++k) {
    m.at(z + k) = 0.001 * between(random) * m.c.arrow.root_mass;
    m.rate(z + k) = between(random) * m.c.arrow.root_mass / (1.0 + k * k);
  }
  m.tie();
}

/// A mass with its place and velocity; adds what the lateral plane sees of its momentum: (P_z, H_x, H_y).
Vector3d momentum_of(double mass, const Vector3d& place, const Vector3d& velocity) {
  const Vector3d turning = mass * place.cross(velocity);
  return {mass * velocity.z(), turning.x(), turning.y()};
}

template <int Links>
struct Bodies {
  using L = kernel::Layout<Links>;
  kernel::RiserMotion<double> riser;
  kernel::HalfMotion<double, Links> half[2];
  explicit Bodies(const Mechanism<Links>& m) : riser(kernel::riser_motion<double, Links>(m.q.data(), m.v.data())) {
    for (int h = 0; h < 2; ++h) {
      half[h] = kernel::half_motion(m.c.half[h], kernel::in_side_frame(riser, h), m.q.data() + L::joint(h, 0),
                                    m.v.data() + L::joint(h, 0), m.q[L::cam(h)], m.v[L::cam(h)]);
    }
  }
  /// Unit vector of the limb in the inertial frame.
  [[nodiscard]] Vector3d limb(int h) const {
    return {half[h].limb_direction.x, kernel::half_sign[h] * half[h].limb_direction.y, 0.0};
  }
};

/// A mass that rides in the riser's plane at `r` from the grip.
template <int Links>
Vector3d riding(const Mechanism<Links>& m, double mass, kernel::Vector2<double> r, kernel::Vector2<double> velocity) {
  using L = kernel::Layout<Links>;
  const auto& q = m.q;
  const auto& v = m.v;
  const kernel::Vector2<double> relative{velocity.x - v[L::riser_x], velocity.y - v[L::riser_y]};
  const double z = q[L::riser_z] + q[L::riser_roll] * r.y - q[L::riser_yaw] * r.x;
  const double z_rate = v[L::riser_z] + v[L::riser_roll] * r.y - v[L::riser_yaw] * r.x + q[L::riser_roll] * relative.y -
                        q[L::riser_yaw] * relative.x;
  return momentum_of(mass, {q[L::riser_x] + r.x, q[L::riser_y] + r.y, z}, {velocity.x, velocity.y, z_rate});
}

/// A body that spins in a plane whose axis is tilted by `tilt`.
Vector3d spinning(double inertia, double spin, const Vector3d& tilt) {
  return {0.0, inertia * spin * tilt.x(), inertia * spin * tilt.y()};
}

template <int Links>
Vector3d arrow_momentum(const Mechanism<Links>& m) {
  using L = kernel::Layout<Links>;
  const auto& arrow = m.c.arrow;
  const int z = L{m.topology.modes}.arrow_z();
  const double* q = m.q.data();
  const double* v = m.v.data();
  // Σ m z, Σ m s z and Σ m y z come from the modes: orthonormal in the nodes' masses.
  const double mass_z_rate = arrow.root_mass * v[z];
  const double mass_z = arrow.root_mass * q[z];
  const double arm_z_rate = arrow.balance * arrow.root_mass * v[z] + arrow.root_inertia * v[z + 1];
  Vector3d sum{mass_z_rate, 0.0, mass_z * v[L::arrow_x] - q[L::arrow_x] * mass_z_rate - arm_z_rate};
  for (int k = 0; k < m.topology.modes; ++k) {
    sum[1] += q[L::arrow_y + k] * v[z + k] - q[z + k] * v[L::arrow_y + k];
  }
  sum += momentum_of(m.c.nock_mass, {q[L::string_x], q[L::string_y], q[L::string_z]},
                     {v[L::string_x], v[L::string_y], v[L::string_z]});
  return sum;
}

template <int Links>
Vector3d momentum(const Mechanism<Links>& m) {
  using L = kernel::Layout<Links>;
  const Bodies<Links> b(m);
  const auto& r = m.c.riser;
  const kernel::Vector2<double> centre{b.riser.cosine * r.cm_x - b.riser.sine * r.cm_y,
                                       b.riser.sine * r.cm_x + b.riser.cosine * r.cm_y};
  Vector3d sum = riding(m, r.mass, centre, b.riser.velocity + b.riser.pitch_rate * kernel::quarter_turn(centre));
  const Vector3d tilt{m.q[L::riser_yaw], -m.q[L::riser_roll], 0.0};
  sum += spinning(r.pitch_inertia, b.riser.pitch_rate, tilt);
  sum += Vector3d{0.0, r.roll_inertia * m.v[L::riser_roll], r.yaw_inertia * m.v[L::riser_yaw]};
  for (int h = 0; h < 2; ++h) {
    const double sign = kernel::half_sign[h];
    const auto& half = m.c.half[h];
    for (int j = 0; j < Links; ++j) {
      const double mass = half.links[j].mass + (j == Links - 1 ? half.cam_mass : 0.0);
      sum += riding(m, mass, {b.half[h].end[j].x, sign * b.half[h].end[j].y},
                    {b.half[h].end_velocity[j].x, sign * b.half[h].end_velocity[j].y});
    }
    // A lean turns the cam's axis about the limb: λ e × z.
    const Vector3d limb = b.limb(h);
    const Vector3d lean = sign * m.q[L::lean(h)] * limb;
    sum += spinning(half.cam_inertia, sign * b.half[h].alpha_rate, tilt + Vector3d{lean.y(), -lean.x(), 0.0});
    // Limb tip and cam turn about the limb.
    const double turn = sign * m.v[L::lean(h)] + limb.x() * m.v[L::riser_roll] + limb.y() * m.v[L::riser_yaw];
    sum += half.twist_inertia * turn * Vector3d{0.0, limb.x(), limb.y()};
  }
  return sum + arrow_momentum(m);
}

/// Force z, moments x and y about the origin, of hand and gravity.
template <int Links>
Vector3d outside(const Mechanism<Links>& m) {
  using L = kernel::Layout<Links>;
  const auto& hand = m.c.hand;
  const auto& q = m.q;
  const Vector3d force{hand.force_x - hand.kx * q[L::riser_x], hand.force_y - hand.ky * q[L::riser_y],
                       hand.force_z - hand.kz * q[L::riser_z]};
  const Vector3d moment = Vector3d{q[L::riser_x], q[L::riser_y], q[L::riser_z]}.cross(force);
  Vector3d sum{force.z(), moment.x() + hand.moment_roll - hand.k_roll * q[L::riser_roll],
               moment.y() + hand.moment_yaw - hand.k_yaw * q[L::riser_yaw]};
  // The hand's pitch moment goes with the riser's coordinate, half way to its tilted normal.
  const double pitch = hand.moment_pitch - hand.k_pitch * q[L::riser_pitch];
  sum[1] += 0.5 * q[L::riser_yaw] * pitch;
  sum[2] -= 0.5 * q[L::riser_roll] * pitch;
  // A weight at z turns about x by z m g: Σ m z as the momentum of masses that move along z with their place.
  const Bodies<Links> b(m);
  const auto place = [&](kernel::Vector2<double> r) {
    return q[L::riser_z] + q[L::riser_roll] * r.y - q[L::riser_yaw] * r.x;
  };
  const auto& r = m.c.riser;
  double mass_z = r.mass * place({b.riser.cosine * r.cm_x - b.riser.sine * r.cm_y,
                                  b.riser.sine * r.cm_x + b.riser.cosine * r.cm_y});
  for (int h = 0; h < 2; ++h) {
    for (int j = 0; j < Links; ++j) {
      const double mass = m.c.half[h].links[j].mass + (j == Links - 1 ? m.c.half[h].cam_mass : 0.0);
      mass_z += mass * place({b.half[h].end[j].x, kernel::half_sign[h] * b.half[h].end[j].y});
    }
  }
  mass_z +=
      m.c.arrow.root_mass * q[static_cast<std::size_t>(L{m.topology.modes}.arrow_z())] + m.c.nock_mass * q[L::string_z];
  sum[1] += m.c.gravity * mass_z;
  return sum;
}

TEST(LateralPlane, MomentaChangeOnlyByHandAndGravity) {
  unsigned seed = 2000;
  for (const Kinds& kinds : all_kinds()) {
    // Left out: the rest, whose reaction on the riser stays at the launcher's middle while the shaft stands aside in it
    // (a millimetre of lever for the arrow's weight), and a flexing riser end, whose inertia has no lateral side.
    if (kinds.rest != RestKind::none || kinds.upper_flexes || kinds.lower_flexes) {
      continue;
    }
    with_mechanism(kinds, ++seed, [&](auto m) {
      // An unbent shaft, whose nodes' places along the shot are its own.
      for (int k = 1; k < m.topology.modes; ++k) {
        m.shift(decltype(m)::L::arrow_y + k, -m.at(decltype(m)::L::arrow_y + k), -m.rate(decltype(m)::L::arrow_y + k));
      }
      displace(m, seed);
      detail::Coordinates a{};
      m.accelerate(a);
      Vector3d rate;
      for (int k = 0; k < 3; ++k) {
        rate[k] = slope_of(1e-6, [&](double t) { return momentum(later(m, a, t))[k]; });
      }
      const Vector3d residual = rate - outside(m);
      EXPECT_LT(residual.cwiseAbs().maxCoeff(), 1e-9)  // of 5e-3 N and N·m
          << kinds << ", seed " << seed << ": " << residual.transpose() << " of " << rate.transpose();
    });
  }
}

}  // namespace
}  // namespace nockwise
