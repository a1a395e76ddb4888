// Right-hand side and energy of one launch, for chains of 5 links.
#include "kernel/energy.hpp"

namespace nockwise::kernel {

NOCKWISE_RIGHT_HAND_SIDE(, 5)
NOCKWISE_ENERGY(, 5)

}  // namespace nockwise::kernel
