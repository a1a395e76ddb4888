// The right-hand side of the launch: state [q, q̇] → [q̇, q̈] (lib/README.md, "Equations of motion").
//
// A pure function of constants and state up to rounding; the run directions only carry Newton's starting point. No
// allocation, no virtual call, no branch on a value.
#pragma once

#include "kernel/string_chain.hpp"

#include <type_traits>

namespace nockwise::kernel {

/// What events, reports and pictures need of one evaluation.
template <class S>
struct Diagnostics {
  S separation;  // axial push of string on arrow plus the nock's hold [N] (Eq. 27); they part where it falls to zero
  S axial_acceleration;  // of the arrow [m/s²]
  S string_tension[2], cable_tension[2], cable_stretch[2], stop_gap[2], stop_force[2];
  Vector2<S> nock_force;
  RestState<S> rest;
  S excursion;  // beyond a track's range [rad]
};

template <class S, int Links>
struct PlanarScratch {
  RiserMotion<S> riser;
  HalfMotion<S, Links> motion[2];
  LineLoads<S, Links> lines;
  S riser_acceleration[3];
  S own_acceleration[2][Links + 1];
};

/// Solve riser, limbs and cams for their accelerations under `lines` and the extra riser load of the rest's contact.
template <class S, int Links>
void solve_mechanism(const Constants<S, Links>& c, const Topology& topology, const S* q, const S* v,
                     const ContactLoads<S>& contact, PlanarScratch<S, Links>& w) {
  using L = Layout<Links>;
  const RiserConstants<S>& r = c.riser;
  const HandConstants<S>& hand = c.hand;
  const Vector2<S> centre = turned(w.riser.cosine, w.riser.sine, {r.cm_x, r.cm_y});
  const Vector2<S> turn = quarter_turn(centre);
  const Vector2<S> bias = -(w.riser.pitch_rate * w.riser.pitch_rate) * centre;
  S m[3][3] = {{r.mass, S(0.0), S(0.0)},
               {S(0.0), r.mass, S(0.0)},
               {r.mass * turn.x, r.mass * turn.y, r.pitch_inertia + r.mass * dot(turn, turn)}};
  S f[3] = {hand.force_x - hand.kx * q[L::riser_x] - hand.cx * v[L::riser_x] + contact.riser_force.x - r.mass * bias.x,
            hand.force_y - hand.ky * q[L::riser_y] - hand.cy * v[L::riser_y] + contact.riser_force.y -
                r.mass * (bias.y + c.gravity),
            hand.moment_pitch - hand.k_pitch * q[L::riser_pitch] - hand.c_pitch * v[L::riser_pitch] +
                contact.riser_moment - r.mass * (dot(turn, bias) + turn.y * c.gravity)};
  ReducedHalf<S, Links> reduced[2];
  for (int h = 0; h < 2; ++h) {
    const S sign(half_sign[h]);
    HalfLoads<S, Links> loads = w.lines.half[h];
    add_passive_loads(c.half[h], w.motion[h], q + L::joint(h, 0), v + L::joint(h, 0), v[L::cam(h)], -(sign * c.gravity),
                      loads);
    HalfForces<S, Links> forces = generalised(w.motion[h], loads);
    HalfInertia<S, Links> inertia = assemble(c.half[h], w.motion[h], forces);
    if (topology.first_link_locked[h]) {
      lock(0, inertia, forces);
    }
    reduced[h] = reduce(inertia, forces);
    const ReducedHalf<S, Links>& half = reduced[h];
    m[0][0] += half.inertia[0][0];
    m[1][1] += half.inertia[1][1];
    m[2][2] += half.inertia[2][2];
    m[1][0] += sign * half.inertia[1][0];
    m[2][0] += sign * half.inertia[2][0];
    m[2][1] += half.inertia[2][1];
    f[0] += half.force[0];
    f[1] += sign * half.force[1];
    f[2] += sign * half.force[2];
  }
  solve3(m, f, w.riser_acceleration);
  for (int h = 0; h < 2; ++h) {
    const S sign(half_sign[h]);
    for (int i = 0; i <= Links; ++i) {
      const S(&follow)[3] = reduced[h].follow[i];
      w.own_acceleration[h][i] = reduced[h].free[i] - follow[0] * w.riser_acceleration[0] -
                                 sign * (follow[1] * w.riser_acceleration[1] + follow[2] * w.riser_acceleration[2]);
    }
  }
}

/// Lateral accelerations of the riser and the leans (Eqs. 36–38); `a` receives them.
template <class S, int Links>
void solve_lateral(const Constants<S, Links>& c, const PlanarScratch<S, Links>& w, const LateralMotion<S>& motion,
                   const LateralLoads<S>& loads, S* a) {
  using L = Layout<Links>;
  const auto& [state, rate] = motion;
  LateralInertia<S> inertia;
  const S* grip = w.riser_acceleration;
  const Vector2<S> up{S(0.0), c.gravity};
  const Vector2<S> grip_acceleration{grip[0], grip[1]};
  const RiserConstants<S>& r = c.riser;
  const Vector2<S> centre = turned(w.riser.cosine, w.riser.sine, {r.cm_x, r.cm_y});
  const Vector2<S> centre_velocity = w.riser.pitch_rate * quarter_turn(centre);
  const Vector2<S> centre_acceleration =
      grip[2] * quarter_turn(centre) - (w.riser.pitch_rate * w.riser.pitch_rate) * centre;
  inertia.add_mass(r.mass, centre, centre_velocity, centre_acceleration, grip_acceleration + centre_acceleration + up,
                   motion);
  inertia.matrix[1][1] += r.roll_inertia;
  inertia.matrix[2][2] += r.yaw_inertia;
  inertia.add_spin(r.pitch_inertia, w.riser.pitch_rate, grip[2], state.yaw, -state.roll, rate.yaw, -rate.roll);
  for (int h = 0; h < 2; ++h) {
    const S sign(half_sign[h]);
    const HalfMotion<S, Links>& m = w.motion[h];
    for (int j = 0; j < Links; ++j) {
      Vector2<S> b = m.bias[j] + sign * grip[2] * quarter_turn(m.end[j]);
      for (int i = 0; i <= j; ++i) {
        b += w.own_acceleration[h][i] * quarter_turn(m.end[j] - m.joint[i]);
      }
      const Vector2<S> b_inertial{b.x, sign * b.y};
      const Vector2<S> relative = m.end_velocity[j] - Vector2<S>{w.riser.velocity.x, sign * w.riser.velocity.y};
      const S mass = j == Links - 1 ? c.half[h].links[j].mass + c.half[h].cam_mass : c.half[h].links[j].mass;
      inertia.add_mass(mass, {m.end[j].x, sign * m.end[j].y}, {relative.x, sign * relative.y}, b_inertial,
                       grip_acceleration + b_inertial + up, motion);
    }
    const S lean = sign * state.lean[h];
    const S lean_rate = sign * rate.lean[h];
    const Vector2<S> e{m.limb_direction.x, sign * m.limb_direction.y};
    const S spin_up = grip[2] + sign * w.own_acceleration[h][Links];
    inertia.add_spin(c.half[h].cam_inertia, sign * m.alpha_rate, spin_up, state.yaw + lean * e.y,
                     -state.roll - lean * e.x, rate.yaw + lean_rate * e.y, -rate.roll - lean_rate * e.x);
    // The limb's twist passes on to the riser what the lean does not take.
    inertia.force[1] -= sign * loads.lean[h] * e.x;
    inertia.force[2] -= sign * loads.lean[h] * e.y;
  }
  const S force[3] = {loads.force + inertia.force[0], loads.roll + inertia.force[1], loads.yaw + inertia.force[2]};
  S x[3];
  solve3(inertia.matrix, force, x);
  a[L::riser_z] = x[0];
  a[L::riser_roll] = x[1];
  a[L::riser_yaw] = x[2];
  for (int h = 0; h < 2; ++h) {
    const HalfMotion<S, Links>& m = w.motion[h];
    a[L::lean(h)] = loads.lean[h] / c.half[h].twist_inertia -
                    (m.limb_direction.x * (S(half_sign[h]) * x[1]) + m.limb_direction.y * x[2]);
  }
}

/// What arrow and string's lump set against a force on the nock, alike in both planes.
template <class S>
struct NockInertia {
  int modes;
  S attached;            // 1 while the nock holds the string, 0 after
  S inverse_mass;        // of the arrow [1/kg]
  S lump, inverse_lump;  // the string's mass at the nock [kg], [1/kg]
  S across;              // 1 + lump over the mass that the nock presents sideways
};
template <class S>
NockInertia<S> nock_inertia(const ArrowConstants<S>& arrow, int modes, S attached, S lump) {
  const S at_nock = modal_sum(modes, arrow.nock_shape, arrow.nock_shape);
  return {modes, attached, S(1.0) / arrow.total_mass, lump, S(1.0) / lump, S(1.0) + lump * at_nock};
}

/// Push of the string on the nock: what makes the string's lump move with it. With c̈ = f + φ R_y + u R_x and M ẍ = R_x
/// + F, the nock accelerates by a_x = ẍ + u·c̈ + ċᵀHċ/M and a_y = φ·c̈, and R = F_string − m a is a 2 × 2 system.
/// After the nock has let go there is no push. `rate` and `force`: of and on the vertical modes.
template <class S>
Vector2<S> nock_push(const ArrowConstants<S>& arrow, const NockInertia<S>& nock, Vector2<S> string_force, S axial_force,
                     const ThrustShapes<S>& thrust, const S* rate, const S* force) {
  const int modes = nock.modes;
  const S* shape = thrust.y;
  const S cross_term = nock.lump * modal_sum(modes, arrow.nock_shape, shape);
  const S m11 = S(1.0) + nock.lump * (nock.inverse_mass + modal_sum(modes, shape, shape));
  const S x = string_force.x - nock.lump * (axial_force * nock.inverse_mass + modal_sum(modes, shape, force) +
                                            modal_sum(modes, rate, thrust.rate));
  const S y = string_force.y - nock.lump * modal_sum(modes, arrow.nock_shape, force);
  const S scale = nock.attached / (m11 * nock.across - cross_term * cross_term);
  return {scale * (nock.across * x - cross_term * y), scale * (m11 * y - cross_term * x)};
}

/// Axial and vertical accelerations of arrow and string point; returns the push of the string on the nock.
template <class S, int Links>
Vector2<S> solve_arrow(const Constants<S, Links>& c, const NockInertia<S>& nock, Vector2<S> string_force, S axial_force,
                       const ThrustShapes<S>& thrust, const ShaftModes<S>& y, S* a, Diagnostics<S>& diagnostics) {
  using L = Layout<Links>;
  const ArrowConstants<S>& arrow = c.arrow;
  const Vector2<S> pull{string_force.x, string_force.y - nock.lump * c.gravity};
  const Vector2<S> push = nock_push(arrow, nock, pull, axial_force, thrust, y.rate, y.force);
  const S axial = nock.inverse_mass * (push.x + axial_force);
  a[L::arrow_x] = axial;
  for (int k = 0; k < nock.modes; ++k) {
    a[L::arrow_y + k] = y.force[k] + arrow.nock_shape[k] * push.y + thrust.y[k] * push.x;
  }
  // What the string's lump does not pass on moves it.
  a[L::string_x] = nock.inverse_lump * (pull.x - push.x);
  a[L::string_y] = nock.inverse_lump * (pull.y - push.y);
  diagnostics.axial_acceleration = axial;
  diagnostics.separation = push.x + arrow.nock_hold;
  return push;
}

/// Lateral accelerations of arrow and string point under the axial push found in the vertical plane.
template <class S>
void solve_arrow_lateral(const ArrowConstants<S>& arrow, const NockInertia<S>& nock, S string_force, S axial_push,
                         const ThrustShapes<S>& thrust, const ShaftModes<S>& z, S* a, S& string_acceleration) {
  const int modes = nock.modes;
  for (int k = 0; k < modes; ++k) {
    a[k] = z.force[k] + thrust.z[k] * axial_push;
  }
  const S push = nock.attached * (string_force - nock.lump * modal_sum(modes, arrow.nock_shape, a)) / nock.across;
  for (int k = 0; k < modes; ++k) {
    a[k] += arrow.nock_shape[k] * push;
  }
  string_acceleration = nock.inverse_lump * (string_force - push);
}

/// `accelerations` for a number of modes that the compiler knows (0: it does not), with the string as a lump or a
/// chain.
template <int Modes, class S, int Links, class Chain>
NOCKWISE_FLATTEN Diagnostics<S> accelerations_in_modes(const Constants<S, Links>& c, const Topology& topology,
                                                       const Chain& chain, const ContactModes<S>& contact_modes,
                                                       const S* q, const S* v, S* a, RunDirections<S>& run_directions) {
  using L = Layout<Links>;
  const S attached = contact_modes.string;
  const int n = Modes > 0 ? Modes : topology.modes;
  const L layout{n};
  Diagnostics<S> d;
  PlanarScratch<S, Links> w;
  w.riser = riser_motion<S, Links>(q, v);
  for (int h = 0; h < 2; ++h) {
    w.motion[h] = half_motion(c.half[h], in_side_frame(w.riser, h), q + L::joint(h, 0), v + L::joint(h, 0),
                              q[L::cam(h)], v[L::cam(h)]);
  }
  const Vector2<S> grip{q[L::riser_x], q[L::riser_y]};
  // While attached, the string's point is the arrow's nock; its own coordinates only follow.
  const S* y = q + L::arrow_y;
  const S* y_rate = v + L::arrow_y;
  const S* z = q + layout.arrow_z();
  const NockInertia<S> at_nock = nock_inertia(c.arrow, n, attached, c.nock_mass);
  ThrustShapes<S> thrust;
  thrust_shapes(c.arrow, n, at_nock.inverse_mass, y, z, y_rate, thrust);
  const NockMotion<S> groove = nock_motion(c.arrow, n, thrust.y, q[L::arrow_x], v[L::arrow_x], y, y_rate);
  const S free = S(1.0) - attached;
  const Vector2<S> nock = attached * groove.position + free * Vector2<S>{q[L::string_x], q[L::string_y]};
  const Vector2<S> nock_velocity = attached * groove.velocity + free * Vector2<S>{v[L::string_x], v[L::string_y]};
  [[maybe_unused]] double piece_pull[2][max_pieces];  // of a chain: tension over length
  if constexpr (Chain::present) {
    const double* chain_q = q + layout.size();
    const double* chain_v = v + layout.size();
    add_line_loads(c, topology, w.motion, EndsAtMasses{chain, grip, chain_q, chain_v}, q, v, run_directions, w.lines,
                   contact_modes);
    add_chain(chain, c.gravity, nock, nock_velocity, chain_q, chain_v, w.lines, piece_pull, a + layout.size());
  } else {
    add_line_loads(c, topology, w.motion, EndsAtNock<S>{nock - grip, nock_velocity}, q, v, run_directions, w.lines,
                   contact_modes);
  }

  // Vertical forces on the shaft's modes; its weight acts on the first alone.
  S y_force[max_modes];
  for (int k = 0; k < n; ++k) {
    y_force[k] = S(0.0);
  }
  y_force[0] = -(c.arrow.root_mass * c.gravity);
  add_elastic_forces(c.arrow, n, y, y_rate, y_force);

  // The rest.
  ContactLoads<S> contact;
  Launcher<S> tip;
  ShaftPoint<S> carried;
  const ShaftModes<S> y_modes{n, y, y_rate, y_force};
  const CarriedShaft<S> shaft{q[L::arrow_x], v[L::arrow_x], c.arrow.length, carried};
  const ArmMotion<S> arm{q[L::rest_arm], v[L::rest_arm]};
  if (topology.rest != RestKind::none) {
    const RiserMotion<S> side = in_side_frame(w.riser, topology.cord_half);
    if (topology.rest == RestKind::limb_driven) {
      add_limb_cord(c.rest, topology, side, w.motion, c.half, arm, w.lines, d.rest);
    } else if (topology.rest == RestKind::cable_driven) {
      add_cable_cord(c.rest, topology, side, w.motion, arm, w.lines, d.rest);
    }
    if (has_arm(topology.rest)) {
      add_arm_loads(c.rest, topology.rest, arm, d.rest);
    }
    tip = launcher(c.rest, topology.rest, w.riser, grip, arm);
    find_shaft_point(c.arrow, topology.nodes, n, tip.place.x - q[L::arrow_x], run_directions.shaft, carried);
    contact = add_contact(c.rest, topology.rest, contact_modes.launcher, tip, shaft, y_modes, d.rest);
  }
  a[L::rest_arm] = has_arm(topology.rest) ? d.rest.arm_moment / c.rest.arm_inertia : S(0.0);

  solve_mechanism(c, topology, q, v, contact, w);
  for (int k = 0; k < 3; ++k) {
    a[k] = w.riser_acceleration[k];
  }
  for (int h = 0; h < 2; ++h) {
    for (int j = 0; j < Links; ++j) {
      a[L::joint(h, j)] = w.own_acceleration[h][j];
    }
    a[L::cam(h)] = w.own_acceleration[h][Links];
  }
  const Vector2<S> push = solve_arrow(c, at_nock, w.lines.nock_force, contact.arrow_x, thrust, y_modes, a, d);

  // The lateral plane, carried by the in-plane motion just found.
  const S* z_rate = v + layout.arrow_z();
  const S nock_z = attached * modal_sum(n, c.arrow.nock_shape, z) + free * q[L::string_z];
  const LateralMotion<S> motion{
      {q[L::riser_z], q[L::riser_yaw], q[L::riser_roll], {q[L::lean(0)], q[L::lean(1)]}, nock_z},
      {v[L::riser_z], v[L::riser_yaw], v[L::riser_roll], {v[L::lean(0)], v[L::lean(1)]}, v[L::string_z]}};
  LateralLoads<S> lateral;
  if constexpr (Chain::present) {
    const double* chain_q = q + layout.size();
    double run_pull[2];
    lateral = lateral_line_loads(c, topology, w.motion, w.lines, w.riser, motion.state,
                                 {chain_q[chain.end(0) + 2], chain_q[chain.end(1) + 2]}, run_pull);
    lateral.nock = add_lateral_chain(chain, nock_z, chain_q, run_pull, piece_pull, a + layout.size());
  } else {
    lateral = lateral_line_loads(c, topology, w.motion, w.lines, w.riser, motion.state);
  }
  for (int h = 0; h < 2; ++h) {
    lateral.lean[h] -= c.half[h].twist_damping * motion.rate.lean[h];
  }
  add_lateral_hand(c.hand, motion, lateral);
  S z_force[max_modes];
  for (int k = 0; k < n; ++k) {
    z_force[k] = S(0.0);
  }
  add_elastic_forces(c.arrow, n, z, z_rate, z_force);
  const ShaftModes<S> z_modes{n, z, z_rate, z_force};
  if (topology.rest != RestKind::none) {
    add_lateral_rest(c.rest, topology.rest, tip, shaft, z_modes, motion, contact.riser_force, d.rest, lateral);
  }
  solve_lateral(c, w, motion, lateral, a);
  solve_arrow_lateral(c.arrow, at_nock, lateral.nock, push.x, thrust, z_modes, a + layout.arrow_z(), a[L::string_z]);

  for (int h = 0; h < 2; ++h) {
    d.string_tension[h] = w.lines.string_tension[h];
    d.cable_tension[h] = w.lines.cable_tension[h];
    d.cable_stretch[h] = w.lines.cable_stretch[h];
    d.stop_gap[h] = w.lines.stop_gap[h];
    d.stop_force[h] = w.lines.stop_force[h];
  }
  d.nock_force = w.lines.nock_force;
  d.excursion = w.lines.excursion;
  return d;
}

/// q̈ into `a`.
template <class S, int Links>
Diagnostics<S> accelerations(const Constants<S, Links>& c, const Topology& topology,
                             const std::type_identity_t<ContactModes<S>>& contact_modes, const S* q, const S* v, S* a,
                             RunDirections<S>& run_directions) {
  constexpr int usual = 8;
  if constexpr (Links <= 2) {  // unrolling the sums over the modes takes a third off the call
    if (topology.modes == usual) {
      return accelerations_in_modes<usual>(c, topology, NoChain{}, contact_modes, q, v, a, run_directions);
    }
  }
  return accelerations_in_modes<0>(c, topology, NoChain{}, contact_modes, q, v, a, run_directions);
}

/// The same with the string in pieces.
template <int Links>
Diagnostics<double> accelerations(const Constants<double, Links>& c, const Topology& topology, const StringChain& chain,
                                  const ContactModes<double>& contact_modes, const double* q, const double* v,
                                  double* a, RunDirections<double>& run_directions) {
  return accelerations_in_modes<0>(c, topology, chain, contact_modes, q, v, a, run_directions);
}

// For one launch, compiled in lib/kernel/links_*.cpp.
#define NOCKWISE_RIGHT_HAND_SIDE(extern_or_nothing, links)                                                       \
  extern_or_nothing template Diagnostics<double> accelerations(const Constants<double, links>&, const Topology&, \
                                                               const ContactModes<double>&, const double*,       \
                                                               const double*, double*, RunDirections<double>&);  \
  extern_or_nothing template Diagnostics<double> accelerations(                                                  \
      const Constants<double, links>&, const Topology&, const StringChain&, const ContactModes<double>&,         \
      const double*, const double*, double*, RunDirections<double>&);
#define NOCKWISE_EXTERN(links) NOCKWISE_RIGHT_HAND_SIDE(extern, links)
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

}  // namespace nockwise::kernel
