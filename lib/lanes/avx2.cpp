// Lanes for AVX2, four to a pack; compiled with that instruction set (CMakeLists.txt), run only on machines that have
// it (lanes/dispatch.cpp).
#include "lanes/instruction_set.hpp"

namespace nockwise::detail {

namespace {
struct Avx2 {};
}  // namespace

constinit const LaneBackend avx2_lanes = lane_backend_of<4, Avx2>("avx2");

}  // namespace nockwise::detail
