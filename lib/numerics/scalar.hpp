// The few operations beyond + − × ÷ that the kernels need of a scalar, for double. A pack of lanes (numerics/pack.hpp)
// provides the same set, so that one source runs a single launch or a batch, to the same bits. Nothing here branches on
// a value: conditions become masks and selections.
#pragma once

#include <cmath>

/// Everything a function calls becomes part of it: a third quicker, and slow to compile. Not where somebody waits for
/// the compiler (assertions, sanitizers), nor for bows of many links (CMakeLists.txt).
#if !defined(NOCKWISE_FLATTEN)
#if defined(NDEBUG) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define NOCKWISE_FLATTEN [[gnu::flatten]]
#else
#define NOCKWISE_FLATTEN
#endif
#endif

namespace nockwise::kernel {

inline double select(bool mask, double yes, double no) { return mask ? yes : no; }
inline bool both(bool a, bool b) { return a && b; }
inline bool either(bool a, bool b) { return a || b; }
inline bool differ(bool a, bool b) { return a != b; }
inline bool negate(bool a) { return !a; }
inline bool any(bool a) { return a; }
inline double maximum(double a, double b) { return a > b ? a : b; }
inline double minimum(double a, double b) { return a < b ? a : b; }
inline double square_root(double a) { return std::sqrt(a); }

/// What stands side by side in a scalar: one double (numerics/pack.hpp has more). `Isa`: its instruction set, a tag
/// that keeps what is compiled for it apart; none here.
template <class S>
struct Lanes;
template <>
struct Lanes<double> {
  static constexpr int count = 1;
  using Mask = bool;
  using Isa = void;
};
inline double in_lane(double value, int /*lane*/) { return value; }
inline bool in_lane(bool mask, int /*lane*/) { return mask; }
inline void set_lane(double& value, int /*lane*/, double to) { value = to; }
inline void set_lane(bool& mask, int /*lane*/, bool to) { mask = to; }

/// What a scalar has once per lane and is not a number: a pointer to a table.
template <class S, class T>
struct PerLane;
template <class T>
struct PerLane<double, T> {
  using type = T;
  static constexpr T all(T value) { return value; }
};
template <class S, class T>
using per_lane = typename PerLane<S, T>::type;
/// The same in every lane.
template <class S, class T>
constexpr per_lane<S, T> all_lanes(T value) {
  return PerLane<S, T>::all(value);
}
/// What is alike in every lane.
constexpr bool uniform(bool value) { return value; }

/// Whole part of a number that is not negative.
inline double whole_part(double a) { return static_cast<double>(static_cast<int>(a)); }

/// A row of a table, kept from call to call. A pack's lanes read from as many places; they gather a row anew only when
/// one of them has moved to another.
template <class S, int count>
struct RowWindow {};
/// Row `row` of a table of rows of `count` numbers.
template <int count>
const double* row_of(const double* table, double row, RowWindow<double, count>& /*window*/) {
  return table + count * static_cast<int>(row);
}

/// Nearest whole number, ties to even, for |a| below 2⁵¹: the sum's last bit is worth one.
template <class S>
S nearest_whole(S a) {
  const S shift(6755399441055744.0);  // 1.5 · 2⁵²
  return (a + shift) - shift;
}

/// Sine and cosine to an ulp for |angle| below 10⁶ rad. Cody and Waite's reduction by quarter turns with π/2 in three
/// parts, then the minimax polynomials of FDLIBM (Sun Microsystems 1993, k_sin.c and k_cos.c). Ours because the bits
/// must be the same alone, in a pack and on every machine, which no libm promises.
template <class S>
void sine_cosine(S angle, S& sine, S& cosine) {
  const S quarters = nearest_whole(angle * S(0.636619772367581343));
  S r = angle - quarters * S(1.57079632673412561417e+00);
  r -= quarters * S(6.07710050630396597660e-11);
  r -= quarters * S(2.02226624879595063154e-21);
  const S z = r * r;
  const S sine_tail = S(8.33333333332248946124e-03) +
                      z * (S(-1.98412698298579493134e-04) +
                           z * (S(2.75573137070700676789e-06) +
                                z * (S(-2.50507602534068634195e-08) + z * S(1.58969099521155010221e-10))));
  const S s = r + r * z * (S(-1.66666666666666324348e-01) + z * sine_tail);
  const S cosine_tail = S(4.16666666666666019037e-02) +
                        z * (S(-1.38888888888741095749e-03) +
                             z * (S(2.48015872894767294178e-05) +
                                  z * (S(-2.75573143513906633035e-07) +
                                       z * (S(2.08757232129817482790e-09) + z * S(-1.13596475577881948265e-11)))));
  const S half = S(0.5) * z;
  const S near = S(1.0) - half;
  const S c = near + (((S(1.0) - near) - half) + z * (z * cosine_tail));
  // Quarter turns modulo four, as −2, −1, 0, 1 or 2.
  const S turn = quarters - S(4.0) * nearest_whole(S(0.25) * quarters);
  const S size = maximum(turn, -turn);
  const S swapped_sine = select(size > S(0.5), c, s);
  const S swapped_cosine = select(size > S(0.5), s, c);
  const S plain_sine = select(size > S(1.5), s, swapped_sine);
  const S plain_cosine = select(size > S(1.5), c, swapped_cosine);
  // Sine changes sign at −1 and ±2, cosine at 1 and ±2.
  const S two = select(size > S(1.5), S(-1.0), S(1.0));
  sine = plain_sine * select(turn < S(-0.5), S(-1.0), two);
  cosine = plain_cosine * select(turn > S(0.5), S(-1.0), two);
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
Vector2<S>& operator+=(Vector2<S>& a, Vector2<S> b) {
  return a = a + b;
}
template <class S>
Vector2<S>& operator-=(Vector2<S>& a, Vector2<S> b) {
  return a = a - b;
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

/// a turned counter-clockwise by the angle of this cosine and sine.
template <class S>
Vector2<S> turned(S cosine, S sine, Vector2<S> a) {
  return {cosine * a.x - sine * a.y, sine * a.x + cosine * a.y};
}

/// An angle with its sine and cosine.
template <class S>
struct Turn {
  S angle{0.0}, cosine{1.0}, sine{0.0};
  Turn() = default;
  // NOLINTNEXTLINE(google-explicit-constructor): an angle is a turn
  Turn(S at) : angle(at) { sine_cosine(at, sine, cosine); }
};

/// Sign of a half of the bow: its side frame is (x, sign · y).
inline constexpr double half_sign[2] = {1.0, -1.0};

}  // namespace nockwise::kernel
