// Launches of one bow at a time, for chains of 1 link.
#include "launch/single_launch.hpp"

namespace nockwise::detail {

NOCKWISE_INITIAL_STATE(, 1)
NOCKWISE_RESULT(, 1)
NOCKWISE_FLY_ALONE(1)

}  // namespace nockwise::detail
