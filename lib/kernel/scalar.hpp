// The few operations beyond + − × ÷ that the kernels need of a scalar, for double. A pack of lanes provides the same
// set, so that one source runs a single launch or a batch. Nothing here branches on a value: conditions become masks
// and selections.
#pragma once

#include <cmath>

namespace nockwise::kernel {

inline double select(bool mask, double yes, double no) { return mask ? yes : no; }
inline double maximum(double a, double b) { return a > b ? a : b; }
inline double minimum(double a, double b) { return a < b ? a : b; }
inline double square_root(double a) { return std::sqrt(a); }
inline void sine_cosine(double angle, double& sine, double& cosine) {
  sine = std::sin(angle);
  cosine = std::cos(angle);
}

/// Positive part: max(a, 0).
template <class S>
S positive(S a) {
  return maximum(a, S(0.0));
}

/// A plane vector.
template <class S>
struct Vector2 {
  S x, y;
};

template <class S>
Vector2<S> operator+(Vector2<S> a, Vector2<S> b) {
  return {a.x + b.x, a.y + b.y};
}
template <class S>
Vector2<S> operator-(Vector2<S> a, Vector2<S> b) {
  return {a.x - b.x, a.y - b.y};
}
template <class S>
Vector2<S> operator*(S k, Vector2<S> a) {
  return {k * a.x, k * a.y};
}
template <class S>
S dot(Vector2<S> a, Vector2<S> b) {
  return a.x * b.x + a.y * b.y;
}
/// z component of a × b.
template <class S>
S cross(Vector2<S> a, Vector2<S> b) {
  return a.x * b.y - a.y * b.x;
}
/// k × a: a turned a quarter turn counter-clockwise.
template <class S>
Vector2<S> quarter_turn(Vector2<S> a) {
  return {-a.y, a.x};
}

/// Sign of a half of the bow: its side frame is (x, sign · y).
inline constexpr double half_sign[2] = {1.0, -1.0};

}  // namespace nockwise::kernel
