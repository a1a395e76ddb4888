// One sample of a sweep, and the bow that it shares with others. Private; for lib/sweep.
#pragma once

#include "launch/settle.hpp"

#include <exception>
#include <memory>
#include <optional>
#include <vector>

namespace nockwise::detail {

/// A bow that samples share, braced and drawn to its first stop once for all of them.
template <int Links>
struct SharedBow {
  std::shared_ptr<ModelData> data;  // of the first of them
  bool braced = false;
  DrawnBow<Links> draw;
  std::exception_ptr failure;  // of brace or draw
};

/// The same held by one hand, at the wall.
template <int Links>
struct HeldBow {
  std::shared_ptr<SharedBow<Links>> bow;
  std::shared_ptr<ModelData> data;  // of the first sample with it
  FullDraw<Links> draw;
  std::exception_ptr failure;  // the bow's, or of holding it

  [[nodiscard]] kernel::Constants<double, Links>& constants() const {
    return std::get<kernel::Constants<double, Links>>(data->constants);
  }
};

/// A sample on its way from its setup to its launch.
template <int Links>
struct Sample {
  std::size_t index = 0;
  std::shared_ptr<ModelData> data;  // until there is a model
  std::shared_ptr<HeldBow<Links>> held;
  std::optional<Model> model;               // once the bow is braced
  std::unique_ptr<Release<Links>> release;  // at full draw, ready for a lane; twelve kilobytes
  StepSearch step;                          // of the integrator
};
template <int Links>
using SampleQueue = std::vector<std::unique_ptr<Sample<Links>>>;

}  // namespace nockwise::detail
