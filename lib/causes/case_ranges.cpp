#include "causes/case_ranges.hpp"

#include "base/nearest_name.hpp"
#include "base/quantity_text.hpp"
#include "causes/suspects.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <tuple>

namespace nockwise {

namespace {

using detail::nearest_name;
using detail::quantity_text;
using enum Quantity;

/// Tears, distances and readings first, then the checks, then what a calibration takes besides.
const std::vector<CaseRange>& table() {
  static const Parameter& paper = parameter("surroundings.paper_distance");
  static const std::vector<CaseRange> all = {
      {"tears", dimensionless, "", 0.0, 30.0, "How many holes may be given."},
      {"work", dimensionless, "", 0.0, 30.0, "How many steps of work may be given."},
      {"tears.high", length, "in", -0.5, 0.5, "How far the tail tears; low, left and right are the same range."},
      {"tears.distance", length, "ft", paper.minimum, paper.maximum, "Distance of the paper from the grip."},
      {"tears.reading_error", length, "in", 1.0e-4, 0.05, "How far off a reading of the hole may be."},
      {"tears.changes", dimensionless, "", 0.0, 12.0, "How many parameters may be changed for one hole."},
      {"tears.trial", dimensionless, "", -100.0, 100.0, "Trade steps that an adjustment was moved for one hole."},
      {"tears.bows", dimensionless, "", 0.0, 10.0,
       "How many differently changed bows may have shot the holes: each costs some hundred launches."},
      {"priors", dimensionless, "", 0.01, 100.0, "Trade steps; or 0 for what is not suspected."},
      {"checks", dimensionless, "", 0.0, 30.0, "How many checks may be given."},
      {"checks.stop_gap", length, "in", -0.1, 0.1, "Gap of the stop that touches last."},
      {"checks.arrow_square", length, "in", -0.1, 0.1, "Height of the nock over square at brace."},
      {"checks.lean_upper", angle, "deg", -0.5, 0.5, "Lean of the upper cam at full draw."},
      {"checks.lean_lower", angle, "deg", -0.5, 0.5, "Lean of the lower cam at full draw."},
      {"checks.chronograph_speed", speed, "ft/s", 20.0, 150.0, "Speed of the setup's arrow."},
      {"checks.peak_force", force, "lbf", 20.0, 700.0, "Peak draw weight."},
      {"checks.draw_length", length, "in", 0.45, 1.0, "The trade's draw length."},
      {"checks.let_off", percent, "%", 0.0, 0.99, "Let-off."},
      {"checks.axle_to_axle", length, "in", 0.4, 1.6, "Axle-to-axle length at brace."},
      {"checks.brace_height", length, "in", 0.08, 0.35, "Brace height."},
      {"checks.rest_up_before_wall", length, "in", 0.0, 0.7,
       "Draw from where a drop-away's arm comes fully up to the wall; 0: not up before it."},
      {"checks.vane_marks", length, "in", 0.0, 0.05,
       "From a vane's edge to where the marks of the rest on it end; 0: none."},
      {"workshop.distances", dimensionless, "", 0.0, 10.0, "How many distances may be named that can be shot from."},
      {"shelf_clearance", length, "in", 0.0, 0.1, "Room between the riser's shelf and the lowest vane or shaft."},
      {"draw_board.readings", dimensionless, "", 0.0, 200.0, "How many readings of the draw board may be given."},
      {"draw_board.draw_length", length, "in", 0.1, 1.1, "The trade's draw length of one reading."},
      {"draw_board.force", force, "lbf", 0.1, 700.0, "Draw force of one reading."},
      {"draw_board.error", force, "lbf", 0.01, 100.0, "How far off one reading may be."},
      {"speeds", dimensionless, "", 0.0, 30.0, "How many speeds may be given."},
      {"speeds.speed", speed, "ft/s", 20.0, 150.0, "Speed at the chronograph."},
      {"speeds.error", speed, "ft/s", 0.01, 20.0, "How far off one speed may be."},
  };
  return all;
}

const CaseRange* find_range(std::string_view path) {
  const auto found =
      std::find_if(table().begin(), table().end(), [&](const CaseRange& each) { return each.path == path; });
  return found == table().end() ? nullptr : &*found;
}

constexpr std::string_view check_prefix = "checks.";

[[noreturn]] void refuse_check(const std::string& what) {
  const std::string path = "checks" + (what.empty() ? what : '.' + what);
  if (find_choice_parameter(what) != nullptr || find_text_parameter(what) != nullptr ||
      find_track_parameter(what) != nullptr) {
    throw InputError(path, "", "must be a check or a parameter that is a number; this parameter is none");
  }
  std::vector<std::string> names;
  for (const CaseRange& each : table()) {
    if (each.path.starts_with(check_prefix)) {
      names.push_back(each.path.substr(check_prefix.size()));
    }
  }
  for (const Parameter& each : parameters()) {
    names.push_back(each.path);
  }
  throw InputError(path, "", "is no check that is known here; the nearest is " + nearest_name(what, names));
}

void check_count(const char* path, std::size_t count) {
  detail::case_range(path).check(path, static_cast<double>(count));
}

}  // namespace

std::string CaseRange::allowed() const {
  const auto text = [&](double value) {
    return quantity == dimensionless ? format_quantity(value, quantity) : quantity_text(value, quantity, unit);
  };
  return "must be from " + text(minimum) + " to " + text(maximum);
}

void CaseRange::check(const std::string& subject, double value) const {
  if (!(value >= minimum && value <= maximum)) {
    throw InputError(subject, quantity_text(value, quantity, unit), allowed());
  }
}

std::span<const CaseRange> case_ranges() { return table(); }

Quantity check_quantity(const std::string& what) { return detail::range_of_check(what).quantity; }

namespace detail {

const CaseRange& case_range(std::string_view path) {
  const CaseRange* const found = find_range(path);
  if (found == nullptr) {
    throw InputError(std::string(path), "", "is no number of a case");
  }
  return *found;
}

CaseRange range_of_check(const std::string& what) {
  if (const CaseRange* own = find_range(std::string(check_prefix) + what)) {
    return *own;
  }
  if (const Parameter* found = find_parameter(what)) {
    return {"checks." + what, found->quantity, found->unit, found->minimum, found->maximum, found->doc};
  }
  refuse_check(what);
}

CaseRange range_of_error(const CaseRange& of_value) {
  CaseRange range = of_value;
  const double width = of_value.maximum - of_value.minimum;
  range.path += ".error";
  range.minimum = 1e-6 * width;
  range.maximum = width;
  return range;
}

std::size_t different_bows(std::span<const TearObservation> tears) {
  std::vector<std::tuple<std::vector<ParameterChange>, std::string, std::size_t>> bows;
  for (const TearObservation& tear : tears) {
    const std::tuple shot{tear.changes, tear.archer, tear.after};
    if (std::find(bows.begin(), bows.end(), shot) == bows.end()) {
      bows.push_back(shot);
    }
  }
  return bows.size();
}

void check_changes(const Setup& setup, std::span<const ParameterChange> changes, const std::string& path) {
  check_count("tears.changes", changes.size());
  for (const ParameterChange& change : changes) {
    if (change.path.empty()) {
      throw InputError(path, "", "must name the parameter that was changed");
    }
    const Parameter& changed = parameter(change.path);
    const double value = change.relative ? change.value + changed.get(setup) : change.value;
    try {
      changed.check(value);
    } catch (const InputError& error) {
      throw error.with_path(path + '.' + changed.path);
    }
  }
}

void check_tears(const Setup& setup, std::span<const TearObservation> tears) {
  check_count("tears", tears.size());
  for (const TearObservation& tear : tears) {
    case_range("tears.high").check("tears.up", tear.up);
    case_range("tears.high").check("tears.right", tear.right);
    case_range("tears.reading_error").check("tears.reading_error", tear.reading_error);
    if (tear.distance) {
      case_range("tears.distance").check("tears.distance", *tear.distance);
    }
    check_changes(setup, tear.changes, "tears.changes");
  }
  check_count("tears.bows", different_bows(tears));
}

void check_checks(std::span<const CheckObservation> checks) {
  check_count("checks", checks.size());
  for (const CheckObservation& check : checks) {
    const CaseRange range = range_of_check(check.what);
    range.check(range.path, check.value);
    const CaseRange error = range_of_error(range);
    error.check(error.path, check.error);
  }
}

void check_workshop(const Case& observed) {
  check_count("workshop.distances", observed.workshop.distances.size());
  for (const double each : observed.workshop.distances) {
    case_range("tears.distance").check("workshop.distances", each);
  }
  if (observed.shelf_clearance) {
    case_range("shelf_clearance").check("shelf_clearance", *observed.shelf_clearance);
  }
}

void check_priors(const Setup& setup, std::span<const PriorWidth> priors) {
  const std::vector<Adjustment> all = suspects(setup);
  for (const PriorWidth& each : priors) {
    (void)find_adjustment(all, each.adjustment);
    if (each.steps != 0.0) {
      case_range("priors").check("priors." + each.adjustment, each.steps);
    }
  }
}

}  // namespace detail

}  // namespace nockwise
