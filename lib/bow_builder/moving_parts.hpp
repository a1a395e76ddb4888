// Masses that move with the string, and losses: what a speed tells about and a draw board does not. Private.
#pragma once

#include "nockwise/setup.hpp"

namespace nockwise::detail {

/// Give a bow moving masses, line rigidities and dampers between those of a light quick bow (0) and of a heavy slow one
/// (1); a little beyond either end is possible.
void set_moving_parts(Setup& setup, double heaviness);
/// The same without the lines' rigidities, which change a draw.
void set_moving_masses(Setup& setup, double heaviness);

/// The setup with an arrow of that mass: the point's mass is changed, where that is not enough the shaft's, and for an
/// arrow lighter than any that is sold (a standard rating of a weak bow) all masses.
Setup with_arrow_of(Setup setup, double mass);

/// What a chronograph 36 in ahead of the grip shows [m/s].
double speed_of(const Setup& setup);

}  // namespace nockwise::detail
