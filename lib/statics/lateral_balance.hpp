// The lateral plane at rest: whether what is found can be (lib/README.md, "Lateral plane"). Private.
#pragma once

#include "compile/model_data.hpp"
#include "kernel/line_loads.hpp"

#include <cmath>
#include <string>

namespace nockwise::detail {

/// Slopes are small in the lateral plane and along the arrow: what lies steeper than this would fly a wrong tear [1].
inline constexpr double steepest = 0.3;

/// What the guard does with a cable.
struct GuardedCable {
  double to_guard = 0.0, beyond_guard = 0.0;  // straight runs on either side of it [m]
  double slope = 0.0;                         // the steeper of the two, aside [1]
};

/// The guard holds a cable between its groove and its far end or its yoke's junction: forces grow without bound as one
/// of these comes to it, and a junction beyond it would lie against it with a leg. `h`: which half's cable it is;
/// `when`: "at brace" and the like. \throws InputError saying what to change
void check_guarded_cable(const ModelData& data, int h, const GuardedCable& cable, const char* when);

/// Both cables of a bow that stands still as `m` has it, as above.
template <int Links>
void check_guard(const ModelData& data, const kernel::Constants<double, Links>& c,
                 const kernel::HalfMotion<double, Links> (&m)[2], const kernel::LineLoads<double, Links>& lines,
                 const char* when) {
  const Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  for (int h = 0; h < 2; ++h) {
    const kernel::Leaning<double> near(m[h].limb_direction, 0.0);
    const kernel::Leaning<double> far(m[1 - h].limb_direction, 0.0);
    const kernel::CableStations<double> at =
        kernel::cable_stations(c, data.topology, m, lines.cable[h], kernel::in_side_frame(riser, h), h, near, far);
    const double slope =
        std::fmax(std::fabs(at.guard_z - at.start_z) / at.to_guard, std::fabs(at.guard_z - at.end_z) / at.beyond_guard);
    check_guarded_cable(data, h, {at.to_guard, at.beyond_guard, slope}, when);
  }
}

/// \throws SolverError where the cams lean beyond what small angles are
void check_lean(const kernel::LateralState<double>& lateral);

/// What to say of cams that lean, upper and lower [rad]; nothing where neither leans much.
std::string lean_caution(const UpperLower<double>& lean);

}  // namespace nockwise::detail
