#include "nockwise/cam_fit.hpp"

#include "bow_builder/cam_draw.hpp"
#include "bow_builder/cam_lines.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/model.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

namespace nockwise {

namespace {

constexpr double pi = std::numbers::pi;
constexpr std::array<Side, 2> sides{Side::upper, Side::lower};
constexpr double lengths_agree = 1e-5;  // [m]
constexpr double braces_agree = 1e-4;   // of the brace height [m]
constexpr double gaps_agree = 2e-5;     // [m]
constexpr double peaks_agree = 2e-4;    // of the peak
constexpr double farthest_turn = 0.6;   // a cam that stands farther from its drawing is another cam [rad]
constexpr int draw_positions = 160;

std::string millimetres(double length) { return display(length, Quantity::length, "mm", 1); }
std::string cam_path(Side side) { return side == Side::upper ? "cams.upper" : "cams.lower"; }

/// All aims given.
struct Aims {
  double axle_to_axle = 0.0, brace_height = 0.0, draw_length = 0.0;  // [m]
  std::optional<double> peak_force;                                  // [N]
  std::optional<double> nock_height;                                 // [m]
  double cam_angle = 0.0;                                            // [rad]
  BraceRule brace_by = BraceRule::turn_cams;
};

void check_range(const char* path, const std::optional<double>& value, double least, double most, Quantity quantity,
                 const char* unit) {
  if (value && !(*value >= least && *value <= most)) {
    throw InputError(
        path, display(*value, quantity, unit, 3),
        "must be between " + display(least, quantity, unit, 3) + " and " + display(most, quantity, unit, 3));
  }
}

/// What is not asked for is as the bow has it.
Aims aims_of(const Setup& setup, const CamAims& asked) {
  check_aims(asked);
  Aims aims;
  aims.axle_to_axle = asked.axle_to_axle.value_or(0.0);
  aims.brace_height = asked.brace_height.value_or(0.0);
  aims.draw_length = asked.draw_length.value_or(0.0);
  aims.nock_height = asked.nock_height;
  aims.peak_force = asked.peak_force;
  aims.cam_angle = asked.cam_angle;
  aims.brace_by = asked.brace_by;
  const bool all = asked.axle_to_axle && asked.brace_height && asked.draw_length;
  try {
    const Model model(setup);
    aims.nock_height = asked.nock_height.value_or(model.brace().nock_height);
    aims.axle_to_axle = asked.axle_to_axle.value_or(model.brace().axle_to_axle);
    aims.brace_height = asked.brace_height.value_or(model.brace().brace_height);
    if (!asked.draw_length) {
      aims.draw_length = draw_cycle(model, {40, DrawHold::draw_board}).draw_length;
    }
  } catch (const Error&) {
    if (!all) {  // a bow that stands on nothing else may still be fitted
      throw;
    }
  }
  constexpr double shortest_stroke = 0.1;
  if (aims.draw_length - draw_length_allowance < aims.brace_height + shortest_stroke) {
    throw InputError("draw_length", millimetres(aims.draw_length),
                     "must be at least " + millimetres(aims.brace_height + draw_length_allowance + shortest_stroke) +
                         ": 100 mm beyond the brace height");
  }
  return aims;
}

class CamFitter {
 public:
  CamFitter(Setup setup, const Aims& aims) : setup_(std::move(setup)), aims_(aims), cam_angle_(aims.cam_angle) {}

  void run() {
    constexpr int most_rounds = 12;
    for (int round = 0; round < most_rounds; ++round) {
      guess_lines(setup_, brace_aim());
      solve_lines(setup_, brace_aim());
      meet_brace_height();
      set_anchors(detail::draw_to(Model(setup_), wall()));
      solve_lines(setup_, brace_aim());
      set_stops(detail::draw_to(Model(setup_), wall()));
      cycle_ = draw_cycle(Model(setup_), {draw_positions, DrawHold::draw_board});
      if (!aims_.peak_force || std::fabs(cycle_.peak_force / *aims_.peak_force - 1.0) < 0.2 * peaks_agree) {
        return;
      }
      for (const Side side : sides) {  // forces go with the limbs' stiffness, but for the lines' stretch
        setup_.limbs[side].torsion_stiffness *= *aims_.peak_force / cycle_.peak_force;
      }
    }
  }

