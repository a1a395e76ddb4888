#include "shots/batch.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/sweep.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace nockwise::detail {

namespace {

constexpr int draw_positions = 32;  // peak and valley are refined by a parabola
constexpr int curve_positions = 120;

/// Force between the samples by a straight line; beyond the wall it is the wall's.
double force_at(const DrawCycle& cycle, double draw_length) {
  const double x = draw_length_allowance - draw_length;
  const auto& p = cycle.points;
  const auto beyond = std::find_if(p.begin(), p.end(), [&](const DrawPoint& point) { return point.nock_x <= x; });
  if (beyond == p.end()) {
    return p.back().draw_force;
  }
  if (beyond == p.begin()) {
    return 0.0;
  }
  const DrawPoint& a = *std::prev(beyond);
  const DrawPoint& b = *beyond;
  return a.draw_force + (b.draw_force - a.draw_force) * (x - a.nock_x) / (b.nock_x - a.nock_x);
}

void evaluate_statics(const ShotRequest& request, const Model& model, ShotResult& result) {
  Shot& shot = result.shot;
  const bool curve = !request.draw_lengths.empty();
  const DrawCycle cycle = draw_cycle(model, {.positions = curve ? curve_positions : draw_positions});
  for (const double draw_length : request.draw_lengths) {
    result.draw_forces.push_back(force_at(cycle, draw_length));
  }
  const DrawPoint& touch = cycle.points[cycle.touch_index];
  constexpr double no_stop = 1.0;  // [m] the gap of a cam without a stop
  const bool both = touch.stop_gap[0] < no_stop && touch.stop_gap[1] < no_stop;
  shot.value[Output::stop_gap] = both ? touch.stop_gap[0] - touch.stop_gap[1] : 0.0;
  shot.value[Output::draw_length] = cycle.draw_length;
  shot.value[Output::peak_force] = cycle.peak_force;
  shot.value[Output::let_off] = cycle.let_off;
}

void evaluate_launch(const ShotRequest& request, const Model& model, const Launch& flown, ShotResult& result) {
  for (const double distance : request.distances) {
    const PaperTear tear = paper_tear(model, flown, distance, 2);
    result.up.push_back(tear.up);
    result.right.push_back(tear.right);
  }
  Shot& shot = result.shot;
  shot.value[Output::tear_up] = result.up.empty() ? 0.0 : result.up.front();
  shot.value[Output::tear_right] = result.right.empty() ? 0.0 : result.right.front();
  shot.value[Output::exit_speed] = flown.exit_speed;
  shot.value[Output::shaft_clearance] = flown.rest.shaft_clearance;
  shot.value[Output::fletching_clearance] = flown.rest.fletching_clearance;
  shot.value[Output::cable_clearance] = flown.cable_clearance;
  shot.value[Output::lean_upper] = flown.lean_full_draw[0];
  shot.value[Output::lean_lower] = flown.lean_full_draw[1];
  if (request.statics) {  // a long flight, which fits of a tear need as little as the draw
    const Impact impact = target_impact(model, flown);
    shot.value[Output::impact_up] = impact.y;
    shot.value[Output::impact_right] = impact.z;
  }
  shot.vane_strike = flown.rest.fletching_contact;
  shot.cautions = flown.cautions;
  result.chronograph_speed = chronograph_speed(model, flown);
  result.drop_start = flown.rest.drop_start;
}

/// What is asked for of one launch.
void evaluate(const ShotRequest& request, const SweepShot& flown, ShotResult& result) {
  if (flown.launch == nullptr) {
    result.shot.failure = flown.failure;
    return;
  }
  const Model& model = *flown.model;
  try {
    const BraceState brace = model.brace();
    result.arrow_square = brace.arrow_square;
    result.axle_to_axle = brace.axle_to_axle;
    result.brace_height = brace.brace_height;
    if (flown.launch->ended_by != LaunchEnd::arrow_clear) {
      result.shot.failure = std::string("the launch ended with ") + name_of(flown.launch->ended_by);
      return;
    }
    evaluate_launch(request, model, *flown.launch, result);
    if (request.statics || !request.draw_lengths.empty()) {
      evaluate_statics(request, model, result);
    }
    const bool finite =
        std::all_of(result.up.begin(), result.up.end(), [](double v) { return std::isfinite(v); }) &&
        std::all_of(result.right.begin(), result.right.end(), [](double v) { return std::isfinite(v); });
    result.shot.flew = finite;
    result.shot.failure = finite ? "" : "the tear is not a finite number";
  } catch (const Error& error) {
    result.shot.failure = error.what();
  }
}

}  // namespace

std::vector<ShotResult> launch_many(std::span<const ShotRequest> requests, const Execution& execution) {
  std::vector<ShotResult> results(requests.size());
  std::vector<std::size_t> shot;  // those not known to fail beforehand
  for (std::size_t i = 0; i < requests.size(); ++i) {
    results[i].shot.failure = requests[i].failure;
    if (requests[i].failure.empty()) {
      shot.push_back(i);
    }
  }
  sweep(
      shot.size(), [&](std::size_t k) { return requests[shot[k]].setup; },
      [&](const SweepShot& flown) { evaluate(requests[shot[flown.index]], flown, results[shot[flown.index]]); },
      {.threads = execution.threads, .stop = execution.stop});
  if (execution.stop != nullptr && *execution.stop) {
    throw Interrupted();
  }
  return results;
}

}  // namespace nockwise::detail
