/// @file
/// Mechanisms of every kind in states where everything pulls or touches, for tests of what must hold in any state.
#pragma once

#include "kernel/energy.hpp"
#include "statics/statics.hpp"
#include "wheelwright_bow.hpp"

#include <ostream>
#include <random>
#include <string>
#include <vector>

namespace nockwise {

/// One combination of kinds. A new kind joins the tests by a new entry in all_kinds().
struct Kinds {
  RestKind rest = RestKind::blade;
  StopKind stop = StopKind::limb;
  CableEnd upper_cable = CableEnd::yoke;
  CableEnd lower_cable = CableEnd::yoke;
  int segments = 1;
  bool upper_flexes = false;
  bool lower_flexes = false;
  Side cord = Side::lower;
  bool attached = true;
  bool vanes_strike = false;
};

inline std::ostream& operator<<(std::ostream& out, const Kinds& k) {
  return out << "rest " << static_cast<int>(k.rest) << ", stop " << static_cast<int>(k.stop) << ", cables "
             << static_cast<int>(k.upper_cable) << static_cast<int>(k.lower_cable) << ", segments " << k.segments
             << ", riser ends " << k.upper_flexes << k.lower_flexes << ", cord " << static_cast<int>(k.cord)
             << (k.attached ? ", attached" : ", free") << (k.vanes_strike ? ", vanes on the launcher" : "");
}

inline std::vector<Kinds> all_kinds() {
  std::vector<Kinds> rows;
  int count = 0;
  for (const RestKind rest :
       {RestKind::none, RestKind::blade, RestKind::capture, RestKind::limb_driven, RestKind::cable_driven}) {
    for (const StopKind stop : {StopKind::none, StopKind::limb, StopKind::cable}) {
      for (const auto& [upper, lower] : {std::pair{CableEnd::yoke, CableEnd::yoke},
                                         {CableEnd::let_out, CableEnd::let_out},
                                         {CableEnd::yoke, CableEnd::let_out}}) {
        for (const int segments : {1, 2, 3}) {
          for (const auto& [upper_flexes, lower_flexes] :
               {std::pair{false, false}, {true, true}, {true, false}, {false, true}}) {
            for (const bool attached : {true, false}) {
              const Side cord = ++count % 2 == 0 ? Side::upper : Side::lower;
              rows.push_back({rest, stop, upper, lower, segments, upper_flexes, lower_flexes, cord, attached});
            }
          }
        }
      }
    }
  }
  for (const RestKind rest : {RestKind::blade, RestKind::capture, RestKind::limb_driven, RestKind::cable_driven}) {
    rows.push_back({.rest = rest, .attached = false, .vanes_strike = true});
  }
  return rows;
}

/// A spline close to a circle track but with a third harmonic, over two turns.
inline Track wavy_track(const CircleTrack& circle) {
  SplineTrack spline{-2.0 * 3.14159265358979, 0.05, {}};
  for (int i = 0; i <= 252; ++i) {
    const double angle = spline.first_angle + i * spline.angle_step;
    spline.distance.push_back(circle.radius + circle.eccentricity * std::cos(angle - circle.angle) +
                              5e-4 * std::cos(3.0 * angle));
  }
  return spline;
}

/// The Wheelwright with every part in it and nothing that dissipates; upper tracks are splines, lower ones circles.
inline Setup undamped_setup(const Kinds& kinds) {
  Setup s = wheelwright_setup("unlike");
  s.cams.upper.string_track = wavy_track(std::get<CircleTrack>(s.cams.upper.string_track));
  s.cams.upper.take_up_track = wavy_track(std::get<CircleTrack>(s.cams.upper.take_up_track));
  s.cams.upper.let_out_track = wavy_track({0.02, 0.006, 0.7});
  s.cams.lower.let_out_track = CircleTrack{0.021, 0.005, -0.4};
  s.cams.upper.stop.kind = s.cams.lower.stop.kind = kinds.stop;
  s.cables.upper.end = kinds.upper_cable;
  s.cables.lower.end = kinds.lower_cable;
  s.limbs.upper.segments = s.limbs.lower.segments = kinds.segments;
  s.riser.upper_end_compliance = kinds.upper_flexes ? 2e-5 : 0.0;
  s.riser.lower_end_compliance = kinds.lower_flexes ? 3e-5 : 0.0;
  s.string.mass = 0.0065;
  s.surroundings.gravity = 9.80665;
  s.arrow = Arrow{};
  s.arrow.nodes = 9;
  s.arrow.damping_ratio = 0.0;
  s.rest = Rest{};
  s.rest.kind = kinds.rest;
  s.rest.vertical_damping = s.rest.lateral_damping = 0.0;
  s.rest.arm.damping = s.rest.arm.stop_damping = s.rest.arm.cord_damping = 0.0;
  s.rest.arm.cord_side = kinds.cord;
  s.rest.arm.cord_attachment = kinds.rest == RestKind::limb_driven ? 0.19 : 0.3;
  s.arrow.fletching.friction = 0.0;
  if (kinds.vanes_strike) {
    s.rest.blade_width = s.rest.arm.launcher_width = 0.1;
    s.arrow.fletching.length = 0.12;
    s.arrow.fletching.distance = 0.065;
    s.arrow.fletching.clocking = 0.3;
  }
  return s;
}

/// State [q, v] with the kernel constants that make every line taut and every contact pressed in it.
template <int Links>
struct Mechanism {
  using L = kernel::Layout<Links>;
  kernel::Constants<double, Links> c;  // refers to tables of the ModelData
  kernel::Topology topology;
  double attached;
  detail::Coordinates q{}, v{};
  kernel::RunDirections<double> run_directions{};
  std::vector<int> coordinates;  // the independent ones

