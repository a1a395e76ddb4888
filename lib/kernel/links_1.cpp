// Right-hand side and energy of one launch, for chains of 1 link.
#include "kernel/energy.hpp"

namespace nockwise::kernel {

NOCKWISE_RIGHT_HAND_SIDE(, 1)
NOCKWISE_ENERGY(, 1)

}  // namespace nockwise::kernel
