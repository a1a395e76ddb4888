// The string of a launch in pieces (lib/README.md, "String in pieces"). Private.
#pragma once

#include "kernel/string_chain.hpp"
#include "statics/brace.hpp"

#include <cmath>

namespace nockwise::detail {

using ChainCoordinates = std::array<double, kernel::max_chain_coordinates>;

/// Masses along one half and its share of the nock's (Eq. 54): a piece leaves half of its mass at either end, but the
/// run, whose end on the cam is nearly at rest, a third at its other.
inline double share_masses(double piece_mass, int masses, double (&mass)[kernel::max_pieces]) {
  for (int i = 0; i < masses; ++i) {
    mass[i] = i < masses - 1 ? piece_mass : (0.5 + 1.0 / 3.0) * piece_mass;
  }
  return 0.5 * piece_mass;
}

/// Put the masses of one half on its run at full draw, all pieces under the same strain.
template <int Links>
void lay_chain(const kernel::StringChain& chain, int h, const kernel::HalfMotion<double, Links>& m,
               const kernel::Line<double>& run, double stretched, const kernel::LateralState<double>& lateral,
               double offset, const Coordinates& q, ChainCoordinates& chain_q) {
  using L = kernel::Layout<Links>;
  const kernel::Leaning<double> lean(m.limb_direction, lateral.lean[h]);
  const auto groove = kernel::cam_point(lean, kernel::tangent_a<kernel::TrackRole::let_out>(run), offset);
  const kernel::Vector2<double> nock{q[L::string_x], kernel::half_sign[h] * q[L::string_y]};
  const kernel::Vector2<double> span = m.axle() + groove.leant - nock;
  const double aside = groove.aside - lateral.nock;
  const double straight = std::hypot(std::hypot(span.x, span.y), aside);
  for (int i = 0; i < chain.masses(); ++i) {
    const double from_nock = (i + 1) * stretched;
    double* at = chain_q.data() + chain.at(h, i);
    at[0] = nock.x + from_nock / straight * span.x;
    at[1] = kernel::half_sign[h] * (nock.y + from_nock / straight * span.y);
    at[2] = lateral.nock + from_nock / straight * aside;
  }
}

/// Cut each half of the string at full draw into pieces (Eq. 53). What is left of it in `c` is the run to the cam, and
/// the nock's share of the mass.
template <int Links>
void cut_string(const ModelData& data, const kernel::HalfMotion<double, Links> (&m)[2],
                const kernel::LineLoads<double, Links>& lines, const kernel::LateralState<double>& lateral,
                const Coordinates& q, kernel::Constants<double, Links>& c, kernel::StringChain& chain,
                ChainCoordinates& chain_q) {
  const BowString& string = data.setup.string;
  const double rigidity = string.axial_rigidity;
  const std::array<double, 2> free = free_at_brace(data, c);
  const double whole = rigidity / c.string[0].stiffness + rigidity / c.string[1].stiffness;
  const double density = string.mass / whole;
  chain.pieces = string.pieces;
  c.nock_mass = string.serving_and_loop_mass;
  for (int h = 0; h < 2; ++h) {
    kernel::LineConstants<double>& run = c.string[h];
    const double half = rigidity / run.stiffness;
    const double piece = free[h] / chain.pieces;
    const double cut = piece * chain.masses();
    chain.piece[h] = {piece, rigidity / piece, run.damping * half / piece};
    run = {run.natural - cut, rigidity / (half - cut), run.damping * half / (half - cut)};
    c.nock_mass += share_masses(density * piece, chain.masses(), chain.mass[h]);
    lay_chain(chain, h, m[h], lines.string[h], piece * (1.0 + lines.string_tension[h] / rigidity), lateral,
              c.half[h].string_z, q, chain_q);
    chain.damping_time = std::fmax(chain.damping_time, chain.piece[h].damping / chain.piece[h].stiffness);
    chain.highest_frequency = std::fmax(chain.highest_frequency, 2.0 * std::sqrt(rigidity / density) / piece);
  }
}

/// The step asked for, or the longest that the chain's quickest mode bears (Eq. 55); the integrator is stable to 1.6
/// times that and more.
/// \throws InputError when it is shorter than any that can be asked for
inline double step_in_pieces(const kernel::StringChain& chain, double asked_for) {
  constexpr double shortest = 1e-7;
  const double damping = 0.5 * chain.damping_time * chain.highest_frequency;
  const double beyond = damping > 1.0 ? damping + std::sqrt(damping * damping - 1.0) : 1.0;
  const double longest = 1.0 / (beyond * chain.highest_frequency);
  if (!(longest >= shortest)) {
    throw InputError(
        "string.pieces", std::to_string(chain.pieces),
        "must be fewer for so light or so strongly damped a string: its pieces are too quick for a step of "
        "0.1 µs");
  }
  return std::fmin(asked_for, longest);
}

}  // namespace nockwise::detail
