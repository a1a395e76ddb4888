// Numbers far from those of bows on which the usual step of a launch was tried. Private.
//
// The step's rules (launch/step_size.hpp) are bounds of stiffness and damping over inertia, set on bows that can be
// shot. Where some number is far from any such bow they may not see what decides the hole, so such a launch proves its
// step by a shorter one (launch/settle.hpp). The parameter table decides, so that a new parameter is judged from its
// first day.
#pragma once

#include "nockwise/setup.hpp"

namespace nockwise::detail {

/// Whether all that moves, gives or damps in this setup is within eight times its default either way, softer springs
/// but the shaft's apart; what may be zero or of either sign, within a tenth and a quarter of the way to the end of its
/// range or up to `Parameter::tried`; and no choice is one of `ChoiceParameter::untried`. Angles, turns and
/// surroundings do not count.
bool within_tried_ranges(const Setup& setup);

}  // namespace nockwise::detail
