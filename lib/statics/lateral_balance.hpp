// The lateral plane at rest: leans and nock in equilibrium, and whether what is found can be (lib/README.md,
// "Release"). Private.
#pragma once

#include "compile/model_data.hpp"
#include "kernel/lateral.hpp"
#include "numerics/dense_solvers.hpp"

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
  const kernel::LateralState<double> straight{0.0, 0.0, 0.0, {0.0, 0.0}, 0.0};
  const Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  for (int h = 0; h < 2; ++h) {
    const kernel::LateralFrame<double, Links> near(m[h], straight, h);
    const kernel::LateralFrame<double, Links> far(m[1 - h], straight, 1 - h);
    const auto path = kernel::cable_path(c, data.topology, m, lines, kernel::in_side_frame(riser, h), h, near, far);
    const double slope = std::fmax(std::fabs(path.guard_z - path.place_a) / path.to_guard,
                                   std::fabs(path.guard_z - path.place_b) / path.beyond_guard);
    check_guarded_cable(data, h, {path.to_guard, path.beyond_guard, slope}, when);
  }
}

/// \throws SolverError where the cams lean beyond what small angles are
void check_lean(const kernel::LateralState<double>& lateral);

/// What to say of cams that lean, upper and lower [rad]; nothing where neither leans much.
std::string lean_caution(const UpperLower<double>& lean);

}  // namespace nockwise::detail
