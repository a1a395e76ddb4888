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
  Vector2<double> grip;
  const double* q;
  const double* v;
  [[nodiscard]] Vector2<double> place(int half) const { return in_plane(q, chain.end(half)) - grip; }
  [[nodiscard]] Vector2<double> velocity(int half) const { return in_plane(v, chain.end(half)); }
};

/// One piece, from the nock or a mass to the next mass.
struct Piece {
  Vector2<double> direction;
  double length, tension;
};

inline Piece piece_between(const LineConstants<double>& line, Vector2<double> from, Vector2<double> from_velocity,
                           Vector2<double> to, Vector2<double> to_velocity) {
  Piece piece{};
  const Vector2<double> span = to - from;
  piece.length = square_root(dot(span, span));
  piece.direction = (1.0 / piece.length) * span;
  piece.tension = line_tension(line, piece.length, dot(piece.direction, to_velocity - from_velocity));
  return piece;
}

/// Accelerations of the masses in the plane into `a`, and the string's force on the nock in place of the runs' in
/// `lines`; `share` receives tension over length of every piece, which is what pulls sideways (Eq. 33).
template <int Links>
void add_chain(const StringChain& chain, double gravity, Vector2<double> nock, Vector2<double> nock_velocity,
               const double* q, const double* v, LineLoads<double, Links>& lines, double (&share)[2][max_pieces],
               double* a) {
  lines.nock_force = {0.0, 0.0};
  for (int h = 0; h < 2; ++h) {
    Vector2<double> from = nock;
    Vector2<double> from_velocity = nock_velocity;
    Vector2<double>* force_on_last = &lines.nock_force;
    Vector2<double> force[max_pieces]{};
    for (int i = 0; i < chain.masses(); ++i) {
      const Vector2<double> to = in_plane(q, chain.at(h, i));
      const Vector2<double> to_velocity = in_plane(v, chain.at(h, i));
      const Piece piece = piece_between(chain.piece[h], from, from_velocity, to, to_velocity);
      share[h][i] = piece.tension / piece.length;
      *force_on_last += piece.tension * piece.direction;
      force[i] = -piece.tension * piece.direction;
      force_on_last = &force[i];
      from = to;
      from_velocity = to_velocity;
    }
    const Vector2<double> pull = lines.string_tension[h] * lines.string[h].direction;
    *force_on_last -= Vector2<double>{pull.x, half_sign[h] * pull.y};
    for (int i = 0; i < chain.masses(); ++i) {
      a[chain.at(h, i)] = force[i].x / chain.mass[h][i];
      a[chain.at(h, i) + 1] = force[i].y / chain.mass[h][i] - gravity;
    }
  }
}

/// Lateral accelerations of the masses into `a`, and the lateral force on the nock; `run`: of the runs on the last
/// masses.
inline double add_lateral_chain(const StringChain& chain, double nock_z, const double* q, const double (&run)[2],
                                const double (&share)[2][max_pieces], double* a) {
  double on_nock[2]{};
  for (int h = 0; h < 2; ++h) {
    double from = nock_z;
    double* force_on_last = &on_nock[h];
    double force[max_pieces]{};
    for (int i = 0; i < chain.masses(); ++i) {
      const double to = q[chain.at(h, i) + 2];
      const double pull = share[h][i] * (to - from);
      *force_on_last += pull;
      force[i] = -pull;
      force_on_last = &force[i];
      from = to;
    }
    *force_on_last += run[h];
    for (int i = 0; i < chain.masses(); ++i) {
      a[chain.at(h, i) + 2] = force[i] / chain.mass[h][i];
    }
  }
  return on_nock[0] + on_nock[1];
}

}  // namespace nockwise::kernel
