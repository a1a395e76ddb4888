// Correct: the elastic bow on a draw board, and what it lacks (lib/README.md, "A bow from its sheet").
#include "bow_builder/passes.hpp"

#include "nockwise/error.hpp"
#include "numerics/dense_solvers.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// Positions of a draw whose force is looked at, and of one that only finds the wall.
constexpr int fine_draw = 160;
constexpr int sketched_draw = 100;
constexpr int coarse_draw = 40;

double& free_angle(Setup& setup, Side side) {
  return side == Side::upper ? setup.limbs.upper.free_angle : setup.limbs.lower.free_angle;
}

}  // namespace

double interpolated_draw_force(const DrawCycle& cycle, double distance) {
  const auto& p = cycle.points;
  const std::size_t last = cycle.touch_index;
  std::size_t i = 0;
  while (i + 1 < last && -p[i + 1].nock_x < distance) {
    ++i;
  }
  const std::size_t first = std::min(i > 0 ? i - 1 : 0, last - 3);
  double sum = 0.0;
  for (std::size_t a = first; a < first + 4; ++a) {
    double weight = p[a].draw_force;
    for (std::size_t b = first; b < first + 4; ++b) {
      weight *= a == b ? 1.0 : (-distance - p[b].nock_x) / (p[a].nock_x - p[b].nock_x);
    }
    sum += weight;
  }
  return sum;
}

bool BowBuilder::meet_brace() {
  double brace_height = 0.0;
  const auto miss = [&] {
    const BraceState b = Model(setup_).brace();
    brace_tension_ = b.string_tension;
    brace_height = b.brace_height;
    return Eigen::Vector3d{b.axle_to_axle - m_.axle_to_axle, 0.5 * (b.cam_angle[0] + b.cam_angle[1]),
                           0.5 * (b.cam_angle[0] - b.cam_angle[1])};
  };
  // What holds two cams in step at brace: a cable between them, or else the preload of the limbs.
  const auto change = [&](const Eigen::Vector3d& step) {
    setup_.cables.upper.length += step[0];
    setup_.cables.lower.length += step[0];
    setup_.string.length += step[1];
    if (tied()) {
      change_cable_difference(step[2]);
    } else {
      free_angle(setup_, Side::upper) += step[2];
      free_angle(setup_, Side::lower) -= step[2];
    }
  };
  for (int i = 0; i < 8; ++i) {
    const Eigen::Vector3d off = miss();
    // The string's track is nearly concentric there, so that the cams' turn hardly shows in the brace height: what is
    // left of that is the limbs' place.
    const double behind = brace_height - m_.brace_height;
    setup_.limbs.upper.pivot_x += behind;
    setup_.limbs.lower.pivot_x += behind;
    half_.pivot.x += behind;
    if (off.cwiseAbs().maxCoeff() < now_close_ && std::fabs(behind) < now_close_) {
      return i == 0;
    }
    constexpr double nudge = 2e-5;
    Eigen::Matrix3d slope;
    for (int k = 0; k < 3; ++k) {
      const Eigen::Vector3d step = nudge * Eigen::Vector3d::Unit(k);
      change(step);
      slope.col(k) = (miss() - off) / nudge;
      change(-step);
    }
    const Eigen::Vector3d step = -solve_three(slope, off);
    const double largest = step.cwiseAbs().maxCoeff();
    if (!std::isfinite(largest)) {
      break;
    }
    change(std::min(1.0, 0.01 / largest) * step);
  }
  return false;
}

bool BowBuilder::meet_draw_length(DrawCycle& cycle) {
  return tied() ? meet_draw_length_of_tied_cams(cycle) : meet_draw_length_of_yoked_cams(cycle);
}

bool BowBuilder::meet_draw_length_of_yoked_cams(DrawCycle& cycle) {
  const std::size_t last = states_.size() - 1;
  const std::size_t before = last - 4;
  const double run = distances_[last] - distances_[before];
  const auto gap_difference = [&] {
    cycle = draw_cycle(Model(setup_), {draw_positions_, DrawHold::draw_board});
    const DrawPoint& touch = cycle.points[cycle.touch_index];
    return touch.stop_gap.upper.value() - touch.stop_gap.lower.value();  // both cams have stops here
  };
  for (int i = 0; i < 10; ++i) {
    const double gap = gap_difference();
    const double miss = wanted_.wall() + cycle.points[cycle.touch_index].nock_x;
    if (std::fabs(miss) < 2.0 * now_close_ && std::fabs(gap) < 2.0 * now_close_) {
      return i == 0;
    }
    if (sync_slope_ == 0.0) {
      constexpr double nudge = 5e-5;
      change_cable_difference(nudge);
      sync_slope_ = (gap_difference() - gap) / nudge;
      change_cable_difference(-nudge);
    }
    change_cable_difference(std::clamp(-gap / sync_slope_, -5e-4, 5e-4));
    for (const Side side : {Side::upper, Side::lower}) {
      cam(side).stop.angle += miss * (stop_angle_at(side, last) - stop_angle_at(side, before)) / run;
    }
  }
  return false;
}

