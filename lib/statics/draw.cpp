#include "nockwise/draw.hpp"

#include "statics/draw_continuation.hpp"
#include "statics/lateral_balance.hpp"
#include "statics/model_access.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

template <int Links>
DrawPoint describe(const detail::StaticPoint& p, const kernel::Topology& topology, detail::Statics<Links>& statics,
                   double energy_at_brace) {
  using L = kernel::Layout<Links>;
  DrawPoint d;
  kernel::HalfMotion<double, Links> m[2];
  statics.loads(p.q, m);
  d.nock_x = p.q[L::string_x];
  d.nock_y = p.q[L::string_y];
  d.force_x = -p.nock_force.x;
  d.force_y = -p.nock_force.y;
  d.draw_force = std::hypot(d.force_x, d.force_y);
  const auto between = m[0].axle() - kernel::mirror(m[1].axle());
  d.axle_to_axle = std::sqrt(kernel::dot(between, between));
  for (int h = 0; h < 2; ++h) {
    d.limb_angle[h] = std::atan2(-m[h].limb_direction.x, m[h].limb_direction.y);
    d.cam_angle[h] = p.q[L::cam(h)];
    d.string_tension[h] = p.string_tension[h];
    d.cable_tension[h] = p.cable_tension[h];
    if (topology.stop[h] != StopKind::none) {
      d.stop_gap[h] = p.stop_gap[h];
    }
  }
  d.stored_energy = p.stored_energy - energy_at_brace;
  return d;
}

/// Vertex of the parabola through three points: abscissa and value.
std::pair<double, double> vertex(const DrawPoint& a, const DrawPoint& b, const DrawPoint& c) {
  const double ab = (b.draw_force - a.draw_force) / (b.nock_x - a.nock_x);
  const double bc = (c.draw_force - b.draw_force) / (c.nock_x - b.nock_x);
  const double bend = (bc - ab) / (c.nock_x - a.nock_x);
  if (bend == 0.0) {
    return {b.nock_x, b.draw_force};
  }
  const double x = 0.5 * (a.nock_x + b.nock_x) - 0.5 * ab / bend;
  const double low = std::min(a.nock_x, c.nock_x);
  const double high = std::max(a.nock_x, c.nock_x);
  const double inside = std::clamp(x, low, high);
  return {inside, a.draw_force + ab * (inside - a.nock_x) + bend * (inside - a.nock_x) * (inside - b.nock_x)};
}

/// Peak of the curve and lowest force after it, refined between the samples.
void find_peak_and_valley(DrawCycle& cycle) {
  const auto& p = cycle.points;
  const std::size_t last = cycle.touch_index;
  std::size_t peak = 0;
  for (std::size_t i = 0; i <= last; ++i) {
    peak = p[i].draw_force > p[peak].draw_force ? i : peak;
  }
  cycle.peak_force = p[peak].draw_force;
  cycle.peak_nock_x = p[peak].nock_x;
  if (peak > 0 && peak < last) {
    std::tie(cycle.peak_nock_x, cycle.peak_force) = vertex(p[peak - 1], p[peak], p[peak + 1]);
  }
  std::size_t valley = peak;
  for (std::size_t i = peak; i <= last; ++i) {
    valley = p[i].draw_force < p[valley].draw_force ? i : valley;
  }
  cycle.holding_force = p[valley].draw_force;
  cycle.valley_nock_x = p[valley].nock_x;
  if (valley > peak && valley < last) {
    std::tie(cycle.valley_nock_x, cycle.holding_force) = vertex(p[valley - 1], p[valley], p[valley + 1]);
  }
  cycle.let_off = (cycle.peak_force - cycle.holding_force) / cycle.peak_force;
}

double nock_travel(const std::vector<DrawPoint>& p, std::size_t last) {
  const double slope = (p[last].nock_y - p[0].nock_y) / (p[last].nock_x - p[0].nock_x);
  double low = 0.0;
  double high = 0.0;
  for (std::size_t i = 0; i <= last; ++i) {
    const double off = p[i].nock_y - p[0].nock_y - slope * (p[i].nock_x - p[0].nock_x);
    low = std::min(low, off);
    high = std::max(high, off);
  }
  return high - low;
}

