// A pack of lanes: as many numbers as the machine works on at once, with the operations of numerics/scalar.hpp, each
// rounded as for one double, so that a lane holds the same bits as a launch alone. GCC's and Clang's vector types do
// the work.
//
// `Isa` is a tag of the instruction set a source is compiled for. It keeps the kernels of one instruction set apart
// from those of another: the linker must never take a function compiled for AVX-512 into a program for an older
// machine.
#pragma once

#include "numerics/scalar.hpp"

#include <cstdint>
#include <cstring>

#if defined(__AVX512F__) || defined(__AVX2__)
#include <immintrin.h>
#endif

namespace nockwise::kernel {

/// The compiler's vector types (their size must not depend on a template's parameter).
template <int N>
struct VectorOf;
template <>
struct VectorOf<2> {
  using Numbers [[gnu::vector_size(16)]] = double;
  using Bits [[gnu::vector_size(16)]] = std::int64_t;
};
template <>
struct VectorOf<4> {
  using Numbers [[gnu::vector_size(32)]] = double;
  using Bits [[gnu::vector_size(32)]] = std::int64_t;
};
template <>
struct VectorOf<8> {
  using Numbers [[gnu::vector_size(64)]] = double;
  using Bits [[gnu::vector_size(64)]] = std::int64_t;
};

template <int N, class Isa>
struct Mask {
  using Bits = typename VectorOf<N>::Bits;
  Bits bits;

  [[nodiscard]] bool operator[](int lane) const { return bits[lane] != 0; }
};

template <int N, class Isa>
struct Pack {
  static constexpr int lanes = N;
  using Numbers = typename VectorOf<N>::Numbers;
  Numbers numbers;

  Pack() = default;
  explicit Pack(double all) : numbers(Numbers{} + all) {}
  explicit Pack(Numbers each) : numbers(each) {}

  [[nodiscard]] double operator[](int lane) const { return numbers[lane]; }
  void set(int lane, double value) { numbers[lane] = value; }

