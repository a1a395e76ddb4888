/// @file
/// The kinds of parts that a bow can be built from.
#pragma once

#include "nockwise/export.hpp"

namespace NOCKWISE_EXPORT nockwise {

/// The hand that draws the string. A label: mirrored() makes the bow for the other hand.
enum class Handedness { right, left };
/// What the draw stop's peg touches.
enum class StopKind { none, limb, cable };
/// The end of a cable that is not taken up: a split yoke on the other limb's axle, or the let-out track of the other
/// cam.
enum class CableEnd { yoke, let_out };
/// The last two are drop-aways, pulled down by a limb or held up by a cable.
enum class RestKind { none, blade, capture, limb_driven, cable_driven };
enum class Side { upper, lower };
/// How a number came to be known, best first. Each says how far off the number may be, as `parameters()` tells.
enum class KnownBy {
  exact,      ///< counted, chosen or agreed; also what nothing can be known of apart from something else
  measured,   ///< on this bow, with the tools of a workshop
  specified,  ///< by the maker, of its kind
  typical,    ///< as it usually is with such bows
  guessed     ///< nobody knows; twice as far off as what is typical
};

}  // namespace nockwise
