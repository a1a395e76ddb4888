// Full draw in equilibrium, ready to be released: bow, rest, arrow, lateral plane, and the hand's preload
// (lib/README.md, "Release"). Private.
#pragma once

#include "draw_walk.hpp"
#include "nockwise/units.hpp"

namespace nockwise::detail {

template <int Links>
struct Release {
  using L = kernel::Layout<Links>;
  kernel::Constants<double, Links> constants;  // with the hand's preload
  kernel::Topology topology;
  Coordinates q{};
  kernel::Headings<double> headings{};
  double holding_force = 0.0;
  double peak_force = 0.0;     // largest on the way, as sampled [N]
  double stored_energy = 0.0;  // brace to full draw, without the limbs' weight [J]
  double late_stop_gap = 0.0;
  double excursion = 0.0;
};

/// A straight shaft in modal coordinates: height (or lateral place) at the nock, and slope.
inline void lay_straight(const kernel::ArrowConstants<double>& arrow, int modes, double at_nock, double slope,
                         double* c) {
  std::fill_n(c, modes, 0.0);
  c[0] = arrow.root_mass * (at_nock + slope * arrow.balance);
  c[1] = arrow.root_inertia * slope;
}

/// Static shape of the arrow on nock and rest: the nock held, the rest's spring under the shaft, its own weight. The
/// least of ½ω²c² + weight + ½k(φ·c − tip)² under φ_nock·c = nock height.
template <int Links>
void lay_arrow(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
               const kernel::Launcher<double>& tip, double nock_x, double nock_y, double* y) {
  const int n = topology.modes;
  const double reach = tip.tip.x - nock_x;
  lay_straight(c.arrow, n, nock_y, (tip.tip.y - nock_y) / reach, y);
  if (topology.rest == RestKind::none) {
    return;
  }
  const auto foot = kernel::shaft_point(c.arrow, topology.nodes, n, reach);
  const Eigen::Map<const Eigen::VectorXd> at_rest(foot.shape, n);
  const Eigen::Map<const Eigen::VectorXd> at_nock(c.arrow.nock_shape, n);
  Eigen::MatrixXd system = Eigen::MatrixXd::Zero(n + 1, n + 1);
  Eigen::VectorXd load = Eigen::VectorXd::Zero(n + 1);
  system.topLeftCorner(n, n) = c.rest.k * at_rest * at_rest.transpose();
  system.topLeftCorner(n, n).diagonal() += Eigen::Map<const Eigen::VectorXd>(c.arrow.stiffness, n);
  system.topRightCorner(n, 1) = at_nock;
  system.bottomLeftCorner(1, n) = at_nock.transpose();
  load.head(n) = c.rest.k * tip.tip.y * at_rest;
  load[0] -= c.arrow.root_mass * c.gravity;
  load[n] = nock_y;
  const Eigen::VectorXd settled = system.partialPivLu().solve(load);
  // A launcher only pushes: an arrow that balances behind it stays where it was laid.
  if (topology.rest == RestKind::capture || at_rest.dot(settled.head(n)) <= tip.tip.y) {
    std::copy_n(settled.data(), n, y);
  }
}

/// Lateral equilibrium of leans and nock (Eq. 46): linear, so seven evaluations give the system. Differences to either
/// side keep a mirrored bow the exact mirror image.
template <int Links>
kernel::LateralState<double> balance_lateral(const kernel::Constants<double, Links>& c,
                                             const kernel::Topology& topology,
                                             const kernel::HalfMotion<double, Links> (&m)[2],
                                             const kernel::LineLoads<double, Links>& lines,
                                             const kernel::RiserMotion<double>& riser, double grip_torque) {
  const auto at = [&](const Eigen::Vector3d& x) {
    return kernel::lateral_line_loads(c, topology, m, lines, riser,
                                      kernel::LateralState<double>{0.0, 0.0, 0.0, {x[0], x[1]}, x[2]});
  };
  const auto zero = at(Eigen::Vector3d::Zero());
  Eigen::Matrix<double, 4, 3> slope;  // rows: lean upper, lean lower, nock force, yaw moment
  for (int k = 0; k < 3; ++k) {
    const auto up = at(Eigen::Vector3d::Unit(k));
    const auto down = at(-Eigen::Vector3d::Unit(k));
    slope.col(k) << up.lean[0] - down.lean[0], up.lean[1] - down.lean[1], up.nock - down.nock, up.yaw - down.yaw;
    slope.col(k) *= 0.5;
  }
  const Eigen::Vector3d neutral =
      slope.topRows<3>().partialPivLu().solve(-Eigen::Vector3d{zero.lean[0], zero.lean[1], zero.nock});
  Eigen::Vector3d x = neutral;
  if (grip_torque != 0.0) {
    // The hand's extra moment: leans stay balanced, the bow's yaw moment changes by its opposite.
    Eigen::Matrix3d held;
    held << slope.row(0), slope.row(1), slope.row(3);
    x += held.partialPivLu().solve(Eigen::Vector3d{0.0, 0.0, -grip_torque});
  }
  return {0.0, 0.0, 0.0, {x[0], x[1]}, x[2]};
}

/// Give the hand what balances the riser at full draw (Eq. 47).
template <int Links>
void preload_hand(Release<Links>& r, const StaticPoint& full, const kernel::HalfMotion<double, Links> (&m)[2],
                  const kernel::LineLoads<double, Links>& lines, const kernel::RiserMotion<double>& riser,
                  const kernel::LateralState<double>& lateral) {
  using L = kernel::Layout<Links>;
  auto& c = r.constants;
  const int n = r.topology.modes;
  kernel::ContactLoads<double> contact;
  kernel::RestState<double> rest;
  auto loads = kernel::lateral_line_loads(c, r.topology, m, lines, riser, lateral);
  if (r.topology.rest != RestKind::none) {
    const Coordinates still{};
    Coordinates forces{};
    const auto tip = kernel::launcher(c.rest, r.topology.rest, riser, r.q[L::rest_arm]);
    const auto foot = kernel::shaft_point(c.arrow, r.topology.nodes, n, tip.tip.x - r.q[L::arrow_x]);
    contact = kernel::add_contact(c.rest, r.topology.rest, tip, riser, 0.0, {0.0, 0.0}, r.q[L::arrow_x], 0.0,
                                  c.arrow.length, n, foot, r.q.data() + L::arrow_y, still.data(), forces.data(), rest);
    const double* z = r.q.data() + L{n}.arrow_z();
    kernel::add_lateral_rest(c.rest, r.topology.rest, tip, lateral, kernel::LateralState<double>{}, contact.riser_force,
                             0.0, c.arrow.length, n, foot, z, still.data(), forces.data(), rest, loads);
  }
  const double weight = c.riser.mass * c.gravity;
  c.hand.force_x = -(full.riser_force[0] + contact.riser_force.x);
  c.hand.force_y = -(full.riser_force[1] + contact.riser_force.y - weight);
  c.hand.moment_pitch = -(full.riser_force[2] + contact.riser_moment - weight * c.riser.cm_x);
  c.hand.force_z = -loads.force;
  c.hand.moment_yaw = -loads.yaw;
  c.hand.moment_roll = -loads.roll;
}

/// Lay the arrow on nock and launcher; returns the moment of its weight on the rest's arm.
/// \throws InputError when it does not reach the rest.
template <int Links>
double settle_arrow(const ModelData& data, const kernel::Constants<double, Links>& c,
                    const kernel::RiserMotion<double>& riser, Coordinates& q) {
  using L = kernel::Layout<Links>;
  const int n = data.topology.modes;
  const auto tip = kernel::launcher(c.rest, data.topology.rest, riser, q[L::rest_arm]);
  const double reach = tip.tip.x - q[L::string_x];
  if (!(reach < c.arrow.length) || !(reach > 0.0)) {
    throw InputError("arrow.length", format_quantity(c.arrow.length, Quantity::length, "m"),
                     "must reach past the rest at full draw, that is be more than " +
                         display(reach, Quantity::length, "m", 4) +
                         ": an arrow that falls off the rest inside the draw can be driven into the hand");
  }
  lay_arrow(c, data.topology, tip, q[L::string_x], q[L::string_y], q.data() + L::arrow_y);
  double shape[kernel::max_modes];
  kernel::thrust_shape(c.arrow, n, q.data() + L::arrow_y, shape);
  q[L::arrow_x] = q[L::string_x] - 0.5 * kernel::modal_sum(n, shape, q.data() + L::arrow_y);
  if (data.topology.rest == RestKind::none) {
    return 0.0;
  }
  const Coordinates still{};
  Coordinates ignored{};
  kernel::RestState<double> rest;
  const auto foot = kernel::shaft_point(c.arrow, data.topology.nodes, n, tip.tip.x - q[L::arrow_x]);
  kernel::add_contact(c.rest, data.topology.rest, tip, riser, 0.0, {0.0, 0.0}, q[L::arrow_x], 0.0, c.arrow.length, n,
                      foot, q.data() + L::arrow_y, still.data(), ignored.data(), rest);
  return rest.arm_moment;
}

/// The bow at the wall, before arrow and rest are looked at: all shots of one bow start from it.
template <int Links>
struct FullDraw {
  StaticPoint point;
  kernel::Headings<double> headings{};
  double peak_force = 0.0;
  double late_stop_gap = 0.0;
  double strain_at_brace = 0.0;  // [J]
};

template <int Links>
double strain_of(const kernel::Constants<double, Links>& c, Statics<Links>& statics, const StaticPoint& p) {
  kernel::EnergyParts parts;
  kernel::HalfMotion<double, Links> m[2];
  return kernel::bow_strain(c, statics.loads(p.q, m), p.q.data(), parts);
}

/// \throws SolverError from the draw
template <int Links>
FullDraw<Links> draw_to_the_wall(const ModelData& data, const kernel::Constants<double, Links>& c) {
  DrawWalk<Links> walk(data, c, DrawHold::archer);
  FullDraw<Links> draw;
  draw.strain_at_brace = strain_of(c, walk.statics(), walk.now());
  const double touch = walk.find_touch();
  const double late = std::max(walk.now().stop_gap[0], walk.now().stop_gap[1]);
  draw.late_stop_gap = late >= 1.0 ? 0.0 : std::max(late, 0.0);
  walk.engage_stops();
  walk.advance_to(touch - data.setup.hold.wall_pull);
  draw.point = walk.now();
  draw.headings = walk.statics().headings();
  draw.peak_force = walk.largest_force();
  return draw;
}

/// Lay arrow, rest and lateral plane into equilibrium at full draw.
/// \throws InputError when the arrow does not reach the rest; SolverError when the rest's arm finds no balance.
template <int Links>
Release<Links> prepare_release(const ModelData& data, const kernel::Constants<double, Links>& c,
                               const FullDraw<Links>& draw) {
  using L = kernel::Layout<Links>;
  Release<Links> r{c, data.topology};
  Statics<Links> statics(c, data.topology);
  statics.set_headings(draw.headings);
  const kernel::Vector2<double> pressure_point{data.setup.grip.pressure_point_x, data.setup.grip.pressure_point_y};
  kernel::HalfMotion<double, Links> m[2];
  r.late_stop_gap = draw.late_stop_gap;
  StaticPoint full = draw.point;
  const double nock_x = full.q[L::string_x];
  Coordinates q = full.q;
  const Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  q[L::rest_arm] = c.rest.up_angle;
  double arm_load = settle_arrow(data, c, riser, q);
  // Arrow and arm settle together: the arm gives way by micrometres under the arrow's weight, so a few rounds are
  // exact.
  for (int round = 0; kernel::has_arm(data.topology.rest) && round < 8; ++round) {
    if (!statics.balance_arm(q, nock_x, pressure_point, arm_load, full)) {
      throw SolverError("full draw",
                        "the rest's arm finds no balance between its spring, its stops and its cord; check "
                        "rest.arm.cord_slack");
    }
    const double before = arm_load;
    arm_load = settle_arrow(data, c, riser, q);
    if (std::fabs(arm_load - before) <= 1e-10 * std::fabs(arm_load)) {
      break;
    }
  }
  r.holding_force = std::hypot(full.nock_force.x, full.nock_force.y);
  r.peak_force = draw.peak_force;
  r.stored_energy = strain_of(c, statics, full) - draw.strain_at_brace;
  const double reach = kernel::launcher(c.rest, data.topology.rest, riser, q[L::rest_arm]).tip.x - q[L::string_x];

  const auto lines = statics.loads(q, m);
  const auto lateral = balance_lateral(c, data.topology, m, lines, riser, data.setup.hold.grip_torque);
  q[L::lean(0)] = lateral.lean[0];
  q[L::lean(1)] = lateral.lean[1];
  q[L::string_z] = lateral.nock;
  const double aim = data.topology.rest == RestKind::none ? lateral.nock : c.rest.z;
  lay_straight(c.arrow, data.topology.modes, lateral.nock, (aim - lateral.nock) / reach,
               q.data() + L{data.topology.modes}.arrow_z());
  r.q = q;
  r.headings = statics.headings();
  r.excursion = full.excursion;
  preload_hand(r, full, m, lines, riser, lateral);
  return r;
}

template <int Links>
Release<Links> prepare_release(const ModelData& data, const kernel::Constants<double, Links>& c) {
  return prepare_release(data, c, draw_to_the_wall(data, c));
}

}  // namespace nockwise::detail
