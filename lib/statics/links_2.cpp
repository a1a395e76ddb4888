// Statics for chains of 2 links.
#include "statics/brace.hpp"
#include "statics/draw_continuation.hpp"
#include "statics/solvers.hpp"

namespace nockwise::detail {

template class Statics<2>;
template class DrawContinuation<2>;
NOCKWISE_BRACE(, 2)

}  // namespace nockwise::detail
