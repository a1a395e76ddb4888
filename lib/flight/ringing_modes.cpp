#include "flight/ringing_modes.hpp"

#include "kernel/arrow_beam.hpp"
#include "statics/model_access.hpp"

#include <cmath>
#include <utility>

namespace nockwise::detail {

double project_on_mode(const ModelData& data, const std::vector<double>& nodal, Eigen::Index mode) {
  const auto nodes = static_cast<Eigen::Index>(nodal.size());
  const Eigen::Map<const Eigen::VectorXd> mass(data.nodal.mass, nodes);
  return data.modes.shapes.col(mode).cwiseProduct(mass).dot(Eigen::Map<const Eigen::VectorXd>(nodal.data(), nodes));
}

RingingModes::RingingModes(const Model& model, const ArrowState& free)
    : nodes_(model.setup().arrow.nodes), spacing_(data_of(model).nodal.spacing) {
  const ModelData& data = data_of(model);
  // The launch moved in its lowest modes alone.
  modes_.reserve(static_cast<std::size_t>(data.topology.modes));
  for (Eigen::Index k = 2; k < data.topology.modes; ++k) {
    Mode mode;
    mode.frequency = data.modes.frequency[k];
    mode.damping = 0.5 * data.nodal.damping_time * mode.frequency;
    mode.amplitude[0] = project_on_mode(data, free.y, k);
    mode.amplitude[1] = project_on_mode(data, free.z, k);
    mode.rate[0] = project_on_mode(data, free.velocity_y_nodes, k);
    mode.rate[1] = project_on_mode(data, free.velocity_z_nodes, k);
    mode.shape.assign(data.modes.shapes.col(k).begin(), data.modes.shapes.col(k).end());
    modes_.push_back(std::move(mode));
  }
}

std::array<double, 2> RingingModes::offset(double time, double from_nock) const {
  const double t = time;
  std::array<double, 2> offset{};
  const auto foot = kernel::stencil(from_nock, spacing_, nodes_);
  for (const Mode& mode : modes_) {
    // Eq. (51). Kelvin–Voigt damping grows with frequency; the highest modes do not swing at all.
    const double decay = mode.damping * mode.frequency;
    const double swing = mode.frequency * std::sqrt(std::fabs(1.0 - mode.damping * mode.damping));
    const bool swings = mode.damping < 1.0;
    const double fade = swings ? std::exp(-decay * t) : 0.5 * std::exp((swing - decay) * t);
    const double shrink = swings ? 0.0 : std::exp(-2.0 * swing * t);
    const double even = swings ? std::cos(swing * t) : 1.0 + shrink;
    const double odd = (swings ? std::sin(swing * t) : 1.0 - shrink) / swing;
    const double shape = foot.value(mode.shape.data());
    for (std::size_t p = 0; p < 2; ++p) {
      offset[p] += shape * fade * (mode.amplitude[p] * even + (mode.rate[p] + decay * mode.amplitude[p]) * odd);
    }
  }
  return offset;
}

}  // namespace nockwise::detail
