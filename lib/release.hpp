// Full draw in equilibrium, ready to be released: bow, rest, arrow, lateral plane, and the hand's preload
// (lib/README.md, "Release"). Private.
#pragma once

#include "draw_walk.hpp"

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

/// Static shape of the arrow on nock and rest: node 0 held, the rest's spring under it, its own weight.
template <int Links>
void lay_arrow(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
               const kernel::Launcher<double>& tip, double* y, double nock_x) {
  const int n = topology.nodes;
  const double reach = tip.tip.x - nock_x;
  for (int i = 0; i < n; ++i) {
    y[i] = y[0] + (tip.tip.y - y[0]) * (i * c.arrow.spacing) / reach;
  }
  if (topology.rest == RestKind::none) {
    return;
  }
  const auto foot = kernel::footing(reach, c.arrow.spacing, n);
  Eigen::MatrixXd stiffness = Eigen::MatrixXd::Zero(n, n);
  Eigen::VectorXd load = Eigen::VectorXd::Zero(n);
  std::array<double, kernel::max_nodes> unit{};
  const std::array<double, kernel::max_nodes> still{};
  for (int j = 0; j < n; ++j) {
    unit[static_cast<std::size_t>(j)] = 1.0;
    Eigen::VectorXd force = Eigen::VectorXd::Zero(n);
    kernel::add_bending_forces(c.arrow, n, unit.data(), still.data(), force.data());
    stiffness.col(j) = -force;
    unit[static_cast<std::size_t>(j)] = 0.0;
    load[j] = -c.arrow.mass[j] * c.gravity;
  }
  for (int a = 0; a < 4; ++a) {
    for (int b = 0; b < 4; ++b) {
      stiffness(foot.node[a], foot.node[b]) += c.rest.k * foot.weight[a] * foot.weight[b];
    }
    load[foot.node[a]] += c.rest.k * foot.weight[a] * tip.tip.y;
  }
  const int m = n - 1;
  const Eigen::VectorXd shape =
      stiffness.bottomRightCorner(m, m).partialPivLu().solve(load.tail(m) - stiffness.col(0).tail(m) * y[0]);
  Eigen::Map<Eigen::VectorXd> settled(y, n);
  const Eigen::VectorXd straight = settled;
  settled.tail(m) = shape;
  if (topology.rest != RestKind::capture && foot.value(y) > tip.tip.y) {
    settled = straight;  // a launcher pushes only: an arrow that balances behind it stays where it was laid
  }
}

/// Lateral equilibrium of leans and nock: linear, so four evaluations give the system.
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
    const auto one = at(Eigen::Vector3d::Unit(k));
    slope.col(k) << one.lean[0] - zero.lean[0], one.lean[1] - zero.lean[1], one.nock - zero.nock, one.yaw - zero.yaw;
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

/// Give the hand what balances the riser at full draw.
template <int Links>
void preload_hand(Release<Links>& r, const StaticPoint& full, const kernel::HalfMotion<double, Links> (&m)[2],
                  const kernel::LineLoads<double, Links>& lines, const kernel::RiserMotion<double>& riser,
                  const kernel::LateralState<double>& lateral) {
  using L = kernel::Layout<Links>;
  auto& c = r.constants;
  const int n = r.topology.nodes;
  kernel::ContactLoads<double> contact;
  kernel::RestState<double> rest;
  auto loads = kernel::lateral_line_loads(c, r.topology, m, lines, riser, lateral);
  if (r.topology.rest != RestKind::none) {
    const Coordinates still{};
    Coordinates forces{};
    const auto tip = kernel::launcher(c.rest, r.topology.rest, riser, r.q[L::rest_arm]);
    const auto foot = kernel::footing(tip.tip.x - r.q[L::arrow_x], c.arrow.spacing, n);
    contact = kernel::add_contact(c.rest, r.topology.rest, tip, riser, 0.0, {0.0, 0.0}, r.q[L::arrow_x], 0.0,
                                  c.arrow.length, foot, r.q.data() + L::arrow_y, still.data(), forces.data(), rest);
    const double* z = r.q.data() + L{n}.arrow_z();
    kernel::add_lateral_rest(c.rest, tip, lateral, kernel::LateralState<double>{}, contact.riser_force, 0.0,
                             c.arrow.length, foot, z, still.data(), forces.data(), rest, loads);
  }
  const double weight = c.riser.mass * c.gravity;
  c.hand.force_x = -(full.riser_force[0] + contact.riser_force.x);
  c.hand.force_y = -(full.riser_force[1] + contact.riser_force.y - weight);
  c.hand.moment_pitch = -(full.riser_force[2] + contact.riser_moment - weight * c.riser.cm_x);
  c.hand.force_z = -loads.force;
  c.hand.moment_yaw = -loads.yaw;
  c.hand.moment_roll = -loads.roll;
}

