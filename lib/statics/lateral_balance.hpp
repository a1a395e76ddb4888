// The lateral plane at rest: leans and nock in equilibrium, and whether what is found can be (lib/README.md,
// "Release"). Private.
#pragma once

#include "compile/model_data.hpp"
#include "kernel/lateral.hpp"
#include "nockwise/units.hpp"
#include "statics/unknowns.hpp"

#include <cmath>
#include <string>

namespace nockwise::detail {

/// Slopes are small in the lateral plane and along the arrow: what lies steeper than this would fly a wrong tear [1].
inline constexpr double steepest = 0.3;

/// Lateral equilibrium of leans and nock (Eq. 46): linear, so seven evaluations give the system. Differences to either
/// side keep a mirrored bow the exact mirror image.
template <int Links>
kernel::LateralState<double> balance_lateral(const kernel::Constants<double, Links>& c,
                                             const kernel::Topology& topology,
                                             const kernel::HalfMotion<double, Links> (&m)[2],
                                             const kernel::LineLoads<double, Links>& lines,
                                             const kernel::RiserMotion<double>& riser, double grip_torque) {
  const auto at = [&](const Eigen::Vector3d& x) {
    return kernel::lateral_line_loads(c, topology, m, lines, riser,
                                      kernel::LateralState<double>{0.0, 0.0, 0.0, {x[0], x[1]}, x[2]});
  };
  const auto zero = at(Eigen::Vector3d::Zero());
  Eigen::Matrix<double, 4, 3> slope;  // rows: lean upper, lean lower, nock force, yaw moment
  for (int k = 0; k < 3; ++k) {
    const auto up = at(Eigen::Vector3d::Unit(k));
    const auto down = at(-Eigen::Vector3d::Unit(k));
    slope.col(k) << up.lean[0] - down.lean[0], up.lean[1] - down.lean[1], up.nock - down.nock, up.yaw - down.yaw;
    slope.col(k) *= 0.5;
  }
  const Eigen::Vector3d neutral =
      solve_three(slope.topRows<3>(), -Eigen::Vector3d{zero.lean[0], zero.lean[1], zero.nock});
  Eigen::Vector3d x = neutral;
  if (grip_torque != 0.0) {
    // The hand's extra moment: leans stay balanced, the bow's yaw moment changes by its opposite.
    Eigen::Matrix3d held;
    held << slope.row(0), slope.row(1), slope.row(3);
    x += solve_three(held, Eigen::Vector3d{0.0, 0.0, -grip_torque});
  }
  return {0.0, 0.0, 0.0, {x[0], x[1]}, x[2]};
}

/// The guard holds a cable between its groove and its far end or its yoke's junction: forces grow without bound as one
/// of these comes to it, and a junction beyond it would lie against it with a leg. \throws InputError saying what to
/// change
template <int Links>
void check_guard(const ModelData& data, const kernel::Constants<double, Links>& c,
                 const kernel::HalfMotion<double, Links> (&m)[2], const kernel::LineLoads<double, Links>& lines,
                 const char* when) {
  constexpr double nearest = 0.02;  // [m]
  const kernel::LateralState<double> straight{0.0, 0.0, 0.0, {0.0, 0.0}, 0.0};
  const Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  const CableGuard& guard = data.setup.cable_guard;
  for (int h = 0; h < 2; ++h) {
    const kernel::LateralFrame<double, Links> near(m[h], straight, h);
    const kernel::LateralFrame<double, Links> far(m[1 - h], straight, 1 - h);
    const auto path = kernel::cable_path(c, data.topology, m, lines, kernel::in_side_frame(riser, h), h, near, far);
    const std::string cable = std::string("the ") + half_name(h) + " cable";
    const bool yoke = data.topology.cable_end[h] == CableEnd::yoke;
    const std::string leg = std::string("cables.") + half_name(h) + ".yoke.leg_length";
    if (!(path.to_guard >= nearest) || !(path.beyond_guard >= nearest)) {
      const std::string end = yoke ? "the junction of its yoke" : "the groove that lets it out";
      throw InputError("cable_guard.height", display(guard.height, Quantity::length, "mm", 1),
                       "must leave " + cable + " at least 20 mm both from its groove to the guard and from there to " +
                           end + "; " + when + " these are " + display(path.to_guard, Quantity::length, "mm", 1) +
                           " and " + display(path.beyond_guard, Quantity::length, "mm", 1) + ": move the guard" +
                           (yoke ? ", or make " + leg + " shorter" : ""));
    }
    const double slope = std::fmax(std::fabs(path.guard_z - path.place_a) / path.to_guard,
                                   std::fabs(path.guard_z - path.place_b) / path.beyond_guard);
    if (!(slope <= steepest)) {
      throw InputError("cable_guard.offset", display(guard.offset, Quantity::length, "mm", 1),
                       "must not pull " + cable + " aside by more than 17 deg, which it does " + when + " by " +
                           display(std::atan(slope), Quantity::angle, "deg", 0) +
                           ": the model holds to there; see also cams.*.take_up_offset" +
                           (yoke ? ", the yoke's twists and " + leg : ""));
    }
  }
}

/// \throws SolverError where the cams lean beyond what small angles are
inline void check_lean(const kernel::LateralState<double>& lateral) {
  for (int h = 0; h < 2; ++h) {
    if (!(std::fabs(lateral.lean[h]) <= steepest)) {
      throw SolverError("full draw", std::string("the ") + half_name(h) + " cam leans " +
                                         display(std::fabs(lateral.lean[h]), Quantity::angle, "deg", 0) +
                                         ": no line would stay on it, and the model holds to 17 deg; check "
                                         "limbs.*.twist_stiffness, the guard, shims and yokes");
    }
  }
}

/// What to say of cams that lean, upper and lower [rad]; nothing where neither leans much.
inline std::string lean_caution(const UpperLower<double>& lean) {
  constexpr double much = 3.0 * 3.14159265358979324 / 180.0;
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
