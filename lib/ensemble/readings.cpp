// Readings, and what they leave of the weights (nockwise/ensemble.hpp).
#include "ensemble/readings.hpp"

#include "base/threads.hpp"
#include "ensemble/ranges.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/model.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace nockwise {

namespace {

double draw_force_at(const DrawCycle& cycle, double draw_length) {
  const auto& points = cycle.points;
  const double x = draw_length_allowance - draw_length;
  const auto beyond =
      std::find_if(points.begin() + 1, points.end(), [&](const DrawPoint& point) { return point.nock_x <= x; });
  if (beyond == points.end()) {
    return points.back().draw_force;
  }
  const DrawPoint& before = *(beyond - 1);
  const double share = (x - before.nock_x) / (beyond->nock_x - before.nock_x);
  return before.draw_force + share * (beyond->draw_force - before.draw_force);
}

/// What readings would be on one member; draw and shot as it is are made once.
class MemberReader {
 public:
  MemberReader(const Setup& setup, const EnsembleOptions& options) : setup_(setup), options_(options) {}

  double read(const EnsembleReading& reading) {
    switch (reading.kind) {
      case ReadingKind::tear_up:
        return as_it_is()[Output::tear_up];
      case ReadingKind::tear_right:
        return as_it_is()[Output::tear_right];
      case ReadingKind::tear_up_change:
        return shot(changed(reading))[Output::tear_up] - as_it_is()[Output::tear_up];
      case ReadingKind::tear_right_change:
        return shot(changed(reading))[Output::tear_right] - as_it_is()[Output::tear_right];
      case ReadingKind::brace_height_change:
        return detail::brace_height_change(setup_, find_adjustment(adjustments(setup_), reading.adjustment),
                                           reading.steps);
      case ReadingKind::speed: {
        const Model model(setup_);
        return chronograph_speed(model, launch(model));
      }
      case ReadingKind::limb_travel:
        return detail::limb_travel(draw());
      case ReadingKind::cam_turn:
        return detail::cam_turn(draw());
      case ReadingKind::full_axle_to_axle:
        return draw().full_axle_to_axle;
      case ReadingKind::draw_force:
        return draw_force_at(draw(), reading.draw_length);
    }
    return 0.0;
  }

 private:
  [[nodiscard]] OutputValues shot(const Setup& bow) const {
    const Shot one = shoot(bow, {.distance = options_.distance, .threads = 1, .statics = false, .stop = options_.stop});
    if (!one.flew) {
      throw SolverError("a member of the ensemble", one.failure);
    }
    return one.value;
  }
  const OutputValues& as_it_is() {
    if (!as_it_is_) {
      as_it_is_ = shot(setup_);
    }
    return *as_it_is_;
  }
  const DrawCycle& draw() {
    if (!draw_) {
      draw_ = draw_cycle(Model(setup_), {.positions = 120, .hold = DrawHold::draw_board});
    }
    return *draw_;
  }
  [[nodiscard]] Setup changed(const EnsembleReading& reading) const {
    const std::vector<Adjustment> all = adjustments(setup_);
    return adjusted(setup_, find_adjustment(all, reading.adjustment), reading.steps);
  }

  const Setup& setup_;
  const EnsembleOptions& options_;
  std::optional<OutputValues> as_it_is_;
  std::optional<DrawCycle> draw_;
};

/// A reading beyond all members by more than their own spread and the error belongs to another bow.
void check_within(const EnsembleReading& reading, std::size_t index, const std::vector<double>& of_members) {
  const auto [low, high] = std::minmax_element(of_members.begin(), of_members.end());
  const double room = 0.5 * (*high - *low) + 3.0 * reading.error;
  if (reading.value < *low - room || reading.value > *high + room) {
    const detail::KindOfReading& kind = detail::kind_of_reading(reading.kind);
    throw InputError(
        "readings[" + std::to_string(index) + "].value", format_quantity(reading.value, kind.quantity, kind.unit),
        "must fit at least one plausible bow of the sheet, and they have " +
            display(*low, kind.quantity, kind.unit, 3) + " to " + display(*high, kind.quantity, kind.unit, 3) +
            ": check what was read, its sign, and the lines of the sheet");
  }
}

}  // namespace

