#include "ignorance/held.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "numerics/dense_solvers.hpp"

#include <array>
#include <cmath>
#include <optional>
#include <string_view>
#include <utility>

namespace nockwise::detail {

namespace {

constexpr std::array<std::string_view, 7> parts_of_the_draw{
    "limbs.", "cams.", "string.", "cable_guard.", "cables.", "riser.upper_end", "riser.lower_end"};

/// Where the stops of both halves touch, on the average [m]; it has no kink where the other stop becomes the first.
double mean_touch(const DrawCycle& cycle) {
  const std::size_t touch = cycle.touch_index;
  if (touch == 0) {
    throw SolverError("what is held", "a stop touches before the bow is drawn");
  }
  const DrawPoint& at = cycle.points[touch];
  constexpr double nearest = 0.002;  // points that tell a slope [m]
  std::size_t before = touch - 1;
  while (before > 0 && cycle.points[before].nock_x - at.nock_x < nearest) {
    --before;
  }
  const DrawPoint& from = cycle.points[before];
  double sum = 0.0;
  int stops = 0;
  for (const Side side : {Side::upper, Side::lower}) {
    const auto& now = side == Side::upper ? at.stop_gap.upper : at.stop_gap.lower;
    const auto& then = side == Side::upper ? from.stop_gap.upper : from.stop_gap.lower;
    if (now && then) {
      sum += at.nock_x - *now * (from.nock_x - at.nock_x) / (*then - *now);
      ++stops;
    }
  }
  return stops == 0 ? at.nock_x : sum / stops;
}

double measure_of(std::string_view name, const BraceState& brace, const DrawCycle& cycle) {
  if (name == "brace_height") {
    return brace.brace_height;
  }
  if (name == "axle_to_axle") {
    return brace.axle_to_axle;
  }
  if (name == "brace_cam_angle") {
    return 0.5 * (brace.cam_angle.upper + brace.cam_angle.lower);
  }
  if (name == "draw_length") {
    return draw_length_allowance - mean_touch(cycle);
  }
  if (name == "peak_force") {
    return cycle.peak_force;
  }
  const auto& [upper, lower] = cycle.points[cycle.touch_index].stop_gap;
  return *upper - *lower;
}

Setup moved_along(const Setup& setup, const IgnoranceDirection& direction, double z) {
  const Ignorance alone{setup, {direction}, {0.0}, {1.0}, {}};
  return moved(alone, setup, std::array{z});
}

}  // namespace

bool HeldMeasures::depend_on(const std::string& path) {
  return std::any_of(parts_of_the_draw.begin(), parts_of_the_draw.end(),
                     [&](std::string_view part) { return path.starts_with(part); });
}

HeldMeasures::HeldMeasures(Setup setup) : setup_(std::move(setup)) {
  choose_holds();
  values_ = measured(setup_);
  find_slopes();
}

void HeldMeasures::choose_holds() {
  std::vector<std::string> stops;
  for (const char* half : {"upper", "lower"}) {
    const Cam& cam = std::string_view(half) == "upper" ? setup_.cams.upper : setup_.cams.lower;
    if (cam.stop.kind != StopKind::none) {
      stops.push_back(std::string("cams.") + half + ".stop.angle");
    }
  }
  holds_ = {{{"string.length"}, {}, 5e-4},
            {{"cables.upper.length", "cables.lower.length"}, {}, 5e-4},
            {{"limbs.upper.pivot_x", "limbs.lower.pivot_x"}, {}, 5e-4},
            {stops, {}, 0.01},
            {{"limbs.upper.free_angle", "limbs.lower.free_angle"}, {}, 3e-3}};
  for (const BowMeasure& each : bow_measures()) {
    if (each.name != "stop_gap" || stops.size() == 2) {
      measures_.push_back(&each);
    }
  }
  if (stops.size() == 2) {
    holds_.push_back({{"cables.upper.length"}, {"cables.lower.length"}, 3e-4});
  }
}

Eigen::VectorXd HeldMeasures::measured(const Setup& setup) const {
  const Model model(setup);
  constexpr int positions = 32;  // the peak is refined by a parabola
  const DrawCycle cycle = draw_cycle(model, {.positions = positions, .hold = DrawHold::draw_board});
  const BraceState brace = model.brace();
  Eigen::VectorXd values(std::ssize(measures_));
  for (std::size_t i = 0; i < measures_.size(); ++i) {
    values[static_cast<Eigen::Index>(i)] = measure_of(measures_[i]->name, brace, cycle);
  }
  return values;
}

void HeldMeasures::find_slopes() {
  const Eigen::Index count = values_.size();
  Eigen::MatrixXd slopes(count, count);
  for (Eigen::Index k = 0; k < count; ++k) {
    const double step = holds_[static_cast<std::size_t>(k)].step;
    const Eigen::VectorXd amounts = step * Eigen::VectorXd::Unit(count, k);
    slopes.col(k) = (measured(with_holds(setup_, amounts)) - measured(with_holds(setup_, -amounts))) / (2.0 * step);
  }
  inverse_ = inverse_of(slopes);
  if (!inverse_.allFinite()) {
    throw SolverError("what is held", "the measures of this bow do not answer to its lengths, preload and stops");
  }
}

Setup HeldMeasures::with_holds(Setup setup, const Eigen::VectorXd& amounts) const {
  for (std::size_t k = 0; k < holds_.size(); ++k) {
    const double amount = amounts[static_cast<Eigen::Index>(k)];
    for (const std::string& path : holds_[k].plus) {
      setup.set(path, setup.get(path) + amount);
    }
    for (const std::string& path : holds_[k].minus) {
      setup.set(path, setup.get(path) - amount);
    }
  }
  return setup;
}

Eigen::VectorXd HeldMeasures::solve(const IgnoranceDirection& direction, double z) const {
  const Setup bow = moved_along(setup_, direction, z);
  Eigen::VectorXd amounts = Eigen::VectorXd::Zero(values_.size());
  constexpr int corrections = 3;
  for (int i = 0; i < corrections; ++i) {
    const Eigen::VectorXd off = measured(with_holds(bow, amounts)) - values_;
    amounts -= inverse_ * off;
    if (off.cwiseAbs().maxCoeff() < 1e-6) {
      break;
    }
  }
  return amounts;
}

std::vector<HeldStep> HeldMeasures::hold(const IgnoranceDirection& direction) const {
  std::optional<Eigen::VectorXd> side[2];
  std::string why;
  for (int i = 0; i < 2; ++i) {
    try {
      side[i] = solve(direction, i == 0 ? 1.0 : -1.0);
    } catch (const Error& error) {
      why = error.what();
    }
  }
  if (!side[0] && !side[1]) {
    throw SolverError("what is held", why);
  }
  const Eigen::VectorXd plus = side[0] ? *side[0] : -*side[1];
  const Eigen::VectorXd minus = side[1] ? *side[1] : -*side[0];
  return as_steps(0.5 * (plus - minus), 0.5 * (plus + minus));
}

std::vector<HeldStep> HeldMeasures::move(std::size_t measure, double by) const {
  const Eigen::VectorXd linear = by * inverse_.col(static_cast<Eigen::Index>(measure));
  return as_steps(linear, Eigen::VectorXd::Zero(linear.size()));
}

std::vector<HeldStep> HeldMeasures::as_steps(const Eigen::VectorXd& linear, const Eigen::VectorXd& square) const {
  std::vector<HeldStep> steps;
  const auto add = [&](const std::string& path, double along, double bend) {
    if (along == 0.0 && bend == 0.0) {
      return;
    }
    for (HeldStep& each : steps) {
      if (each.path == path) {
        each.linear += along;
        each.square += bend;
        return;
      }
    }
    steps.push_back({path, along, bend});
  };
  for (std::size_t k = 0; k < holds_.size(); ++k) {
    const auto i = static_cast<Eigen::Index>(k);
    for (const std::string& path : holds_[k].plus) {
      add(path, linear[i], square[i]);
    }
    for (const std::string& path : holds_[k].minus) {
      add(path, -linear[i], -square[i]);
    }
  }
  return steps;
}

}  // namespace nockwise::detail
