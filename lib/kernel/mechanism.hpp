// Rigid-body kinematics and dynamics of the riser and the two halves in the vertical plane (lib/README.md,
// "Mechanism").
//
// A half is a chain of links from the riser to the axle, and a cam on the axle. Its own coordinates (joint angles, cam
// angle) couple to the other half through the riser's three only, so each half is reduced onto the riser (Schur
// complement) and a 3 × 3 system is left. All sizes are known at compile time.
#pragma once

#include "kernel/constants.hpp"

namespace nockwise::kernel {

/// A vector of one side frame in the other's.
template <class S>
Vector2<S> mirror(Vector2<S> a) {
  return {a.x, -a.y};
}

/// Riser state in a side frame.
template <class S>
struct RiserMotion {
  S pitch, pitch_rate, sine, cosine;
  Vector2<S> velocity;  // of the grip pivot
};

template <class S, int Links>
RiserMotion<S> riser_motion(const S* q, const S* v) {
  using L = Layout<Links>;
  RiserMotion<S> riser;
  riser.pitch = q[L::riser_pitch];
  riser.pitch_rate = v[L::riser_pitch];
  sine_cosine(riser.pitch, riser.sine, riser.cosine);
  riser.velocity = {v[L::riser_x], v[L::riser_y]};
  return riser;
}

template <class S>
RiserMotion<S> in_side_frame(const RiserMotion<S>& riser, int half) {
  const S sign(half_sign[half]);
  return {sign * riser.pitch,
          sign * riser.pitch_rate,
          sign * riser.sine,
          riser.cosine,
          {riser.velocity.x, sign * riser.velocity.y}};
}

/// Positions relative to the grip pivot, velocities inertial, both in the side frame. `bias` is the acceleration of a
/// link's end relative to the grip when all coordinate accelerations are zero.
template <class S, int Links>
struct HalfMotion {
  Vector2<S> joint[Links], end[Links], end_velocity[Links], bias[Links];
  S rate[Links];                // absolute turning rate of each link
  Vector2<S> limb_direction;    // unit, along the last link
  S limb_turn, limb_turn_rate;  // sum of the joint angles: last link relative to the riser
  Turn<S> cam;                  // absolute turn of the cam
  S alpha_rate;                 // and its rate
  S spin_rate;                  // of the cam about its own axle, which leans
  Vector2<S> cam_arm;           // axle to the cam's centre of mass