/// Draw the bow to the wall and lay arrow, rest and lateral plane into equilibrium.
/// \throws InputError when the arrow does not reach the rest; SolverError from the draw.
template <int Links>
Release<Links> prepare_release(const ModelData& data, const kernel::Constants<double, Links>& c) {
  using L = kernel::Layout<Links>;
  Release<Links> r{c, data.topology};
  DrawWalk<Links> walk(data, c, DrawHold::archer);
  kernel::HalfMotion<double, Links> m[2];
  const auto strain = [&](const StaticPoint& p) {
    kernel::EnergyParts parts;
    return kernel::bow_strain(c, walk.statics().loads(p.q, m), p.q.data(), parts);
  };
  const double at_brace = strain(walk.now());
  const double touch = walk.find_touch();
  const StaticPoint touched = walk.now();
  const double late = std::max(touched.stop_gap[0], touched.stop_gap[1]);
  r.late_stop_gap = late >= 1.0 ? 0.0 : std::max(late, 0.0);
  walk.engage_stops();
  walk.advance_to(touch - data.setup.hold.wall_pull);
  StaticPoint full = walk.now();
  Coordinates q = full.q;
  if (kernel::has_arm(data.topology.rest)) {
    q[L::rest_arm] = c.rest.up_angle;
    if (!walk.statics().balance_arm(q, walk.nock_x(), walk.pressure_point(), full)) {
      throw SolverError(
          "full draw",
          "the rest's arm finds no balance between its spring, its stops and its cord; check rest.arm.cord_slack");
    }
  }
  r.peak_force = walk.largest_force();
  r.holding_force = std::hypot(full.nock_force.x, full.nock_force.y);
  r.stored_energy = strain(full) - at_brace;

  const Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  const auto tip = kernel::launcher(c.rest, data.topology.rest, riser, q[L::rest_arm]);
  const double reach = tip.tip.x - q[L::string_x];
  if (!(reach < c.arrow.length) || !(reach > 0.0)) {
    throw InputError("arrow.length", std::to_string(c.arrow.length) + " m",
                     "must reach past the rest at full draw, that is be more than " + std::to_string(reach) +
                         " m: an arrow that falls off the rest inside the draw can be driven into the hand");
  }
  q[L::arrow_x] = q[L::string_x];
  q[L::arrow_y] = q[L::string_y];
  lay_arrow(c, data.topology, tip, q.data() + L::arrow_y, q[L::arrow_x]);

  const auto lines = walk.statics().loads(q, m);
  const auto lateral = balance_lateral(c, data.topology, m, lines, riser, data.setup.hold.grip_torque);
  q[L::lean(0)] = lateral.lean[0];
  q[L::lean(1)] = lateral.lean[1];
  q[L::string_z] = lateral.nock;
  for (int i = 0; i < data.topology.nodes; ++i) {
    const double aim = data.topology.rest == RestKind::none ? lateral.nock : c.rest.z;
    q[static_cast<std::size_t>(L{data.topology.nodes}.arrow_z() + i)] =
        lateral.nock + (aim - lateral.nock) * (i * c.arrow.spacing) / reach;
  }
  r.q = q;
  r.headings = walk.statics().headings();
  r.excursion = full.excursion;
  preload_hand(r, full, m, lines, riser, lateral);
  return r;
}

}  // namespace nockwise::detail
