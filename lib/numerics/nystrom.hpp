// The step of a launch. Private.
//
// A launch is q̈ = a(q, q̇): second order, its damping weak but for the shaft's quickest modes. A Nyström method (Hairer,
// Nørsett and Wanner, Solving Ordinary Differential Equations I, sec. II.14) uses that: with the accelerations aⱼ at
// its stages,
//
//   Qᵢ = q + cᵢ h q̇ + h² Σ āᵢⱼ aⱼ,   Vᵢ = q̇ + h Σ aᵢⱼ aⱼ,
//   q' = q + h q̇ + h² Σ b̄ⱼ aⱼ,       q̇' = q̇ + h Σ bⱼ aⱼ,
//
// four stages, the last at the step's end. What velocities do to forces is met by the Runge–Kutta rule (aᵢⱼ, bⱼ, cᵢ) of
// order four with c = 0, 1/4, 7/10, 1, whose quadrature is of order five. What places do is met by āᵢⱼ, of which three
// are free; a Runge–Kutta rule would have Ā = A². Order four asks for Σ bᵢāᵢⱼcⱼ = 1/24. The two conditions of order
// five, Σ bᵢcᵢāᵢⱼcⱼ = 1/30 and Σ bᵢāᵢⱼcⱼ² = 1/60, are missed on purpose, by 9/4000 and −1/500: that much makes
// oscillations hold without growing up to step × angular frequency = 4.0 undamped, 3.5 with a damping ratio of 0.24
// (the shaft's quickest mode) and 2.7 with 0.4, where the classical Runge–Kutta rule holds 2.8 to 2.9; and the error of
// an oscillation stays a fifth of that rule's (bench/work_precision.md, tests/lib/numerics/nystrom_test.cpp).
#pragma once

namespace nockwise::detail {

/// The sums of one step, for numbers or packs of them, so that a lane has the bits of a launch alone. `q`, `v` and the
/// accelerations `a1` are those at its start; all point to `n` numbers.
template <class S>
class NystromStep {
 public:
  explicit NystromStep(S step) : h_(step), hh_(step * step) {}

  void to_second(int n, const S* q, const S* v, const S* a1, S* q_at, S* v_at) const {
    const S c = S(0.25) * h_;
    const S d1 = S(1.0 / 32.0) * hh_;
    for (int i = 0; i < n; ++i) {
      q_at[i] = q[i] + c * v[i] + d1 * a1[i];
      v_at[i] = v[i] + c * a1[i];
    }
  }
  void to_third(int n, const S* q, const S* v, const S* a1, const S* a2, S* q_at, S* v_at) const {
    const S c = S(0.7) * h_;
    const S d1 = S(763.0 / 12500.0) * hh_;
    const S d2 = S(4599.0 / 25000.0) * hh_;
    const S e1 = S(-14.0 / 25.0) * h_;
    const S e2 = S(63.0 / 50.0) * h_;
    for (int i = 0; i < n; ++i) {
      q_at[i] = q[i] + c * v[i] + (d1 * a1[i] + d2 * a2[i]);
      v_at[i] = v[i] + (e1 * a1[i] + e2 * a2[i]);
    }
  }
  void to_fourth(int n, const S* q, const S* v, const S* a1, const S* a2, const S* a3, S* q_at, S* v_at) const {
    const S d1 = S(-283.0 / 1750.0) * hh_;
    const S d2 = S(129.0 / 250.0) * hh_;
    const S d3 = S(51.0 / 350.0) * hh_;
    const S e1 = S(83.0 / 35.0) * h_;
    const S e2 = S(-14.0 / 5.0) * h_;
    const S e3 = S(10.0 / 7.0) * h_;
    for (int i = 0; i < n; ++i) {
      q_at[i] = q[i] + h_ * v[i] + (d1 * a1[i] + d2 * a2[i] + d3 * a3[i]);
      v_at[i] = v[i] + (e1 * a1[i] + e2 * a2[i] + e3 * a3[i]);
    }
  }
  /// To the step's end. `a4` may not point to what is written.
  void to_end(int n, const S* q, const S* v, const S* a1, const S* a2, const S* a3, const S* a4, S* q_at,
              S* v_at) const {
    const S d1 = S(1.0 / 14.0) * hh_;
    const S d2 = S(8.0 / 27.0) * hh_;
    const S d3 = S(25.0 / 189.0) * hh_;
    const S e1 = S(1.0 / 14.0) * h_;
    const S e2 = S(32.0 / 81.0) * h_;
    const S e3 = S(250.0 / 567.0) * h_;
    const S e4 = S(5.0 / 54.0) * h_;
    for (int i = 0; i < n; ++i) {
      q_at[i] = q[i] + h_ * v[i] + (d1 * a1[i] + d2 * a2[i] + d3 * a3[i]);
      v_at[i] = v[i] + (e1 * a1[i] + e2 * a2[i] + e3 * a3[i] + e4 * a4[i]);
    }
  }

 private:
  S h_, hh_;
};

}  // namespace nockwise::detail
