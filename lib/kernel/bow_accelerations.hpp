// Accelerations of riser, limbs, cams and leans under the loads of lines, rest and hand (lib/README.md, "Mechanism" and
// "Lateral plane").
#pragma once

#include "kernel/lateral.hpp"

namespace nockwise::kernel {

template <class S, int Links>
struct PlanarScratch {
  RiserMotion<S> riser;
  HalfMotion<S, Links> motion[2];
  LineLoads<S, Links> lines;
  S riser_acceleration[3];
  S own_acceleration[2][Links + 1];
};

/// Loads of the lateral motion on the masses of a half in the bow's own plane.
template <class S, int Links>
HalfLoads<S, Links> carried_loads(const Half<S, Links>& half, const HalfMotion<S, Links>& m,
                                  const PlaneMotion<S>& plane) {
  HalfLoads<S, Links> loads;
  for (int j = 0; j < Links; ++j) {
    const Vector2<S> push = half.links[j].mass * plane.push(plane.at(m.end[j]));
    loads.riser_force += push;
    loads.riser_moment += cross(m.end[j], push);
    for (int i = 0; i <= j; ++i) {
      loads.joint[i] += cross(m.end[j] - m.joint[i], push);
    }
  }
  loads.axle_force = half.cam_mass * plane.push(plane.at(m.cam_centre()));
  // The cam's centre is carried round at the turning rate, but moves with the spin.
  const S lag = half.cam_mass * (m.spin_rate - m.alpha_rate);
  loads.cam_moment = cross(m.cam_arm, loads.axle_force) - lag * dot(m.cam_arm, m.axle_velocity());
  return loads;
}

/// Mass of riser, links and cams [kg], and its first moment about the grip in the bow's own plane [kg·m].
template <class S>
struct BowMass {
  S mass;
  Vector2<S> moment;
};

template <class S, int Links>
BowMass<S> weigh(const Constants<S, Links>& c, const HalfMotion<S, Links> (&m)[2], Vector2<S> riser_centre) {
  BowMass<S> all{c.riser.mass, c.riser.mass * riser_centre};
  for (int h = 0; h < 2; ++h) {
    Vector2<S> moment{S(0.0), S(0.0)};
    for (int j = 0; j < Links; ++j) {
      all.mass += c.half[h].links[j].mass;
      moment += c.half[h].links[j].mass * m[h].end[j];
    }
    all.mass += c.half[h].cam_mass;
    moment += c.half[h].cam_mass * m[h].cam_centre();
    all.moment += Vector2<S>{moment.x, S(half_sign[h]) * moment.y};
  }
  return all;
}

/// What the bow's plane and its lateral motion share.
template <class S>
struct LateralLink {
  PlaneMotion<S> plane;
  LeanMotion<S> lean[2];
  BowForces<S> own{};  // forces of potentials and dampers, in the bow's own plane
  S spin_up[2]{};      // rate of the spins' momenta [N·m]
};

/// Forces of all potentials and dampers on the grip's coordinates, roll and yaw, turned into the bow's own plane, and
/// in `forces` those on the halves' own coordinates.
template <class S, int Links>
BowForces<S> bow_forces(const Constants<S, Links>& c, const S* q, const S* v, const LateralState<S>& lateral,
                        const ContactLoads<S>& contact, const PlanarScratch<S, Links>& w, const LateralLink<S>& link,
                        Vector2<S> centre, HalfForces<S, Links> (&forces)[2]) {
  using L = Layout<Links>;
  const S roll = lateral.roll;
  const S yaw = lateral.yaw;
  // Heights are Y + r_y + ½ ρ (ψ r_x − ρ r_y): weight in the plane.
  const Vector2<S> down = c.gravity * Vector2<S>{S(-0.5) * roll * yaw, S(0.5) * roll * roll - S(1.0)};
  const BowMass<S> bow = weigh(c, w.motion, centre);
  BowForces<S> all = hand_forces<S, Links>(c.hand, q, v);
  all.pitch += contact.riser_moment + c.riser.mass * cross(centre, down);
  for (int h = 0; h < 2; ++h) {
    HalfLoads<S, Links> loads = w.lines.half[h];
    add_passive_loads(c.half[h], w.motion[h], q + L::joint(h, 0), v + L::joint(h, 0), v[L::cam(h)],
                      Vector2<S>{down.x, S(half_sign[h]) * down.y}, loads);
    add_turn_moment(loads, link.lean[h].on_turn());
    forces[h] = generalised(w.motion[h], loads);
    all.pitch += S(half_sign[h]) * forces[h].riser[2];
  }
  // Cables, cord, limbs are the bow's own: on the grip's place act hand, rest, string and weight.
  all.x += contact.riser_force.x - (w.lines.end_force[0].x + w.lines.end_force[1].x);
  all.y += contact.riser_force.y - (w.lines.end_force[0].y + w.lines.end_force[1].y) - bow.mass * c.gravity;
  all.z += contact.aside + w.lines.lateral.force;
  all.roll += contact.roll + w.lines.lateral.roll + c.gravity * (roll * bow.moment.y - S(0.5) * yaw * bow.moment.x);
  all.yaw += contact.yaw + w.lines.lateral.yaw - S(0.5) * c.gravity * roll * bow.moment.x;
  return all.in_own_plane(roll, yaw);
}

/// Solve riser, limbs and cams for their accelerations in the bow's own plane under `w.lines` and the rest's contact.
template <class S, int Links>
void solve_mechanism(const Constants<S, Links>& c, const Topology& topology, const S* q, const S* v,
                     const LateralState<S>& lateral, const ContactLoads<S>& contact, PlanarScratch<S, Links>& w,
                     LateralLink<S>& link) {
  const RiserConstants<S>& r = c.riser;
  const PlaneMotion<S>& plane = link.plane;
  const Vector2<S> centre = turned(w.riser.cosine, w.riser.sine, {r.cm_x, r.cm_y});
  const Vector2<S> turn = quarter_turn(centre);
  const Vector2<S> bias = -(w.riser.pitch_rate * w.riser.pitch_rate) * centre;
  HalfForces<S, Links> forces[2];
  link.own = bow_forces(c, q, v, lateral, contact, w, link, centre, forces);
  const Vector2<S> push = plane.push(plane.at(centre)) - bias;
  S m[3][3] = {{r.mass, S(0.0), S(0.0)},
               {S(0.0), r.mass, S(0.0)},
               {r.mass * turn.x, r.mass * turn.y, r.pitch_inertia + r.mass * dot(turn, turn)}};
  S f[3] = {link.own.x + r.mass * push.x, link.own.y + r.mass * push.y, link.own.pitch + r.mass * dot(turn, push)};
  ReducedHalf<S, Links> reduced[2];
  for (int h = 0; h < 2; ++h) {
    const S sign(half_sign[h]);
    // What acts on the riser's coordinates is in `own` already.
    const HalfForces<S, Links> carried = generalised(
        w.motion[h],
        carried_loads(c.half[h], w.motion[h], PlaneMotion<S>{plane.out, sign * plane.roll, plane.yaw, plane.turn}));
    for (int k = 0; k < 3; ++k) {
      forces[h].riser[k] = carried.riser[k];
    }
    for (int j = 0; j <= Links; ++j) {
      forces[h].own[j] += carried.own[j];
    }
    const HalfMotion<S, Links>& motion = w.motion[h];
    link.spin_up[h] =
        forces[h].own[Links] - (c.half[h].cam_mass * motion.alpha_rate) * dot(motion.cam_arm, motion.axle_velocity());
    HalfInertia<S, Links> inertia = assemble(c.half[h], w.motion[h], forces[h]);
    if (topology.first_link_locked[h]) {
      lock(0, inertia, forces[h]);
    }
    reduced[h] = reduce(inertia, forces[h]);
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

/// Accelerations of the bow's plane across itself, into `b`, and of leans and cams, into `a` (Eqs. 36–38).
template <class S, int Links>
void solve_lateral(const Constants<S, Links>& c, const PlanarScratch<S, Links>& w, const LateralLink<S>& link,
                   const S (&lean_force)[2], BowAcceleration<S>& b, S* a) {
  using L = Layout<Links>;
  LateralInertia<S> inertia;
  const RiserConstants<S>& r = c.riser;
  const PlaneMotion<S>& plane = link.plane;
  const Vector2<S> centre = turned(w.riser.cosine, w.riser.sine, {r.cm_x, r.cm_y});
  inertia.add_mass(r.mass, centre, w.riser.pitch_rate * quarter_turn(centre), w.riser.velocity, plane);
  inertia.matrix[1][1] += r.roll_inertia;
  inertia.matrix[2][2] += r.yaw_inertia;
  S spin = r.pitch_inertia * w.riser.pitch_rate;
  S on_roll(0.0);
  S on_yaw(0.0);
  S twist[2];
  for (int h = 0; h < 2; ++h) {
    const S sign(half_sign[h]);
    const HalfMotion<S, Links>& m = w.motion[h];
    const auto add = [&](S mass, Vector2<S> place, Vector2<S> velocity) {
      const Vector2<S> inertial{velocity.x, sign * velocity.y};
      inertia.add_mass(mass, {place.x, sign * place.y}, inertial - w.riser.velocity, w.riser.velocity, plane);
    };
    for (int j = 0; j < Links; ++j) {
      add(c.half[h].links[j].mass, m.end[j], m.end_velocity[j]);
      spin += sign * (c.half[h].links[j].inertia * m.rate[j]);
    }
    // Half of what is counted twice is its velocity, half the rate of its place, which lags behind.
    const Vector2<S> lag = (m.spin_rate - m.alpha_rate) * quarter_turn(m.cam_arm);
    add(c.half[h].cam_mass, m.cam_centre(), m.cam_velocity() - S(0.5) * lag);
    const S across = c.half[h].cam_mass * plane.at({m.cam_centre().x, sign * m.cam_centre().y});
    on_roll += sign * (across * lag.y);
    on_yaw -= across * lag.x;
    const LeanMotion<S>& lean = link.lean[h];
    spin += sign * (c.half[h].cam_inertia * m.spin_rate);
    // The limb's twist passes on to the riser what the lean does not take.
    twist[h] = lean_force[h] + lean.on_lean();
    on_roll += sign * (lean.on_roll(link.spin_up[h]) - lean.limb.x * twist[h]);
    on_yaw += lean.on_yaw(link.spin_up[h]) - lean.limb.y * twist[h];
  }
  const S force[3] = {link.own.z + inertia.force[0], link.own.roll + inertia.force[1] - spin * plane.yaw + on_roll,
                      link.own.yaw + inertia.force[2] + spin * plane.roll + on_yaw};
  S x[3];
  solve3(inertia.matrix, force, x);
  b.z = x[0];
  b.roll = x[1];
  b.yaw = x[2];
  for (int h = 0; h < 2; ++h) {
    const LeanMotion<S>& lean = link.lean[h];
    a[L::lean(h)] = twist[h] / c.half[h].twist_inertia - (lean.limb.x * (S(half_sign[h]) * x[1]) + lean.limb.y * x[2]) -
                    lean.carried();
    a[L::cam(h)] = w.own_acceleration[h][Links] - lean.tilted(S(half_sign[h]) * x[1], x[2]);
  }
}

}  // namespace nockwise::kernel
