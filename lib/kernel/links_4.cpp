// Right-hand side and energy of one launch, for chains of 4 links.
#include "kernel/energy.hpp"

namespace nockwise::kernel {

NOCKWISE_RIGHT_HAND_SIDE(, 4)
NOCKWISE_ENERGY(, 4)

}  // namespace nockwise::kernel
