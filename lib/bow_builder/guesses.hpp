// What a spec sheet leaves open, and what is plausible for it. Private.
#pragma once

#include "nockwise/bow_builder.hpp"

#include <cstddef>
#include <cstdint>
#include <vector>

namespace nockwise::detail {

/// A number for everything that a sheet leaves open.
struct Guesses {
  // Limbs.
  double limb_length = 0.0;  // of the equivalent rigid limb [m]
  double brace_angle = 0.0;  // from the riser's vertical [rad]
  double closing = 0.0;      // how far each axle comes nearer to the middle in the draw [m]
  double growth = 0.0;       // of a limb's moment from brace to full draw [fraction]
  // Cams.
  double cam_turn = 0.0;          // from brace to full draw [rad]
  double eccentricity = 0.0;      // of the string's circle [radii]
  double string_direction = 0.0;  // of its centre [rad]
  double let_out_radius = 0.0;    // [m]
  // The draw curve: from slender (0) to full (1), and how long its corners are.
  double fullness = 0.0;
  double corners = 1.0;
  // Moving masses and losses: from light (0) to heavy (1), see moving_parts().
  double heaviness = 0.0;
  // What no draw shows, against the setup around the bow.
  double guard_raised = 0.0;     // [m]
  double guard_offset = 1.0;     // [of the setup's]
  double twist_stiffness = 1.0;  // of the limbs, likewise
  double riser_mass = 1.0;       // likewise, and its inertia
};

/// Puts in what the guesses say of masses, guard, twist and riser.
void set_hidden_parts(Setup& setup, const Guesses& guesses);

/// How many guesses there are.
std::size_t count_of_guesses();
/// Guesses at a place in what is plausible: each from 0 to 1 in its span.
Guesses guesses_at(const BowMeasurements& measurements, const std::vector<double>& places);
/// A place, equally likely anywhere; `index` counts the draws of one seed.
std::vector<double> drawn_places(std::uint64_t seed, std::uint64_t index);

/// The middle of what is plausible.
Guesses central_guesses(const BowMeasurements& measurements);
/// A draw from what is plausible.
Guesses drawn_guesses(const BowMeasurements& measurements, std::uint64_t seed, std::uint64_t index);

}  // namespace nockwise::detail
