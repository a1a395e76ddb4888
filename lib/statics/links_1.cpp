// Statics for chains of 1 link.
#include "statics/brace.hpp"
#include "statics/draw_continuation.hpp"
#include "statics/solvers.hpp"

namespace nockwise::detail {

template class Statics<1>;
template class DrawContinuation<1>;
NOCKWISE_BRACE(, 1)

}  // namespace nockwise::detail
