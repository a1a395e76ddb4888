#include "nockwise/draw.hpp"

#include "statics/draw_continuation.hpp"
#include "statics/lateral_balance.hpp"
#include "statics/model_access.hpp"
#include "statics/rest_cord.hpp"

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

/// How far the cord of a drop-away would be stretched with its arm up, at every point of the draw.
class CordWatch {
 public:
  template <int Links>
  void look(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
            detail::DrawContinuation<Links>& walk) {
    if (!kernel::has_arm(topology.rest)) {
      return;
    }
    kernel::HalfMotion<double, Links> m[2];
    const auto lines = walk.statics().loads(walk.now().q, m);
    stretch_.push_back(detail::cord_stretch(c, topology, m, lines));
    if (topology.rest == RestKind::limb_driven && stretch_.size() == 1) {
      force_ = detail::cord_at(c, topology, m, lines, c.rest.down_angle).cord_tension;
    } else if (topology.rest == RestKind::cable_driven) {
      force_ = detail::cord_at(c, topology, m, lines, c.rest.up_angle).cord_tension;
    }
  }

  /// A limb's cord lets the arm up as it goes slack, a cable's holds it up as it comes taut.
  void report(RestKind rest, DrawCycle& cycle) const {
    if (stretch_.empty()) {
      return;
    }
    const double up = rest == RestKind::limb_driven ? -1.0 : 1.0;
    for (std::size_t i = 0; i <= cycle.touch_index && up * stretch_[cycle.touch_index] >= 0.0; ++i) {
      const double here = up * stretch_[i];
      if (here < 0.0 || (i > 0 && up * stretch_[i - 1] >= 0.0)) {
        continue;  // not yet up, or still
      }
      const double before = i == 0 ? 0.0 : up * stretch_[i - 1];
      const double share = i == 0 ? 1.0 : before / (before - here);
      const double from = cycle.points[i == 0 ? 0 : i - 1].nock_x;
      cycle.rest_up_nock_x = from + share * (cycle.points[i].nock_x - from);
    }
    cycle.rest_cord_force = force_;
    if (force_ > detail::most_cord_force) {
      cycle.cautions.push_back(
          detail::cord_caution(force_, rest == RestKind::limb_driven ? "at brace" : "at full draw"));
    }
  }

 private:
  std::vector<double> stretch_;  // per point [m]
  double force_ = 0.0;           // [N]
};

/// What the draw does sideways: whether the guard can hold the cables so, and whether a cam leans too much.
template <int Links>
void add_lean_caution(const detail::ModelData& data, const kernel::Constants<double, Links>& c,
                      detail::DrawContinuation<Links>& walk, DrawCycle& cycle) {
  using L = kernel::Layout<Links>;
  kernel::HalfMotion<double, Links> m[2];
  const auto lines = walk.statics().loads(walk.now().q, m);
  detail::check_guard(data, c, m, lines, "at full draw");
  run_to_end(walk.hold_grip_torque(data.setup.hold.grip_torque));
  const auto& q = walk.now().q;
  const std::string caution = detail::lean_caution({q[L::lean(0)], q[L::lean(1)]});
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
    run_to_end(to_touch.pass_touch());
    const double touch = run_to_end(to_touch.find_touch());
    const double end = touch - data.setup.hold.wall_pull;
    detail::DrawContinuation<Links> draw(data, c, options.hold);
    const double energy = draw.now().stored_energy;
    CordWatch cord;
    const auto add_point = [&] {
      cycle.points.push_back(describe(draw.now(), data.topology, draw.statics(), energy));
      cord.look(c, data.topology, draw);
    };
    cycle.points.reserve(static_cast<std::size_t>(options.positions) + 1);
    add_point();
    bool touched = false;
    for (int i = 1; i < options.positions; ++i) {
      const double x = i == options.positions - 1 ? end : start + (end - start) * i / (options.positions - 1);
      if (!touched && x <= touch) {
        touched = true;
        run_to_end(draw.advance_to(touch));
        draw.engage_stops();
        cycle.touch_index = cycle.points.size();
        add_point();
        if (x == touch) {
          continue;
        }
      }
      run_to_end(draw.advance_to(x));
      add_point();
    }
    cord.report(data.topology.rest, cycle);
    add_lean_caution(data, c, draw, cycle);
  });
  summarise(cycle, data.setup.hold.wall_pull);
  return cycle;
}

}  // namespace nockwise
