// Statics for chains of 3 links.
#include "statics/brace.hpp"
#include "statics/draw_continuation.hpp"

namespace nockwise::detail {

template class Statics<3>;
template class DrawContinuation<3>;
NOCKWISE_BRACE(, 3)

}  // namespace nockwise::detail
