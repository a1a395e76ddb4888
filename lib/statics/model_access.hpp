// The library's way into a Model, which shows its data to nobody else. Private.
#pragma once

#include "compile/model_data.hpp"
#include "nockwise/model.hpp"

#include <memory>
#include <utility>

namespace nockwise::detail {

struct ModelAccess {
  static const ModelData& data(const Model& model) { return *model.data_; }
  static Model make(std::shared_ptr<const ModelData> data) { return Model(std::move(data)); }
};

inline const ModelData& data_of(const Model& model) { return ModelAccess::data(model); }

}  // namespace nockwise::detail