  Mechanism(const detail::ModelData& data, const kernel::Constants<double, Links>& constants, double hold,
            unsigned seed, bool vanes_strike = false)
      : c(constants), topology(data.topology), attached(hold), random_(seed) {
    draw_state();
    if (vanes_strike) {
      at(L::arrow_x) = between(-0.04, -0.01);
    }
    detail::Statics<Links> statics(c, topology);
    statics.settle(q);
    run_directions = statics.run_directions();
    engage();
    collect();
  }

  [[nodiscard]] double& at(int i) { return q[static_cast<std::size_t>(i)]; }
  [[nodiscard]] double& rate(int i) { return v[static_cast<std::size_t>(i)]; }

  kernel::Diagnostics<double> accelerate(detail::Coordinates& a) const {
    kernel::RunDirections<double> h = run_directions;
    return kernel::accelerations(c, topology, attached, q.data(), v.data(), a.data(), h);
  }
  /// Move one coordinate by `dq` and its rate by `dv`; the string's point goes with the nock.
  void shift(int i, double dq, double dv) {
    at(i) += dq;
    rate(i) += dv;
    tie();
  }
  void tie() {
    if (attached > 0.5) {
      const int z = L{topology.modes}.arrow_z();
      at(L::string_x) = at(L::arrow_x);
      at(L::string_y) = kernel::modal_sum(topology.modes, c.arrow.nock_shape, q.data() + L::arrow_y);
      at(L::string_z) = kernel::modal_sum(topology.modes, c.arrow.nock_shape, q.data() + z);
      rate(L::string_x) = rate(L::arrow_x);
      rate(L::string_y) = kernel::modal_sum(topology.modes, c.arrow.nock_shape, v.data() + L::arrow_y);
      rate(L::string_z) = kernel::modal_sum(topology.modes, c.arrow.nock_shape, v.data() + z);
    }
  }
  /// Let the bow's plane stand yawed and rolled by `angle`.
  void tilt(double angle) { at(L::riser_yaw) = at(L::riser_roll) = angle; }
  [[nodiscard]] kernel::EnergyParts energy() const {
    return kernel::energy(c, topology, attached, q.data(), v.data(), run_directions);
  }

