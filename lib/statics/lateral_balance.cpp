#include "statics/lateral_balance.hpp"

#include "nockwise/units.hpp"

#include <numbers>

namespace nockwise::detail {

void check_guarded_cable(const ModelData& data, int h, const GuardedCable& cable, const char* when) {
  constexpr double nearest = 0.02;  // [m]
  const CableGuard& guard = data.setup.cable_guard;
  const std::string name = std::string("the ") + half_name(h) + " cable";
  const bool yoke = data.topology.cable_end[h] == CableEnd::yoke;
  const std::string leg = std::string("cables.") + half_name(h) + ".yoke.leg_length";
  if (!(cable.to_guard >= nearest) || !(cable.beyond_guard >= nearest)) {
    const std::string end = yoke ? "the junction of its yoke" : "the groove that lets it out";
    throw InputError("cable_guard.height", display(guard.height, Quantity::length, "mm", 1),
                     "must leave " + name + " at least 20 mm both from its groove to the guard and from there to " +
                         end + "; " + when + " these are " + display(cable.to_guard, Quantity::length, "mm", 1) +
                         " and " + display(cable.beyond_guard, Quantity::length, "mm", 1) + ": move the guard" +
                         (yoke ? ", or make " + leg + " shorter" : ""));
  }
  if (!(cable.slope <= steepest)) {
    throw InputError("cable_guard.offset", display(guard.offset, Quantity::length, "mm", 1),
                     "must not pull " + name + " aside by more than 17 deg, which it does " + when + " by " +
                         display(std::atan(cable.slope), Quantity::angle, "deg", 0) +
                         ": the model holds to there; see also cams.*.take_up_offset" +
                         (yoke ? ", the yoke's twists and " + leg : ""));
  }
}

void check_lean(const kernel::LateralState<double>& lateral) {
  for (int h = 0; h < 2; ++h) {
    if (!(std::fabs(lateral.lean[h]) <= steepest)) {
      throw SolverError("full draw", std::string("the ") + half_name(h) + " cam leans " +
                                         display(std::fabs(lateral.lean[h]), Quantity::angle, "deg", 0) +
                                         ": no line would stay on it, and the model holds to 17 deg; check "
                                         "limbs.*.twist_stiffness, the guard, shims and yokes");
    }
  }
}

std::string lean_caution(const UpperLower<double>& lean) {
  constexpr double much = 3.0 * std::numbers::pi / 180.0;
  std::string which;
  for (int h = 0; h < 2; ++h) {
    if (std::fabs(lean[h]) > much) {
      which += std::string(which.empty() ? "The " : " and the ") + half_name(h) + " cam leans " +
               display(std::fabs(lean[h]), Quantity::angle, "deg", 1);
    }
  }
  return which.empty() ? which
                       : which +
                             " at full draw. A string or cable can come off a leaning cam, which wrecks the bow and "
                             "injures people: do not draw it so. Have guard, yokes and shims put right by a qualified "
                             "technician, within what the maker's manual allows.";
}

}  // namespace nockwise::detail
