// Full draw in equilibrium, ready to be released: bow, rest, arrow, lateral plane, and the hand's preload
// (lib/README.md, "Release"). Private.
#pragma once

#include "launch/full_draw.hpp"
#include "launch/nock.hpp"
#include "launch/segmented_string.hpp"
#include "nockwise/units.hpp"
#include "statics/rest_cord.hpp"

#include <algorithm>
#include <utility>

namespace nockwise::detail {

template <int Links>
struct Release {
  using L = kernel::Layout<Links>;
  kernel::Constants<double, Links> constants;  // with the hand's preload
  kernel::Topology topology;
  Coordinates q{};
  Coordinates v{};  // of nock and arrow, where the release is not clean
  kernel::RunDirections<double> run_directions{};
  kernel::StringChain chain{};  // one piece: the string's lump, as `constants` have it
  ChainCoordinates chain_q{};
  double full_draw_force = 0.0;             // [N]
  double peak_force = 0.0;                  // largest on the way, as sampled [N]
  double stored_energy = 0.0;               // brace to full draw, without the limbs' weight [J]
  std::optional<double> late_stop_gap{};    // [m]
  std::optional<double> cable_clearance{};  // [m]
  double cord_force = 0.0;                  // of a drop-away [N]
  double excursion = 0.0;
  PartRates rates{};  // of all parts
};

/// The longest step that follows a vane which strikes [s].
inline double vane_step(const PartRates& rates) {
  constexpr double share = 0.4;  // of a radian
  constexpr double shortest = 1e-7;
  return rates.vanes > 0.0 ? std::max(shortest, share / std::sqrt(rates.vanes)) : 1.0;
}

/// A straight shaft in modal coordinates: height (or lateral place) at the nock, and slope.
inline void lay_straight(const kernel::ArrowConstants<double>& arrow, int modes, double at_nock, double slope,
                         double* c) {
  std::fill_n(c, modes, 0.0);
  c[0] = arrow.root_mass * (at_nock + slope * arrow.balance);
  c[1] = arrow.root_inertia * slope;
}

/// Static shape of the arrow on nock and rest: the nock held, the rest's spring under the shaft, its own weight. Two
/// supports carry it, so the balance of the rigid shaft gives their forces, these the bends, and the two heights the
/// rest: φ·c at the nock is its height, φ·c at the rest the launcher's less what the spring gives way. Sideways, where
/// it is laid straight (`z`), a spine that differs around the shaft bends it between the same two places.
template <int Links>
void lay_arrow(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
               const kernel::Launcher<double>& tip, double nock_x, double nock_y, double* y, double* z) {
  const int n = topology.modes;
  const double reach = tip.tip.x - nock_x;
  lay_straight(c.arrow, n, nock_y, (tip.tip.y - nock_y) / reach, y);
  if (topology.rest == RestKind::none) {
    return;
  }
  const auto foot = kernel::shaft_point(c.arrow, topology.nodes, n, reach);
  const double* at_rest = foot.shape;
  const double* at_nock = c.arrow.nock_shape;
  const double area = at_rest[0] * at_nock[1] - at_rest[1] * at_nock[0];
  const double weight = c.arrow.root_mass * c.gravity;  // on the first mode
  const double on_rest = weight * at_nock[1] / area;
  const double on_nock = -weight * at_rest[1] / area;
  // A launcher only pushes: an arrow that balances behind it stays where it was laid.
  if (topology.rest != RestKind::capture && on_rest < 0.0) {
    return;
  }
  double nock_height = nock_y;
  double rest_height = tip.tip.y - on_rest / c.rest.k;
  // What forces up and down bend up and aside, of what they bend a shaft of the mean stiffness.
  const kernel::SpineAround<double>& around = c.arrow.around;
  const double determinant = around.upright * around.level - around.slanted * around.slanted;
  const double up = around.level / determinant;
  const double aside = -around.slanted / determinant;
  double nock_aside = 0.0;
  double rest_aside = 0.0;
  for (int k = 2; k < n; ++k) {
    const double bend = (on_rest * at_rest[k] + on_nock * at_nock[k]) / c.arrow.stiffness[k];
    y[k] = up * bend;
    z[k] = aside * bend;
    nock_height -= at_nock[k] * y[k];
    rest_height -= at_rest[k] * y[k];
    nock_aside -= at_nock[k] * z[k];
    rest_aside -= at_rest[k] * z[k];
  }
  z[0] += (rest_aside * at_nock[1] - nock_aside * at_rest[1]) / area;
  z[1] += (nock_aside * at_rest[0] - rest_aside * at_nock[0]) / area;
  y[0] = (rest_height * at_nock[1] - nock_height * at_rest[1]) / area;
  y[1] = (nock_height * at_rest[0] - rest_height * at_nock[0]) / area;
}

/// What the rest does to an arrow and a bow at rest; `state` receives how they touch.
template <int Links>
kernel::ContactLoads<double> contact_at_rest(const kernel::Constants<double, Links>& c,
                                             const kernel::Topology& topology, const kernel::RiserMotion<double>& riser,
                                             const Coordinates& q, kernel::RestState<double>& state) {
  using L = kernel::Layout<Links>;
  const int n = topology.modes;
  const Coordinates still{};
  Coordinates up{};
  Coordinates aside{};
  const auto tip = kernel::still_launcher(c.rest, topology.rest, riser, q[L::rest_arm]);
  const auto carried = kernel::shaft_point(c.arrow, topology.nodes, n, tip.place.x - q[L::arrow_x]);
  return kernel::add_contact(c.rest, topology.rest, kernel::as_it_stands, tip,
                             {q[L::arrow_x], 0.0, c.arrow.length, carried, c.vanes, topology.vanes},
                             {n, q.data() + L::arrow_y, still.data(), up.data()},
                             {n, q.data() + L{n}.arrow_z(), still.data(), aside.data()}, state);
}

/// Give the hand what balances the riser at full draw (Eq. 47).
template <int Links>
void preload_hand(Release<Links>& r, const StaticPoint& full, const kernel::LineLoads<double, Links>& lines,
                  const kernel::RiserMotion<double>& riser) {
  auto& c = r.constants;
  kernel::ContactLoads<double> contact;
  if (r.topology.rest != RestKind::none) {
    kernel::RestState<double> rest;
    contact = contact_at_rest(c, r.topology, riser, r.q, rest);
  }
  const double weight = c.riser.mass * c.gravity;
  c.hand.force_x = -(full.riser_force[0] + contact.riser_force.x);
  c.hand.force_y = -(full.riser_force[1] + contact.riser_force.y - weight);
  c.hand.moment_pitch = -(full.riser_force[2] + contact.riser_moment - weight * c.riser.cm_x);
  c.hand.force_z = -(lines.lateral.force + contact.aside);
  c.hand.moment_yaw = -(lines.lateral.yaw + contact.yaw);
  c.hand.moment_roll = -(lines.lateral.roll + contact.roll);
}

/// The beam and the thrust on it are linear in slopes: what lies steeper than this across the shot would fly a wrong
/// tear.
/// \throws SolverError when the arrow starts too steep
inline void check_slope(double slope, const char* which_way) {
  // At `steepest` the neglected share of a length is 4 %; a demo bow starts below 0.01.
  if (!(std::fabs(slope) <= steepest)) {
    throw SolverError("full draw",
                      "the arrow lies " + display(std::atan(std::fabs(slope)), Quantity::angle, "deg", 0) +
                          " across the shot, pointing " + which_way +
                          ": that is no shot, and beyond the model, which holds to 16 deg; check where nock "
                          "and rest stand at full draw");
  }
}

/// Which way the arrow points sideways from the nock: straight to the launcher, or ahead where there is none.
template <int Links>
double sideways_slope(const kernel::Constants<double, Links>& c, const kernel::Topology& topology, double nock_z,
                      double reach) {
  return topology.rest == RestKind::none ? 0.0 : (c.rest.z - nock_z) / reach;
}

/// Lay the arrow on nock and launcher; returns the moment of its weight on the rest's arm.
/// \throws InputError when it does not reach the rest, SolverError when it lies across the shot.
template <int Links>
double settle_arrow(const ModelData& data, const kernel::Constants<double, Links>& c,
                    const kernel::RiserMotion<double>& riser, Coordinates& q) {
  using L = kernel::Layout<Links>;
  const auto tip = kernel::still_launcher(c.rest, data.topology.rest, riser, q[L::rest_arm]);
  const double reach = tip.tip.x - q[L::string_x];
  if (!(reach < c.arrow.length) || !(reach > 0.0)) {
    throw InputError("arrow.length", format_quantity(c.arrow.length, Quantity::length, "m"),
                     "must reach past the rest at full draw, that is be more than " +
                         display(reach, Quantity::length, "m", 4) +
                         ": an arrow that falls off the rest inside the draw can be driven into the hand");
  }
  if (data.topology.vanes > 0 && data.topology.rest != RestKind::none && reach <= c.vanes.front) {
    const Fletching& vanes = data.setup.arrow.fletching;
    throw InputError("arrow.fletching.distance", format_quantity(vanes.distance, Quantity::length, "mm"),
                     "must keep the vanes behind the rest at full draw, that is be less than " +
                         display(reach - 0.5 * vanes.length, Quantity::length, "mm", 1));
  }
  const double slope = (tip.tip.y - q[L::string_y]) / reach;
  check_slope(slope, slope > 0.0 ? "up" : "down");
  const double aside = sideways_slope(c, data.topology, q[L::string_z], reach);
  check_slope(aside, aside > 0.0 ? "right" : "left");
  double* z = q.data() + L{data.topology.modes}.arrow_z();
  lay_straight(c.arrow, data.topology.modes, q[L::string_z], aside, z);
  lay_arrow(c, data.topology, tip, q[L::string_x], q[L::string_y], q.data() + L::arrow_y, z);
  // Both planes' slopes draw the nock ahead.
  q[L::arrow_x] = 0.0;
  const Coordinates still{};
  q[L::arrow_x] = q[L::string_x] - nock_of(c, data.topology.modes, q.data(), still.data()).position.x;
  if (data.topology.rest == RestKind::none) {
    return 0.0;
  }
  kernel::RestState<double> rest;
  contact_at_rest(c, data.topology, riser, q, rest);
  return rest.arm_moment;
}

/// The arm under a `load` with the bow held still, as long as its cord is slack; false where it is not, or no balance
/// is found. Spares the bow a solution that would not move it.
template <int Links>
bool balance_slack_arm(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                       const kernel::RiserMotion<double>& riser, const kernel::HalfMotion<double, Links> (&m)[2],
                       double load, double& arm) {
  if (topology.rest != RestKind::limb_driven) {
    return false;
  }
  const auto side = kernel::in_side_frame(riser, topology.cord_half);
  bool slack = true;
  const auto moment = [&](double at) {
    kernel::RestState<double> rest;
    kernel::LineLoads<double, Links> ignored;
    kernel::add_limb_cord(c.rest, topology, side, m, c.half, {at, 0.0}, ignored, rest);
    kernel::add_arm_loads(c.rest, topology.rest, {at, 0.0}, rest);
    slack = rest.cord_tension == 0.0;
    return rest.arm_moment + load;
  };
  // Secants: the moment is straight but for the end stops' and the cord's kinks.
  double before = arm + 1e-6;  // on the upper stop
  double moment_before = moment(before);
  for (int i = 0; i < 30; ++i) {
    const double here = moment(arm);
    const double slope = (here - moment_before) / (arm - before);
    if (!slack || !(slope < 0.0)) {
      return false;
    }
    before = std::exchange(arm, arm - here / slope);
    moment_before = here;
    if (std::fabs(arm - before) < Statics<Links>::exact) {
      return true;
    }
  }
  return false;
}

/// Let arrow and arm settle together, from the arrow's `load` on the arm as it lies: the arm gives way by micrometres,
/// nearly in proportion, so that the secant through two rounds leaves little for a third.
/// \throws SolverError when the arm finds no balance
template <int Links>
void settle_arm(const ModelData& data, const kernel::Constants<double, Links>& c,
                const kernel::RiserMotion<double>& riser, const kernel::HalfMotion<double, Links> (&m)[2],
                Statics<Links>& statics, double load, Coordinates& q, StaticPoint& full) {
  using L = kernel::Layout<Links>;
  const double nock_x = full.q[L::string_x];
  const kernel::Vector2<double> pressure_point{data.setup.grip.pressure_point_x, data.setup.grip.pressure_point_y};
  bool alone = true;
  double last_load = 0.0;
  double last_gain = 0.0;
  for (int round = 0; round < 8; ++round) {
    alone = alone && balance_slack_arm(c, data.topology, riser, m, load, q[L::rest_arm]);
    if (alone) {
      full.q[L::rest_arm] = q[L::rest_arm];
    } else if (!statics.balance_arm(q, nock_x, pressure_point, load, full)) {
      throw SolverError("full draw",
                        "the rest's arm finds no balance between its spring, its stops and its cord; check "
                        "rest.arm.cord_slack");
    }
    const double gain = settle_arrow(data, c, riser, q) - load;
    if (std::fabs(gain) <= 1e-10 * std::fabs(load)) {
      return;
    }
    const double slope = round > 0 ? (gain - last_gain) / (load - last_load) : -1.0;
    last_load = std::exchange(load, slope < -0.1 ? load - gain / slope : load + gain);
    last_gain = gain;
  }
}

/// What a release that is not clean leaves at the nock: a blow at it moves the shaft in all its modes as if nothing
/// held it, and the string's lump with the nock (lib/README.md, Eq. 47a).
template <int Links>
void let_go(const kernel::ArrowConstants<double>& arrow, int modes, const Hold& hold, Coordinates& v) {
  using L = kernel::Layout<Links>;
  const double mobility = kernel::modal_sum(modes, arrow.nock_shape, arrow.nock_shape);
  for (int k = 0; k < modes; ++k) {
    v[L::arrow_y + k] = hold.release_up * arrow.nock_shape[k] / mobility;
    v[L{modes}.arrow_z() + k] = hold.release_right * arrow.nock_shape[k] / mobility;
  }
  v[L::string_y] = hold.release_up;
  v[L::string_z] = hold.release_right;
}

/// Whether riser, limbs, cams and nock stand alike.
template <int Links>
bool same_place(const Coordinates& a, const Coordinates& b) {
  using L = kernel::Layout<Links>;
  return std::equal(a.begin(), a.begin() + L::arrow_x, b.begin()) &&
         std::equal(a.begin() + L::string_x, a.begin() + L::rest_arm, b.begin() + L::string_x) &&
         a[L::lean(0)] == b[L::lean(0)] && a[L::lean(1)] == b[L::lean(1)];
}

/// Lay arrow, rest and lateral plane into equilibrium at full draw.
/// \throws InputError when the arrow does not reach the rest; SolverError when the rest's arm finds no balance.
template <int Links>
Release<Links> prepare_release(const ModelData& data, const kernel::Constants<double, Links>& c,
                               const FullDraw<Links>& draw) {
  using L = kernel::Layout<Links>;
  Release<Links> r{c, data.topology};
  Statics<Links> statics(c, data.topology);
  statics.set_run_directions(draw.run_directions);
  if (draw.yaw) {
    statics.hold_yaw(*draw.yaw);
  }
  r.late_stop_gap = draw.late_stop_gap;
  StaticPoint full = draw.point;
  const double nock_x = full.q[L::string_x];
  Coordinates q = full.q;
  const Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  q[L::rest_arm] = c.rest.up_angle;
  const double first_load = settle_arrow(data, c, riser, q);
  if (kernel::has_arm(data.topology.rest)) {
    settle_arm(data, c, riser, draw.motion, statics, first_load, q, full);
  }
  r.full_draw_force = std::hypot(full.nock_force.x, full.nock_force.y);
  r.peak_force = draw.peak_force;
  const kernel::Vector2<double> tip = kernel::still_launcher(c.rest, data.topology.rest, riser, q[L::rest_arm]).tip;
  const double reach = tip.x - nock_x;

  kernel::HalfMotion<double, Links> m[2]{draw.motion[0], draw.motion[1]};
  kernel::LineLoads<double, Links> lines = draw.lines;
  double strain = draw.strain;
  if (!same_place<Links>(q, draw.point.q)) {  // the arm pulls at the bow
    strain = strain_of(c, statics, full);
    lines = statics.loads(q, m);
  }
  const auto lateral = lateral_of<Links>(q);
  r.stored_energy = strain - draw.strain_at_brace;
  const double slope = sideways_slope(c, data.topology, lateral.nock, reach);
  const Arrow& arrow = data.setup.arrow;
  const Ray shaft{nock_x, q[L::string_y], lateral.nock, (tip.y - q[L::string_y]) / reach, slope};
  kernel::CableStations<double> cables[2];
  find_cables(c, data.topology, m, lines, riser, lateral, cables);
  if (const auto apart = cable_distance(c, cables, shaft)) {
    r.cable_clearance = *apart - 0.5 * arrow.diameter - (arrow.fletching.count > 0 ? arrow.fletching.height : 0.0);
  }
  const double brace_x = data.brace[L::string_x];
  const double brace_y = data.brace[L::string_y];
  const double rest_z = data.topology.rest == RestKind::none ? 0.0 : c.rest.z;
  const Ray leaving{brace_x, brace_y, rest_z, (c.rest.height - brace_y) / (c.rest.x - brace_x), 0.0};
  r.topology.cables_beside = place_passes(draw.cables_at_brace, leaving, data.topology.vanes, r.constants);
  if (kernel::has_arm(data.topology.rest)) {
    r.cord_force = cord_at(c, data.topology, m, lines, q[L::rest_arm]).cord_tension;
  }
  r.q = q;
  const int n = data.topology.modes;
  const kernel::NockAngles<double> lies =
      kernel::nock_angles(c.arrow, n, q.data() + L::arrow_y, r.v.data() + L::arrow_y, q.data() + L{n}.arrow_z(),
                          r.v.data() + L{n}.arrow_z(), q[L::riser_pitch], 0.0, q[L::riser_yaw], 0.0);
  r.constants.arrow.grip.rest_up = lies.up;
  r.constants.arrow.grip.rest_right = lies.right;
  let_go<Links>(c.arrow, data.topology.modes, data.setup.hold, r.v);
  r.run_directions = statics.run_directions();
  r.excursion = full.excursion;
  r.rates = with_arrow_and_rest(draw.rates, c, data.topology);
  r.constants.vanes.longest_step = vane_step(r.rates);
  preload_hand(r, full, lines, riser);
  if (data.setup.string.pieces > 1) {
    cut_string(data, m, lines, lateral, r.q, r.constants, r.chain, r.chain_q);
  }
  return r;
}

template <int Links>
Release<Links> prepare_release(const ModelData& data, const kernel::Constants<double, Links>& c) {
  return prepare_release(data, c, run_to_end(draw_to_the_wall(data, c)));
}

// Compiled in lib/launch/links_*.cpp.
#define NOCKWISE_INITIAL_STATE(extern_or_nothing, links)                                                               \
  extern_or_nothing template Task<DrawnBow<links>> draw_to_the_stop(                                                   \
      const ModelData&, const kernel::Constants<double, links>&, EvaluationSlot<links>*);                              \
  extern_or_nothing template Task<FullDraw<links>> take_in_hand(                                                       \
      const ModelData&, const kernel::Constants<double, links>&, const DrawnBow<links>&, EvaluationSlot<links>*);      \
  extern_or_nothing template Task<FullDraw<links>> draw_to_the_wall(                                                   \
      const ModelData&, const kernel::Constants<double, links>&, EvaluationSlot<links>*);                              \
  extern_or_nothing template Release<links> prepare_release(const ModelData&, const kernel::Constants<double, links>&, \
                                                            const FullDraw<links>&);
#define NOCKWISE_EXTERN(links) NOCKWISE_INITIAL_STATE(extern, links)
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

}  // namespace nockwise::detail
