// The states of a pack's lanes, and the classical Runge–Kutta step between them. Private; for lane_engine.hpp.
#pragma once

#include "kernel/constants.hpp"
#include "kernel/pack.hpp"

namespace nockwise::detail {

template <class S>
class LaneStates;

/// All sums run from the left, as Odeint's do. Of the stages only the accelerations are kept and the velocities made
/// again at the end: moving numbers between the levels of the cache costs more than a sum. A lane that does not step
/// has a step of zero: its stages stay where it is.
template <int N, class Isa>
class LaneStates<kernel::Pack<N, Isa>> {
 public:
  using S = kernel::Pack<N, Isa>;
  using M = kernel::Mask<N, Isa>;
  static constexpr int capacity = kernel::max_coordinates;

  struct State {
    S q[capacity] = {}, v[capacity] = {}, a[capacity] = {};
  };

  explicit LaneStates(int coordinates) : n_(coordinates) {}

  State now;                                      // accepted
  State at;                                       // where the right-hand side is being evaluated, and what it said last
  S second[capacity] = {}, third[capacity] = {};  // accelerations at the stages
  S step{0.0};                                    // of this tick [s]

  void load(int lane, const double* q) {
    for (int i = 0; i < n_; ++i) {
      now.q[i].set(lane, q[i]);
      now.v[i].set(lane, 0.0);
      now.a[i].set(lane, 0.0);
    }
  }
  void copy(int from, int to) {
    for (int i = 0; i < n_; ++i) {
      for (S* row : {now.q + i, now.v + i, now.a + i}) {
        row->set(to, (*row)[from]);
      }
    }
  }
  void read(int lane, double* q, double* v) const {
    for (int i = 0; i < n_; ++i) {
      q[i] = now.q[i][lane];
      v[i] = now.v[i][lane];
    }
  }

  /// Go to the second stage.
  void leave() {
    const S half = S(0.5) * step;
    for (int i = 0; i < n_; ++i) {
      at.q[i] = now.q[i] + half * now.v[i];
      at.v[i] = now.v[i] + half * now.a[i];
    }
  }
  /// Go on from an inner stage with the accelerations `a`, `share` of the step from its start.
  void go_on(S share, const S* a) {
    const S reach = share * step;
    for (int i = 0; i < n_; ++i) {
      at.q[i] = now.q[i] + reach * at.v[i];
      at.v[i] = now.v[i] + reach * a[i];
    }
  }
  /// Go to the step's end, in the lanes that step; the others go back to where they are.
  void arrive(M steps) {
    const S half = S(0.5) * step;
    const S a_sixth = S(1.0 / 6.0) * step;
    const S a_third = S(1.0 / 3.0) * step;
    for (int i = 0; i < n_; ++i) {
      const S v2 = now.v[i] + half * now.a[i];
      const S v3 = now.v[i] + half * second[i];
      const S q = now.q[i] + a_sixth * now.v[i] + a_third * v2 + a_third * v3 + a_sixth * at.v[i];
      const S v = now.v[i] + a_sixth * now.a[i] + a_third * second[i] + a_third * third[i] + a_sixth * at.a[i];
      at.q[i] = select(steps, q, now.q[i]);
      at.v[i] = select(steps, v, now.v[i]);
    }
  }
  /// It is where the lanes are now.
  void accept(M lanes) { blend(lanes, at, now); }
  /// The first evaluation was at the lanes' own states.
  void keep_first(M lanes) {
    for (int i = 0; i < n_; ++i) {
      now.a[i] = select(lanes, second[i], now.a[i]);
    }
  }
  /// Zero in the lanes whose present place is all finite: a number that is not finite stays one when multiplied by
  /// zero.
  [[nodiscard]] S finite() const {
    S sum(0.0);
    for (int i = 0; i < n_; ++i) {
      sum = sum + S(0.0) * at.q[i] + S(0.0) * at.v[i] + S(0.0) * at.a[i];
    }
    return sum;
  }

 private:
  void blend(M lanes, const State& from, State& to) const {
    for (int i = 0; i < n_; ++i) {
      to.q[i] = select(lanes, from.q[i], to.q[i]);
      to.v[i] = select(lanes, from.v[i], to.v[i]);
      to.a[i] = select(lanes, from.a[i], to.a[i]);
    }
  }

  int n_;
};

}  // namespace nockwise::detail
