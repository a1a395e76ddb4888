// The bow drawn to the wall, before arrow and rest are looked at: to its first stop as on a draw board, the same for
// every hand, and from there as a hand holds it (lib/README.md, "Release"). Private.
#pragma once

#include "launch/cable_clearance.hpp"
#include "launch/part_rates.hpp"
#include "statics/draw_continuation.hpp"
#include "statics/lateral_balance.hpp"

#include <algorithm>
#include <optional>

namespace nockwise::detail {

/// The bow drawn to its first stop as on a draw board, before a hand holds it: the same for every hand.
template <int Links>
struct DrawnBow {
  DrawProgress<Links> progress;
  double strain_at_brace = 0.0;  // [J]
  PartRates rates{};             // of the bow's parts, at brace and at the stop
  kernel::CableStations<double> cables_at_brace[2]{};
};

/// The bow at the wall, before arrow and rest are looked at: all shots of one bow in one hand start from it.
template <int Links>
struct FullDraw {
  StaticPoint point;
  kernel::RunDirections<double> run_directions{};
  double peak_force = 0.0;
  std::optional<double> late_stop_gap{};
  double strain_at_brace = 0.0;  // [J]
  double strain = 0.0;           // [J]
  std::optional<double> yaw;     // moment of the strings that a grip torque holds the nock aside with [N·m]
  // At `point`.
  kernel::HalfMotion<double, Links> motion[2];
  kernel::LineLoads<double, Links> lines;
  PartRates rates{};  // of the bow's parts, at brace and at the stop
  kernel::CableStations<double> cables_at_brace[2]{};
};

/// Lateral coordinates of a bow at rest.
template <int Links>
kernel::LateralState<double> lateral_of(const Coordinates& q) {
  return kernel::still_lateral<double, Links>(q.data()).place;
}

template <int Links>
double strain_of(const kernel::Constants<double, Links>& c, Statics<Links>& statics, const StaticPoint& p) {
  kernel::HalfMotion<double, Links> m[2];
  return kernel::bow_strain(c, statics.loads(p.q, m), p.q.data()).total();
}

/// \throws SolverError from the draw
template <int Links>
Task<DrawnBow<Links>> draw_to_the_stop(const ModelData& data, const kernel::Constants<double, Links>& c,
                                       EvaluationSlot<Links>* slot = nullptr) {
  DrawContinuation<Links> continuation(data, c, DrawHold::draw_board, slot);
  DrawnBow<Links> bow;
  kernel::HalfMotion<double, Links> m[2];
  kernel::LineLoads<double, Links> lines = continuation.statics().loads(continuation.now().q, m);
  check_guard(data, c, m, lines, "at brace");
  const Coordinates still{};
  find_cables(c, data.topology, m, lines, kernel::riser_motion<double, Links>(still.data(), still.data()),
              lateral_of<Links>(continuation.now().q), bow.cables_at_brace);
  bow.strain_at_brace = kernel::bow_strain(c, lines, continuation.now().q.data()).total();
  bow.rates = bow_rates(c, data.topology, m, lines);
  co_await continuation.pass_touch();
  lines = continuation.statics().loads(continuation.now().q, m);
  bow.rates = quicker(bow.rates, bow_rates(c, data.topology, m, lines));
  bow.progress = continuation.progress();
  co_return bow;
}

/// From its first stop, as the hand of `data` holds it, to the wall.
template <int Links>
Task<FullDraw<Links>> hold_at_the_wall(const ModelData& data, const kernel::Constants<double, Links>& c,
                                       DrawContinuation<Links>& continuation) {
  FullDraw<Links> draw;
  const double touch = co_await continuation.find_touch();
  if (data.topology.stop[0] != StopKind::none && data.topology.stop[1] != StopKind::none) {
    draw.late_stop_gap = std::max({continuation.now().stop_gap[0], continuation.now().stop_gap[1], 0.0});
  }
  continuation.engage_stops();
  co_await continuation.advance_to(touch - data.setup.hold.wall_pull);
  if (data.setup.hold.grip_torque != 0.0) {
    draw.yaw = continuation.now().lateral.yaw - data.setup.hold.grip_torque;
    co_await continuation.hold_grip_torque(data.setup.hold.grip_torque);
  }
  draw.point = continuation.now();
  draw.lines = continuation.statics().loads(draw.point.q, draw.motion);
  draw.run_directions = continuation.statics().run_directions();
  draw.strain = kernel::bow_strain(c, draw.lines, draw.point.q.data()).total();
  check_guard(data, c, draw.motion, draw.lines, "at full draw");
  check_lean(lateral_of<Links>(draw.point.q));
  draw.peak_force = continuation.largest_force();
  co_return draw;
}

/// The bow in the hand of `data`, at the wall. \throws SolverError from the draw
template <int Links>
Task<FullDraw<Links>> take_in_hand(const ModelData& data, const kernel::Constants<double, Links>& c,
                                   const DrawnBow<Links>& bow, EvaluationSlot<Links>* slot = nullptr) {
  FullDraw<Links> draw;
  bool held = false;
  try {
    DrawContinuation<Links> from_stop(data, c, DrawHold::archer, bow.progress, slot);
    draw = co_await hold_at_the_wall(data, c, from_stop);
    held = true;
  } catch (const SolverError&) {  // too far from the pivot: draw it as it is held, which also says best why it fails
  }
  if (!held) {
    DrawContinuation<Links> from_brace(data, c, DrawHold::archer, slot);
    co_await from_brace.pass_touch();
    draw = co_await hold_at_the_wall(data, c, from_brace);
  }
  draw.strain_at_brace = bow.strain_at_brace;
  std::copy_n(bow.cables_at_brace, 2, draw.cables_at_brace);
  draw.rates = bow.rates;
  co_return draw;
}

/// Both.
template <int Links>
Task<FullDraw<Links>> draw_to_the_wall(const ModelData& data, const kernel::Constants<double, Links>& c,
                                       EvaluationSlot<Links>* slot = nullptr) {
  const DrawnBow<Links> bow = co_await draw_to_the_stop(data, c, slot);
  co_return co_await take_in_hand(data, c, bow, slot);
}

}  // namespace nockwise::detail