namespace detail {

double widening_of(const std::vector<double>& misfit, const std::vector<double>& weights) {
  constexpr double enough = 3.0;
  constexpr double step = 1.1;
  constexpr double most = 1e6;
  const double wanted = std::min(enough, 0.9 * static_cast<double>(misfit.size()));
  const double best = *std::min_element(misfit.begin(), misfit.end());
  for (double widening = 1.0; widening < most; widening *= step) {
    double total = 0.0;
    double squares = 0.0;
    for (std::size_t k = 0; k < misfit.size(); ++k) {
      const double weight = weights[k] * std::exp((best - misfit[k]) / (widening * widening));
      total += weight;
      squares += weight * weight;
    }
    if (total * total >= wanted * squares) {
      return widening;
    }
  }
  return most;
}

namespace {

constexpr double degree = 0.017453292519943295;
constexpr double tear_error = 0.0032;          // an eighth of an inch
constexpr double change_error = 0.0045;        // of two such holes
constexpr double brace_height_error = 0.0006;  // a sixty-fourth, before and after

constexpr KindOfReading kinds[] = {
    {ReadingKind::draw_force, "draw_force", Quantity::force, "lbf", 2.2},
    {ReadingKind::speed, "speed", Quantity::speed, "ft/s", 0.6},
    {ReadingKind::tear_up, "tear_up", Quantity::length, "in", tear_error},
    {ReadingKind::tear_right, "tear_right", Quantity::length, "in", tear_error},
    {ReadingKind::tear_up_change, "tear_up_change", Quantity::length, "in", change_error},
    {ReadingKind::tear_right_change, "tear_right_change", Quantity::length, "in", change_error},
    {ReadingKind::brace_height_change, "brace_height_change", Quantity::length, "in", brace_height_error},
    {ReadingKind::limb_travel, "limb_travel", Quantity::angle, "deg", 1.5 * degree},
    {ReadingKind::cam_turn, "cam_turn", Quantity::angle, "deg", 4.0 * degree},
    {ReadingKind::full_axle_to_axle, "full_axle_to_axle", Quantity::length, "in", 0.0032},
};

}  // namespace

std::span<const KindOfReading> kinds_of_reading() { return kinds; }

const KindOfReading& kind_of_reading(ReadingKind kind) { return kinds[static_cast<std::size_t>(kind)]; }

bool is_change(ReadingKind kind) {
  return kind == ReadingKind::tear_up_change || kind == ReadingKind::tear_right_change ||
         kind == ReadingKind::brace_height_change;
}

double brace_height_change(const Setup& setup, const Adjustment& adjustment, double steps) {
  return Model(adjusted(setup, adjustment, steps)).brace().brace_height - Model(setup).brace().brace_height;
}

DrawCycle photographed_draw(const Setup& setup) {
  constexpr int coarse = 40;
  return draw_cycle(Model(setup), {.positions = coarse, .hold = DrawHold::draw_board});
}

double limb_travel(const DrawCycle& cycle) {
  return cycle.points[cycle.touch_index].limb_angle.upper - cycle.points.front().limb_angle.upper;
}

double cam_turn(const DrawCycle& cycle) {
  return cycle.points[cycle.touch_index].cam_angle.upper - cycle.points.front().cam_angle.upper;
}

}  // namespace detail

namespace {

void check(const EnsembleReading& reading, std::size_t index) {
  const std::string path = "readings[" + std::to_string(index) + "]";
  if (!(reading.error > 0.0) || !std::isfinite(reading.error)) {
    throw InputError(path + ".error", std::to_string(reading.error), "must be above zero");
  }
  if (!std::isfinite(reading.value)) {
    throw InputError(path + ".value", std::to_string(reading.value), "must be a number");
  }
  if (reading.kind == ReadingKind::draw_force && !(reading.draw_length > 0.0)) {
    throw InputError(path + ".draw_length", "", "must be given for a draw force");
  }
  if (detail::is_change(reading.kind) && reading.adjustment.empty()) {
    throw InputError(path + ".adjustment", "", "must be given for a change: what was adjusted");
  }
}

}  // namespace

namespace detail {

std::vector<double> misfits(const BowEnsemble& ensemble, std::size_t first, std::span<const EnsembleReading> readings,
                            const EnsembleOptions& options) {
  for (std::size_t i = 0; i < readings.size(); ++i) {
    check(readings[i], i);
  }
  const std::size_t count = ensemble.members.size() - first;
  std::vector<std::vector<double>> read(readings.size(), std::vector<double>(count));
  for_each_index(count, options.threads, [&](std::size_t k) {
    MemberReader reader(ensemble.members[first + k].setup, options);
    for (std::size_t i = 0; i < readings.size(); ++i) {
      read[i][k] = reader.read(readings[i]);
    }
  });
  std::vector<double> misfit(count, 0.0);
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (first == 0) {
      check_within(readings[i], i, read[i]);
    }
    for (std::size_t k = 0; k < count; ++k) {
      const double off = (read[i][k] - readings[i].value) / readings[i].error;
      misfit[k] += 0.5 * std::pow(deviations_per_error * off, 2.0);
    }
  }
  return misfit;
}

void weigh(BowEnsemble& ensemble, const std::vector<double>& misfit, const std::vector<double>& before) {
  ensemble.widening = widening_of(misfit, before);
  const double best = *std::min_element(misfit.begin(), misfit.end());
  double total = 0.0;
  for (std::size_t k = 0; k < misfit.size(); ++k) {
    ensemble.members[k].weight = before[k] * std::exp((best - misfit[k]) / (ensemble.widening * ensemble.widening));
    total += ensemble.members[k].weight;
  }
  double squares = 0.0;
  for (EnsembleMember& member : ensemble.members) {
    member.weight /= total;
    squares += member.weight * member.weight;
  }
  ensemble.effective_members = 1.0 / squares;
}

}  // namespace detail

BowEnsemble narrowed(const BowEnsemble& ensemble, std::span<const EnsembleReading> readings,
                     const EnsembleOptions& options) {
  const std::vector<double> misfit = detail::misfits(ensemble, 0, readings, options);
  BowEnsemble result = ensemble;
  detail::weigh(result, misfit, detail::weights_of(ensemble));
  result.widening = std::max(ensemble.widening, result.widening);
  return result;
}

}  // namespace nockwise