  [[nodiscard]] const Setup& setup() const { return setup_; }
  [[nodiscard]] const DrawCycle& cycle() const { return cycle_; }

 private:
  [[nodiscard]] double wall() const { return draw_length_allowance - aims_.draw_length; }
  [[nodiscard]] detail::BraceAim brace_aim() const { return {aims_.axle_to_axle, cam_angle_, aims_.nock_height}; }
  [[nodiscard]] double brace_lack() const { return aims_.brace_height - Model(setup_).brace().brace_height; }

  void meet_brace_height() {
    // Where a groove's distance hardly changes, a hundredth of a millimetre would turn the cams by degrees, and spoil
    // the draw for what nobody can measure.
    const double near = aims_.brace_by == BraceRule::turn_cams ? 0.5 * braces_agree : 1e-7;  // [m]
    constexpr int most = 8;
    for (int i = 0; i < most; ++i) {
      const double lack = brace_lack();
      if (std::fabs(lack) < near) {
        return;
      }
      if (aims_.brace_by == BraceRule::move_pockets) {
        // Farther forward, the pockets take axles and string along; the brace height shrinks as much.
        for (const Side side : sides) {
          setup_.limbs[side].pivot_x -= lack;
        }
        solve_lines(setup_, brace_aim());
      } else {
        turn_cams(lack);
      }
    }
  }

  /// Distance of the string from the axles, mean of both, with the cams at `angle`; none beyond a groove's end.
  [[nodiscard]] std::optional<double> string_distance(double angle) const {
    double sum = 0.0;
    for (const Side side : sides) {
      const CompiledTrack track(setup_.cams[side].string_track, cam_path(side) + ".string_track");
      const double normal = pi - angle;  // the string hangs straight down
      if (normal < track.first_angle() || normal > track.last_angle()) {
        return std::nullopt;
      }
      sum += 0.5 * track.evaluate(normal).distance;
    }
    return sum;
  }

  /// Turn both cams, as little as will do, until the string stands `lack` farther back.
  void turn_cams(double lack) {
    constexpr double step = 0.005;  // of the search [rad]
    constexpr double stride = 0.1;  // of the lines [rad]
    const double wanted = string_distance(cam_angle_).value_or(0.0) + lack;
    double nearest_lack = lack;
    std::optional<double> found;
    for (const double sign : {1.0, -1.0}) {
      double last_angle = cam_angle_;
      double last_off = -lack;
      for (int i = 1; std::fabs(cam_angle_ + sign * i * step) <= farthest_turn; ++i) {
        const double angle = cam_angle_ + sign * i * step;
        const std::optional<double> distance = string_distance(angle);
        if (!distance) {
          break;
        }
        const double off = *distance - wanted;
        nearest_lack = std::fabs(off) < std::fabs(nearest_lack) ? -off : nearest_lack;
        if (off * last_off <= 0.0) {
          const double there = last_angle + (angle - last_angle) * last_off / (last_off - off);
          if (!found || std::fabs(there - cam_angle_) < std::fabs(*found - cam_angle_)) {
            found = there;
          }
          break;
        }
        last_angle = angle;
        last_off = off;
      }
    }
    if (!found) {
      throw InputError(
          "brace_height", millimetres(aims_.brace_height),
          std::string(nearest_lack > 0.0 ? "must be at most " : "must be at least ") +
              millimetres(aims_.brace_height - nearest_lack) + ", " + millimetres(std::fabs(nearest_lack)) +
              " from here: no turn of these cams by up to 34° gives more, with the limb pockets where they "
              "are; let the pockets move (brace_by = move_pockets), or draw the string's groove larger, "
              "smaller or more eccentric");
    }
    while (cam_angle_ != *found) {
      cam_angle_ += std::clamp(*found - cam_angle_, -stride, stride);
      solve_lines(setup_, brace_aim());
    }
  }

