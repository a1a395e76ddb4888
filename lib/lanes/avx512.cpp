// Lanes for AVX-512, eight to a pack; compiled with that instruction set (CMakeLists.txt), run only on machines that
// have it (lanes/dispatch.cpp).
#include "lanes/instruction_set.hpp"

namespace nockwise::detail {

namespace {
struct Avx512 {};
}  // namespace

constinit const LaneBackend avx512_lanes = lane_backend_of<8, Avx512>("avx512");

}  // namespace nockwise::detail
