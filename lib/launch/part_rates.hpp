// How quick the parts of a bow and its arrow are: what the step of a launch must bear (lib/README.md, "Equations of
// motion"). Private.
//
// Stiffness and damping are sums over springs, K = Σ k JᵀJ and C = Σ c JᵀJ with J the change of the spring's length per
// coordinate, and the inertia is of blocks: bow, arrow, the rest's arm. The largest eigenvalues of M⁻¹K and M⁻¹C are
// then no larger than the sum of what they are with all blocks but one held still.
#pragma once

#include "kernel/lateral.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <vector>

namespace nockwise::detail {

/// Upper bounds of M⁻¹K, angular frequency squared [1/s²], and M⁻¹C, damping rate [1/s], and the parameter that has
/// most of each.
struct Quickness {
  double stiffness = 0.0, damping = 0.0;
  const char* stiffest = "";
  const char* most_damped = "";
};

/// The shaft in its stiffest plane and in its weakest, as shares of its mean stiffness.
inline double stiffest(const kernel::SpineAround<double>& around) {
  return 0.5 * (around.upright + around.level) + std::hypot(0.5 * (around.upright - around.level), around.slanted);
}
inline double weakest(const kernel::SpineAround<double>& around) {
  return 0.5 * (around.upright + around.level) - std::hypot(0.5 * (around.upright - around.level), around.slanted);
}

/// All parts together in either plane, and by themselves those whose contacts a launch leaves with a jump: bow, rest's
/// arm, shaft on the launcher.
struct PartRates {
  Quickness vertical, lateral;
  Quickness bow, stops, arm, launcher, cradle;
  double vanes = 0.0;  // angular frequency squared of what a vane strikes on it [1/s²]
};

inline void add_share(double& sum, const char*& name, double& largest, double share, const char* path) {
  sum += share;
  if (share > largest) {
    largest = share;
    name = path;
  }
}

/// A spring and damper along one direction of a block's coordinates.
struct PartSpring {
  Eigen::VectorXd along;
  double stiffness, damping;
  const char* path;  // of the parameter that a person would change
  bool stop = false;
};

/// The largest eigenvalues of M⁻¹K and M⁻¹C of one block.
Quickness quickness_of(const Eigen::MatrixXd& mass, const std::vector<PartSpring>& springs);

/// Each of `a` and `b` that is larger.
inline Quickness quicker(const Quickness& a, const Quickness& b) {
  Quickness q = a;
  if (b.stiffness > a.stiffness) {
    q.stiffness = b.stiffness;
    q.stiffest = b.stiffest;
  }
  if (b.damping > a.damping) {
    q.damping = b.damping;
    q.most_damped = b.most_damped;
  }
  return q;
}
inline PartRates quicker(const PartRates& a, const PartRates& b) {
  return {quicker(a.vertical, b.vertical), quicker(a.lateral, b.lateral), quicker(a.bow, b.bow),
          quicker(a.stops, b.stops),       quicker(a.arm, b.arm),         quicker(a.launcher, b.launcher),
          quicker(a.cradle, b.cradle)};
}

/// Mass matrix of riser, limbs and cams: X, Y, Θ, then the joints and the cam of either half.
template <int Links>
Eigen::MatrixXd bow_mass(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                         const kernel::HalfMotion<double, Links> (&m)[2]) {
  constexpr int own = Links + 1;
  Eigen::MatrixXd mass = Eigen::MatrixXd::Zero(3 + 2 * own, 3 + 2 * own);
  const kernel::RiserConstants<double>& r = c.riser;
  mass(0, 0) = mass(1, 1) = r.mass;
  mass(0, 2) = -r.mass * r.cm_y;
  mass(1, 2) = r.mass * r.cm_x;
  mass(2, 2) = r.pitch_inertia + r.mass * (r.cm_x * r.cm_x + r.cm_y * r.cm_y);
  for (int h = 0; h < 2; ++h) {
    const double s = kernel::half_sign[h];
    kernel::HalfForces<double, Links> ignored{};
    kernel::HalfInertia<double, Links> half = kernel::assemble(c.half[h], m[h], ignored);
    if (topology.first_link_locked[h]) {
      kernel::lock(0, half, ignored);
    }
    const double sign[3] = {1.0, s, s};
    for (int i = 0; i < 3; ++i) {
      for (int k = i; k < 3; ++k) {
        mass(i, k) += sign[i] * sign[k] * half.riser[i][k];
      }
      for (int j = 0; j < own; ++j) {
        mass(i, 3 + h * own + j) = sign[i] * half.coupling[j][i];
      }
    }
    for (int j = 0; j < own; ++j) {
      for (int k = 0; k <= j; ++k) {
        mass(3 + h * own + k, 3 + h * own + j) = half.own[j][k];
      }
    }
  }
  return mass.selfadjointView<Eigen::Upper>();
}

/// Generalised forces of unit loads on the halves.
template <int Links>
Eigen::VectorXd along(const kernel::Topology& topology, const kernel::HalfMotion<double, Links> (&m)[2],
                      const kernel::HalfLoads<double, Links> (&loads)[2]) {
  constexpr int own = Links + 1;
  Eigen::VectorXd all = Eigen::VectorXd::Zero(3 + 2 * own);
  for (int h = 0; h < 2; ++h) {
    const double s = kernel::half_sign[h];
    const kernel::HalfForces<double, Links> f = kernel::generalised(m[h], loads[h]);
    all[0] += f.riser[0];
    all[1] += s * f.riser[1];
    all[2] += s * f.riser[2];
    for (int j = topology.first_link_locked[h] ? 1 : 0; j < own; ++j) {
      all[3 + h * own + j] = f.own[j];
    }
  }
  return all;
}

/// Springs of the vertical plane, the nock held.
template <int Links>
std::vector<PartSpring> vertical_springs(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                                         const kernel::HalfMotion<double, Links> (&m)[2],
                                         const kernel::LineLoads<double, Links>& lines) {
  using Loads = kernel::LineLoads<double, Links>;
  constexpr int own = Links + 1;
  static constexpr const char* limb[] = {"limbs.upper.effective_mass", "limbs.lower.effective_mass"};
  static constexpr const char* cam[] = {"cams.upper.inertia", "cams.lower.inertia"};
  static constexpr const char* stop[] = {"cams.upper.stop.stiffness", "cams.lower.stop.stiffness"};
  std::vector<PartSpring> springs;
  const auto add = [&](const Loads& loads, double stiffness, double damping, const char* path) {
    springs.push_back({along(topology, m, loads.half), stiffness, damping, path, path == stop[0] || path == stop[1]});
  };
  for (int h = 0; h < 2; ++h) {
    const int o = 1 - h;
    Loads string;
    string.half[h].axle_force = lines.string[h].direction;
    string.half[h].cam_moment = lines.string[h].p_a;
    add(string, c.string[h].stiffness, c.string[h].damping, cam[h]);
    const kernel::Line<double>& line = lines.cable[h];
    Loads cable;
    cable.half[h].axle_force = line.direction;
    cable.half[h].cam_moment = -line.p_a;
    cable.half[o].axle_force = kernel::mirror(-1.0 * line.direction);
    cable.half[o].cam_moment = line.p_b;
    add(cable, c.cable[h].stiffness, c.cable[h].damping, cam[h]);
    const kernel::Stop<double>& peg = c.half[h].stop;
    if (topology.stop[h] == StopKind::limb) {
      Loads loads;
      loads.half[h].cam_on_limb = -peg.radius;
      for (int j = topology.limb_link[h]; j < Links; ++j) {
        loads.half[h].joint[j] = peg.radius;
      }
      add(loads, peg.stiffness, peg.damping, stop[h]);
    } else if (topology.stop[h] == StopKind::cable) {
      // At its steepest, |p′ + R sin| ≤ R + |p′|.
      Loads loads;
      loads.cable[h] = line;
      const double slope = peg.radius + std::fabs(line.slope_a);
      kernel::add_run_direction_force(loads, h, slope);
      loads.half[h].cam_moment -= slope;
      add(loads, peg.stiffness, peg.damping, stop[h]);
    }
    for (int j = 0; j < Links; ++j) {
      Loads loads;
      loads.half[h].joint[j] = 1.0;
      add(loads, c.half[h].links[j].stiffness, c.half[h].links[j].damping, limb[h]);
    }
    Loads bearing;
    bearing.half[h].cam_on_limb = 1.0;
    add(bearing, 0.0, c.half[h].bearing_damping, cam[h]);
  }
  const kernel::HandConstants<double>& hand = c.hand;
  const double stiffness[] = {hand.kx, hand.ky, hand.k_pitch};
  const double damping[] = {hand.cx, hand.cy, hand.c_pitch};
  for (int i = 0; i < 3; ++i) {
    springs.push_back({Eigen::VectorXd::Unit(3 + 2 * own, i), stiffness[i], damping[i], "riser.pitch_inertia"});
  }
  return springs;
}

/// Mass matrix of the lateral plane: Z, ρ, ψ, the leans.
template <int Links>
Eigen::MatrixXd lateral_mass(const kernel::Constants<double, Links>& c,
                             const kernel::HalfMotion<double, Links> (&m)[2]) {
  kernel::LateralInertia<double> inertia;
  const kernel::PlaneMotion<double> none{};
  const kernel::RiserConstants<double>& r = c.riser;
  const kernel::Vector2<double> still{0.0, 0.0};
  inertia.add_mass(r.mass, {r.cm_x, r.cm_y}, still, still, none);
  inertia.matrix[1][1] += r.roll_inertia;
  inertia.matrix[2][2] += r.yaw_inertia;
  for (int h = 0; h < 2; ++h) {
    for (int j = 0; j < Links; ++j) {
      inertia.add_mass(c.half[h].links[j].mass, {m[h].end[j].x, kernel::half_sign[h] * m[h].end[j].y}, still, still,
                       none);
    }
    const kernel::Vector2<double> cam = m[h].cam_centre();
    inertia.add_mass(c.half[h].cam_mass, {cam.x, kernel::half_sign[h] * cam.y}, still, still, none);
  }
  Eigen::MatrixXd mass = Eigen::MatrixXd::Zero(5, 5);
  for (int i = 0; i < 3; ++i) {
    for (int k = 0; k <= i; ++k) {
      mass(i, k) = mass(k, i) = inertia.matrix[i][k];
    }
  }
  for (int h = 0; h < 2; ++h) {
    Eigen::VectorXd turn = Eigen::VectorXd::Unit(5, 3 + h);
    turn[1] = kernel::half_sign[h] * m[h].limb_direction.x;
    turn[2] = m[h].limb_direction.y;
    mass += c.half[h].twist_inertia * turn * turn.transpose();
  }
  return mass;
}

/// Springs of the lateral plane, the nock held.
template <int Links>
std::vector<PartSpring> lateral_springs(const kernel::Constants<double, Links>& c,
                                        const kernel::HalfMotion<double, Links> (&m)[2],
                                        const kernel::LineLoads<double, Links>& lines) {
  static constexpr const char* lean[] = {"limbs.upper.twist_inertia", "limbs.lower.twist_inertia"};
  std::vector<PartSpring> springs;
  for (int h = 0; h < 2; ++h) {
    const kernel::Half<double, Links>& half = c.half[h];
    // What tensions add: no more than with the whole lever of the grooves over the shortest free length, and aside.
    const auto by = [&](double tension, double lever, double length, double aside) {
      return tension * (lever * lever / length + lever + std::fabs(aside));
    };
    constexpr double shortest = 0.02;
    const double by_lines =
        by(lines.string_tension[h], std::fabs(lines.string[h].p_a), lines.string[h].straight, half.string_z) +
        by(lines.cable_tension[h], std::fabs(lines.cable[h].p_a), shortest, half.take_up_z) +
        by(lines.cable_tension[1 - h], std::fabs(lines.cable[1 - h].p_b) + c.yoke[1 - h].leg_height, shortest,
           half.let_out_z + c.yoke[1 - h].junction_offset);
    springs.push_back({Eigen::VectorXd::Unit(5, 3 + h), half.twist_stiffness + by_lines, half.twist_damping, lean[h]});
    const double tensions = lines.string_tension[h] / lines.string[h].straight;
    springs.push_back({Eigen::VectorXd{{1.0, kernel::half_sign[h] * m[h].axle().y, -m[h].axle().x, 0.0, 0.0}}, tensions,
                       0.0, "riser.roll_inertia"});
  }
  const kernel::HandConstants<double>& hand = c.hand;
  const double stiffness[] = {hand.kz, hand.k_roll, hand.k_yaw};
  const double damping[] = {hand.cz, hand.c_roll, hand.c_yaw};
  static constexpr const char* path[] = {"riser.mass", "riser.roll_inertia", "riser.yaw_inertia"};
  for (int i = 0; i < 3; ++i) {
    springs.push_back({Eigen::VectorXd::Unit(5, i), stiffness[i], damping[i], path[i]});
  }
  return springs;
}

/// Of riser, limbs, cams and leans at one configuration, the nock held.
template <int Links>
PartRates bow_rates(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                    const kernel::HalfMotion<double, Links> (&m)[2], const kernel::LineLoads<double, Links>& lines) {
  const Eigen::MatrixXd mass = bow_mass(c, topology, m);
  const std::vector<PartSpring> springs = vertical_springs(c, topology, m, lines);
  std::vector<PartSpring> stops;
  std::copy_if(springs.begin(), springs.end(), std::back_inserter(stops), [](const PartSpring& s) { return s.stop; });
  const Quickness bow = quickness_of(mass, springs);
  const Quickness lateral = quickness_of(lateral_mass(c, m), lateral_springs(c, m, lines));
  return {bow, lateral, bow, quickness_of(mass, stops), {}, {}, {}};
}

/// The largest eigenvalue of diag(d) + κ φφᵀ against 1 + m φφᵀ: where 1 = (κ − λm) Σ φ²/(λ − d) beyond the largest d,
/// or that d if there is none.
double largest_with_one_spring(const double* d, const double* shape, int modes, double spring, double mass);

/// No less than the stiffness of all vanes together on a launcher of this half width [N/m], either way: a vane's own,
/// and what its energy, pressed in as far as it is high, makes of the fading toward the ends of the launcher.
inline double vane_stiffness(const kernel::VaneConstants<double>& vanes, int count, double half_width) {
  double sum = 0.0;
  for (int i = 0; i < count; ++i) {
    if (vanes.down[i] > 0.0) {
      const double deepest = vanes.height * vanes.down[i];
      const double work =
          vanes.fold_energy * (std::sqrt(1.0 + vanes.inverse_fold * deepest * vanes.inverse_fold * deepest) - 1.0);
      // A vane that passes the edge's height beyond its ends is not felt.
      constexpr double farthest_aside = 0.02;
      const double tangent = std::fmin(std::fabs(vanes.tangent[i]), (half_width + farthest_aside) / vanes.radius);
      sum += vanes.stiffness + 8.0 * work / (half_width * half_width) * (1.0 + tangent * tangent);
    }
  }
  return sum;
}

/// Angular frequency squared of the arrow's tail on vanes that strike launcher and cables, these on riser and arm
/// [1/s²].
template <int Links>
double vane_rate(const kernel::Constants<double, Links>& c, const kernel::Topology& topology) {
  const kernel::RestConstants<double>& rest = c.rest;
  const kernel::RiserConstants<double>& r = c.riser;
  const double cables = topology.vanes * c.vanes.stiffness;
  const double launcher =
      topology.rest == RestKind::none ? 0.0 : vane_stiffness(c.vanes, topology.vanes, rest.half_width);
  const double tail = kernel::modal_sum(topology.modes, c.arrow.nock_shape, c.arrow.nock_shape);
  const double riser = 1.0 / r.mass + rest.height * rest.height / r.roll_inertia + rest.x * rest.x / r.yaw_inertia +
                       rest.x * rest.x / r.pitch_inertia;
  const double arm = kernel::has_arm(topology.rest) ? rest.arm_length * rest.arm_length / rest.arm_inertia : 0.0;
  return (launcher + cables) * (tail + riser) + launcher * arm;
}

/// Of all parts: those of the bow, the arrow with the string's lump, the rest with its arm and cord.
template <int Links>
PartRates with_arrow_and_rest(const PartRates& bow, const kernel::Constants<double, Links>& c,
                              const kernel::Topology& topology) {
  PartRates all = bow;
  const kernel::ArrowConstants<double>& arrow = c.arrow;
  const kernel::RestConstants<double>& rest = c.rest;
  const bool rests = topology.rest != RestKind::none;
  double largest[4] = {bow.vertical.stiffness, bow.vertical.damping, bow.lateral.stiffness, bow.lateral.damping};
  const auto add = [&](int which, double share, const char* path) {
    Quickness& q = which < 2 ? all.vertical : all.lateral;
    const bool stiff = which % 2 == 0;
    add_share(stiff ? q.stiffness : q.damping, stiff ? q.stiffest : q.most_damped, largest[which], share, path);
  };
  // The shaft's tail is its lightest part. While it is on the string it has the string's lump and both halves on it.
  double spring[kernel::max_modes];
  double rate[kernel::max_modes];
  for (int k = 0; k < topology.modes; ++k) {
    spring[k] = stiffest(arrow.around) * arrow.stiffness[k];
    rate[k] = arrow.damping_time * spring[k];
  }
  const auto shaft = [&](const double* own, double string, double support) {
    const int n = topology.modes;
    return std::fmax(largest_with_one_spring(own, arrow.nock_shape, n, string + support, c.nock_mass),
                     largest_with_one_spring(own, arrow.nock_shape, n, support, 0.0));
  };
  const double string_k = c.string[0].stiffness + c.string[1].stiffness;
  const double string_c = c.string[0].damping + c.string[1].damping;
  add(0, shaft(spring, string_k, rests ? rest.k : 0.0), "string.axial_rigidity");
  add(1, shaft(rate, string_c, rests ? rest.c : 0.0),
      rests && rest.c > string_c ? "rest.vertical_damping" : "string.damping");
  // A nock that grips the string, on the tail's slope; friction is steepest where nothing turns.
  constexpr double half_friction = 2.0;  // [rad/s] (kernel/nock_turn.hpp)
  const double turns =
      kernel::modal_sum(topology.modes, arrow.nock_slope, arrow.nock_slope) + 1.0 / c.riser.pitch_inertia;
  for (const int plane : {0, 2}) {
    add(plane, arrow.grip.stiffness * turns, "arrow.nock_stiffness");
    add(plane + 1, arrow.grip.friction / half_friction * turns, "arrow.nock_friction");
  }
  add(2, shaft(spring, 0.0, rests ? rest.k_lateral : 0.0), "rest.lateral_stiffness");
  add(3, shaft(rate, 0.0, rests ? rest.c_lateral : 0.0), "rest.lateral_damping");
  all.vanes = vane_rate(c, topology);
  if (!rests) {
    return all;
  }
  const kernel::RiserConstants<double>& r = c.riser;
  const double on_riser = 1.0 / r.mass + rest.x * rest.x / r.pitch_inertia;
  const double aside = 1.0 / r.mass + rest.height * rest.height / r.roll_inertia + rest.x * rest.x / r.yaw_inertia;
  const double tail = kernel::modal_sum(topology.modes, arrow.nock_shape, arrow.nock_shape);  // 1 over its mass
  all.launcher = {rest.k * (tail + on_riser), rest.c * (tail + on_riser), "rest.vertical_stiffness",
                  "rest.vertical_damping"};
  all.cradle = {rest.k_lateral * (tail + aside), rest.c_lateral * (tail + aside), "rest.lateral_stiffness",
                "rest.lateral_damping"};
  add(0, rest.k * on_riser, "rest.vertical_stiffness");
  add(1, rest.c * on_riser, "rest.vertical_damping");
  add(2, rest.k_lateral * aside, "rest.lateral_stiffness");
  add(3, rest.c_lateral * aside, "rest.lateral_damping");
  if (!kernel::has_arm(topology.rest)) {
    return all;
  }
  const double arm = 1.0 / rest.arm_inertia;
  const double lever = rest.cord_lever * rest.cord_lever;
  const double length = rest.arm_length * rest.arm_length;
  const Quickness without = all.vertical;
  add(0, arm * rest.stop_stiffness, "rest.arm.stop_stiffness");
  add(1, arm * (rest.stop_damping + rest.arm_damping), "rest.arm.stop_damping");
  add(0, arm * lever * rest.cord_stiffness, "rest.arm.cord_stiffness");
  add(1, arm * lever * rest.cord_damping, "rest.arm.cord_damping");
  add(0, arm * (length * rest.k + rest.spring_rate), "rest.arm.inertia");
  add(1, arm * length * rest.c, "rest.arm.inertia");
  all.arm = {all.vertical.stiffness - without.stiffness, all.vertical.damping - without.damping, "rest.arm.inertia",
             "rest.arm.inertia"};
  // The cord's other end is on a limb, or on a cable between the limbs and cams.
  double end = 0.0;
  const auto tip = [&](int h) {
    double inverse = 1.0 / c.half[h].cam_mass;
    for (const kernel::Link<double>& link : c.half[h].links) {
      inverse =
          std::fmax(inverse, link.mass > 0.0
                                 ? 1.0 / (link.mass + (&link == &c.half[h].links[Links - 1] ? c.half[h].cam_mass : 0.0))
                                 : 0.0);
    }
    return inverse;
  };
  end = tip(topology.cord_half);
  if (topology.rest == RestKind::cable_driven) {
    constexpr double groove = 0.1;  // no lever is longer [m]
    end +=
        tip(1 - topology.cord_half) + groove * groove / c.half[0].cam_inertia + groove * groove / c.half[1].cam_inertia;
  }
  add(0, rest.cord_stiffness * end, "rest.arm.cord_stiffness");
  add(1, rest.cord_damping * end, "rest.arm.cord_damping");
  return all;
}

}  // namespace nockwise::detail
