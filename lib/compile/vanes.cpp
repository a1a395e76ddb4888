// A setup's vanes as the kernel reads them (kernel/vanes.hpp).
#include "compile/model_data.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise::detail {

kernel::VaneConstants<double> compile_vanes(const Setup& setup, double half_width) {
  const Fletching& vanes = setup.arrow.fletching;
  kernel::VaneConstants<double> c{};
  c.radius = 0.5 * setup.arrow.diameter;
  c.stiffness = vanes.edge_stiffness;
  c.inverse_fold = vanes.edge_stiffness / vanes.folding_force;
  c.fold_energy = vanes.folding_force * vanes.folding_force / vanes.edge_stiffness;
  c.friction = vanes.friction;
  // What is narrow against a vane's height is slipped off sideways before the vane folds.
  const double slip = 0.25 * vanes.height / half_width;
  c.launcher_share = 1.0 / (1.0 + slip * slip);
  c.rear = vanes.distance - 0.5 * vanes.length;
  c.front = vanes.distance + 0.5 * vanes.length;
  const int count = vane_count(vanes);
  if (count > 0) {
    c.height = vanes.height;
    c.inverse_front = 3.0 / vanes.length;
    c.inverse_rear = 6.0 / vanes.length;
  }
  const int on_one_side = (count - 1) / 2;
  for (int i = 0; i < count; ++i) {
    // Counted from the odd vane to both sides, so that the mirror image has the same angles to the bit.
    const double turn = vanes.clocking + 2.0 * std::numbers::pi * (i - on_one_side) / count;
    constexpr double level = 0.02;  // a vane that points down less would have to be 50 radii high to strike
    c.down[i] = std::min(-std::cos(turn), 1.0);
    c.right[i] = std::sin(turn);
    c.root[i] = c.radius * (c.down[i] - 1.0);
    c.tangent[i] = c.down[i] > level ? std::sin(turn) / c.down[i] : 0.0;
  }
  return c;
}

}  // namespace nockwise::detail
