#include "bow_builder/half_bow.hpp"

#include "nockwise/error.hpp"
#include "nockwise/units.hpp"
#include "numerics/dense_solvers.hpp"

#include <Eigen/Core>

#include <cmath>
#include <numbers>

namespace nockwise::detail {

namespace {

using kernel::Vector2;

/// The cable of the symmetric bow at a given lever on the take-up: −2 y cos u = p + p_let-out.
void place_cable(const HalfBow& bow, double axle_height, HalfState& state, double& let_out_lever) {
  let_out_lever = 0.0;
  double u = -0.5 * std::numbers::pi;
  for (int i = 0; i < 30; ++i) {
    if (bow.crossed) {
      state.let_out_normal = 0.5 * std::numbers::pi - u - state.cam_angle;
      double ignored = 0.0;
      let_out_lever = kernel::evaluate(bow.let_out_track, state.let_out_normal, ignored).p;
    }
    const double next =
        -std::acos(std::fmax(-1.0, std::fmin(1.0, -(state.take_up_lever + let_out_lever) / (2.0 * axle_height))));
    if (std::fabs(next - u) < 1e-15) {
      break;
    }
    u = next;
  }
  state.cable_run_direction = u;
  state.take_up_normal = u + kernel::normal_shift(kernel::TrackRole::take_up) - state.cam_angle;
}

/// Lever of the take-up that balances the cam; the cable's run direction follows from it and changes a let-out lever a
/// little.
void balance_cam(const HalfBow& bow, double axle_height, double string_lever, HalfState& state) {
  double let_out_lever = 0.0;
  for (int i = 0; i < 30; ++i) {
    const double lever = state.string_tension * string_lever / state.cable_tension + let_out_lever;
    const bool settled = std::fabs(lever - state.take_up_lever) < 1e-15;
    state.take_up_lever = lever;
    place_cable(bow, axle_height, state, let_out_lever);
    if (settled) {
      return;
    }
  }
}

/// Moment on the limb about its pivot.
double limb_moment(const HalfBow& bow, const HalfState& state, Vector2<double> string_direction) {
  const Vector2<double> arm = bow.axle(state.limb_angle) - bow.pivot;
  const Vector2<double> pull = state.string_tension * string_direction +
                               Vector2<double>{0.0, 2.0 * state.cable_tension * std::sin(state.cable_run_direction)};
  return kernel::cross(arm, pull) - bow.stiffness * (state.limb_angle - bow.free_angle);
}

SolverError lost(const DrawDemand& demand, const std::string& why) {
  return {"march at a nock distance of " + display(-demand.nock_x, Quantity::length, "mm", 1), why};
}

/// Residuals: string length [m], limb balance [N·m], energy [J], each scaled to about one per unit of its unknown.
Eigen::Vector3d residual(const HalfBow& bow, const DrawDemand& demand, double energy_at_brace, HalfState& state) {
  const Vector2<double> axle = bow.axle(state.limb_angle);
  const Vector2<double> span{demand.nock_x - axle.x, -axle.y};
  if (!kernel::settle_run_direction<kernel::TrackRole::let_out>(state.string, bow.string_track, state.cam_angle, {},
                                                                span)) {
    throw lost(demand, "the string cannot leave its track; make the track smaller or less eccentric");
  }
  double ignored = 0.0;
  const auto line = kernel::solve_line<kernel::TrackRole::let_out>(state.string, bow.string_track, state.cam_angle,
                                                                   kernel::FarEnd<double>{}, span, ignored);
  state.string_normal = line.normal_a;
  state.string_tension = 0.5 * demand.force / -line.direction.x;
  balance_cam(bow, axle.y, line.p_a, state);
  return {line.length - bow.string_natural - state.string_tension / bow.string_rate,
          limb_moment(bow, state, line.direction),
          2.0 * bow.strain_energy(state.limb_angle, state.string_tension, state.cable_tension) - energy_at_brace -
              demand.energy};
}

/// One position by Newton from the last.
bool solve(const HalfBow& bow, const DrawDemand& demand, double energy_at_brace, HalfState& state) {
  const auto moved = [&](const HalfState& from, const Eigen::Vector3d& step) {
    HalfState to = from;
    to.limb_angle += step[0];
    to.cam_angle += step[1];
    to.cable_tension += step[2];
    return to;
  };
  constexpr double nudge[3] = {1e-7, 1e-7, 1e-3};
  for (int iteration = 0; iteration < 60; ++iteration) {
    const Eigen::Vector3d r = residual(bow, demand, energy_at_brace, state);
    Eigen::Matrix3d j;
    for (int i = 0; i < 3; ++i) {
      HalfState beside = moved(state, nudge[i] * Eigen::Vector3d::Unit(i));
      j.col(i) = (residual(bow, demand, energy_at_brace, beside) - r) / nudge[i];
    }
    Eigen::Vector3d step = -solve_three(j, r);
    if (!step.allFinite()) {
      return false;
    }
    const double largest =
        std::fmax(std::fmax(std::fabs(step[0]), std::fabs(step[1])) / 0.1, std::fabs(step[2]) / 200.0);
    if (largest > 1.0) {
      step /= largest;
    }
    state = moved(state, step);
    if (!(state.cable_tension > 0.0)) {
      return false;
    }
    if (std::fabs(step[0]) + std::fabs(step[1]) < 1e-11) {
      (void)residual(bow, demand, energy_at_brace, state);
      return true;
    }
  }
  return false;
}

}  // namespace

Vector2<double> HalfBow::axle(double limb_angle) const {
  return {pivot.x - limb_length * std::sin(limb_angle), pivot.y + limb_length * std::cos(limb_angle)};
}

double HalfBow::strain_energy(double limb_angle, double string_tension, double cable_tension) const {
  const double bend = limb_angle - free_angle;
  return 0.5 * (stiffness * bend * bend + string_tension * string_tension / string_rate +
                cable_tension * cable_tension / cable_rate);
}

HalfState brace_state(const HalfBow& bow, double limb_angle, double string_tension) {
  HalfState state;
  state.limb_angle = limb_angle;
  state.string_tension = string_tension;
  state.string = {-0.5 * std::numbers::pi, 0.0, -1.0};
  state.string_normal = std::numbers::pi;
  double ignored = 0.0;
  const double string_lever = kernel::evaluate(bow.string_track, std::numbers::pi, ignored).p;
  const double height = bow.axle(limb_angle).y;
  const double spring = bow.stiffness * (limb_angle - bow.free_angle);
  const double lever = bow.limb_length * std::sin(limb_angle);
  state.cable_tension = 0.5 * (spring / lever - string_tension);
  for (int i = 0; i < 50; ++i) {
    balance_cam(bow, height, string_lever, state);
    const double next = 0.5 * (spring / lever - string_tension) / -std::sin(state.cable_run_direction);
    const bool settled = std::fabs(next - state.cable_tension) < 1e-10;
    state.cable_tension = next;
    if (!(next > 0.0)) {
      throw SolverError("brace",
                        "the limbs are too weak to tighten the cables against the string; measurements.limb.travel "
                        "is too large, or the draw force rises too steeply from brace");
    }
    if (settled) {
      break;
    }
  }
  balance_cam(bow, height, string_lever, state);
  return state;
}

std::vector<HalfState> march(const HalfBow& bow, const HalfState& brace, const std::vector<DrawDemand>& demands) {
  const double energy_at_brace = 2.0 * bow.strain_energy(brace.limb_angle, brace.string_tension, brace.cable_tension);
  std::vector<HalfState> states;
  states.reserve(demands.size());
  HalfState state = brace;
  for (const DrawDemand& demand : demands) {
    if (states.size() >= 2) {  // start from a linear extrapolation
      const HalfState& before = states[states.size() - 2];
      const HalfState& last = states.back();
      state.limb_angle = 2.0 * last.limb_angle - before.limb_angle;
      state.cam_angle = 2.0 * last.cam_angle - before.cam_angle;
      state.cable_tension = 2.0 * last.cable_tension - before.cable_tension;
    }
    if (!solve(bow, demand, energy_at_brace, state)) {
      throw lost(demand,
                 "no equilibrium was found; the wanted draw force does not fit the limbs and the string's track");
    }
    states.push_back(state);
  }
  return states;
}

}  // namespace nockwise::detail
