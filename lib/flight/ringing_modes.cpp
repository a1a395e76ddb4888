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

namespace {

/// What a damped oscillator does in a time: how much of its start is left, and of its start's rate.
struct Swing {
  double fade = 0.0, even = 0.0, odd = 0.0, decay = 0.0;
  Swing(double frequency, double damping, double t) {
    // Eq. (51). Kelvin–Voigt damping grows with frequency; the highest modes do not swing at all.
    decay = damping * frequency;
    const double swing = frequency * std::sqrt(std::fabs(1.0 - damping * damping));
    const bool swings = damping < 1.0;
    fade = swings ? std::exp(-decay * t) : 0.5 * std::exp((swing - decay) * t);
    const double shrink = swings ? 0.0 : std::exp(-2.0 * swing * t);
    even = swings ? std::cos(swing * t) : 1.0 + shrink;
    odd = (swings ? std::sin(swing * t) : 1.0 - shrink) / swing;
  }
};

}  // namespace

RingingModes::RingingModes(const Model& model, const ArrowState& free)
    : nodes_(model.setup().arrow.nodes), spacing_(data_of(model).nodal.spacing) {
  const ModelData& data = data_of(model);
  const Arrow& arrow = model.setup().arrow;
  alike_ = arrow.spine_difference == 0.0;
  if (!alike_) {
    up_ = std::cos(arrow.fletching.clocking + arrow.spine_direction);
    aside_ = std::sin(arrow.fletching.clocking + arrow.spine_direction);
  }
  const double planes[] = {1.0 + arrow.spine_difference, 1.0 - arrow.spine_difference};
  // The launch moved in its lowest modes alone.
  modes_.reserve(static_cast<std::size_t>(data.topology.modes));
  for (Eigen::Index k = 2; k < data.topology.modes; ++k) {
    Mode mode;
    const double place[] = {project_on_mode(data, free.y, k), project_on_mode(data, free.z, k)};
    const double rate[] = {project_on_mode(data, free.velocity_y_nodes, k),
                           project_on_mode(data, free.velocity_z_nodes, k)};
    for (std::size_t p = 0; p < 2; ++p) {
      mode.frequency[p] = data.modes.frequency[k] * std::sqrt(planes[p]);
      mode.damping[p] = 0.5 * data.nodal.damping_time * mode.frequency[p];
      const double sign = p == 0 ? 1.0 : -1.0;
      mode.amplitude[p] = up_ * place[p] + sign * aside_ * place[1 - p];
      mode.rate[p] = up_ * rate[p] + sign * aside_ * rate[1 - p];
    }
    mode.shape.assign(data.modes.shapes.col(k).begin(), data.modes.shapes.col(k).end());
    modes_.push_back(std::move(mode));
  }
}

std::array<double, 2> RingingModes::offset(double time, double from_nock) const {
  std::array<double, 2> offset{};
  const auto foot = kernel::stencil(from_nock, spacing_, nodes_);
  for (const Mode& mode : modes_) {
    const double shape = foot.value(mode.shape.data());
    Swing swing(mode.frequency[0], mode.damping[0], time);
    for (std::size_t p = 0; p < 2; ++p) {
      if (p == 1 && !alike_) {
        swing = Swing(mode.frequency[1], mode.damping[1], time);
      }
      offset[p] += shape * swing.fade *
                   (mode.amplitude[p] * swing.even + (mode.rate[p] + swing.decay * mode.amplitude[p]) * swing.odd);
    }
  }
  return {up_ * offset[0] - aside_ * offset[1], up_ * offset[1] + aside_ * offset[0]};
}

}  // namespace nockwise::detail
