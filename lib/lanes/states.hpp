// The states of a pack's lanes, and the steps between them. Private; for lanes/launch_engine.hpp.
#pragma once

#include "kernel/constants.hpp"
#include "numerics/nystrom.hpp"
#include "numerics/pack.hpp"

namespace nockwise::detail {

template <class S>
class LaneStates;

/// A lane that does not step has a step of zero: its stages and its end stay where it is.
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

  void to_second() { sums().to_second(n_, now.q, now.v, now.a, at.q, at.v); }
  void to_third() { sums().to_third(n_, now.q, now.v, now.a, second, at.q, at.v); }
  void to_fourth() { sums().to_fourth(n_, now.q, now.v, now.a, second, third, at.q, at.v); }
  void to_end() { sums().to_end(n_, now.q, now.v, now.a, second, third, at.a, at.q, at.v); }
  /// It is where the lanes are now.
  void accept(M lanes) { blend(lanes, at, now); }
  /// The first evaluation was at the lanes' own states.
  void keep_first(M lanes) {
    for (int i = 0; i < n_; ++i) {
      now.a[i] = select(lanes, second[i], now.a[i]);
    }
  }
  /// Zero in the lanes whose present rates are all finite (a place is only where its rate is): a number that is not
  /// stays so when multiplied by zero.
  [[nodiscard]] S finite() const {
    S sum(0.0);
    for (int i = 0; i < n_; ++i) {
      sum = sum + S(0.0) * at.v[i] + S(0.0) * at.a[i];
    }
    return sum;
  }

 private:
  [[nodiscard]] NystromStep<S> sums() const { return NystromStep<S>(step); }
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
