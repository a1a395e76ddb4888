// Right-hand side and energy of one launch, for chains of three to five links, together because all read the same
// headers.
#include "kernel/energy.hpp"

namespace nockwise::kernel {

NOCKWISE_RIGHT_HAND_SIDE(, 3)
NOCKWISE_ENERGY(, 3)

NOCKWISE_RIGHT_HAND_SIDE(, 4)
NOCKWISE_ENERGY(, 4)

NOCKWISE_RIGHT_HAND_SIDE(, 5)
NOCKWISE_ENERGY(, 5)

}  // namespace nockwise::kernel
