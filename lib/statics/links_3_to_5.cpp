// Statics for chains of three to five links, together because all read the same headers.
#include "statics/brace.hpp"
#include "statics/draw_continuation.hpp"
#include "statics/solvers.hpp"

namespace nockwise::detail {

template class Statics<3>;
template class DrawContinuation<3>;
NOCKWISE_BRACE(, 3)

template class Statics<4>;
template class DrawContinuation<4>;
NOCKWISE_BRACE(, 4)

template class Statics<5>;
template class DrawContinuation<5>;
NOCKWISE_BRACE(, 5)

}  // namespace nockwise::detail
