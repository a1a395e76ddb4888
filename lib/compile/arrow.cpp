// Arrow: lumped masses, bending stiffness, free modes (lib/README.md, "Arrow").
#include "compile/model_data.hpp"
#include "kernel/arrow_beam.hpp"
#include "numerics/beam_modes.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// Gregory's end-corrected weights (Eq. 19): exact for cubics, so mass, mass centre and inertia of the shaft are exact
/// for any node count.
double gregory_weight(int i, int nodes) {
  static constexpr double ends[] = {3.0 / 8.0, 7.0 / 6.0, 23.0 / 24.0};
  const int from_end = std::min(i, nodes - 1 - i);
  return from_end < 3 ? ends[from_end] : 1.0;
}

void lump_masses(const Arrow& arrow, kernel::NodalArrow<double>& c) {
  const int n = arrow.nodes;
  for (int i = 0; i < n; ++i) {
    c.mass[i] = arrow.linear_density * c.spacing * gregory_weight(i, n);
  }
  c.mass[0] += arrow.nock_mass;
  c.mass[n - 1] += arrow.point_mass + arrow.insert_mass;
  const double vanes = arrow.fletching.count * arrow.fletching.mass_each;
  const double position = arrow.fletching.distance / c.spacing;
  const int before = std::clamp(static_cast<int>(position), 0, n - 2);
  c.mass[before] += vanes * (before + 1 - position);
  c.mass[before + 1] += vanes * (position - before);
}

/// The rigid pair is known exactly; keeping it so keeps a free arrow's momentum exact.
void set_rigid_modes(const Eigen::VectorXd& mass, double spacing, double balance_point, ArrowModes& modes) {
  const auto n = mass.size();
  const Eigen::VectorXd arm =
      Eigen::VectorXd::LinSpaced(n, 0.0, spacing * static_cast<double>(n - 1)).array() - balance_point;
  modes.frequency.head(2).setZero();
  modes.shapes.col(0).setConstant(1.0 / std::sqrt(mass.sum()));
  modes.shapes.col(1) = arm / std::sqrt((mass.array() * arm.array().square()).sum());
}

kernel::NodalArrow<double> nodal_arrow(const Arrow& arrow, double& balance_point) {
  kernel::NodalArrow<double> c{};
  c.length = arrow.length;
  c.spacing = arrow.length / (arrow.nodes - 1);
  c.bending_stiffness = arrow.bending_stiffness;
  lump_masses(arrow, c);
  double moment = 0.0;
  for (int i = 0; i < arrow.nodes; ++i) {
    c.total_mass += c.mass[i];
    moment += c.mass[i] * i * c.spacing;
    c.inverse_mass[i] = 1.0 / c.mass[i];
  }
  balance_point = moment / c.total_mass;
  for (int i = arrow.nodes - 2; i >= 0; --i) {
    c.mass_ahead[i] = c.mass_ahead[i + 1] + c.mass[i + 1];
  }
  return c;
}

/// H = Σ m_ahead Δφ Δφᵀ / h over the segments (Eq. 23).
void compile_thrust(const kernel::NodalArrow<double>& beam, const ArrowModes& modes, int kept,
                    kernel::ArrowConstants<double>& c) {
  double step[kernel::max_modes];
  for (Eigen::Index j = 0; j + 1 < modes.shapes.rows(); ++j) {
    const double weight = beam.mass_ahead[j] / beam.spacing;
    for (int a = 0; a < kept; ++a) {
      step[a] = modes.shapes(j + 1, a) - modes.shapes(j, a);
      for (int b = 0; b <= a; ++b) {
        c.thrust[a][b] += weight * step[a] * step[b];
      }
    }
  }
  for (int a = 0; a < kept; ++a) {
    for (int b = 0; b < a; ++b) {
      c.thrust[b][a] = c.thrust[a][b];
    }
  }
}

/// How far a change of each mode's rate moves tail against point in the paper, at most: the shaft goes by the paper in
/// a hundredth of a second, turns until then, and its bends swing.
void compile_hole_rates(const ArrowModes& modes, int nodes, int kept, double length,
                        kernel::ArrowConstants<double>& c) {
  constexpr double until_paper = 0.03;  // [s]
  constexpr double speed = 75.0;        // [m/s]
  c.hole_rate[0] = length / speed / c.root_mass;
  for (int k = 1; k < kept; ++k) {
    const double spread = std::fabs(modes.shapes(0, k) - modes.shapes(nodes - 1, k));
    const double either = std::max(std::fabs(modes.shapes(0, k)), std::fabs(modes.shapes(nodes - 1, k)));
    const double time = k == 1 ? until_paper : std::min(until_paper, 1.0 / modes.frequency[k]);
    c.hole_rate[k] = std::max(spread, either) * time;
  }
}

