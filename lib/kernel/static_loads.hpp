// Loads of a bow at rest, and its strain: what statics evaluate (lib/README.md, "Statics").
#pragma once

#include "kernel/line_loads.hpp"

namespace nockwise::kernel {

template <class S>
S spring_energy(S stiffness, S stretch) {
  return select(stretch > S(0.0), S(0.5) * stiffness * stretch * stretch, S(0.0));
}

/// Energy stored in the bow [J].
template <class S>
struct Strain {
  S limbs{0.0}, lines{0.0}, stops{0.0};
  [[nodiscard]] S total() const { return limbs + lines + stops; }
};

/// Strain of limbs, lines and stops: what the draw stores.
template <class S, int Links>
Strain<S> bow_strain(const Constants<S, Links>& c, const LineLoads<S, Links>& lines, const S* q) {
  using L = Layout<Links>;
  Strain<S> strain;
  for (int h = 0; h < 2; ++h) {
    for (int j = 0; j < Links; ++j) {
      const Link<S>& link = c.half[h].links[j];
      const S bend = q[L::joint(h, j)] - link.free_angle;
      strain.limbs += S(0.5) * link.stiffness * bend * bend;
    }
    const S lean = q[L::lean(h)];
    strain.limbs += S(0.5) * c.half[h].twist_stiffness * lean * lean;
    strain.lines += spring_energy(c.string[h].stiffness, lines.string_length[h] - c.string[h].natural);
    strain.lines += spring_energy(c.cable[h].stiffness, lines.cable_length[h] - c.cable[h].natural);
    strain.stops += spring_energy(c.half[h].stop.stiffness, -lines.stop_gap[h]);
  }
  return strain;
}

/// Potential of the weight of limbs and cams, the riser level [J].
template <class S, int Links>
S weight_potential(const Constants<S, Links>& c, const HalfMotion<S, Links> (&m)[2]) {
  S sum(0.0);
  for (int h = 0; h < 2; ++h) {
    const S weight = S(half_sign[h]) * c.gravity;
    for (int j = 0; j < Links; ++j) {
      sum += weight * c.half[h].links[j].mass * m[h].end[j].y;
    }
    sum += weight * c.half[h].cam_mass * (m[h].axle().y + m[h].cam_arm.y);
  }
  return sum;
}

/// Of the bow with its riser clamped and nothing moving.
template <class S, int Links>
struct StaticLoads {
  S own[2][Links + 1];  // generalised, on joints and cam [N·m]
  S riser[3];           // of the halves on the riser: x, y, moment about the grip [N, N·m]
  Vector2<S> nock_force;
  LateralLoads<S> lateral;  // on leans and nock, and of the strings on the riser
  S string_tension[2], cable_tension[2], stop_gap[2];
  S excursion;    // beyond a track's range [rad]
  S energy{0.0};  // strain, and the weight of limbs and cams; where it was asked for [J]
};

/// The string's end and the lateral coordinates of a bow at rest with its riser clamped.
template <class S, int Links>
EndsAtNock<S> still_ends(const S* q) {
  using L = Layout<Links>;
  return {{{q[L::string_x], q[L::string_y]}, {S(0.0), S(0.0)}, q[L::string_z], S(0.0)}};
}
template <class S, int Links>
LateralMotion<S> still_lateral(const S* q) {
  using L = Layout<Links>;
  const S none(0.0);
  return {{none, none, none, {q[L::lean(0)], q[L::lean(1)]}, q[L::string_z]}, {none, none, none, {none, none}, none}};
}

template <class S, int Links>
void static_motions(const Constants<S, Links>& c, const S* q, const S* still, HalfMotion<S, Links> (&m)[2]) {
  using L = Layout<Links>;
  const RiserMotion<S> riser = riser_motion<S, Links>(q, still);
  for (int h = 0; h < 2; ++h) {
    // NOLINTNEXTLINE(clang-analyzer-core.CallAndMessage): the analyser loses constants copied whole
    m[h] = half_motion(c.half[h], in_side_frame(riser, h), q + L::joint(h, 0), still + L::joint(h, 0), q[L::cam(h)],
                       S(0.0));
  }
}

/// `add_others(m, loads)` adds what else pulls at the halves.
template <class S, int Links, class AddOthers>
NOCKWISE_FLATTEN StaticLoads<S, Links> static_loads(const Constants<S, Links>& c, const Topology& topology, const S* q,
                                                    const S* still, RunDirections<S>& run_directions, bool with_energy,
                                                    const AddOthers& add_others) {
  using L = Layout<Links>;
  HalfMotion<S, Links> m[2];
  static_motions(c, q, still, m);
  LineLoads<S, Links> loads;
  add_line_loads(c, topology, m, riser_motion<S, Links>(q, still), still_ends<S, Links>(q), still_lateral<S, Links>(q),
                 q, still, run_directions, loads);
  add_others(m, loads);
  StaticLoads<S, Links> result;
  for (S& component : result.riser) {
    component = S(0.0);
  }
  for (int h = 0; h < 2; ++h) {
    const S sign(half_sign[h]);
    HalfLoads<S, Links> half = loads.half[h];
    add_passive_loads(c.half[h], m[h], q + L::joint(h, 0), still + L::joint(h, 0), S(0.0),
                      Vector2<S>{S(0.0), -(sign * c.gravity)}, half);
    const HalfForces<S, Links> forces = generalised(m[h], half);
    for (int j = 0; j <= Links; ++j) {
      result.own[h][j] = forces.own[j];
    }
    result.riser[0] += forces.riser[0];
    result.riser[1] += sign * forces.riser[1];
    result.riser[2] += sign * forces.riser[2];
    result.string_tension[h] = loads.string_tension[h];
    result.cable_tension[h] = loads.cable_tension[h];
    result.stop_gap[h] = loads.stop_gap[h];
  }
  result.nock_force = loads.nock_force;
  result.lateral = loads.lateral;
  result.excursion = loads.excursion;
  if (with_energy) {
    result.energy = bow_strain(c, loads, q).total() + weight_potential(c, m);
  }
  return result;
}

}  // namespace nockwise::kernel