  void set_anchors(const UpperLower<detail::CamDraw>& draw) {
    constexpr double least = 0.1;    // groove between a post and where its line leaves [rad]
    constexpr double chosen = 0.35;  // likewise, of a post that is moved
    const auto below = [&](const Track& track, double lowest) {
      return std::max(lowest - chosen, CompiledTrack(track).first_angle());
    };
    for (const Side side : sides) {
      const Cam& cam = setup_.cams[side];
      const detail::CamDraw& seen = draw[side];
      const double string = seen.string.lowest;
      if (cam.string_anchor_angle > string - least || cam.string_anchor_angle < seen.string.highest - 2.0 * pi) {
        detail::move_string_anchor(setup_, side, below(cam.string_track, string));
      }
      if (cam.take_up_anchor_angle < seen.take_up.highest + least ||
          cam.take_up_anchor_angle > seen.take_up.lowest + 2.0 * pi) {
        const double end = CompiledTrack(cam.take_up_track).last_angle() - 1e-6;
        detail::move_take_up_anchor(setup_, side, std::min(seen.take_up.highest + chosen, end));
      }
      const Side far = side == Side::upper ? Side::lower : Side::upper;
      if (setup_.cables[far].end == CableEnd::let_out && cam.let_out_track &&
          (cam.let_out_anchor_angle > seen.let_out.lowest - least ||
           cam.let_out_anchor_angle < seen.let_out.highest - 2.0 * pi)) {
        detail::move_let_out_anchor(setup_, side, below(*cam.let_out_track, seen.let_out.lowest));
      }
    }
  }

  /// Each peg where it touches at the draw length.
  void set_stops(const UpperLower<detail::CamDraw>& draw) {
    for (const Side side : sides) {
      DrawStop& stop = setup_.cams[side].stop;
      if (stop.kind == StopKind::limb) {
        stop.angle -= draw[side].stop_gap / stop.radius;  // Eq. (14)
      } else if (stop.kind == StopKind::cable) {
        const double reach = draw[side].cable_lever - stop.peg_size;  // Eq. (15) with no gap
        if (!(std::fabs(reach) < stop.radius)) {
          throw InputError(cam_path(side) + ".stop.radius", millimetres(stop.radius),
                           "must be more than " + millimetres(std::fabs(reach)) +
                               ": at this draw length the cable runs past the axle so far out");
        }
        stop.angle = draw[side].cable_normal - std::acos(reach / stop.radius);
      }
    }
  }

