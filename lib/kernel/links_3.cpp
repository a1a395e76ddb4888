// Right-hand side and energy of one launch, for chains of 3 links.
#include "kernel/energy.hpp"

namespace nockwise::kernel {

NOCKWISE_RIGHT_HAND_SIDE(, 3)
NOCKWISE_ENERGY(, 3)

}  // namespace nockwise::kernel
