// Energy of both planes, part by part (lib/README.md, "Energy", Eq. 42). With all damping at zero its sum is constant
// to the integrator's tolerance.
#pragma once

#include "kernel/nock_turn.hpp"
#include "kernel/right_hand_side.hpp"
#include "kernel/static_loads.hpp"

#include <utility>

namespace nockwise::kernel {

/// [J]
struct EnergyParts {
  double arrow = 0.0;      // kinetic: axial and transverse, and bending
  double mechanism = 0.0;  // kinetic: riser, limbs, cams, string, rest arm
  double limbs = 0.0;      // strain
  double lines = 0.0;      // strain of string, cables, cord
  double contacts = 0.0;   // stops, rest, the arm's spring and stops
  double gravity = 0.0;
  double hand = 0.0;  // springs and preload of the hand
  [[nodiscard]] double total() const { return arrow + mechanism + limbs + lines + contacts + gravity + hand; }
};

/// Kinetic energy of riser, limbs, cams, and their gravity potential.
template <int Links>
void mechanism_energy(const Constants<double, Links>& c, const PlanarScratch<double, Links>& w,
                      const LateralMotion<double>& lateral, const PlaneMotion<double>& plane, const double* q,
                      EnergyParts& parts) {
  const RiserConstants<double>& r = c.riser;
  const Vector2<double> centre = turned(w.riser.cosine, w.riser.sine, {r.cm_x, r.cm_y});
  const Vector2<double> velocity = w.riser.velocity + w.riser.pitch_rate * quarter_turn(centre);
  parts.mechanism +=
      0.5 * r.mass * dot(velocity, velocity) + 0.5 * r.pitch_inertia * w.riser.pitch_rate * w.riser.pitch_rate;
  const auto across = [&](double mass, Vector2<double> at) { return 0.5 * mass * plane.at(at) * plane.at(at); };
  parts.mechanism += across(r.mass, centre) + 0.5 * r.roll_inertia * plane.roll * plane.roll +
                     0.5 * r.yaw_inertia * plane.yaw * plane.yaw;
  const Vector2<double> moment = weigh(c, w.motion, centre).moment;
  const double roll = lateral.place.roll;
  parts.gravity -= 0.5 * c.gravity * roll * (roll * moment.y - lateral.place.yaw * moment.x);
  const double height = q[Layout<Links>::riser_y];
  parts.gravity += r.mass * c.gravity * (height + centre.y);
  for (int h = 0; h < 2; ++h) {
    const HalfMotion<double, Links>& m = w.motion[h];
    for (int j = 0; j < Links; ++j) {
      const Link<double>& link = c.half[h].links[j];
      parts.mechanism +=
          0.5 * link.mass * dot(m.end_velocity[j], m.end_velocity[j]) + 0.5 * link.inertia * m.rate[j] * m.rate[j];
      parts.gravity += link.mass * c.gravity * (height + half_sign[h] * m.end[j].y);
      parts.mechanism += across(link.mass, {m.end[j].x, half_sign[h] * m.end[j].y});
    }
    parts.mechanism += across(c.half[h].cam_mass, {m.cam_centre().x, half_sign[h] * m.cam_centre().y});
    const double turn =
        lateral.rate.lean[h] + m.limb_direction.x * half_sign[h] * plane.roll + m.limb_direction.y * plane.yaw;
    parts.mechanism += 0.5 * c.half[h].twist_inertia * turn * turn;
    const Vector2<double> cam = m.cam_velocity();
    parts.mechanism +=
        0.5 * c.half[h].cam_mass * dot(cam, cam) + 0.5 * c.half[h].cam_inertia * m.spin_rate * m.spin_rate;
    parts.gravity += c.half[h].cam_mass * c.gravity * (height + half_sign[h] * m.cam_centre().y);
  }
}

/// Kinetic and strain energy and weight of a chain, from the nock to the last masses; `q`, `v`: of the chain.
inline void chain_energy(const StringChain& chain, double gravity, const ChainPoint& nock, const double* q,
                         const double* v, EnergyParts& parts) {
  for (int h = 0; h < 2; ++h) {
    ChainPoint from = nock;
    for (int i = 0; i < chain.masses(); ++i) {
      const ChainPoint to = mass_at(q, v, chain.at(h, i));
      parts.mechanism += 0.5 * chain.mass[h][i] * (dot(to.rate, to.rate) + to.aside_rate * to.aside_rate);
      parts.gravity += chain.mass[h][i] * gravity * to.place.y;
      parts.lines += spring_energy(chain.piece[h].stiffness,
                                   piece_between(chain.piece[h], from, to).length - chain.piece[h].natural);
      from = to;
    }
  }
}

/// Kinetic energy of arrow and string point, bending, gravity.
template <int Links>
void arrow_energy(const Constants<double, Links>& c, int modes, const NockMotion<double>& nock, const double* q,
                  const double* v, EnergyParts& parts) {
  using L = Layout<Links>;
  const ArrowConstants<double>& arrow = c.arrow;
  const double speed = v[L::arrow_x];
  parts.arrow += 0.5 * arrow.total_mass * speed * speed;
  for (const auto& [plane, share] :
       {std::pair{L::arrow_y, arrow.around.upright}, std::pair{L{modes}.arrow_z(), arrow.around.level}}) {
    const double* bend = q + plane;
    parts.arrow += 0.5 * modal_sum(modes, v + plane, v + plane);
    for (int k = 2; k < modes; ++k) {
      parts.arrow += 0.5 * arrow.stiffness[k] * share * bend[k] * bend[k];
    }
  }
  for (int k = 2; k < modes; ++k) {
    parts.arrow += arrow.around.slanted * arrow.stiffness[k] * q[L::arrow_y + k] * q[L{modes}.arrow_z() + k];
  }
  parts.gravity += arrow.root_mass * c.gravity * q[L::arrow_y];
  parts.mechanism += 0.5 * c.nock_mass * (dot(nock.velocity, nock.velocity) + nock.aside_rate * nock.aside_rate);
  parts.gravity += c.nock_mass * c.gravity * nock.position.y;
}

template <int Links>
void rest_energy(const Constants<double, Links>& c, RestKind kind, const RestState<double>& state, double arm,
                 double arm_rate, EnergyParts& parts) {
  const RestConstants<double>& rest = c.rest;
  if (kind != RestKind::none && under_shaft(state.reach, c.arrow.length) > 0.5) {
    parts.contacts +=
        kind == RestKind::capture ? 0.5 * rest.k * state.gap * state.gap : spring_energy(rest.k, -state.gap);
    const double held = kind == RestKind::capture ? 1.0 : minimum(positive(1.0 - state.gap / rest.cradle_depth), 1.0);
    parts.contacts += 0.5 * held * rest.k_lateral * state.lateral_gap * state.lateral_gap;
  }
  parts.contacts += state.vanes.energy;
  if (has_arm(kind)) {
    parts.mechanism += 0.5 * rest.arm_inertia * arm_rate * arm_rate;
    const double down = rest.up_angle - arm;
    const double spring = kind == RestKind::limb_driven
                              ? rest.spring_torque * down + 0.5 * rest.spring_rate * down * down
                              : -rest.spring_torque * down + 0.5 * rest.spring_rate * down * down;
    parts.contacts += spring + spring_energy(rest.stop_stiffness, arm - rest.up_angle) +
                      spring_energy(rest.stop_stiffness, rest.down_angle - arm);
    // The cord's tension without damping is k · stretch, so its energy follows from the tension.
    parts.lines += 0.5 * state.cord_tension * state.cord_tension / rest.cord_stiffness;
  }
}

template <int Links>
void hand_energy(const HandConstants<double>& hand, const double* q, EnergyParts& parts) {
  using L = Layout<Links>;
  const double x = q[L::riser_x];
  const double y = q[L::riser_y];
  const double pitch = q[L::riser_pitch];
  parts.hand += 0.5 * (hand.kx * x * x + hand.ky * y * y + hand.k_pitch * pitch * pitch) - hand.force_x * x -
                hand.force_y * y - hand.moment_pitch * pitch;
  const double z = q[L::riser_z];
  const double yaw = q[L::riser_yaw];
  const double roll = q[L::riser_roll];
  parts.hand += 0.5 * (hand.kz * z * z + hand.k_yaw * yaw * yaw + hand.k_roll * roll * roll) - hand.force_z * z -
                hand.moment_yaw * yaw - hand.moment_roll * roll;
}

/// Gap, reach and the cord's tension without damping: strain energies must not see the rate. Loads `w.lines` with it.
template <int Links>
RestState<double> rest_at(const Constants<double, Links>& c, const Topology& topology, const double* q, const double* v,
                          const LateralMotion<double>& lateral, PlanarScratch<double, Links>& w) {
  using L = Layout<Links>;
  RestState<double> state;
  if (topology.rest == RestKind::none) {
    return state;
  }
  RestConstants<double> still = c.rest;
  still.cord_damping = 0.0;
  const ArmMotion<double> arm{q[L::rest_arm], v[L::rest_arm]};
  const RiserMotion<double> side = in_side_frame(w.riser, topology.cord_half);
  if (topology.rest == RestKind::limb_driven) {
    add_limb_cord(still, topology, side, w.motion, c.half, arm, w.lines, state);
  } else if (topology.rest == RestKind::cable_driven) {
    add_cable_cord(still, topology, side, w.motion, arm, w.lines, state);
  }
  const GripMotion<double> grip{{q[L::riser_x], q[L::riser_y]}, {0.0, 0.0}, 0.0, {lateral.place, {}}};
  const Launcher<double> tip = launcher(still, topology.rest, w.riser, grip, arm);
  state.reach = tip.place.x - q[L::arrow_x];
  const ShaftPoint<double> foot = shaft_point(c.arrow, topology.nodes, topology.modes, state.reach);
  state.gap = modal_sum(topology.modes, foot.shape, q + L::arrow_y) - tip.place.y;
  state.lateral_gap = modal_sum(topology.modes, foot.shape, q + L{topology.modes}.arrow_z()) - tip.aside;
  state.vanes =
      vane_loads(c.vanes, topology.vanes, c.rest.half_width, {state.reach, 0.0, state.gap, state.lateral_gap});
  return state;
}

template <int Links, class Chain = NoChain>
EnergyParts energy(const Constants<double, Links>& c, const Topology& topology, double attached, const double* q,
                   const double* v, RunDirections<double> run_directions, const Chain& chain = {}) {
  using L = Layout<Links>;
  EnergyParts parts;
  PlanarScratch<double, Links> w;
  const BowVelocity<double> bow = bow_velocity<double, Links>(q, v);
  w.riser = bow_motion<double, Links>(q, v, bow);
  for (int h = 0; h < 2; ++h) {
    w.motion[h] = half_motion(c.half[h], in_side_frame(w.riser, h), q + L::joint(h, 0), v + L::joint(h, 0),
                              q[L::cam(h)], v[L::cam(h)]);
  }
  const int n = topology.modes;
  NockMotion<double> nock{
      {q[L::string_x], q[L::string_y]}, {v[L::string_x], v[L::string_y]}, q[L::string_z], v[L::string_z]};
  if (attached > 0.5) {
    nock = nock_of(c.arrow, n, q[L::arrow_x], v[L::arrow_x], q + L::arrow_y, v + L::arrow_y, q + L{n}.arrow_z(),
                   v + L{n}.arrow_z());
  }
  const LateralMotion<double> lateral = lateral_motion<double, Links>(q, v, nock.aside, nock.aside_rate);
  for (int h = 0; h < 2; ++h) {
    add_tilted_spin(w.motion[h], lateral, h);
  }
  const Vector2<double> grip{q[L::riser_x], q[L::riser_y]};
  const Vector2<double> grip_rate{v[L::riser_x], v[L::riser_y]};
  if constexpr (Chain::present) {
    const double* chain_q = q + L{n}.size();
    const double* chain_v = v + L{n}.size();
    add_line_loads(c, topology, w.motion, w.riser,
                   EndsAtMasses{chain, grip, grip_rate, lateral.place.z, lateral.rate.z, chain_q, chain_v}, lateral, q,
                   v, run_directions, w.lines);
    chain_energy(chain, c.gravity, ChainPoint{nock.position, nock.velocity, nock.aside, nock.aside_rate}, chain_q,
                 chain_v, parts);
  } else {
    const EndsAtNock<double> ends{{nock.position - grip, nock.velocity - grip_rate, nock.aside - lateral.place.z,
                                   nock.aside_rate - lateral.rate.z}};
    add_line_loads(c, topology, w.motion, w.riser, ends, lateral, q, v, run_directions, w.lines);
  }
  const Strain<double> strain = bow_strain(c, w.lines, q);
  parts.limbs += strain.limbs;
  parts.lines += strain.lines;
  parts.contacts += strain.stops;
  mechanism_energy(c, w, lateral, PlaneMotion<double>{bow.out, lateral.rate.roll, lateral.rate.yaw, bow.turn}, q,
                   parts);
  arrow_energy(c, topology.modes, nock, q, v, parts);
  if (topology.nock_grips && attached > 0.5) {
    parts.contacts += nock_energy(
        c.arrow.grip, nock_angles(c.arrow, n, q + L::arrow_y, v + L::arrow_y, q + L{n}.arrow_z(), v + L{n}.arrow_z(),
                                  q[L::riser_pitch], v[L::riser_pitch], lateral.place.yaw, lateral.rate.yaw));
  }
  rest_energy(c, topology.rest, rest_at(c, topology, q, v, lateral, w), q[L::rest_arm], v[L::rest_arm], parts);
  if (topology.cables_beside) {
    const GripMotion<double> still{grip, {0.0, 0.0}, 0.0, {lateral.place, {}}};
    double ignored[max_modes] = {};
    ContactLoads<double> loads;
    parts.contacts += add_cable_strikes(c.passes, c.arrow, c.vanes, topology, w.riser, still, q[L::arrow_x], 0.0,
                                        ShaftModes<double>{n, q + L{n}.arrow_z(), v + L{n}.arrow_z(), ignored}, loads)
                          .loads.energy;
  }
  hand_energy<Links>(c.hand, q, parts);
  return parts;
}

// Compiled in lib/kernel/links_*.cpp.
#define NOCKWISE_ENERGY(extern_or_nothing, links)                                                                     \
  extern_or_nothing template EnergyParts energy(const Constants<double, links>&, const Topology&, double,             \
                                                const double*, const double*, RunDirections<double>, const NoChain&); \
  extern_or_nothing template EnergyParts energy(const Constants<double, links>&, const Topology&, double,             \
                                                const double*, const double*, RunDirections<double>,                  \
                                                const StringChain&);
#define NOCKWISE_EXTERN(links) NOCKWISE_ENERGY(extern, links)
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

}  // namespace nockwise::kernel
