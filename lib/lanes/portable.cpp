// Lanes for any machine: two to a pack.
#include "lanes/instruction_set.hpp"

namespace nockwise::detail {

namespace {
struct Portable {};
}  // namespace

constinit const LaneBackend portable_lanes = lane_backend_of<2, Portable>("portable");

}  // namespace nockwise::detail
