// The string in pieces: point masses along each half between the nock and the cam, joined by springs (lib/README.md,
// "String in pieces"). A check of the lump at the nock, compiled apart from it: `accelerations` takes either.
//
// Masses are numbered from the nock. The last one holds the run to the cam's track, which stays the taut line that it
// is without them. Coordinates (inertial frame) follow those of kernel::Layout.
#pragma once

#include "kernel/lateral.hpp"

namespace nockwise::kernel {

inline constexpr int max_pieces = 16;  // of each half
inline constexpr int max_chain_coordinates = 2 * 3 * (max_pieces - 1);

/// The string as a lump at the nock and massless runs.
struct NoChain {
  static constexpr bool present = false;
};

/// The pieces of both halves but the runs to the cams, which are `Constants::string`.
struct StringChain {
  static constexpr bool present = true;
  int pieces = 1;                    // of each half, its run included
  LineConstants<double> piece[2]{};  // between two masses
  double mass[2][max_pieces]{};      // along each half [kg]
  double highest_frequency = 0.0;    // bound of the pieces' own, angular [1/s]
  double damping_time = 0.0;         // damping over stiffness [s]

  [[nodiscard]] int masses() const { return pieces - 1; }
  [[nodiscard]] int coordinates() const { return 6 * masses(); }
  /// First of the three coordinates of a mass, in what follows the layout's.
  [[nodiscard]] int at(int half, int i) const { return 3 * (half * masses() + i); }
  [[nodiscard]] int end(int half) const { return at(half, masses() - 1); }
};

inline Vector2<double> in_plane(const double* q, int at) { return {q[at], q[at + 1]}; }

/// The runs to the cams end at the last masses (as EndsAtNock). `q`, `v`: of the chain.
struct EndsAtMasses {
  const StringChain& chain;
  Vector2<double> grip, grip_rate;
  double grip_aside, grip_aside_rate;
  const double* q;
  const double* v;
  [[nodiscard]] StringEnd<double> end(int half) const {
    const int at = chain.end(half);
    return {in_plane(q, at) - grip, in_plane(v, at) - grip_rate, q[at + 2] - grip_aside, v[at + 2] - grip_aside_rate};
  }
};

/// A point of the string in the inertial frame: in the plane of the shot and sideways.
struct ChainPoint {
  Vector2<double> place, rate;
  double aside = 0.0, aside_rate = 0.0;
};

/// One piece, from the nock or a mass to the next mass: what it pulls the first with.
struct Piece {
  double length = 0.0;
  Pull<double> pull{};
};

inline Piece piece_between(const LineConstants<double>& line, const ChainPoint& from, const ChainPoint& to) {
  const Vector2<double> span = to.place - from.place;
  const double aside = to.aside - from.aside;
  Piece piece;
  piece.length = square_root(dot(span, span) + aside * aside);
  const double inverse = 1.0 / piece.length;
  const double rate = inverse * (dot(span, to.rate - from.rate) + aside * (to.aside_rate - from.aside_rate));
  const double share = inverse * line_tension(line, piece.length, rate);
  piece.pull = {share * span, share * aside};
  return piece;
}

inline ChainPoint mass_at(const double* q, const double* v, int at) {
  return {in_plane(q, at), in_plane(v, at), q[at + 2], v[at + 2]};
}

/// Accelerations of the masses into `a`, and the string's force on the nock in place of the runs' in `lines`.
template <int Links>
void add_chain(const StringChain& chain, double gravity, const ChainPoint& nock, const double* q, const double* v,
               LineLoads<double, Links>& lines, double* a) {
  lines.nock_force = {0.0, 0.0};
  lines.lateral.nock = 0.0;
  for (int h = 0; h < 2; ++h) {
    ChainPoint from = nock;
    Vector2<double> force[max_pieces]{};
    double aside[max_pieces]{};
    for (int i = 0; i < chain.masses(); ++i) {
      const ChainPoint to = mass_at(q, v, chain.at(h, i));
      const Piece piece = piece_between(chain.piece[h], from, to);
      (i == 0 ? lines.nock_force : force[i - 1]) += piece.pull.in_plane;
      (i == 0 ? lines.lateral.nock : aside[i - 1]) += piece.pull.aside;
      force[i] -= piece.pull.in_plane;
      aside[i] -= piece.pull.aside;
      from = to;
    }
    const int last = chain.masses() - 1;
    force[last] += lines.end_force[h];
    aside[last] += lines.end_pull[h];
    for (int i = 0; i < chain.masses(); ++i) {
      const int at = chain.at(h, i);
      a[at] = force[i].x / chain.mass[h][i];
      a[at + 1] = force[i].y / chain.mass[h][i] - gravity;
      a[at + 2] = aside[i] / chain.mass[h][i];
    }
  }
}

}  // namespace nockwise::kernel
