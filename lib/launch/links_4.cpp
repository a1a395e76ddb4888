// Launches of one bow at a time, for chains of 4 links.
#include "launch/single_launch.hpp"

namespace nockwise::detail {

NOCKWISE_INITIAL_STATE(, 4)
NOCKWISE_RESULT(, 4)
NOCKWISE_LAUNCH_ALONE(4)

}  // namespace nockwise::detail
