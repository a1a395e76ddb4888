#include "bow_builder/cam_lines.hpp"

#include "compile/lines.hpp"
#include "kernel/taut_run.hpp"
#include "nockwise/error.hpp"
#include "nockwise/model.hpp"
#include "nockwise/units.hpp"
#include "numerics/dense_solvers.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <string>

namespace nockwise::detail {

namespace {

constexpr double pi = std::numbers::pi;
constexpr std::array<Side, 2> sides{Side::upper, Side::lower};

Side other(Side side) { return side == Side::upper ? Side::lower : Side::upper; }

std::string cam_path(Side side) { return std::string("cams.") + half_name(side == Side::upper ? 0 : 1); }

CompiledTrack let_out_of(const Setup& setup, Side side) {
  return CompiledTrack(setup.cams[side].let_out_track.value_or(Track{CircleTrack{}}),
                       cam_path(side) + ".let_out_track");
}

/// The axle of a limb at `angle`, in its side frame from the grip pivot.
kernel::Vector2<double> axle_at(const Limb& limb, double angle) {
  return {limb.pivot_x - limb.effective_length * std::sin(angle),
          limb.pivot_y + limb.effective_length * std::cos(angle)};
}

double free_angle(const Limb& limb) { return limb.free_angle + limb.bolt_turns * limb.angle_per_turn; }

double height_between(const Setup& setup, double angle) {
  return axle_at(setup.limbs.upper, angle).y + axle_at(setup.limbs.lower, angle).y;
}

/// The angle at which both limbs stand for this axle-to-axle length.
double limb_angle_for(const Setup& setup, double axle_to_axle) {
  constexpr double most = 1.45;
  double low = std::max({0.0, free_angle(setup.limbs.upper), free_angle(setup.limbs.lower)});
  const double farthest = height_between(setup, low);
  const double nearest = height_between(setup, most);
  if (!(axle_to_axle < farthest) || !(axle_to_axle > nearest)) {
    throw InputError("axle_to_axle", display(axle_to_axle, Quantity::length, "mm", 1),
                     "must be between " + display(nearest, Quantity::length, "mm", 0) + " and " +
                         display(farthest, Quantity::length, "mm", 0) +
                         ": so far apart these limbs hold the axles, from fully bent to unbent");
  }
  double high = most;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (height_between(setup, middle) > axle_to_axle ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

/// A cable in the string's plane at brace.
struct PlaneCable {
  double length = 0.0;                              // without the constants of its wraps [m]
  double take_up_lever = 0.0, let_out_lever = 0.0;  // [m]
  kernel::Vector2<double> direction{};
};

PlaneCable plane_cable(const Setup& setup, Side side, double limb_angle, double cam_angle) {
  const CompiledTrack take_up(setup.cams[side].take_up_track, cam_path(side) + ".take_up_track");
  const bool lets_out = setup.cables[side].end == CableEnd::let_out;
  std::optional<CompiledTrack> let_out;
  kernel::TrackTable<double> far_table{};
  if (lets_out) {
    let_out = let_out_of(setup, other(side));
    far_table = table_of(*let_out);
  }
  const kernel::FarEnd<double> far{lets_out ? &far_table : nullptr, kernel::Turn<double>(cam_angle)};
  const kernel::Vector2<double> near = axle_at(setup.limbs[side], limb_angle);
  const kernel::Vector2<double> beyond = axle_at(setup.limbs[other(side)], limb_angle);
  const kernel::Vector2<double> span{beyond.x - near.x, -beyond.y - near.y};
  const kernel::TrackTable<double> table = table_of(take_up);
  kernel::RunDirection<double> direction = kernel::aim(span);
  const kernel::Turn<double> turn(cam_angle);
  if (!kernel::settle_run_direction<kernel::TrackRole::take_up>(direction, table, turn, far, span)) {
    throw SolverError("brace with these cams", std::string("the ") + half_name(side == Side::upper ? 0 : 1) +
                                                   " cable cannot lie taut between its ends");
  }
  double excursion = 0.0;
  const auto line = kernel::solve_line<kernel::TrackRole::take_up>(direction, table, turn, far, span, excursion);
  take_up.check_range(line.normal_a);
  return {line.length, line.p_a, line.p_b, line.direction};
}

/// Tensions at brace: of the string, and of the cable that each cam takes up.
struct BraceTensions {
  double string = 0.0;
  UpperLower<double> cable;
};

/// Each cam in balance, T p_string + T_other p_let-out = T_own p_take-up, and the limbs' moments against the lines'.
BraceTensions tensions(const Setup& setup, double limb_angle, const UpperLower<double>& string_lever,
                       const UpperLower<PlaneCable>& cables) {
  const auto lets_out = [&](Side side) { return setup.cables[side].end == CableEnd::let_out; };
  // Per unit of the string's tension; the other's cable is let out by this cam.
  UpperLower<double> ratio{0.0, 0.0};
  for (int i = 0; i < 200; ++i) {
    const UpperLower<double> last = ratio;
    for (const Side side : sides) {
      const double wound_off = lets_out(other(side)) ? last[other(side)] * cables[other(side)].let_out_lever : 0.0;
      ratio[side] = (string_lever[side] + wound_off) / cables[side].take_up_lever;
    }
  }
  double moment = 0.0;  // of the lines on both limbs, per unit of the string's tension
  double spring = 0.0;
  for (const Side side : sides) {
    const Limb& limb = setup.limbs[side];
    const kernel::Vector2<double> axle = axle_at(limb, limb_angle);
    const kernel::Vector2<double> arm{axle.x - limb.pivot_x, axle.y - limb.pivot_y};
    const kernel::Vector2<double> pull =
        kernel::Vector2<double>{0.0, -1.0} + ratio[side] * cables[side].direction +
        ratio[other(side)] * kernel::Vector2<double>{-cables[other(side)].direction.x, cables[other(side)].direction.y};
    moment += kernel::cross(arm, pull);
    spring += limb.torsion_stiffness * (limb_angle - free_angle(limb));
  }
  const double string = spring / moment;
  for (const Side side : sides) {
    if (!(string > 0.0) || !(ratio[side] > 0.0) || !std::isfinite(ratio[side] * string)) {
      throw SolverError(
          "brace with these cams",
          "string and cables cannot hold the cams: where they leave it, the take-up groove needs a lever, "
          "and a longer one than the let-out groove's (" +
              display(cables[side].take_up_lever, Quantity::length, "mm", 1) + " and " +
              display(cables[other(side)].let_out_lever, Quantity::length, "mm", 1) + ")");
    }
  }
  return {string, {string * ratio.upper, string * ratio.lower}};
}

/// The stated length of a line [m] whose unstretched length is `natural`: Eq. (12) backwards.
double stated_length(double natural, double axial_rigidity, double diameter, double lay, double added) {
  const double straight = natural * (1.0 + standard_tension / axial_rigidity);
  const double turn = pi * diameter;
  return std::sqrt(straight * straight - turn * lay * turn * lay + turn * (lay + added) * turn * (lay + added));
}

void set_string(Setup& setup, double natural) {
  BowString& s = setup.string;
  s.length = stated_length(natural, s.axial_rigidity, s.diameter, s.lay_twists, s.twists);
}

void set_cable(Setup& setup, Side side, double natural) {
  Cable& c = setup.cables[side];
  c.length = stated_length(natural, c.axial_rigidity, c.diameter, c.lay_twists, c.twists);
}

double natural_string(const Setup& setup) {
  const BowString& s = setup.string;
  return unstretched(twisted_length(s.length, s.diameter, s.lay_twists, s.twists, "string.twists"), s.axial_rigidity);
}

double natural_cable(const Setup& setup, Side side) {
  const Cable& c = setup.cables[side];
  return unstretched(twisted_length(c.length, c.diameter, c.lay_twists, c.twists, "cables.twists"), c.axial_rigidity);
}

}  // namespace

void guess_lines(Setup& setup, const BraceAim& aim) {
  const double limb_angle = limb_angle_for(setup, aim.axle_to_axle);
  UpperLower<double> string_lever;
  UpperLower<double> string_way;  // from post to nock, but for the stretch [m]
  UpperLower<PlaneCable> cables;
  for (const Side side : sides) {
    const CompiledTrack track(setup.cams[side].string_track, cam_path(side) + ".string_track");
    const TrackPoint point = track.evaluate(pi - aim.cam_angle);
    string_lever[side] = point.distance;
    string_way[side] =
        axle_at(setup.limbs[side], limb_angle).y + point.area - wrap(track, setup.cams[side].string_anchor_angle);
    cables[side] = plane_cable(setup, side, limb_angle, aim.cam_angle);
  }
  const BraceTensions tension = tensions(setup, limb_angle, string_lever, cables);
  const double stretch = 1.0 + tension.string / setup.string.axial_rigidity;
  set_string(setup, (string_way.upper + string_way.lower) / stretch);
  if (aim.nock_height) {
    setup.string.nocking_point = (0.5 * (string_way.lower - string_way.upper) + *aim.nock_height) / stretch;
  }
  for (const Side side : sides) {
    const CompiledTrack take_up(setup.cams[side].take_up_track, cam_path(side) + ".take_up_track");
    double way = cables[side].length + wrap(take_up, setup.cams[side].take_up_anchor_angle);
    if (setup.cables[side].end == CableEnd::let_out) {
      way -= wrap(let_out_of(setup, other(side)), setup.cams[other(side)].let_out_anchor_angle);
    }
    set_cable(setup, side, way / (1.0 + tension.cable[side] / setup.cables[side].axial_rigidity));
  }
}

void solve_lines(Setup& setup, const BraceAim& aim) {
  constexpr double near = 1e-8;   // [m, rad]
  constexpr double good = 1e-6;   // what is good enough where rounding keeps it from being nearer
  constexpr double nudge = 2e-5;  // [m]
  constexpr double most = 0.01;   // change of a length in one step [m]
  double nock_off = 0.0;
  const auto miss = [&] {
    const BraceState brace = Model(setup).brace();
    nock_off = aim.nock_height ? brace.nock_height - *aim.nock_height : 0.0;
    return Eigen::Vector3d{brace.axle_to_axle - aim.axle_to_axle, brace.cam_angle.upper - aim.cam_angle,
                           brace.cam_angle.lower - aim.cam_angle};
  };
  const auto change = [&](const Eigen::Vector3d& by) {
    setup.string.length += by[0];
    setup.cables.upper.length += by[1];
    setup.cables.lower.length += by[2];
  };
  double left = 0.0;
  for (int i = 0; i < 20; ++i) {
    const Eigen::Vector3d off = miss();
    const double nock_back = -nock_off;  // the nock goes up and down with its point, and hardly anything else does
    left = std::max(off.cwiseAbs().maxCoeff(), std::fabs(nock_back));
    if (left < near) {
      return;
    }
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
    change(std::min(1.0, most / largest) * step);
    setup.string.nocking_point += std::clamp(nock_back, -most, most);
  }
  if (!(left < good)) {
    throw SolverError("brace with these cams", "no lengths of string and cables were found at which the axles stand " +
                                                   display(aim.axle_to_axle, Quantity::length, "mm", 1) +
                                                   " apart and both cams at " +
                                                   display(aim.cam_angle, Quantity::angle, "deg", 1));
  }
}

void move_string_anchor(Setup& setup, Side side, double angle) {
  const CompiledTrack track(setup.cams[side].string_track, cam_path(side) + ".string_track");
  double& anchor = setup.cams[side].string_anchor_angle;
  const double wound = wrap(track, anchor) - wrap(track, angle);
  const double natural = natural_string(setup) + wound;
  // What is wound at one end only is the nocking point's way from the middle.
  setup.string.nocking_point += (side == Side::upper ? -0.5 : 0.5) * wound;
  anchor = angle;
  set_string(setup, natural);
}

void move_take_up_anchor(Setup& setup, Side side, double angle) {
  const CompiledTrack track(setup.cams[side].take_up_track, cam_path(side) + ".take_up_track");
  double& anchor = setup.cams[side].take_up_anchor_angle;
  const double natural = natural_cable(setup, side) + wrap(track, angle) - wrap(track, anchor);
  anchor = angle;
  set_cable(setup, side, natural);
}

void move_let_out_anchor(Setup& setup, Side side, double angle) {
  const CompiledTrack track = let_out_of(setup, side);
  double& anchor = setup.cams[side].let_out_anchor_angle;
  const double natural = natural_cable(setup, other(side)) + wrap(track, anchor) - wrap(track, angle);
  anchor = angle;
  set_cable(setup, other(side), natural);
}

}  // namespace nockwise::detail
