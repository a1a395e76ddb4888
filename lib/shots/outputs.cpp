#include "nockwise/outputs.hpp"

#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

/// One row of the table.
struct OutputRow {
  OutputDescription description;
  OutputSource source;
  double (*value)(LaunchResults& results);
};

double stop_gap(LaunchResults& results) {
  const DrawCycle& cycle = results.draw_cycle();
  const auto& [upper, lower] = cycle.points[cycle.touch_index].stop_gap;
  return upper && lower ? *upper - *lower : 0.0;
}

double rest_up_before_wall(LaunchResults& results) {
  const DrawCycle& cycle = results.draw_cycle();
  return cycle.rest_up_nock_x ? *cycle.rest_up_nock_x - cycle.points[cycle.touch_index].nock_x : 0.0;
}

// clang-format off
const std::array<OutputRow, output_count>& table() {
  using enum Output;
  using Source = OutputSource;
  using Results = LaunchResults;
  static const std::array<OutputRow, output_count> rows = {{
      {{tear_up, "tear_up", "tear up", Quantity::length, "in", false, "paper tear; positive: tail-high"},
       Source::paper_tear, [](Results& r) { return r.paper_tear().up; }},
      {{tear_right, "tear_right", "tear right", Quantity::length, "in", false,
        "paper tear; positive: tail-right as the archer sees it"},
       Source::paper_tear, [](Results& r) { return r.paper_tear().right; }},
      {{stop_gap, "stop_gap", "stop gap, upper less lower", Quantity::length, "in", true,
        "upper gap less lower gap as the first stop touches; positive: the upper cam is late"},
       Source::draw_cycle, nockwise::stop_gap},
      {{draw_length, "draw_length", "draw length", Quantity::length, "in", true,
        "AMO draw length at the touch of the first stop"},
       Source::draw_cycle, [](Results& r) { return r.draw_cycle().draw_length; }},
      {{peak_force, "peak_force", "peak weight", Quantity::force, "lbf", true, "largest draw force"},
       Source::draw_cycle, [](Results& r) { return r.draw_cycle().peak_force; }},
      {{let_off, "let_off", "let-off", Quantity::percent, "%", true, "(peak − holding) / peak"},
       Source::draw_cycle, [](Results& r) { return r.draw_cycle().let_off; }},
      {{exit_speed, "exit_speed", "speed", Quantity::speed, "ft/s", false,
        "speed of the arrow's mass centre as the nock leaves the string"},
       Source::launch, [](Results& r) { return r.launch().exit_speed; }},
      {{shaft_clearance, "shaft_clearance", "shaft clearance", Quantity::length, "in", false,
        "launcher to shaft after the last contact"},
       Source::launch, [](Results& r) { return r.launch().rest.shaft_clearance.value_or(0.0); }},
      {{fletching_clearance, "fletching_clearance", "vane clearance", Quantity::length, "in", false,
        "launcher to vanes as they pass; negative: they can strike"},
       Source::launch, [](Results& r) { return r.launch().rest.fletching_clearance.value_or(0.0); }},
      {{lean_upper, "lean_upper", "upper lean", Quantity::angle, "deg", true,
        "upper cam's lean at full draw; positive: its string side stands to the right"},
       Source::launch, [](Results& r) { return r.launch().lean_full_draw.upper; }},
      {{lean_lower, "lean_lower", "lower lean", Quantity::angle, "deg", true,
        "lower cam's lean at full draw; positive: its string side stands to the right"},
       Source::launch, [](Results& r) { return r.launch().lean_full_draw.lower; }},
      {{cable_clearance, "cable_clearance", "cable clearance", Quantity::length, "in", false,
        "vanes to the nearest cable, sideways at full draw; negative: they can strike"},
       Source::launch, [](Results& r) { return std::min(r.launch().cable_clearance.value_or(1.0), 1.0); }},
      {{impact_up, "impact_up", "impact on the target, up", Quantity::length, "in", false,
        "where the point strikes the target, above the grip pivot"},
       Source::target_impact, [](Results& r) { return r.target_impact().y; }},
      {{impact_right, "impact_right", "impact on the target, right", Quantity::length, "in", false,
        "where the point strikes the target; positive: to the right as the archer sees it"},
       Source::target_impact, [](Results& r) { return r.target_impact().z; }},
      {{arrow_square, "arrow_square", "nock above square", Quantity::length, "in", true,
        "nock above the point of the shaft over the rest, at brace; positive: nock high"},
       Source::brace, [](Results& r) { return r.brace().arrow_square; }},
      {{chronograph_speed, "chronograph_speed", "speed at the chronograph", Quantity::speed, "ft/s", true,
        "speed of the mass centre 36 in ahead of the grip"},
       Source::chronograph_speed, [](Results& r) { return r.chronograph_speed(); }},
      {{axle_to_axle, "axle_to_axle", "axle-to-axle", Quantity::length, "in", true, "between the axles at brace"},
       Source::brace, [](Results& r) { return r.brace().axle_to_axle; }},
      {{brace_height, "brace_height", "brace height", Quantity::length, "in", true, "grip pivot to string"},
       Source::brace, [](Results& r) { return r.brace().brace_height; }},
      {{rest_up_before_wall, "rest_up_before_wall", "rest up before the wall", Quantity::length, "in", true,
        "draw from where a drop-away's arm comes fully up to the touch of the first stop; 0: not up before it"},
       Source::draw_cycle, nockwise::rest_up_before_wall},
      {{vane_marks, "vane_marks", "marks on the vanes", Quantity::length, "in", true,
        "from a vane's edge to where the marks of the launcher on it end; 0: the vanes clear"},
       Source::launch, [](Results& r) {
         const auto& strike = r.launch().rest.vane_strike;
         return strike ? strike->depth : 0.0;
       }},
      {{nock_travel, "nock_travel", "nock travel", Quantity::length, "in", false,
        "static, mean over the draw: height of the nock above the line from brace to wall; positive: above"},
       Source::draw_cycle, [](Results& r) { return signed_nock_travel(r.draw_cycle()); }},
  }};
  return rows;
}
// clang-format on