/// What the draw does sideways: whether the guard can hold the cables so, and whether a cam leans too much.
template <int Links>
void add_lean_caution(const detail::ModelData& data, const kernel::Constants<double, Links>& c,
                      detail::DrawContinuation<Links>& walk, DrawCycle& cycle) {
  const detail::Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  kernel::HalfMotion<double, Links> m[2];
  const auto lines = walk.statics().loads(walk.now().q, m);
  detail::check_guard(data, c, m, lines, "at full draw");
  const auto lateral = detail::balance_lateral(c, data.topology, m, lines, riser, data.setup.hold.grip_torque);
  const std::string caution = detail::lean_caution({lateral.lean[0], lateral.lean[1]});
  if (!caution.empty()) {
    cycle.cautions.push_back({CautionKind::cam_lean, caution});
  }
}

void summarise(DrawCycle& cycle, double wall_pull) {
  const auto& p = cycle.points;
  const DrawPoint& touch = p[cycle.touch_index];
  find_peak_and_valley(cycle);
  cycle.stored_energy = touch.stored_energy;
  cycle.brace_height = -p.front().nock_x;
  cycle.power_stroke = p.front().nock_x - touch.nock_x;
  cycle.draw_length = -touch.nock_x + draw_length_allowance;
  cycle.brace_axle_to_axle = p.front().axle_to_axle;
  cycle.full_axle_to_axle = touch.axle_to_axle;
  cycle.static_nock_travel = nock_travel(p, cycle.touch_index);
  const auto [upper, lower] = touch.stop_gap;
  cycle.first_stop = upper && !(lower && *lower < *upper) ? Side::upper : Side::lower;
  cycle.late_stop_gap = cycle.first_stop == Side::upper ? lower : upper;
  if (wall_pull > 0.01) {
    cycle.cautions.push_back(
        {CautionKind::overdraw,
         "The bow is pulled more than 10 mm into the wall: over-drawing can damage cables, stops and limbs. Follow the "
         "maker's manual."});
  }
}

}  // namespace

DrawCycle draw_cycle(const Model& model, const DrawOptions& options) {
  if (options.positions < 8) {
    throw InputError("positions", std::to_string(options.positions), "must be at least 8");
  }
  const detail::ModelData& data = detail::data_of(model);
  DrawCycle cycle;
  detail::with_constants(data, [&]<int Links>(const kernel::Constants<double, Links>& c) {
    detail::DrawContinuation<Links> to_touch(data, c, options.hold);
    const double start = to_touch.nock_x();
    const double touch = run_to_end(to_touch.find_touch());
    const double end = touch - data.setup.hold.wall_pull;
    detail::DrawContinuation<Links> draw(data, c, options.hold);
    const double energy = draw.now().stored_energy;
    cycle.points.reserve(static_cast<std::size_t>(options.positions) + 1);
    cycle.points.push_back(describe(draw.now(), data.topology, draw.statics(), energy));
    bool touched = false;
    for (int i = 1; i < options.positions; ++i) {
      const double x = i == options.positions - 1 ? end : start + (end - start) * i / (options.positions - 1);
      if (!touched && x <= touch) {
        touched = true;
        run_to_end(draw.advance_to(touch));
        draw.engage_stops();
        cycle.touch_index = cycle.points.size();
        cycle.points.push_back(describe(draw.now(), data.topology, draw.statics(), energy));
        if (x == touch) {
          continue;
        }
      }
      run_to_end(draw.advance_to(x));
      cycle.points.push_back(describe(draw.now(), data.topology, draw.statics(), energy));
    }
    add_lean_caution(data, c, draw, cycle);
  });
  summarise(cycle, data.setup.hold.wall_pull);
  return cycle;
}

}  // namespace nockwise
