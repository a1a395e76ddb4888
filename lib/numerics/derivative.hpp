// A number with its derivatives by N variables (forward mode of automatic differentiation): the operations of
// numerics/scalar.hpp, so that the kernels give a right-hand side and its derivatives from one source. Each value has
// the bits that a double would have. Masks look at values alone: where two branches meet, the derivative is that of the
// branch which the value takes. (a + b)′ = a′ + b′, (a b)′ = a′ b + a b′, (a/b)′ = (a′ − (a/b) b′)/b, (√a)′ = a′/(2√a).
#pragma once

#include "numerics/scalar.hpp"

#include <cstddef>
#include <cstdint>
#include <cstring>

namespace nockwise::kernel {

template <int N>
struct Derivative {
  double value;
  double slope[N];

  Derivative() = default;
  explicit Derivative(double constant) : value(constant), slope{} {}

  friend Derivative operator+(Derivative a, const Derivative& b) { return a += b; }
  friend Derivative operator-(Derivative a, const Derivative& b) { return a -= b; }
  friend Derivative operator*(const Derivative& a, const Derivative& b) {
    Derivative c;
    c.value = a.value * b.value;
    for (int i = 0; i < N; ++i) {
      c.slope[i] = a.slope[i] * b.value + a.value * b.slope[i];
    }
    return c;
  }
  friend Derivative operator/(const Derivative& a, const Derivative& b) {
    Derivative c;
    c.value = a.value / b.value;
    const double inverse = 1.0 / b.value;
    for (int i = 0; i < N; ++i) {
      c.slope[i] = (a.slope[i] - c.value * b.slope[i]) * inverse;
    }
    return c;
  }
  friend Derivative& operator+=(Derivative& a, const Derivative& b) {
    a.value += b.value;
    for (int i = 0; i < N; ++i) {
      a.slope[i] += b.slope[i];
    }
    return a;
  }
  friend Derivative& operator-=(Derivative& a, const Derivative& b) {
    a.value -= b.value;
    for (int i = 0; i < N; ++i) {
      a.slope[i] -= b.slope[i];
    }
    return a;
  }
  friend Derivative operator-(Derivative a) {
    a.scale(-1.0);
    return a;
  }
  friend bool operator>(const Derivative& a, const Derivative& b) { return a.value > b.value; }
  friend bool operator<(const Derivative& a, const Derivative& b) { return a.value < b.value; }
  friend bool operator>=(const Derivative& a, const Derivative& b) { return a.value >= b.value; }
  friend bool operator<=(const Derivative& a, const Derivative& b) { return a.value <= b.value; }
  friend bool operator!=(const Derivative& a, const Derivative& b) { return a.value != b.value; }

 private:
  void scale(double by) {
    value *= by;
    for (double& s : slope) {
      s *= by;
    }
  }
};

/// A function of `a` whose value there is `value` and whose own derivative is `rate`.
template <int N>
Derivative<N> chained(double value, double rate, const Derivative<N>& a) {
  Derivative<N> c;
  c.value = value;
  for (int i = 0; i < N; ++i) {
    c.slope[i] = rate * a.slope[i];
  }
  return c;
}

template <int N>
struct Lanes<Derivative<N>> {
  static constexpr int count = 1;
  using Mask = bool;
  using Isa = void;
};

template <int N>
Derivative<N> select(bool mask, const Derivative<N>& yes, const Derivative<N>& no) {
  return mask ? yes : no;
}
template <int N>
Derivative<N> maximum(const Derivative<N>& a, const Derivative<N>& b) {
  return a.value > b.value ? a : b;
}
template <int N>
Derivative<N> minimum(const Derivative<N>& a, const Derivative<N>& b) {
  return a.value < b.value ? a : b;
}
template <int N>
Derivative<N> square_root(const Derivative<N>& a) {
  const double root = square_root(a.value);
  return chained(root, 0.5 / root, a);
}
/// Steps: constant between them.
template <int N>
Derivative<N> whole_part(const Derivative<N>& a) {
  return Derivative<N>(whole_part(a.value));
}
template <int N>
Derivative<N> nearest_whole(const Derivative<N>& a) {
  return Derivative<N>(nearest_whole(a.value));
}
template <int N>
void sine_cosine(const Derivative<N>& angle, Derivative<N>& sine, Derivative<N>& cosine) {
  double s = 0.0;
  double c = 0.0;
  sine_cosine(angle.value, s, c);
  const Derivative<N> at = angle;  // either result may be where the angle was
  sine = chained(s, c, at);
  cosine = chained(c, -s, at);
}

/// What is no number takes as much room as a number with its derivatives, so that constants are copied slot by slot
/// (with_no_slopes).
template <int N, class T>
struct PerLane<Derivative<N>, T> {
  struct Slot {
    alignas(8) T value;
  };
  struct type {
    Slot lane[1];
    double unused[N];
    friend constexpr bool uniform(const type& slots) { return slots.lane[0].value; }
  };
  static constexpr type all(T value) { return {{{value}}, {}}; }
};
/// A table's numbers are constants.
template <int N, int count>
struct RowWindow<Derivative<N>, count> {
  Derivative<N> values[count];
};
template <int count, int N, class Slots>
const Derivative<N>* read_row(const Slots& table, const Derivative<N>& row, int used,
                              RowWindow<Derivative<N>, count>& window) {
  const double* from = table.lane[0].value + used * static_cast<std::int64_t>(row.value);
  for (int i = 0; i < used; ++i) {
    window.values[i] = Derivative<N>(from[i]);
  }
  return window.values;
}
template <int count, int N, class Slots>
const Derivative<N>* row_of(const Slots& table, const Derivative<N>& row, RowWindow<Derivative<N>, count>& window) {
  return read_row(table, row, count, window);
}
template <int count, int N, class Slots>
const Derivative<N>* span_of(const Slots& table, const Derivative<N>& span, int modes,
                             RowWindow<Derivative<N>, count>& window) {
  return read_row(table, span, 4 * modes, window);
}

/// `to` = `from`, each slot of eight bytes (a number, or a pointer) followed by N zeros: what a Constants<double> and a
/// Constants<Derivative<N>> are rows of.
template <int N, class From, class To>
void with_no_slopes(const From& from, To& to) {
  constexpr std::size_t slot = sizeof(double);
  static_assert(sizeof(To) == (N + 1) * sizeof(From));
  char* place = reinterpret_cast<char*>(&to);
  std::memset(place, 0, sizeof(To));
  for (std::size_t at = 0; at < sizeof(From); at += slot) {
    std::memcpy(place + (N + 1) * at, reinterpret_cast<const char*>(&from) + at, slot);
  }
}

}  // namespace nockwise::kernel
