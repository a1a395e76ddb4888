// The shaft's bending modes in free flight. Private.
#pragma once

#include "compile/model_data.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/model.hpp"

#include <array>
#include <vector>

namespace nockwise::detail {

/// Modes that the launch moved in, ringing on as damped oscillators (Eq. 51), without aerodynamic forces. A shaft that
/// is stiffer one way rings in that plane and in the one across, each with its own frequency and damping.
class RingingModes {
 public:
  RingingModes(const Model& model, const ArrowState& free);
  /// Of the section `from_nock` [m] from the rigid-body line, y and z of the launch's frame, `time` after the arrow
  /// was clear [m].
  [[nodiscard]] std::array<double, 2> offset(double time, double from_nock) const;

 private:
  struct Mode {
    double frequency[2] = {}, damping[2] = {};  // in either plane [rad/s], fraction of critical
    double amplitude[2] = {}, rate[2] = {};     // in either plane, at the start
    std::vector<double> shape;                  // per node
  };
  std::vector<Mode> modes_;
  bool alike_ = true;              // both planes ring alike, as y and z
  double up_ = 1.0, aside_ = 0.0;  // the stiff plane's direction in y and z
  int nodes_ = 0;
  double spacing_ = 0.0;
};

/// Amplitude of a mode in values at the nodes.
[[nodiscard]] double project_on_mode(const ModelData& data, const std::vector<double>& nodal, Eigen::Index mode);

}  // namespace nockwise::detail
