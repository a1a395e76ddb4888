// Launches of one bow at a time, for chains of 5 links.
#include "launch/single_launch.hpp"

namespace nockwise::detail {

NOCKWISE_INITIAL_STATE(, 5)
NOCKWISE_RESULT(, 5)
NOCKWISE_LAUNCH_ALONE(5)

}  // namespace nockwise::detail