/// Catmull–Rom's cubics between the nodes; beyond the ends stands a ghost node on the line through the last two.
void compile_spans(int nodes, int modes, const std::vector<double>& shapes, std::vector<double>& spans) {
  const auto at = [&](int node, int mode) { return shapes[node * modes + mode]; };
  spans.clear();
  spans.reserve(4 * (nodes - 1) * modes);
  for (int i = 0; i + 1 < nodes; ++i) {
    for (int k = 0; k < modes; ++k) {
      const double here = at(i, k);
      const double next = at(i + 1, k);
      const double before = i > 0 ? at(i - 1, k) : 2.0 * here - next;
      const double beyond = i + 2 < nodes ? at(i + 2, k) : 2.0 * next - here;
      spans.insert(spans.end(), {here, 0.5 * (next - before), before - 2.5 * here + 2.0 * next - 0.5 * beyond,
                                 0.5 * (beyond - before) + 1.5 * (here - next)});
    }
  }
}

}  // namespace

ArrowModes free_modes(const kernel::NodalArrow<double>& arrow, int nodes, int kept, double balance_point) {
  constexpr int reported = 4;
  const Eigen::Map<const Eigen::VectorXd> mass(arrow.mass, nodes);
  const int bending = std::min(std::max(kept - 2, reported), nodes - 2);
  const BendingModes found = bending_modes(mass, arrow.spacing, arrow.bending_stiffness, bending);
  ArrowModes modes{Eigen::VectorXd(bending + 2), Eigen::MatrixXd(nodes, bending + 2)};
  modes.frequency.tail(bending) = found.frequency;
  modes.shapes.rightCols(bending) = found.shapes;
  set_rigid_modes(mass, arrow.spacing, balance_point, modes);
  return modes;
}

kernel::SpineAround<double> spine_around(const Arrow& arrow) {
  const double twice = 2.0 * (arrow.fletching.clocking + arrow.spine_direction);
  return {1.0 + arrow.spine_difference * std::cos(twice), 1.0 - arrow.spine_difference * std::cos(twice),
          arrow.spine_difference * std::sin(twice)};
}

void share_arrow(const ModelData& like, ModelData& data) {
  data.nodal = like.nodal;
  data.modes = like.modes;
  data.balance_point = like.balance_point;
  data.shapes = like.shapes;
  data.spans = like.spans;
}

kernel::ArrowConstants<double> compile_arrow(ModelData& data) {
  const Arrow& arrow = data.setup.arrow;
  data.nodal = nodal_arrow(arrow, data.balance_point);
  const int kept = std::min(arrow.modes + 2, arrow.nodes);
  data.modes = free_modes(data.nodal, arrow.nodes, kept, data.balance_point);
  const double time = 2.0 * arrow.damping_ratio / data.modes.frequency[2];
  data.nodal.damping_time = time;

  kernel::ArrowConstants<double> c{};
  c.length = arrow.length;
  c.spacing = data.nodal.spacing;
  c.total_mass = data.nodal.total_mass;
  c.root_mass = std::sqrt(c.total_mass);
  c.balance = data.balance_point;
  for (int i = 0; i < arrow.nodes; ++i) {
    const double arm = i * c.spacing - c.balance;
    c.root_inertia += data.nodal.mass[i] * arm * arm;
  }
  c.root_inertia = std::sqrt(c.root_inertia);
  c.damping_time = time;
  c.nock_hold = arrow.nock_hold;
  c.around = spine_around(arrow);
  c.grip.stiffness = arrow.nock_stiffness;
  c.grip.friction = arrow.nock_friction;
  data.shapes.reserve(arrow.nodes * kept);
  for (int i = 0; i < arrow.nodes; ++i) {
    for (int k = 0; k < kept; ++k) {
      data.shapes.push_back(data.modes.shapes(i, k));
    }
  }
  for (int k = 0; k < kept; ++k) {
    c.stiffness[k] = data.modes.frequency[k] * data.modes.frequency[k];
    c.nock_shape[k] = data.modes.shapes(0, k);
    c.nock_slope[k] = (data.modes.shapes(1, k) - data.modes.shapes(0, k)) / c.spacing;
  }
  compile_hole_rates(data.modes, arrow.nodes, kept, c.length, c);
  compile_thrust(data.nodal, data.modes, kept, c);
  compile_spans(arrow.nodes, kept, data.shapes, data.spans);
  c.shapes.rows = data.shapes.data();
  c.shapes.spans = data.spans.data();
  return c;
}

}  // namespace nockwise::detail
