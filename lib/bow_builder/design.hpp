// What a design may be refused for. Private.
#pragma once

#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"

namespace nockwise::detail {

/// No bow of this sheet is so quick, or so slow.
class SpeedUnmet : public InputError {
 public:
  /// `nearest` is what the builder reached [m/s]; above the sheet's speed the sheet is too slow.
  SpeedUnmet(const BowMeasurements& measurements, double nearest);
  [[nodiscard]] double nearest() const { return nearest_; }
  [[nodiscard]] bool too_fast() const { return too_fast_; }

 private:
  double nearest_;
  bool too_fast_;
};

/// Virtual mass of the lightest bow that one meets [kg]: a sheet that asks for less is too fast.
inline constexpr double lightest_virtual_mass = 0.0043;

/// The speed that a sheet asks for, rated or by chronograph [m/s]; 0 where it asks for none.
double speed_asked(const BowMeasurements& measurements);

/// Speed in the standard rating of a bow that draws and loses like this one [m/s].
double rated_speed(const DrawCycle& cycle, double virtual_mass);

}  // namespace nockwise::detail