  [[nodiscard]] Vector2<S> axle() const { return end[Links - 1]; }
  [[nodiscard]] Vector2<S> axle_velocity() const { return end_velocity[Links - 1]; }
  [[nodiscard]] Vector2<S> cam_centre() const { return axle() + cam_arm; }
  [[nodiscard]] Vector2<S> cam_velocity() const { return axle_velocity() + spin_rate * quarter_turn(cam_arm); }
};

/// Eq. (8); `joint` and `joint_rate` hold the joints' angles and rates.
template <class S, int Links>
HalfMotion<S, Links> half_motion(const Half<S, Links>& half, const RiserMotion<S>& riser, const S* joint,
                                 const S* joint_rate, S cam, S cam_rate) {
  HalfMotion<S, Links> m;
  S angle = riser.pitch;
  S rate = riser.pitch_rate;
  Vector2<S> position = turned(riser.cosine, riser.sine, {half.base_x, half.base_y});
  Vector2<S> velocity = riser.velocity + rate * quarter_turn(position);
  Vector2<S> bias = -(rate * rate) * position;
  S turn(0.0);
  S turn_rate(0.0);
  for (int j = 0; j < Links; ++j) {
    angle += joint[j];
    rate += joint_rate[j];
    turn += joint[j];
    turn_rate += joint_rate[j];
    S sine(0.0);
    S cosine(0.0);
    sine_cosine(angle, sine, cosine);
    const Vector2<S> arm = turned(cosine, sine, {half.links[j].end_x, half.links[j].end_y});
    m.joint[j] = position;
    position += arm;
    velocity += rate * quarter_turn(arm);
    bias -= (rate * rate) * arm;
    m.end[j] = position;
    m.end_velocity[j] = velocity;
    m.bias[j] = bias;
    m.rate[j] = rate;
    m.limb_direction = {-sine, cosine};
  }
  m.limb_turn = turn;
  m.limb_turn_rate = turn_rate;
  m.cam = Turn<S>(riser.pitch + cam);
  m.alpha_rate = riser.pitch_rate + cam_rate;
  m.spin_rate = m.alpha_rate;
  m.cam_arm = turned(m.cam.cosine, m.cam.sine, {half.cam_x, half.cam_y});
  return m;
}

/// Generalised loads on a half, apart from inertia.
template <class S, int Links>
struct HalfLoads {
  Vector2<S> axle_force{S(0.0), S(0.0)};
  S cam_moment{0.0};   // on the cam, in the side frame's positive sense; acts on θ and the riser's pitch
  S cam_on_limb{0.0};  // moment between cam and riser only (bearing): acts on θ alone
  S joint[Links]{};    // direct moments on the joint angles
  // On the riser's coordinates, which carry the half along: every force on riser or links but that at the axle.
  Vector2<S> riser_force{S(0.0), S(0.0)};
  S riser_moment{0.0};  // about the grip pivot
};

/// Forces on the riser's three coordinates (side frame) and on the half's own (Eq. 9).
template <class S, int Links>
struct HalfForces {
  S riser[3];
  S own[Links + 1];
};

template <class S, int Links>
HalfForces<S, Links> generalised(const HalfMotion<S, Links>& m, const HalfLoads<S, Links>& loads) {
  HalfForces<S, Links> f;
  f.riser[0] = loads.riser_force.x + loads.axle_force.x;
  f.riser[1] = loads.riser_force.y + loads.axle_force.y;
  f.riser[2] = loads.riser_moment + cross(m.axle(), loads.axle_force) + loads.cam_moment;
  for (int j = 0; j < Links; ++j) {
    f.own[j] = loads.joint[j] + cross(m.axle() - m.joint[j], loads.axle_force);
  }
  f.own[Links] = loads.cam_moment + loads.cam_on_limb;
  return f;
}

/// Springs of the joints, their damping, weight of the lumped masses under `gravity` [m/s²], bearing drag.
template <class S, int Links>
void add_passive_loads(const Half<S, Links>& half, const HalfMotion<S, Links>& m, const S* joint, const S* joint_rate,
                       S cam_rate, Vector2<S> gravity, HalfLoads<S, Links>& loads) {
  for (int j = 0; j < Links; ++j) {
    const Link<S>& link = half.links[j];
    loads.joint[j] = loads.joint[j] - link.stiffness * (joint[j] - link.free_angle) - link.damping * joint_rate[j];
    const Vector2<S> weight = link.mass * gravity;
    loads.riser_force += weight;
    loads.riser_moment += cross(m.end[j], weight);
    for (int i = 0; i <= j; ++i) {
      loads.joint[i] += cross(m.end[j] - m.joint[i], weight);
    }
  }
  const Vector2<S> weight = half.cam_mass * gravity;
  loads.axle_force += weight;
  loads.cam_moment += cross(m.cam_arm, weight);
  loads.cam_on_limb -= half.bearing_damping * cam_rate;
}

/// A half seen from the riser: inertia and force reduced onto (X, Y, Θ), and what recovers its own accelerations.
template <class S, int Links>
struct ReducedHalf {
  S inertia[3][3];
  S force[3];
  S free[Links + 1];       // own accelerations with the riser's at zero
  S follow[Links + 1][3];  // minus their change per riser acceleration
};

/// Mass matrix blocks of a half: riser–riser, own–riser, own–own; forces less the velocity terms.
template <class S, int Links>
struct HalfInertia {
  S riser[3][3]{};
  S coupling[Links + 1][3]{};
  S own[Links + 1][Links + 1]{};
};

/// Add a point mass at `r` (from the grip) whose columns for the own coordinates are `columns[0..count)`.
template <class S, int Links>
void add_point_mass(S mass, Vector2<S> r, const Vector2<S>* columns, int count, Vector2<S> bias,
                    HalfInertia<S, Links>& inertia, HalfForces<S, Links>& forces) {
  const Vector2<S> turn = quarter_turn(r);
  inertia.riser[0][0] += mass;
  inertia.riser[1][1] += mass;
  inertia.riser[0][2] += mass * turn.x;
  inertia.riser[1][2] += mass * turn.y;
  inertia.riser[2][2] += mass * dot(turn, turn);
  forces.riser[0] -= mass * bias.x;
  forces.riser[1] -= mass * bias.y;
  forces.riser[2] -= mass * dot(turn, bias);
  for (int i = 0; i < count; ++i) {
    const Vector2<S> c = mass * columns[i];
    inertia.coupling[i][0] += c.x;
    inertia.coupling[i][1] += c.y;
    inertia.coupling[i][2] += dot(c, turn);
    forces.own[i] -= dot(c, bias);
    for (int k = 0; k <= i; ++k) {
      inertia.own[i][k] += dot(c, columns[k]);
    }
  }
}

template <class S, int Links>
HalfInertia<S, Links> assemble(const Half<S, Links>& half, const HalfMotion<S, Links>& m,
                               HalfForces<S, Links>& forces) {
  HalfInertia<S, Links> inertia;
  Vector2<S> columns[Links + 1];
  for (int j = 0; j < Links; ++j) {
    for (int i = 0; i <= j; ++i) {
      columns[i] = quarter_turn(m.end[j] - m.joint[i]);
    }
    add_point_mass(half.links[j].mass, m.end[j], columns, j + 1, m.bias[j], inertia, forces);
    const S turning = half.links[j].inertia;
    inertia.riser[2][2] += turning;
    for (int i = 0; i <= j; ++i) {
      inertia.coupling[i][2] += turning;
      for (int k = 0; k <= i; ++k) {
        inertia.own[i][k] += turning;
      }
    }
  }
  for (int i = 0; i < Links; ++i) {
    columns[i] = quarter_turn(m.axle() - m.joint[i]);
  }
  columns[Links] = quarter_turn(m.cam_arm);
  // The riser's pitch turns the cam with it: its column is k × (axle) + k × (cam arm), which that of its centre is.
  add_point_mass(half.cam_mass, m.cam_centre(), columns, Links + 1,
                 m.bias[Links - 1] - (m.spin_rate * m.alpha_rate) * m.cam_arm, inertia, forces);
  inertia.riser[2][2] += half.cam_inertia;
  inertia.coupling[Links][2] += half.cam_inertia;
  inertia.own[Links][Links] += half.cam_inertia;
  return inertia;
}

/// Hold a joint: unit inertia, no coupling, no force.
template <class S, int Links>
void lock(int joint, HalfInertia<S, Links>& inertia, HalfForces<S, Links>& forces) {
  for (int k = 0; k <= Links; ++k) {
    (k <= joint ? inertia.own[joint][k] : inertia.own[k][joint]) = S(k == joint ? 1.0 : 0.0);
  }
  for (S& c : inertia.coupling[joint]) {
    c = S(0.0);
  }
  forces.own[joint] = S(0.0);
}

/// Eliminate the own coordinates: Cholesky (LDLᵀ) of their block, then the Schur complement (Eq. 10).
template <class S, int Links>
ReducedHalf<S, Links> reduce(HalfInertia<S, Links>& inertia, const HalfForces<S, Links>& forces) {
  constexpr int n = Links + 1;
  ReducedHalf<S, Links> r;
  S(&a)[n][n] = inertia.own;
  S inverse_pivot[n];
  for (int j = 0; j < n; ++j) {
    for (int k = 0; k < j; ++k) {
      const S scaled = a[j][k] * a[k][k];  // L_jk D_k
      a[j][j] -= a[j][k] * scaled;
      for (int i = j + 1; i < n; ++i) {
        a[i][j] -= a[i][k] * scaled;
      }
    }
    inverse_pivot[j] = S(1.0) / a[j][j];
    for (int i = j + 1; i < n; ++i) {
      a[i][j] = a[i][j] * inverse_pivot[j];
    }
  }
  // Forward substitution of the force and the three coupling columns together, then D and back.
  S rhs[n][4];
  for (int i = 0; i < n; ++i) {
    rhs[i][0] = forces.own[i];
    for (int c = 0; c < 3; ++c) {
      rhs[i][c + 1] = inertia.coupling[i][c];
    }
    for (int k = 0; k < i; ++k) {
      for (int c = 0; c < 4; ++c) {
        rhs[i][c] -= a[i][k] * rhs[k][c];
      }
    }
  }
  for (int i = n - 1; i >= 0; --i) {
    for (int c = 0; c < 4; ++c) {
      rhs[i][c] = rhs[i][c] * inverse_pivot[i];
      for (int k = i + 1; k < n; ++k) {
        rhs[i][c] -= a[k][i] * rhs[k][c];
      }
    }
  }
  for (int row = 0; row < 3; ++row) {
    r.force[row] = forces.riser[row];
    for (int c = 0; c < 3; ++c) {
      r.inertia[row][c] = row <= c ? inertia.riser[row][c] : inertia.riser[c][row];
    }
  }
  for (int i = 0; i < n; ++i) {
    r.free[i] = rhs[i][0];
    for (int row = 0; row < 3; ++row) {
      r.follow[i][row] = rhs[i][row + 1];
      r.force[row] -= inertia.coupling[i][row] * rhs[i][0];
      for (int c = 0; c < 3; ++c) {
        r.inertia[row][c] -= inertia.coupling[i][row] * rhs[i][c + 1];
      }
    }
  }
  return r;
}

/// Solve a symmetric positive definite 3 × 3 system by LDLᵀ.
template <class S>
void solve3(const S (&m)[3][3], const S (&b)[3], S (&x)[3]) {
  const S i0 = S(1.0) / m[0][0];
  const S l10 = m[1][0] * i0;
  const S l20 = m[2][0] * i0;
  const S d1 = m[1][1] - l10 * m[1][0];
  const S i1 = S(1.0) / d1;
  const S e21 = m[2][1] - l20 * m[1][0];
  const S l21 = e21 * i1;
  const S d2 = m[2][2] - l20 * m[2][0] - l21 * e21;
  const S y1 = b[1] - l10 * b[0];
  const S y2 = b[2] - l20 * b[0] - l21 * y1;
  x[2] = y2 / d2;
  x[1] = y1 * i1 - l21 * x[2];
  x[0] = b[0] * i0 - l10 * x[1] - l20 * x[2];
}

}  // namespace nockwise::kernel
