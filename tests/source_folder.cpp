#include "source_folder.hpp"

namespace nockwise {

std::string source_folder(const std::string& path) {
  return std::string(NOCKWISE_SOURCE_DIR) + (path.empty() ? "" : "/" + path);
}

}  // namespace nockwise
