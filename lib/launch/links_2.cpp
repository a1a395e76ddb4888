// Launches of one bow at a time, for chains of 2 links.
#include "launch/single_launch.hpp"

namespace nockwise::detail {

NOCKWISE_INITIAL_STATE(, 2)
NOCKWISE_RESULT(, 2)
NOCKWISE_FLY_ALONE(2)

}  // namespace nockwise::detail