 private:
  double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random_); }

  void draw_state() {
    at(L::riser_x) = between(-0.01, 0.01);
    at(L::riser_y) = between(-0.01, 0.01);
    at(L::riser_pitch) = between(-0.1, 0.1);
    rate(L::riser_x) = between(-1.0, 1.0);
    rate(L::riser_y) = between(-1.0, 1.0);
    rate(L::riser_pitch) = between(-2.0, 2.0);
    for (int h = 0; h < 2; ++h) {
      const int first = topology.limb_link[h];
      if (first == 1 && !topology.first_link_locked[h]) {
        at(L::joint(h, 0)) = between(-0.02, 0.02);
        rate(L::joint(h, 0)) = between(-2.0, 2.0);
      }
      for (int j = first; j < Links; ++j) {
        const double rest = j == first ? 0.1458 : 0.0;
        at(L::joint(h, j)) = rest + (between(0.8, 0.95) - 0.1458) / (Links - first);
        rate(L::joint(h, j)) = between(-3.0, 3.0);
      }
      at(L::cam(h)) = between(1.0, 2.0);
      rate(L::cam(h)) = between(-5.0, 5.0);
    }
    at(L::arrow_x) = between(-0.5, -0.4);
    rate(L::arrow_x) = between(1.0, 5.0);
    // Modal amplitudes: a rigid line, and bending that falls with the mode's number.
    for (int k = 0; k < topology.modes; ++k) {
      const double size = k == 0 ? c.arrow.root_mass : k == 1 ? 0.3 * c.arrow.root_mass : c.arrow.root_mass / (k * k);
      at(L::arrow_y + k) = size * between(-0.01, 0.01);
      rate(L::arrow_y + k) = size * between(-2.0, 2.0);
    }
    const double* shape = c.arrow.nock_shape;
    at(L::string_y) = kernel::modal_sum(topology.modes, shape, q.data() + L::arrow_y) + 0.003;
    at(L::string_x) = at(L::arrow_x) - 0.02;
    rate(L::string_x) = between(-2.0, 2.0);
    rate(L::string_y) = between(-2.0, 2.0);
    at(L::rest_arm) = between(c.rest.down_angle - 0.02, c.rest.up_angle + 0.02);
    rate(L::rest_arm) = kernel::has_arm(topology.rest) ? between(-5.0, 5.0) : 0.0;
    draw_lateral_state();
    c.hand.force_x = between(-200.0, 200.0);
    c.hand.force_y = between(-20.0, 20.0);
    c.hand.moment_pitch = between(-5.0, 5.0);
    tie();
  }

  /// Lateral places of grooves, guard and yokes, and the lateral coordinates.
  void draw_lateral_state() {
    for (int h = 0; h < 2; ++h) {
      c.half[h].string_z = between(-0.01, 0.01);
      c.half[h].take_up_z = between(-0.02, 0.02);
      c.half[h].let_out_z = between(-0.02, 0.02);
      c.guard.z[h] = between(-0.03, 0.03);
      c.yoke[h].junction_offset = between(-0.004, 0.004);
      at(L::lean(h)) = between(-0.05, 0.05);
      rate(L::lean(h)) = between(-1.0, 1.0);
    }
    for (const int i : {L::riser_z, L::riser_yaw, L::riser_roll, L::string_z}) {
      at(i) = between(-0.01, 0.01);
      rate(i) = between(-1.0, 1.0);
    }
    c.hand.force_z = between(-5.0, 5.0);
    c.hand.moment_yaw = between(-1.0, 1.0);
    c.hand.moment_roll = between(-1.0, 1.0);
    const int z = L{topology.modes}.arrow_z();
    for (int k = 0; k < topology.modes; ++k) {
      at(z + k) = c.arrow.root_mass * between(-0.001, 0.001);
      rate(z + k) = c.arrow.root_mass * between(-1.0, 1.0) / (1.0 + k * k);
    }
  }

  /// Natural lengths and gaps such that all of it is loaded; they are read off with the line infinitely short.
  void engage() {
    for (int h = 0; h < 2; ++h) {
      c.string[h].natural = c.cable[h].natural = -10.0;
    }
    c.rest.cord_natural = -10.0;
    detail::Coordinates a{};
    const auto d = accelerate(a);
    for (int h = 0; h < 2; ++h) {
      c.string[h].natural += d.string_tension[h] / c.string[h].stiffness - between(0.001, 0.004);
      c.cable[h].natural += d.cable_tension[h] / c.cable[h].stiffness - between(0.001, 0.004);
      if (topology.stop[h] == StopKind::limb) {
        c.half[h].stop.angle -= (d.stop_gap[h] + between(2e-4, 8e-4)) / c.half[h].stop.radius;
      } else if (topology.stop[h] == StopKind::cable) {
        c.half[h].stop.peg_size += d.stop_gap[h] + between(2e-4, 8e-4);
      }
    }
    c.rest.height += d.rest.gap / std::cos(at(L::riser_pitch)) + 0.002;
    if (kernel::has_arm(topology.rest)) {
      c.rest.cord_wrap = between(0.0, 0.02);
      const auto tied = accelerate(a);
      c.rest.cord_natural += tied.rest.cord_tension / c.rest.cord_stiffness - between(0.001, 0.003);
    }
  }

  void collect() {
    for (const int i : {L::riser_x, L::riser_y, L::riser_pitch, L::riser_z, L::riser_yaw, L::riser_roll}) {
      coordinates.push_back(i);
    }
    for (int h = 0; h < 2; ++h) {
      for (int j = topology.first_link_locked[h] ? 1 : 0; j < Links; ++j) {
        coordinates.push_back(L::joint(h, j));
      }
      coordinates.push_back(L::cam(h));
      coordinates.push_back(L::lean(h));
    }
    coordinates.push_back(L::arrow_x);
    if (attached < 0.5) {
      coordinates.push_back(L::string_x);
      coordinates.push_back(L::string_y);
      coordinates.push_back(L::string_z);
    }
    if (kernel::has_arm(topology.rest)) {
      coordinates.push_back(L::rest_arm);
    }
    for (int i = 0; i < topology.modes; ++i) {
      coordinates.push_back(L::arrow_y + i);
      coordinates.push_back(L{topology.modes}.arrow_z() + i);
    }
  }

  std::mt19937 random_;
};

/// Derivative of `f` at zero, by central differences of fourth order.
template <class Function>
double slope_of(double step, Function f) {
  return (8.0 * (f(step) - f(-step)) - (f(2.0 * step) - f(-2.0 * step))) / (12.0 * step);
}

/// The state a moment later, to first order: what derivatives along the flow need.
template <int Links>
Mechanism<Links> later(const Mechanism<Links>& m, const detail::Coordinates& a, double time) {
  Mechanism<Links> moved = m;
  for (std::size_t i = 0; i < a.size(); ++i) {
    moved.q[i] += time * m.v[i];
    moved.v[i] += time * a[i];
  }
  return moved;
}

/// Call `function` with a Mechanism of these kinds.
template <class Function>
void with_mechanism(const Kinds& kinds, unsigned seed, Function&& function) {
  const auto data = detail::compile(undamped_setup(kinds));
  detail::with_constants(*data, [&]<int Links>(const kernel::Constants<double, Links>& c) {
    function(Mechanism<Links>(*data, c, kinds.attached ? 1.0 : 0.0, seed, kinds.vanes_strike));
  });
}

}  // namespace nockwise
