// Statics for chains of 5 links.
#include "statics/brace.hpp"
#include "statics/draw_continuation.hpp"

namespace nockwise::detail {

template class Statics<5>;
template class DrawContinuation<5>;
NOCKWISE_BRACE(, 5)

}  // namespace nockwise::detail