bool BowBuilder::meet_draw_length_of_tied_cams(DrawCycle& cycle) {
  const std::size_t last = states_.size() - 1;
  const std::size_t before = last - 4;
  const double run = distances_[last] - distances_[before];
  for (int i = 0; i < 10; ++i) {
    cycle = draw_cycle(Model(setup_), {draw_positions_, DrawHold::draw_board});
    const DrawPoint& touch = cycle.points[cycle.touch_index];
    const double miss = wanted_.wall() + touch.nock_x;
    const UpperLower<double> gap{touch.stop_gap.upper.value(), touch.stop_gap.lower.value()};
    if (std::fabs(miss) < 2.0 * now_close_ &&
        std::fmax(std::fabs(gap.upper), std::fabs(gap.lower)) < 2.0 * now_close_) {
      return i == 0;
    }
    for (const Side side : {Side::upper, Side::lower}) {
      // The peg goes to where what it meets is at the wall: the gap closes by the peg's way, and by the cam's turn over
      // what the draw lacks.
      DrawStop& stop = cam(side).stop;
      const double lever = takes_[static_cast<int>(side)].back().lever - stop.peg_size;
      const double arm = stop.kind == StopKind::limb
                             ? stop.radius
                             : -std::sqrt(std::max(1e-6, stop.radius * stop.radius - lever * lever));
      const double turn = (stop_angle_at(side, last) - stop_angle_at(side, before)) / run;
      stop.angle += turn * miss - gap[side] / arm;
    }
  }
  return false;
}

void BowBuilder::change_cable_difference(double change) {
  cable_difference_ += change;
  setup_.cables.upper.length += 0.5 * change;
  setup_.cables.lower.length -= 0.5 * change;
}

DrawCycle BowBuilder::settle(double closeness) {
  now_close_ = closeness;
  DrawCycle cycle;
  draw_positions_ = coarse_draw;
  for (int i = 0; i < 8; ++i) {
    const bool braced = meet_brace();
    if (meet_draw_length(cycle) && braced) {
      break;
    }
  }
  constexpr double sketchy = 1e-5;  // [m]
  const int positions = closeness > sketchy ? sketched_draw : fine_draw;
  return draw_cycle(Model(setup_), {positions, DrawHold::draw_board});
}

DrawCycle BowBuilder::approach(double closeness) {
  constexpr double near = 2e-4;  // on the way
  const int steps = tied() ? 2 : 4;
  for (int i = 0; i < steps; ++i) {
    place_grip(static_cast<double>(i) / steps);
    (void)settle(near);
  }
  place_grip(1.0);
  placed_ = true;
  return settle(closeness);
}

double BowBuilder::correct(const DrawCycle& cycle) {
  std::vector<double> forces = command_.forces();
  double largest = 0.0;
  double lack = 0.0;
  for (int i = 0; i <= DrawCurve::intervals; ++i) {
    const double distance = wanted_.knot(i);
    if (distance <= -cycle.points[cycle.touch_index].nock_x) {
      lack = wanted_.force(distance) - interpolated_draw_force(cycle, distance);
      largest = std::max(largest, std::fabs(lack));
    }
    forces[static_cast<std::size_t>(i)] += lack;
  }
  command_ = DrawCurve(wanted_.brace(), wanted_.wall(), std::move(forces));
  return largest;
}

void BowBuilder::run() {
  if (m_.draw_curve.empty()) {
    design();
  } else {
    follow();
  }
}

void BowBuilder::follow() {
  constexpr int most = 10;
  const double enough = 3e-4 * wanted_.peak();
  for (int stale = 0; passes_ < most && stale < 2 && best_.largest > enough; ++passes_) {
    try {
      march_and_fit();
      DrawCycle cycle = placed_ ? settle(close_.length) : approach(close_.length);
      const double largest = correct(cycle);
      stale = largest > 0.8 * best_.largest ? stale + 1 : 0;
      if (largest < best_.largest) {
        best_ = {setup_, std::move(cycle), largest};
      }
    } catch (const Error&) {
      if (passes_ == 0) {
        throw;
      }
      break;  // a correction went too far: the last good bow stands, and the report says how good it is
    }
  }
  fit_losses();
}

double BowBuilder::way_aside(Side side, double height, double u) const {
  const Side far_side = side == Side::upper ? Side::lower : Side::upper;
  const double sign = side == Side::upper ? 1.0 : -1.0;
  const CableGuard& guard = setup_.cable_guard;
  const double at_guard = guard.offset + sign * 0.5 * guard.spacing;
  const auto further = [](double along, double aside) { return std::hypot(along, aside) - along; };
  const double to_guard = (height - sign * guard.height) / -std::sin(u);
  double beyond = (height + sign * guard.height) / -std::sin(u);
  double far_place = 0.0;
  if (cable(side).end == CableEnd::yoke) {
    const Yoke& yoke = cable(side).yoke;
    beyond -= std::sqrt(yoke.leg_length * yoke.leg_length - yoke.half_width * yoke.half_width);
  } else {
    far_place = cam(far_side).shim + cam(far_side).let_out_offset;
  }
  return further(to_guard, at_guard - cam(side).shim - cam(side).take_up_offset) +
         further(beyond, at_guard - far_place);
}

}  // namespace nockwise::detail
