// Correct: the elastic bow on a draw board, and what it lacks (lib/README.md, "A bow from what can be measured").
#include "bow_builder/passes.hpp"

#include "nockwise/error.hpp"
#include "numerics/dense_solvers.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr int draw_positions = 160;
/// How closely lengths and angles are met [m, rad]; far below what a tape shows.
constexpr double close_enough = 1e-6;

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
  const auto change = [&](const Eigen::Vector3d& step) {
    setup_.cables.upper.length += step[0];
    setup_.cables.lower.length += step[0];
    setup_.string.length += step[1];
    free_angle(setup_, Side::upper) += step[2];
    free_angle(setup_, Side::lower) -= step[2];
  };
  for (int i = 0; i < 8; ++i) {
    const Eigen::Vector3d off = miss();
    // The string's track is nearly concentric there, so that the cams' turn hardly shows in the brace height: what is
    // left of that is the limbs' place.
    const double behind = brace_height - m_.brace_height;
    setup_.limbs.upper.pivot_x += behind;
    setup_.limbs.lower.pivot_x += behind;
    half_.pivot.x += behind;
    if (off.cwiseAbs().maxCoeff() < close_enough && std::fabs(behind) < close_enough) {
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
  const std::size_t last = states_.size() - 1;
  const std::size_t before = last - 6;
  const double slope =
      (stop_angle_at(states_[last]) - stop_angle_at(states_[before])) / (distances_[last] - distances_[before]);
  const auto gap_difference = [&] {
    cycle = draw_cycle(Model(setup_), {draw_positions, DrawHold::draw_board});
    const DrawPoint& touch = cycle.points[cycle.touch_index];
    return touch.stop_gap.upper.value() - touch.stop_gap.lower.value();  // both cams have stops here
  };
  for (int i = 0; i < 10; ++i) {
    double gap = gap_difference();
    const double miss = wanted_.wall() + cycle.points[cycle.touch_index].nock_x;
    if (std::fabs(miss) < 2.0 * close_enough && std::fabs(gap) < 2.0 * close_enough) {
      return i == 0;
    }
    if (sync_slope_ == 0.0) {
      constexpr double nudge = 5e-5;
      change_cable_difference(nudge);
      sync_slope_ = (gap_difference() - gap) / nudge;
      change_cable_difference(-nudge);
    }
    change_cable_difference(std::clamp(-gap / sync_slope_, -5e-4, 5e-4));
    setup_.cams.upper.stop.angle += slope * miss;
    setup_.cams.lower.stop.angle += slope * miss;
  }
  return false;
}

void BowBuilder::change_cable_difference(double change) {
  cable_difference_ += change;
  setup_.cables.upper.length += 0.5 * change;
  setup_.cables.lower.length -= 0.5 * change;
}

DrawCycle BowBuilder::settle() {
  DrawCycle cycle;
  for (int i = 0; i < 8; ++i) {
    const bool braced = meet_brace();
    if (meet_draw_length(cycle) && braced) {
      break;
    }
  }
  return cycle;
}

DrawCycle BowBuilder::approach() {
  const double nocking_point = setup_.string.nocking_point;
  DrawCycle cycle;
  constexpr int steps = 4;
  for (int i = 0; i <= steps; ++i) {
    const double share = static_cast<double>(i) / steps;
    setup_.limbs.upper.pivot_y = half_.pivot.y + share * m_.center_above_grip;
    setup_.limbs.lower.pivot_y = half_.pivot.y - share * m_.center_above_grip;
    setup_.string.nocking_point = share * nocking_point;
    cycle = settle();
  }
  return cycle;
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

void BowBuilder::design() {
  const FitRule rule = rule_;
  rule_ = {1.0, 0.006};
  march_and_fit();
  const DrawCycle cycle = approach();
  rule_ = rule;
  const double peak = *m_.peak_force;
  const double holding = peak * (1.0 - *m_.let_off);
  std::vector<double> forces;
  double last = 0.0;
  for (int i = 0; i <= DrawCurve::intervals; ++i) {
    const double distance = wanted_.knot(i);
    if (distance <= -cycle.points[cycle.touch_index].nock_x) {
      last = interpolated_draw_force(cycle, distance);
    }
    const double over = (last - cycle.holding_force) / (cycle.peak_force - cycle.holding_force);
    forces.push_back(distance < -cycle.peak_nock_x ? last * peak / cycle.peak_force
                                                   : holding + over * (peak - holding));
  }
  wanted_ = DrawCurve(wanted_.brace(), wanted_.wall(), std::move(forces));
  command_ = wanted_;
}

void BowBuilder::run() {
  if (m_.draw_curve.empty()) {
    design();
  }
  constexpr int most = 10;
  const double enough = 3e-4 * wanted_.peak();
  for (int stale = 0; passes_ < most && stale < 2 && best_.largest > enough; ++passes_) {
    try {
      march_and_fit();
      DrawCycle cycle = passes_ == 0 ? approach() : settle();
      const double largest = correct(cycle);
      stale = largest > 0.8 * best_.largest ? stale + 1 : 0;
      if (largest < best_.largest) {
        best_ = {setup_, std::move(cycle), largest};
      }
    } catch (const Error&) {
      if (passes_ == 0) {
        throw;
      }
      return;  // the corrected bow cannot be drawn: keep the best one so far; the report has its deviation
    }
  }
}

}  // namespace nockwise::detail
