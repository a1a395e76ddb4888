#include "nockwise/tear_matrix.hpp"

#include "base/threads.hpp"
#include "nockwise/error.hpp"
#include "shots/batch.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

constexpr double negligible_bend = 0.0254 / 64.0;  // [m] half of the difference of the two one-sided slopes
constexpr double tolerated_bend = 0.2;             // of the slope

void check_options(const TearMatrixOptions& options) {
  if (!(options.step_fraction > 0.0 && options.step_fraction <= 4.0)) {
    throw InputError("step_fraction", format_quantity(options.step_fraction, Quantity::dimensionless),
                     "must be above 0 and at most 4");
  }
  if (options.distance && !(*options.distance > 0.0)) {
    throw InputError("distance", format_quantity(*options.distance, Quantity::length, "m"), "must be above 0 m");
  }
  detail::check_threads(options.threads);
}

detail::ShotRequest request_for(const Setup& setup, const TearMatrixOptions& options) {
  return {.setup = setup, .distance = options.distance, .statics = options.statics};
}

detail::ShotRequest moved_request(const Setup& setup, const Adjustment& adjustment, double steps,
                                  const TearMatrixOptions& options) {
  try {
    return request_for(adjusted(setup, adjustment, steps), options);
  } catch (const InputError& error) {
    return {.setup = setup, .failure = error.what()};
  }
}

/// Whether the tear changes alike for a step either way: a stop, a contact or a vane may come in between.
void evaluate_linearity(const Shot& base, TearMatrixRow& row) {
  row.linear = row.both_sides;
  for (const Output output : {Output::tear_up, Output::tear_right}) {
    const double ahead = row.plus.value[output] - base.value[output];
    const double behind = base.value[output] - row.minus.value[output];
    const double bend = 0.5 * std::fabs(ahead - behind);
    if (row.both_sides && bend > negligible_bend && bend > tolerated_bend * 0.5 * std::fabs(ahead + behind)) {
      row.linear = false;
      row.warnings.emplace_back(std::string("the ") + (output == Output::tear_up ? "vertical" : "lateral") +
                                " tear does not answer alike to a step either way (" +
                                display(ahead, Quantity::length, "in", 3) + " and " +
                                display(behind, Quantity::length, "in", 3) + "): do not extrapolate");
    }
  }
  const double gap = base.value[Output::stop_gap];
  if (row.both_sides && row.plus.value[Output::stop_gap] * row.minus.value[Output::stop_gap] < 0.0 &&
      std::fabs(row.plus.value[Output::stop_gap] - row.minus.value[Output::stop_gap]) > negligible_bend &&
      std::fabs(gap) > 1e-5) {
    row.warnings.emplace_back("the stop that touches first changes within a step");
  }
  if (row.plus.vane_strike != base.vane_strike || row.minus.vane_strike != base.vane_strike) {
    row.linear = false;
    row.warnings.emplace_back("the vanes strike the rest on one side of this and clear it on the other");
  }
}

TearMatrixRow row_of(const Shot& base, const Adjustment& adjustment, const Shot& plus, const Shot& minus,
                     double fraction) {
  TearMatrixRow row;
  row.adjustment = adjustment;
  row.plus = plus;
  row.minus = minus;
  row.both_sides = plus.flew && minus.flew;
  for (const OutputDescription& each : output_descriptions()) {
    const double at_plus = plus.flew ? plus.value[each.output] : base.value[each.output];
    const double at_minus = minus.flew ? minus.value[each.output] : base.value[each.output];
    const double width = fraction * ((plus.flew ? 1.0 : 0.0) + (minus.flew ? 1.0 : 0.0));
    row.per_step[each.output] = width > 0.0 ? (at_plus - at_minus) / width : 0.0;
  }
  for (const Shot* side : {&plus, &minus}) {
    if (!side->flew) {
      row.warnings.push_back(std::string("a step ") + (side == &plus ? "forward" : "back") +
                             " cannot be shot: " + side->failure);
    }
  }
  evaluate_linearity(base, row);
  return row;
}

}  // namespace

Shot shoot(const Setup& setup, const TearMatrixOptions& options) {
  check_options(options);
  const detail::ShotRequest request = request_for(setup, options);
  return detail::shoot_many({&request, 1}, {1, options.stop}).front();
}

TearMatrix tear_matrix(const Setup& setup, std::span<const Adjustment> rows, const TearMatrixOptions& options) {
  check_options(options);
  std::vector<detail::ShotRequest> requests{request_for(setup, options)};
  for (const Adjustment& each : rows) {
    requests.push_back(moved_request(setup, each, options.step_fraction, options));
    requests.push_back(moved_request(setup, each, -options.step_fraction, options));
  }
  const std::vector<Shot> shots = detail::shoot_many(requests, {options.threads, options.stop});
  TearMatrix matrix;
  matrix.distance = options.distance.value_or(setup.surroundings.paper_distance);
  matrix.base = shots.front();
  if (!matrix.base.flew) {
    throw SolverError("tear matrix", "the bow as given cannot be shot: " + matrix.base.failure);
  }
  for (std::size_t i = 0; i < rows.size(); ++i) {
    matrix.rows.push_back(row_of(matrix.base, rows[i], shots[2 * i + 1], shots[2 * i + 2], options.step_fraction));
  }
  return matrix;
}

TearMatrix tear_matrix(const Setup& setup, const TearMatrixOptions& options) {
  return tear_matrix(setup, adjustments(setup), options);
}

}  // namespace nockwise
