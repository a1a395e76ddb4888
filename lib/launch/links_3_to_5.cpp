// Launches of one bow at a time, for chains of three to five links, together because all read the same headers.
#include "launch/single_launch.hpp"

namespace nockwise::detail {

NOCKWISE_INITIAL_STATE(, 3)
NOCKWISE_RESULT(, 3)
NOCKWISE_FLY_ALONE(3)

NOCKWISE_INITIAL_STATE(, 4)
NOCKWISE_RESULT(, 4)
NOCKWISE_FLY_ALONE(4)

NOCKWISE_INITIAL_STATE(, 5)
NOCKWISE_RESULT(, 5)
NOCKWISE_FLY_ALONE(5)

}  // namespace nockwise::detail
