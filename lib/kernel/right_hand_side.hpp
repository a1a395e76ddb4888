// The right-hand side of the launch: state [q, q̇] → [q̇, q̈] (lib/README.md, "Equations of motion").
//
// A pure function of constants and state up to rounding; the run directions only carry Newton's starting point. No
// allocation, no virtual call, no branch on a value.
#pragma once

#include "kernel/bow_accelerations.hpp"
#include "kernel/nock_turn.hpp"
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
  CableStrikes<S> cables;
  S excursion;  // beyond a track's range [rad]
};

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

/// A force at the nock.
template <class S>
struct NockForce {
  Vector2<S> in_plane;
  S aside;
};

/// Push of the string on the nock: what makes the string's lump move with it. With c̈ = f + φ R_y + u R_x in the
/// vertical plane, likewise in the lateral, and M ẍ = R_x + F, the nock accelerates by a_x = ẍ + u·c̈ + ũ·c̃̈ + (ċᵀHċ +
/// c̃̇ᵀHc̃̇)/M, a_y = φ·c̈ and a_z = φ·c̃̈, and R = F_string − m a is a 3 × 3 system (Eq. 25). After the nock has let go there
/// is no push.
template <class S>
NockForce<S> nock_push(const ArrowConstants<S>& arrow, const NockInertia<S>& nock, const NockForce<S>& pull,
                       S axial_force, const ThrustShapes<S>& thrust, const ShaftModes<S>& y, const ShaftModes<S>& z) {
  const int modes = nock.modes;
  const S cross_y = nock.lump * modal_sum(modes, arrow.nock_shape, thrust.y);
  const S cross_z = nock.lump * modal_sum(modes, arrow.nock_shape, thrust.z);
  const S shapes = modal_sum(modes, thrust.y, thrust.y) + modal_sum(modes, thrust.z, thrust.z);
  const S m11 = S(1.0) + nock.lump * (nock.inverse_mass + shapes);
  const S own = modal_sum(modes, thrust.y, y.force) + modal_sum(modes, thrust.z, z.force) +
                modal_sum(modes, y.rate, thrust.rate) + modal_sum(modes, z.rate, thrust.z_rate);
  const S along = pull.in_plane.x - nock.lump * (axial_force * nock.inverse_mass + own);
  const S up = pull.in_plane.y - nock.lump * modal_sum(modes, arrow.nock_shape, y.force);
  const S aside = pull.aside - nock.lump * modal_sum(modes, arrow.nock_shape, z.force);
  const S axial = (nock.across * along - (cross_y * up + cross_z * aside)) /
                  (nock.across * m11 - (cross_y * cross_y + cross_z * cross_z));
  const S scale = nock.attached / nock.across;
  return {{nock.attached * axial, scale * (up - cross_y * axial)}, scale * (aside - cross_z * axial)};
}

