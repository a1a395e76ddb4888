#include "lanes/dispatch.hpp"

namespace nockwise::detail {

const LaneBackend& lane_backend() {
#ifdef NOCKWISE_X86_LANES
  if (__builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512dq") != 0 &&
      __builtin_cpu_supports("avx512vl") != 0) {
    return avx512_lanes;
  }
  if (__builtin_cpu_supports("avx2") != 0) {
    return avx2_lanes;
  }
#endif
  return portable_lanes;
}

std::vector<const LaneBackend*> lane_backends() {
  std::vector<const LaneBackend*> all{&portable_lanes};
#ifdef NOCKWISE_X86_LANES
  const LaneBackend* widest = &lane_backend();
  if (widest != &portable_lanes) {
    all.push_back(&avx2_lanes);
  }
  if (widest == &avx512_lanes) {
    all.push_back(&avx512_lanes);
  }
#endif
  return all;
}

}  // namespace nockwise::detail
