// Shooting at a target, and setting the sight (nockwise/target.hpp).
#include "nockwise/target.hpp"

#include "nockwise/error.hpp"
#include "nockwise/units.hpp"
#include "target/long_flight.hpp"

#include <cmath>

namespace nockwise {

namespace {

void check(const char* name, double value, double low, double high, const char* unit) {
  if (!(value >= low && value <= high)) {
    const auto text = [unit](double number) { return format_quantity(number, Quantity::dimensionless) + unit; };
    throw InputError(name, text(value), "must be from " + text(low) + " to " + text(high));
  }
}

detail::LongFlight prepared(const Model& model, const Launch& launch, double distance,
                            const FlightConditions& conditions, const TargetFlightOptions& options) {
  if (launch.ended_by != LaunchEnd::arrow_clear) {
    throw InputError("launch", name_of(launch.ended_by),
                     "must have ended with arrow_clear: there is no flight to follow");
  }
  validate(conditions);
  check("step", options.step, 1e-5, 0.02, " s");
  check("aim.up", options.aim.up, -0.1, 0.1, " rad");
  check("aim.right", options.aim.right, -0.1, 0.1, " rad");
  check("aim.cant", options.aim.cant, -1.6, 1.6, " rad");
  check("fault.bend", options.fault.bend, -0.02, 0.02, " m");
  check("fault.bend_angle", options.fault.bend_angle, -10.0, 10.0, " rad");
  check("fault.vane_cant", options.fault.vane_cant, -0.2, 0.2, " rad");
  return {model, launch, distance, conditions, options};
}

constexpr double largest_sight = 0.6;  // [rad]

void check(const Sight& sight) {
  check("sight.elevation", sight.elevation, -largest_sight, largest_sight, " rad");
  check("sight.windage", sight.windage, -largest_sight, largest_sight, " rad");
}

/// A setting of the sight, and where the arrow arrives with it.
struct Search {
  Sight sight;
  double up = 0.0, right = 0.0;
};

}  // namespace

Arrival fly_to(const Model& model, const Launch& launch, double distance, const Sight& sight,
               const FlightConditions& conditions, const TargetFlightOptions& options) {
  check(sight);
  return prepared(model, launch, distance, conditions, options).shoot(sight);
}

std::vector<TargetPoint> flight_to(const Model& model, const Launch& launch, double distance, const Sight& sight,
                                   const FlightConditions& conditions, const TargetFlightOptions& options) {
  check(sight);
  std::vector<TargetPoint> points;
  (void)prepared(model, launch, distance, conditions, options).shoot(sight, &points);
  return points;
}

Sight sight_in(const Model& model, const Launch& launch, double distance, const FlightConditions& conditions,
               const TargetFlightOptions& options) {
  const detail::LongFlight flight = prepared(model, launch, distance, conditions, options);
  constexpr double near = 1e-9;  // [m]
  constexpr int most = 60;
  const auto miss = [&](const Sight& sight) {
    const Arrival arrival = flight.shoot(sight);
    return Search{sight, arrival.up, arrival.right};
  };
  Search last = miss({});
  // Secants in both directions alone; slopes start as those of a straight flight.
  double up_slope = distance;
  double right_slope = distance;
  for (int i = 0; i < most; ++i) {
    Sight next{last.sight.elevation - last.up / up_slope, last.sight.windage - last.right / right_slope};
    if (!(std::fabs(next.elevation) <= largest_sight && std::fabs(next.windage) <= largest_sight)) {
      throw SolverError("sight", "the bow cannot be sighted in for " + display(distance, Quantity::length, "m", 1) +
                                     ": even at " + display(largest_sight, Quantity::angle, "deg", 0) +
                                     " off the line of sight the arrow does not come to the middle");
    }
    const Search found = miss(next);
    if (std::hypot(found.up, found.right) < near) {
      return found.sight;
    }
    const double raised = found.sight.elevation - last.sight.elevation;
    const double turned = found.sight.windage - last.sight.windage;
    if (std::fabs(raised) > 1e-9) {
      up_slope = std::fmax((found.up - last.up) / raised, 0.1 * distance);
    }
    if (std::fabs(turned) > 1e-9) {
      right_slope = std::fmax((found.right - last.right) / turned, 0.1 * distance);
    }
    last = found;
  }
  throw SolverError("sight", "the search for the setting for " + display(distance, Quantity::length, "m", 1) +
                                 " still misses by " +
                                 display(std::hypot(last.up, last.right), Quantity::length, "mm", 2));
}

std::vector<SightMark> sight_marks(const Model& model, const Launch& launch, std::span<const double> distances,
                                   const FlightConditions& conditions) {
  std::vector<SightMark> marks;
  marks.reserve(distances.size());
  for (const double distance : distances) {
    SightMark mark;
    mark.distance = distance;
    mark.sight = sight_in(model, launch, distance, conditions);
    const double first = marks.empty() ? mark.sight.elevation : marks.front().sight.elevation;
    mark.below_first = conditions.sight_radius * (std::tan(mark.sight.elevation) - std::tan(first));
    mark.arrival = fly_to(model, launch, distance, mark.sight, conditions);
    marks.push_back(mark);
  }
  return marks;
}

}  // namespace nockwise
