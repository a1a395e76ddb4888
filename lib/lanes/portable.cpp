// Lanes for any machine: two to a pack.
#include "lanes/instruction_set.hpp"

namespace nockwise::detail {

namespace {
struct Portable {};
}  // namespace

constinit const LaneMachine portable_lanes = lane_machine_of<2, Portable>("portable");

}  // namespace nockwise::detail
