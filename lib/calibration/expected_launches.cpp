// How much work a calibration is, before it is done.
#include "causes/case_ranges.hpp"
#include "nockwise/calibration.hpp"

#include <algorithm>
#include <vector>

namespace nockwise {

std::size_t expected_launches(const CalibrationCase& measured) {
  const std::size_t parameters = calibration_parameters(measured.setup).size();
  std::vector<TearObservation> shots = measured.measurements.tears;
  for (const SpeedMeasurement& each : measured.measurements.speeds) {
    TearObservation shot;
    shot.changes = each.changes;
    shots.push_back(shot);
  }
  constexpr std::size_t slopes = 5;  // how often the fit asks for them, as a rule
  return slopes * (2 * parameters + 1) * std::max<std::size_t>(1, detail::different_bows(shots));
}

}  // namespace nockwise