  friend Pack operator+(Pack a, Pack b) { return Pack(a.numbers + b.numbers); }
  friend Pack operator-(Pack a, Pack b) { return Pack(a.numbers - b.numbers); }
  friend Pack operator*(Pack a, Pack b) { return Pack(a.numbers * b.numbers); }
  friend Pack operator/(Pack a, Pack b) { return Pack(a.numbers / b.numbers); }
  friend Pack& operator+=(Pack& a, Pack b) { return a = a + b; }
  friend Pack& operator-=(Pack& a, Pack b) { return a = a - b; }
  friend Pack operator-(Pack a) { return Pack(-a.numbers); }
  friend Mask<N, Isa> operator>(Pack a, Pack b) { return {a.numbers > b.numbers}; }
  friend Mask<N, Isa> operator<(Pack a, Pack b) { return {a.numbers < b.numbers}; }
  friend Mask<N, Isa> operator>=(Pack a, Pack b) { return {a.numbers >= b.numbers}; }
  friend Mask<N, Isa> operator<=(Pack a, Pack b) { return {a.numbers <= b.numbers}; }
  friend Mask<N, Isa> operator!=(Pack a, Pack b) { return {a.numbers != b.numbers}; }
};

template <int N, class InstructionSet>
struct Lanes<Pack<N, InstructionSet>> {
  static constexpr int count = N;
  using Mask = kernel::Mask<N, InstructionSet>;
  using Isa = InstructionSet;
};
template <int N, class Isa>
double in_lane(const Pack<N, Isa>& pack, int lane) {
  return pack[lane];
}
template <int N, class Isa>
bool in_lane(const Mask<N, Isa>& mask, int lane) {
  return mask[lane];
}
template <int N, class Isa>
void set_lane(Pack<N, Isa>& pack, int lane, double to) {
  pack.set(lane, to);
}
template <int N, class Isa>
void set_lane(Mask<N, Isa>& mask, int lane, bool to) {
  mask.bits[lane] = to ? -1 : 0;
}

template <int N, class Isa>
Mask<N, Isa> both(Mask<N, Isa> a, Mask<N, Isa> b) {
  return {a.bits & b.bits};
}
template <int N, class Isa>
Mask<N, Isa> either(Mask<N, Isa> a, Mask<N, Isa> b) {
  return {a.bits | b.bits};
}
template <int N, class Isa>
Mask<N, Isa> differ(Mask<N, Isa> a, Mask<N, Isa> b) {
  return {a.bits ^ b.bits};
}
template <int N, class Isa>
Mask<N, Isa> negate(Mask<N, Isa> a) {
  return {~a.bits};
}

template <int N, class Isa>
Pack<N, Isa> select(Mask<N, Isa> mask, Pack<N, Isa> yes, Pack<N, Isa> no) {
  return Pack<N, Isa>(mask.bits ? yes.numbers : no.numbers);
}
template <int N, class Isa>
Pack<N, Isa> maximum(Pack<N, Isa> a, Pack<N, Isa> b) {
  return Pack<N, Isa>(a.numbers > b.numbers ? a.numbers : b.numbers);
}
template <int N, class Isa>
Pack<N, Isa> minimum(Pack<N, Isa> a, Pack<N, Isa> b) {
  return Pack<N, Isa>(a.numbers < b.numbers ? a.numbers : b.numbers);
}
template <int N, class Isa>
Pack<N, Isa> square_root(Pack<N, Isa> a) {
#if defined(__AVX512F__)
  if constexpr (N == 8) {
    return Pack<N, Isa>(_mm512_maskz_sqrt_pd(0xff, a.numbers));  // the plain one trips GCC's uninitialised warning
  }
#endif
#if defined(__AVX2__)
  if constexpr (N == 4) {
    return Pack<N, Isa>(_mm256_sqrt_pd(a.numbers));
  }
#endif
  Pack<N, Isa> root;
  for (int i = 0; i < N; ++i) {
    root.set(i, __builtin_sqrt(a[i]));
  }
  return root;
}
template <int N, class Isa>
Pack<N, Isa> whole_part(Pack<N, Isa> a) {
  const Pack<N, Isa> near = nearest_whole(a);
  return near - select(near > a, Pack<N, Isa>(1.0), Pack<N, Isa>(0.0));
}

/// Things that are no numbers, one per lane, each in a slot of eight bytes: see pack_constants.
template <int N, class Isa, class T>
struct PerLane<Pack<N, Isa>, T> {
  struct Slot {
    alignas(8) T value;
  };
  struct type {
    alignas(8 * N) Slot lane[N];
  };
  static constexpr type all(T value) {
    type result{};
    for (Slot& slot : result.lane) {
      slot.value = value;
    }
    return result;
  }
};
template <class Slots>
requires requires(const Slots& slots) { slots.lane[0].value; }
bool uniform(const Slots& slots) { return slots.lane[0].value; }

template <int N, class Isa>
bool any(Mask<N, Isa> mask) {
  std::int64_t all = 0;
  for (int i = 0; i < N; ++i) {
    all |= mask.bits[i];
  }
  return all != 0;
}

template <int N, class Isa, int count>
struct RowWindow<Pack<N, Isa>, count> {
  Pack<N, Isa> row{-1.0};  // none yet
  Pack<N, Isa> values[count];
};

/// Gather `used` numbers from row `row` for the lanes that have moved.
template <int count, int N, class Isa, class Slots>
[[gnu::noinline]] void move_window(const Slots& tables, Pack<N, Isa> row, int used,
                                   RowWindow<Pack<N, Isa>, count>& window) {
  for (int l = 0; l < N; ++l) {
    if (row[l] == window.row[l]) {
      continue;
    }
    const double* from = tables.lane[l].value + used * static_cast<std::int64_t>(row[l]);
    for (int i = 0; i < used; ++i) {
      window.values[i].set(l, from[i]);
    }
  }
  window.row = row;
}

template <int count, int N, class Isa, class Slots>
const Pack<N, Isa>* row_of(const Slots& tables, Pack<N, Isa> row, RowWindow<Pack<N, Isa>, count>& window) {
  if (any(row != window.row)) [[unlikely]] {
    move_window(tables, row, count, window);
  }
  return window.values;
}

/// The same for the cubics of an arrow's modes.
template <int count, int N, class Isa, class Slots>
const Pack<N, Isa>* span_of(const Slots& tables, Pack<N, Isa> span, int modes, RowWindow<Pack<N, Isa>, count>& window) {
  if (any(span != window.row)) [[unlikely]] {
    move_window(tables, span, 4 * modes, window);
  }
  return window.values;
}

}  // namespace nockwise::kernel
