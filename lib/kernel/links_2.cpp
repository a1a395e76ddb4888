// Right-hand side and energy of one launch, for chains of 2 links.
#include "kernel/energy.hpp"

namespace nockwise::kernel {

NOCKWISE_RIGHT_HAND_SIDE(, 2)
NOCKWISE_ENERGY(, 2)

}  // namespace nockwise::kernel
