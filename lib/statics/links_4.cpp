// Statics for chains of 4 links.
#include "statics/brace.hpp"
#include "statics/draw_continuation.hpp"

namespace nockwise::detail {

template class Statics<4>;
template class DrawContinuation<4>;
NOCKWISE_BRACE(, 4)

}  // namespace nockwise::detail
