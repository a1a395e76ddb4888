// Energy of the vertical plane, part by part (lib/README.md, "Energy", Eq. 42). With all damping at zero its sum is
// constant to the integrator's tolerance; the lateral plane is carried along to first order and has no energy of its
// own here.
#pragma once

#include "kernel/right_hand_side.hpp"
#include "kernel/static_loads.hpp"

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
void mechanism_energy(const Constants<double, Links>& c, const PlanarScratch<double, Links>& w, const double* q,
                      EnergyParts& parts) {
  const RiserConstants<double>& r = c.riser;
  const Vector2<double> centre = turned(w.riser.cosine, w.riser.sine, {r.cm_x, r.cm_y});
  const Vector2<double> velocity = w.riser.velocity + w.riser.pitch_rate * quarter_turn(centre);
  parts.mechanism +=
      0.5 * r.mass * dot(velocity, velocity) + 0.5 * r.pitch_inertia * w.riser.pitch_rate * w.riser.pitch_rate;
  const double height = q[Layout<Links>::riser_y];
  parts.gravity += r.mass * c.gravity * (height + centre.y);
  for (int h = 0; h < 2; ++h) {
    const HalfMotion<double, Links>& m = w.motion[h];
    for (int j = 0; j < Links; ++j) {
      const Link<double>& link = c.half[h].links[j];
      parts.mechanism +=
          0.5 * link.mass * dot(m.end_velocity[j], m.end_velocity[j]) + 0.5 * link.inertia * m.rate[j] * m.rate[j];
      parts.gravity += link.mass * c.gravity * (height + half_sign[h] * m.end[j].y);
    }
    const Vector2<double> cam = m.axle_velocity() + m.alpha_rate * quarter_turn(m.cam_arm);
    parts.mechanism +=
        0.5 * c.half[h].cam_mass * dot(cam, cam) + 0.5 * c.half[h].cam_inertia * m.alpha_rate * m.alpha_rate;
    parts.gravity += c.half[h].cam_mass * c.gravity * (height + half_sign[h] * (m.axle().y + m.cam_arm.y));
  }
}

/// Kinetic and strain energy and weight of a chain, from the nock to the last masses; `q`, `v`: of the chain.
inline void chain_energy(const StringChain& chain, double gravity, Vector2<double> nock, const double* q,
                         const double* v, EnergyParts& parts) {
  for (int h = 0; h < 2; ++h) {
    Vector2<double> from = nock;
    for (int i = 0; i < chain.masses(); ++i) {
      const Vector2<double> to = in_plane(q, chain.at(h, i));
      const Vector2<double> velocity = in_plane(v, chain.at(h, i));
      const Vector2<double> span = to - from;
      parts.mechanism += 0.5 * chain.mass[h][i] * dot(velocity, velocity);
      parts.gravity += chain.mass[h][i] * gravity * to.y;
      parts.lines += spring_energy(chain.piece[h].stiffness, square_root(dot(span, span)) - chain.piece[h].natural);
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
  const double* y = q + L::arrow_y;
  const double* rate = v + L::arrow_y;
  const double speed = v[L::arrow_x];
  parts.arrow += 0.5 * arrow.total_mass * speed * speed + 0.5 * modal_sum(modes, rate, rate);
  for (int k = 2; k < modes; ++k) {
    parts.arrow += 0.5 * arrow.stiffness[k] * y[k] * y[k];
  }
  parts.gravity += arrow.root_mass * c.gravity * y[0];
  parts.mechanism += 0.5 * c.nock_mass * dot(nock.velocity, nock.velocity);
  parts.gravity += c.nock_mass * c.gravity * nock.position.y;
}

template <int Links>
void rest_energy(const Constants<double, Links>& c, RestKind kind, const RestState<double>& state, double arm,
                 double arm_rate, EnergyParts& parts) {
  const RestConstants<double>& rest = c.rest;
  if (kind != RestKind::none && under_shaft(state.reach, c.arrow.length) > 0.5) {
    parts.contacts +=
        kind == RestKind::capture ? 0.5 * rest.k * state.gap * state.gap : spring_energy(rest.k, -state.gap);
  }
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
}

/// Gap, reach and the cord's tension without damping: strain energies must not see the rate. Loads `w.lines` with it.
template <int Links>
RestState<double> rest_at(const Constants<double, Links>& c, const Topology& topology, const double* q, const double* v,
                          PlanarScratch<double, Links>& w) {
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
  const Launcher<double> tip = launcher(still, topology.rest, w.riser, {q[L::riser_x], q[L::riser_y]}, arm);
  state.reach = tip.place.x - q[L::arrow_x];
  const ShaftPoint<double> foot = shaft_point(c.arrow, topology.nodes, topology.modes, state.reach);
  state.gap = modal_sum(topology.modes, foot.shape, q + L::arrow_y) - tip.place.y;
  return state;
}

template <int Links, class Chain = NoChain>
EnergyParts energy(const Constants<double, Links>& c, const Topology& topology, double attached, const double* q,
                   const double* v, RunDirections<double> run_directions, const Chain& chain = {}) {
  using L = Layout<Links>;
  EnergyParts parts;
  PlanarScratch<double, Links> w;
  w.riser = riser_motion<double, Links>(q, v);
  for (int h = 0; h < 2; ++h) {
    w.motion[h] = half_motion(c.half[h], in_side_frame(w.riser, h), q + L::joint(h, 0), v + L::joint(h, 0),
                              q[L::cam(h)], v[L::cam(h)]);
  }
  NockMotion<double> nock{{q[L::string_x], q[L::string_y]}, {v[L::string_x], v[L::string_y]}};
  if (attached > 0.5) {
    double shape[max_modes];
    thrust_shape(c.arrow, topology.modes, q + L::arrow_y, shape);
    nock = nock_motion(c.arrow, topology.modes, shape, q[L::arrow_x], v[L::arrow_x], q + L::arrow_y, v + L::arrow_y);
  }
  const Vector2<double> grip{q[L::riser_x], q[L::riser_y]};
  if constexpr (Chain::present) {
    const double* chain_q = q + L{topology.modes}.size();
    const double* chain_v = v + L{topology.modes}.size();
    add_line_loads(c, topology, w.motion, EndsAtMasses{chain, grip, chain_q, chain_v}, q, v, run_directions, w.lines);
    chain_energy(chain, c.gravity, nock.position, chain_q, chain_v, parts);
  } else {
    add_line_loads(c, topology, w.motion, EndsAtNock<double>{nock.position - grip, nock.velocity}, q, v, run_directions,
                   w.lines);
  }
  const Strain<double> strain = bow_strain(c, w.lines, q);
  parts.limbs += strain.limbs;
  parts.lines += strain.lines;
  parts.contacts += strain.stops;
  mechanism_energy(c, w, q, parts);
  arrow_energy(c, topology.modes, nock, q, v, parts);
  rest_energy(c, topology.rest, rest_at(c, topology, q, v, w), q[L::rest_arm], v[L::rest_arm], parts);
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