template <class T, class Compute>
const T& computed(std::optional<T>& kept, const Compute& compute) {
  if (!kept) {
    kept = compute();
  }
  return *kept;
}

}  // namespace

double signed_nock_travel(const DrawCycle& cycle) {
  const DrawPoint& brace = cycle.points.front();
  const DrawPoint& touch = cycle.points[cycle.touch_index];
  const double slope = (touch.nock_y - brace.nock_y) / (touch.nock_x - brace.nock_x);
  const auto above = [&](std::size_t i) {
    const DrawPoint& point = cycle.points[i];
    return point.nock_y - brace.nock_y - slope * (point.nock_x - brace.nock_x);
  };
  double area = 0.0;  // by the trapezoidal rule
  for (std::size_t i = 1; i <= cycle.touch_index; ++i) {
    area += 0.5 * (above(i - 1) + above(i)) * (cycle.points[i - 1].nock_x - cycle.points[i].nock_x);
  }
  return area / (brace.nock_x - touch.nock_x);
}

std::span<const OutputDescription> output_descriptions() {
  static const std::array<OutputDescription, output_count> descriptions = [] {
    std::array<OutputDescription, output_count> all;
    std::transform(table().begin(), table().end(), all.begin(), [](const OutputRow& row) { return row.description; });
    return all;
  }();
  return descriptions;
}

const OutputDescription* find_output(const std::string& name) {
  const auto all = output_descriptions();
  const auto found = std::find_if(all.begin(), all.end(), [&](const auto& each) { return each.name == name; });
  return found == all.end() ? nullptr : &*found;
}

OutputSource source_of(Output output) { return table()[static_cast<std::size_t>(output)].source; }

double value_of(Output output, LaunchResults& results) {
  return table()[static_cast<std::size_t>(output)].value(results);
}

const BraceState& LaunchResults::brace() {
  return computed(brace_, [&] { return model_.brace(); });
}

const ArrowProperties& LaunchResults::arrow() {
  return computed(arrow_, [&] { return model_.arrow(); });
}

const DrawCycle& LaunchResults::draw_cycle() {
  return computed(draw_cycle_, [&] { return nockwise::draw_cycle(model_, draw_); });
}

const PaperTear& LaunchResults::paper_tear(std::optional<double> distance) {
  if (!paper_tear_ || distance != tear_distance_) {
    paper_tear_ = nockwise::paper_tear(model_, *launch_, distance, 2);
    tear_distance_ = distance;
    if (!std::isfinite(paper_tear_->up) || !std::isfinite(paper_tear_->right)) {
      throw SolverError("paper", "the tear is not a finite number");
    }
  }
  return *paper_tear_;
}

const Impact& LaunchResults::target_impact() {
  return computed(target_impact_, [&] { return nockwise::target_impact(model_, *launch_); });
}

double LaunchResults::chronograph_speed() {
  return computed(chronograph_speed_, [&] { return nockwise::chronograph_speed(model_, *launch_); });
}

}  // namespace nockwise
