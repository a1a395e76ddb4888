// Launches of one bow at a time, for chains of 3 links.
#include "launch/single_launch.hpp"

namespace nockwise::detail {

NOCKWISE_INITIAL_STATE(, 3)
NOCKWISE_RESULT(, 3)
NOCKWISE_LAUNCH_ALONE(3)

}  // namespace nockwise::detail
