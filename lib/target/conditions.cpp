// The numbers of a long flight, and air by temperature and altitude.
#include "nockwise/error.hpp"
#include "nockwise/target.hpp"
#include "nockwise/units.hpp"

#include <cmath>

namespace nockwise {

namespace {

constexpr double sea_level_temperature = 288.15;  // [K] ISO 2533

/// A number of FlightConditions that is always there.
FlightNumber number(double FlightConditions::*field, const char* name, const char* unit, double low, double high,
                    const char* doc, const char* source) {
  return {name,
          unit,
          low,
          high,
          doc,
          source,
          [field](const FlightConditions& c) { return c.*field; },
          [field](FlightConditions& c, double value) { c.*field = value; }};
}

/// One that may be left to what stands for it.
FlightNumber number(std::optional<double> FlightConditions::*field, double otherwise, const char* name,
                    const char* unit, double low, double high, const char* doc, const char* source) {
  return {name,
          unit,
          low,
          high,
          doc,
          source,
          [field, otherwise](const FlightConditions& c) { return (c.*field).value_or(otherwise); },
          [field](FlightConditions& c, double value) { c.*field = value; }};
}

std::vector<FlightNumber> make_table() {
  using C = FlightConditions;
  return {
      number(&C::temperature, sea_level_temperature, "temperature", "K", 230.0, 330.0, "Temperature of the air.",
             "ISO 2533 at sea level"),
      number(&C::altitude, 0.0, "altitude", "m", -500.0, 6000.0, "Height of the place above the sea.", "ISO 2533"),
      number(&C::wind_along, "wind_along", "m/s", -30.0, 30.0,
             "Wind along the line of sight, positive toward the target.", "none: calm"),
      number(&C::wind_right, "wind_right", "m/s", -30.0, 30.0, "Wind across, positive to the archer's right.",
             "none: calm"),
      number(&C::wind_up, "wind_up", "m/s", -10.0, 10.0, "Wind upward, square to the line of sight.", "none: calm"),
      number(&C::gust, "gust", "m/s", 0.0, 10.0, "Standard deviation of the wind along and across; half of it up.",
             "none: calm"),
      number(&C::gust_length, "gust_length", "m", 1.0, 1000.0, "Way over which a gust's correlation falls to 1/e.",
             "from memory: some tens of metres at 2 m above ground"),
      number(&C::slope, "slope", "rad", -1.2, 1.2, "Slope of the line of sight, positive uphill.", "none: level"),
      number(&C::eye_height, "eye_height", "m", 0.02, 0.3, "Height of the eye above the arrow at full draw.",
             "from memory: peeps stand 4 to 5 in above the nock"),
      number(&C::sight_radius, "sight_radius", "m", 0.3, 1.5, "Distance from the eye to the sight's pin.",
             "from memory"),
      number(&C::drag_laminar, "drag_laminar", "", 0.0, 10.0,
             "Drag coefficient on the shaft's cross-section below the transition.",
             "1.5 in wind tunnel and free flight (Miyazaki et al. 2013); 1.56 with small vanes (Ortiz et al. 2020)"),
      number(&C::drag_turbulent, "drag_turbulent", "", 0.0, 10.0,
             "Drag coefficient on the shaft's cross-section above the transition.",
             "2.6 (Miyazaki et al. 2013; KAKENHI 18K03943)"),
      number(
          &C::transition_reynolds, "transition_reynolds", "", 1.0e3, 1.0e6,
          "Reynolds number on the shaft's diameter in the middle of the transition.",
          "about 2e4 (KAKENHI 18K03943); 1.2e4 with a bluff point, more with a streamlined one (Miyazaki et al. 2013)"),
      number(&C::transition_width, "transition_width", "", 0.01, 2.0,
             "Width of the transition in the logarithm of the Reynolds number.",
             "guessed: both values are seen at one number"),
      number(&C::cross_flow_drag, "cross_flow_drag", "", 0.0, 5.0,
             "Drag coefficient of the shaft in flow across it, on its length times its diameter.",
             "1.2, cylinder in cross-flow"),
      number(&C::vane_cant, "vane_cant", "rad", -0.2, 0.2,
             "Angle of the vanes to the shaft; positive spins it clockwise as the archer sees it.",
             "from memory: 1 to 3 degrees"),
      number(&C::head_area, "head_area", "m²", 0.0, 0.01,
             "Planform of a bladed head's blades that acts in any one plane: half of the sum of three or four.",
             "none: a field point"),
      number(&C::head_slope, "head_slope", "", 0.0, 20.0,
             "Normal-force coefficient of a bladed head's blades per radian, on that area.", "as vanes"),
  };
}

}  // namespace

std::span<const FlightNumber> flight_numbers() {
  static const std::vector<FlightNumber> table = make_table();
  return table;
}

void validate(const FlightConditions& conditions) {
  for (const FlightNumber& each : flight_numbers()) {
    const double value = each.get(conditions);
    if (!(value >= each.minimum && value <= each.maximum)) {
      const std::string unit = each.unit.empty() ? "" : " " + each.unit;
      throw InputError("conditions." + each.name, format_quantity(value, Quantity::dimensionless) + unit,
                       "must be from " + format_quantity(each.minimum, Quantity::dimensionless) + " to " +
                           format_quantity(each.maximum, Quantity::dimensionless) + unit);
    }
  }
}

Air air_at(double temperature, double altitude) {
  constexpr double gravity = 9.80665;     // [m/s²]
  constexpr double gas = 287.05287;       // of dry air [J/(kg·K)]
  constexpr double lapse = 0.0065;        // [K/m]
  constexpr double sea_level = 101325.0;  // [Pa]
  if (!(temperature >= 200.0 && temperature <= 340.0)) {
    throw InputError("temperature", format_quantity(temperature, Quantity::dimensionless) + " K",
                     "must be from 200 to 340 K");
  }
  if (!(altitude >= -1000.0 && altitude <= 11000.0)) {
    throw InputError("altitude", format_quantity(altitude, Quantity::dimensionless) + " m",
                     "must be from -1000 to 11000 m");
  }
  Air air;
  air.pressure = sea_level * std::pow(1.0 - lapse * altitude / sea_level_temperature, gravity / (gas * lapse));
  air.density = air.pressure / (gas * temperature);
  air.viscosity = 1.458e-6 * std::pow(temperature, 1.5) / (temperature + 110.4);
  return air;
}

}  // namespace nockwise