  Setup setup_;
  const Aims& aims_;
  double cam_angle_;  // of both cams at brace [rad]
  DrawCycle cycle_;
};

std::vector<MovedParameter> moved_between(const Setup& before, const Setup& after) {
  std::vector<MovedParameter> moved;
  for (const Parameter& parameter : parameters()) {
    if (parameter.alias_of.empty()) {
      const double was = parameter.get(before);
      const double is = parameter.get(after);
      if (was != is) {
        moved.push_back({parameter.path, was, is});
      }
    }
  }
  return moved;
}

CamFit report(const Setup& before, const CamFitter& fitter, const Aims& aims) {
  const DrawCycle& cycle = fitter.cycle();
  CamFit fit;
  fit.setup = fitter.setup();
  fit.checks = {{"axle_to_axle", aims.axle_to_axle, cycle.brace_axle_to_axle, lengths_agree},
                {"brace_height", aims.brace_height, cycle.brace_height, braces_agree},
                {"draw_length", aims.draw_length, cycle.draw_length, lengths_agree},
                {"late_stop_gap", 0.0, cycle.late_stop_gap.value_or(0.0), gaps_agree}};
  if (aims.peak_force) {
    fit.checks.push_back({"peak_force", *aims.peak_force, cycle.peak_force, peaks_agree * *aims.peak_force});
  }
  fit.moved = moved_between(before, fit.setup);
  fit.brace_cam_angle = cycle.points.front().cam_angle;
  fit.peak_force = cycle.peak_force;
  fit.let_off = cycle.let_off;
  fit.stored_energy = cycle.stored_energy;
  fit.cautions = cycle.cautions;
  for (const MeasurementCheck& check : fit.checks) {
    if (!check.met()) {
      fit.cautions.push_back({CautionKind::unmet_measurement, check.path + " was not met within the tolerance."});
    }
  }
  return fit;
}

void put_on(Cam& cam, const CamTracks& tracks) {
  cam.string_track = tracks.string_track.value_or(cam.string_track);
  cam.take_up_track = tracks.take_up_track.value_or(cam.take_up_track);
  if (tracks.let_out_track) {
    cam.let_out_track = tracks.let_out_track;
  }
}

void check_tracks(const Setup& setup) {
  for (const Side side : sides) {
    const Cam& cam = setup.cams[side];
    (void)CompiledTrack(cam.string_track, cam_path(side) + ".string_track");
    (void)CompiledTrack(cam.take_up_track, cam_path(side) + ".take_up_track");
    if (cam.let_out_track) {
      (void)CompiledTrack(*cam.let_out_track, cam_path(side) + ".let_out_track");
    }
  }
  if (setup.cams.upper.stop.kind == StopKind::none && setup.cams.lower.stop.kind == StopKind::none) {
    throw InputError("cams.upper.stop.kind", "none", "must be limb or cable on at least one cam: a stop ends the draw");
  }
}

}  // namespace

void check_aims(const CamAims& aims) {
  check_range("axle_to_axle", aims.axle_to_axle, 0.4, 1.6, Quantity::length, "m");
  check_range("brace_height", aims.brace_height, 0.08, 0.35, Quantity::length, "m");
  check_range("draw_length", aims.draw_length, 0.45, 1.0, Quantity::length, "m");
  check_range("nock_height", aims.nock_height, -0.15, 0.15, Quantity::length, "m");
  check_range("cam_angle", aims.cam_angle, -farthest_turn, farthest_turn, Quantity::angle, "rad");
  check_range("peak_force", aims.peak_force, 20.0, 700.0, Quantity::force, "N");
}

CamFit fit_to_cam(const Setup& setup, const CamTracks& upper, const CamTracks& lower, const CamAims& asked) {
  const Aims aims = aims_of(setup, asked);
  Setup changed = setup;
  put_on(changed.cams.upper, upper);
  put_on(changed.cams.lower, lower);
  validate(changed);
  check_tracks(changed);
  CamFitter fitter(std::move(changed), aims);
  fitter.run();
  validate(fitter.setup());
  return report(setup, fitter, aims);
}

CamFit fit_to_cam(const Setup& setup, const CamTracks& both, const CamAims& aims) {
  return fit_to_cam(setup, both, both, aims);
}

CamFit fit_to_cam(const BowMeasurements& sheet, const CamTracks& both) {
  const Setup built = build_bow(sheet).setup;
  CamAims aims;
  aims.axle_to_axle = sheet.axle_to_axle;
  aims.brace_height = sheet.brace_height;
  aims.draw_length = sheet.draw_length;
  aims.peak_force = sheet.peak_force;
  aims.brace_by = BraceRule::move_pockets;
  for (const DrawForceReading& reading : sheet.draw_curve) {
    aims.peak_force = std::max(aims.peak_force.value_or(0.0), reading.force);
  }
  return fit_to_cam(built, both, aims);
}

}  // namespace nockwise