/// Accelerations of arrow and string point under the string's pull; the shaft's in the lateral plane begin at `a_z`.
template <class S, int Links>
void solve_arrow(const Constants<S, Links>& c, const NockInertia<S>& nock, const NockForce<S>& string, S axial_force,
                 const ThrustShapes<S>& thrust, const ShaftModes<S>& y, const ShaftModes<S>& z, S* a, S* a_z,
                 Diagnostics<S>& diagnostics) {
  using L = Layout<Links>;
  const ArrowConstants<S>& arrow = c.arrow;
  const NockForce<S> pull{{string.in_plane.x, string.in_plane.y - nock.lump * c.gravity}, string.aside};
  const NockForce<S> push = nock_push(arrow, nock, pull, axial_force, thrust, y, z);
  const S axial = nock.inverse_mass * (push.in_plane.x + axial_force);
  a[L::arrow_x] = axial;
  for (int k = 0; k < nock.modes; ++k) {
    a[L::arrow_y + k] = y.force[k] + arrow.nock_shape[k] * push.in_plane.y + thrust.y[k] * push.in_plane.x;
    a_z[k] = z.force[k] + arrow.nock_shape[k] * push.aside + thrust.z[k] * push.in_plane.x;
  }
  // What the string's lump does not pass on moves it.
  a[L::string_x] = nock.inverse_lump * (pull.in_plane.x - push.in_plane.x);
  a[L::string_y] = nock.inverse_lump * (pull.in_plane.y - push.in_plane.y);
  a[L::string_z] = nock.inverse_lump * (pull.aside - push.aside);
  diagnostics.axial_acceleration = axial;
  diagnostics.separation = push.in_plane.x + arrow.nock_hold;
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
  const BowVelocity<S> bow = bow_velocity<S, Links>(q, v);
  w.riser = bow_motion<S, Links>(q, v, bow);
  for (int h = 0; h < 2; ++h) {
    w.motion[h] = half_motion(c.half[h], in_side_frame(w.riser, h), q + L::joint(h, 0), v + L::joint(h, 0),
                              q[L::cam(h)], v[L::cam(h)]);
  }
  const Vector2<S> grip{q[L::riser_x], q[L::riser_y]};
  const Vector2<S> grip_rate{v[L::riser_x], v[L::riser_y]};
  // While attached, the string's point is the arrow's nock; its own coordinates only follow.
  const S* y = q + L::arrow_y;
  const S* y_rate = v + L::arrow_y;
  const S* z = q + layout.arrow_z();
  const S* z_rate = v + layout.arrow_z();
  const NockInertia<S> at_nock = nock_inertia(c.arrow, n, attached, c.nock_mass);
  ThrustShapes<S> thrust;
  thrust_shapes(c.arrow, n, at_nock.inverse_mass, y, z, y_rate, z_rate, thrust);
  const NockMotion<S> groove =
      nock_motion(c.arrow, n, q[L::arrow_x], v[L::arrow_x], {thrust.y, y, y_rate}, {thrust.z, z, z_rate});
  const S free = S(1.0) - attached;
  const NockMotion<S> nock{attached * groove.position + free * Vector2<S>{q[L::string_x], q[L::string_y]},
                           attached * groove.velocity + free * Vector2<S>{v[L::string_x], v[L::string_y]},
                           attached * groove.aside + free * q[L::string_z],
                           attached * groove.aside_rate + free * v[L::string_z]};
  const LateralMotion<S> lateral = lateral_motion<S, Links>(q, v, nock.aside, nock.aside_rate);
  for (int h = 0; h < 2; ++h) {
    add_tilted_spin(w.motion[h], lateral, h);
  }
  const PlaneMotion<S> plane{bow.out, lateral.rate.roll, lateral.rate.yaw, bow.turn};
  LateralLink<S> link{plane,
                      {LeanMotion<S>(c.half[0], w.motion[0], lateral, plane.turn, 0),
                       LeanMotion<S>(c.half[1], w.motion[1], lateral, plane.turn, 1)}};
  if constexpr (Chain::present) {
    const double* chain_q = q + layout.size();
    const double* chain_v = v + layout.size();
    add_line_loads(c, topology, w.motion, w.riser,
                   EndsAtMasses{chain, grip, grip_rate, lateral.place.z, lateral.rate.z, chain_q, chain_v}, lateral, q,
                   v, run_directions, w.lines, contact_modes);
    add_chain(chain, c.gravity, ChainPoint{nock.position, nock.velocity, nock.aside, nock.aside_rate}, chain_q, chain_v,
              w.lines, a + layout.size());
  } else {
    const EndsAtNock<S> ends{{nock.position - grip, nock.velocity - grip_rate, nock.aside - lateral.place.z,
                              nock.aside_rate - lateral.rate.z}};
    add_line_loads(c, topology, w.motion, w.riser, ends, lateral, q, v, run_directions, w.lines, contact_modes);
  }

  // Forces on the shaft's modes; its weight acts on the first vertical one alone.
  S y_force[max_modes];
  S z_force[max_modes];
  for (int k = 0; k < n; ++k) {
    y_force[k] = S(0.0);
    z_force[k] = S(0.0);
  }
  y_force[0] = -(c.arrow.root_mass * c.gravity);
  add_elastic_forces(c.arrow, n, y, y_rate, z, z_rate, y_force, z_force);
  const ShaftModes<S> y_modes{n, y, y_rate, y_force};
  const ShaftModes<S> z_modes{n, z, z_rate, z_force};

  // Rest and vanes.
  ContactLoads<S> contact;
  const GripMotion<S> carried_grip{grip, grip_rate, v[L::riser_pitch], lateral};
  if (topology.rest != RestKind::none) {
    ShaftPoint<S> carried;
    const CarriedShaft<S> shaft{q[L::arrow_x], v[L::arrow_x], c.arrow.length, carried, c.vanes, topology.vanes};
    const ArmMotion<S> arm{q[L::rest_arm], v[L::rest_arm]};
    const RiserMotion<S> side = in_side_frame(w.riser, topology.cord_half);
    if (topology.rest == RestKind::limb_driven) {
      add_limb_cord(c.rest, topology, side, w.motion, c.half, arm, w.lines, d.rest);
    } else if (topology.rest == RestKind::cable_driven) {
      add_cable_cord(c.rest, topology, side, w.motion, arm, w.lines, d.rest);
    }
    if (has_arm(topology.rest)) {
      add_arm_loads(c.rest, topology.rest, arm, d.rest);
    }
    const Launcher<S> tip = launcher(c.rest, topology.rest, w.riser, carried_grip, arm);
    find_shaft_point(c.arrow, topology.nodes, n, tip.place.x - q[L::arrow_x], run_directions.shaft, carried);
    contact = add_contact(c.rest, topology.rest, contact_modes.launcher, tip, shaft, y_modes, z_modes, d.rest);
  }
  if (topology.cables_beside) {
    d.cables = add_cable_strikes(c.passes, c.arrow, c.vanes, topology, w.riser, carried_grip, q[L::arrow_x],
                                 v[L::arrow_x], z_modes, contact);
  }
  if (topology.nock_grips) {
    add_nock_moments(c.arrow, attached,
                     nock_angles(c.arrow, n, y, y_rate, z, z_rate, q[L::riser_pitch], v[L::riser_pitch],
                                 lateral.place.yaw, lateral.rate.yaw),
                     y_modes, z_modes, contact);
  }
  a[L::rest_arm] = has_arm(topology.rest) ? d.rest.arm_moment / c.rest.arm_inertia : S(0.0);

  solve_mechanism(c, topology, q, v, lateral.place, contact, w, link);
  for (int h = 0; h < 2; ++h) {
    for (int j = 0; j < Links; ++j) {
      a[L::joint(h, j)] = w.own_acceleration[h][j];
    }
  }
  S lean_force[2];
  for (int h = 0; h < 2; ++h) {
    lean_force[h] = w.lines.lateral.lean[h] - c.half[h].twist_damping * lateral.rate.lean[h];
  }
  BowAcceleration<S> acceleration{
      w.riser_acceleration[0], w.riser_acceleration[1], S(0.0), w.riser_acceleration[2], S(0.0), S(0.0)};
  solve_lateral(c, w, link, lean_force, acceleration, a);
  put_acceleration<S, Links>(acceleration, bow, q, v, a);
  solve_arrow(c, at_nock, NockForce<S>{w.lines.nock_force, w.lines.lateral.nock}, contact.arrow_x, thrust, y_modes,
              z_modes, a, a + layout.arrow_z(), d);

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
