// From a compiled bow to a braced one. Private.
#pragma once

#include "nockwise/error.hpp"
#include "numerics/false_position.hpp"
#include "statics/statics.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>

namespace nockwise::detail {

/// Where to look for brace: cams at zero, limbs closed until the cables are stretched a little, the nock on the
/// string's line.
template <int Links>
Coordinates brace_guess(const kernel::Constants<double, Links>& c, const kernel::Topology& topology) {
  using L = kernel::Layout<Links>;
  constexpr double stretch = 0.004;
  const Coordinates still{};
  const auto at = [&](double bend) {
    Coordinates q{};
    for (int h = 0; h < 2; ++h) {
      const int first = topology.limb_link[h];
      for (int j = first; j < Links; ++j) {
        q[L::joint(h, j)] = c.half[h].links[j].free_angle + bend / (Links - first);
      }
    }
    return q;
  };
  const auto motion = [&](const Coordinates& q, int h) {
    const auto riser = kernel::in_side_frame(kernel::riser_motion<double, Links>(q.data(), still.data()), h);
    return kernel::half_motion(c.half[h], riser, q.data() + L::joint(h, 0), still.data(), 0.0, 0.0);
  };
  const auto excess = [&](double bend) {
    const Coordinates q = at(bend);
    double total = 0.0;
    for (int h = 0; h < 2; ++h) {
      const auto near = motion(q, h);
      const auto beyond = motion(q, 1 - h);
      const auto span = kernel::mirror(beyond.axle()) - near.axle();
      kernel::RunDirection<double> run_direction = kernel::aim(span);
      const bool let_out = topology.cable_end[h] == CableEnd::let_out;
      const kernel::FarEnd<double> far{let_out ? &c.half[1 - h].let_out_track : nullptr, 0.0};
      if (!kernel::settle_run_direction<kernel::TrackRole::take_up>(run_direction, c.half[h].take_up_track, 0.0, far,
                                                                    span)) {
        throw SolverError("brace", std::string("the ") + half_name(h) + " cable cannot lie taut between its ends");
      }
      double ignored = 0.0;
      const auto line = kernel::solve_line<kernel::TrackRole::take_up>(run_direction, c.half[h].take_up_track, 0.0, far,
                                                                       span, ignored);
      total += line.length - c.cable[h].natural - stretch * c.cable[h].natural;
    }
    return total;
  };
  // Limbs that lean forward when unbent stand farthest apart where they pass the vertical: only from there on does a
  // bend slacken the cables.
  double low = 0.0;
  for (int h = 0; h < 2; ++h) {
    low = std::max(low, -c.half[h].links[topology.limb_link[h]].free_angle);
  }
  double too_long = excess(low);  // the cables' way, with the limbs so far bent [m]
  if (!(too_long > 0.0)) {
    throw SolverError(
        "brace", "a cable is slack even with the limbs unbent: the cables are too long for this axle-to-axle length");
  }
  constexpr double farthest = 1.5;
  double bend = low;
  for (double stride = 0.1; too_long > 0.0 && bend < low + farthest; stride *= 2.0) {
    const double next = std::min(bend + stride, low + farthest);
    const double there = excess(next);
    if (there > 0.0) {
      bend = next;
      too_long = there;
      continue;
    }
    constexpr double near = 1e-5;  // [m]
    EventSearch<void> search(too_long, there, true, near);
    while (!search.take(excess(bend + search.share() * (next - bend)))) {
    }
    bend += search.share() * (next - bend);
    break;
  }
  Coordinates q = at(bend);
  double x = 0.0;
  double y = 0.0;
  for (int h = 0; h < 2; ++h) {
    const auto m = motion(q, h);
    double ignored = 0.0;
    x += 0.5 * (m.axle().x - kernel::evaluate(c.half[h].string_track, std::numbers::pi, ignored).p);
    y += 0.5 * kernel::half_sign[h] * m.axle().y;
  }
  q[L::string_x] = x;
  q[L::string_y] = y + 0.5 * (c.string[1].natural - c.string[0].natural);
  return q;
}

/// Unstretched length of each half of the string that is free at brace, where the most of it is wound on the cams [m].
template <int Links>
std::array<double, 2> free_string(const ModelData& data, Statics<Links>& statics) {
  kernel::HalfMotion<double, Links> m[2];
  const auto lines = statics.loads(data.brace, m);
  std::array<double, 2> length{};
  for (std::size_t h = 0; h < 2; ++h) {
    length[h] = lines.string[h].straight / (1.0 + lines.string_tension[h] / data.setup.string.axial_rigidity);
  }
  return length;
}

/// The same of a model whose brace is known.
template <int Links>
std::array<double, 2> free_at_brace(const ModelData& data, const kernel::Constants<double, Links>& c) {
  Statics<Links> statics(c, data.topology);
  statics.set_run_directions(data.brace_run_directions);
  return free_string(data, statics);
}

/// What moves of the string with the nock: a straight string that turns about its ends carries a third of its mass
/// there (Hickman 1947). What is wound on the cams stays with them.
template <int Links>
void lump_string(const ModelData& data, Statics<Links>& statics, kernel::Constants<double, Links>& c) {
  const BowString& string = data.setup.string;
  const std::array<double, 2> free = free_string(data, statics);
  const double whole = string.axial_rigidity / c.string[0].stiffness + string.axial_rigidity / c.string[1].stiffness;
  c.nock_mass = string.mass * (free[0] + free[1]) / (3.0 * whole) + string.serving_and_loop_mass;
}

/// The cord is tied at brace, with the arm on its lower stop, `cord_slack` longer than its way.
template <int Links>
void tie_cord(const ModelData& data, Statics<Links>& statics, kernel::Constants<double, Links>& c) {
  if (!kernel::has_arm(data.topology.rest)) {
    return;
  }
  kernel::HalfMotion<double, Links> m[2];
  const auto loads = statics.loads(data.brace, m);
  const int h = data.topology.cord_half;
  const kernel::Vector2<double> drum{c.rest.x, kernel::half_sign[h] * c.rest.height};
  kernel::Vector2<double> end{};
  double wind = 1.0;
  if (data.topology.rest == RestKind::limb_driven) {
    const int k = data.topology.cord_link;
    end = m[h].joint[k] + (c.rest.cord_attachment / c.half[h].links[k].end_y) * (m[h].end[k] - m[h].joint[k]);
  } else {
    const bool let_out = data.topology.cable_end[h] == CableEnd::let_out;
    c.rest.cord_wrap = let_out ? loads.cable[h].area_b + loads.cable[h].slope_b : 0.0;
    end = kernel::cable_point(loads.cable[h], m[1 - h], c.rest.cord_attachment, c.rest.cord_wrap, let_out).point;
    wind = -1.0;
  }
  const auto span = end - drum;
  c.rest.cord_natural = std::sqrt(kernel::dot(span, span)) +
                        wind * c.rest.cord_lever * (c.rest.down_angle - c.rest.up_angle) +
                        data.setup.rest.arm.cord_slack;
}

/// Brace the bow, lump its string and tie the rest's cord. `c` are the constants of `data`; `slot` as for Statics.
/// \throws SolverError when there is no brace
template <int Links>
Task<Done> brace(ModelData& data, kernel::Constants<double, Links>& c, EvaluationSlot<Links>* slot = nullptr) {
  Statics<Links> statics(c, data.topology, slot);
  const StaticPoint point = co_await statics.solve_brace(brace_guess(c, data.topology));
  data.brace = point.q;
  data.brace_run_directions = statics.run_directions();
  lump_string(data, statics, c);
  tie_cord(data, statics, c);
  co_return Done{};
}

/// The brace of a model of the same bow is this one's too; its rest may differ.
template <int Links>
void take_over_brace(const ModelData& like, ModelData& data, kernel::Constants<double, Links>& c) {
  data.brace = like.brace;
  data.brace_run_directions = like.brace_run_directions;
  Statics<Links> statics(c, data.topology);
  statics.set_run_directions(data.brace_run_directions);
  lump_string(data, statics, c);
  tie_cord(data, statics, c);
}

// Compiled in lib/statics/links_*.cpp.
#define NOCKWISE_BRACE(extern_or_nothing, links)                                                                      \
  extern_or_nothing template Task<Done> brace(ModelData&, kernel::Constants<double, links>&, EvaluationSlot<links>*); \
  extern_or_nothing template void take_over_brace(const ModelData&, ModelData&, kernel::Constants<double, links>&);
#define NOCKWISE_EXTERN(links) NOCKWISE_BRACE(extern, links)
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

}  // namespace nockwise::detail
