// The states of launches, one to a lane of the scalar, and the steps between them. Private; for
// launch/launch_engine.hpp.
#pragma once

#include "kernel/constants.hpp"
#include "kernel/string_chain.hpp"
#include "numerics/nystrom.hpp"

namespace nockwise::detail {

/// A lane that does not step has a step of zero: its stages and its end stay where it is.
template <class S>
class LaneStates {
 public:
  using M = typename kernel::Lanes<S>::Mask;
  // Strings in pieces are launched one at a time.
  static constexpr int capacity =
      kernel::max_coordinates + (kernel::Lanes<S>::count == 1 ? kernel::max_chain_coordinates : 0);

  struct State {
    S q[capacity] = {}, v[capacity] = {}, a[capacity] = {};
  };

  explicit LaneStates(int coordinates) : n_(coordinates) {}

  State now;                                      // accepted
  State at;                                       // where the right-hand side is being evaluated, and what it said last
  S second[capacity] = {}, third[capacity] = {};  // accelerations at the stages
  S step{0.0};                                    // of this tick [s]

  [[nodiscard]] int size() const { return n_; }

  void load(int lane, const double* q, const double* v) {
    for (int i = 0; i < n_; ++i) {
      kernel::set_lane(now.q[i], lane, q[i]);
      kernel::set_lane(now.v[i], lane, v[i]);
      kernel::set_lane(now.a[i], lane, 0.0);
    }
  }
  void copy(int from, int to) {
    for (int i = 0; i < n_; ++i) {
      for (S* row : {now.q + i, now.v + i, now.a + i}) {
        kernel::set_lane(*row, to, kernel::in_lane(*row, from));
      }
    }
  }
  void read(int lane, double* q, double* v) const {
    for (int i = 0; i < n_; ++i) {
      q[i] = kernel::in_lane(now.q[i], lane);
      v[i] = kernel::in_lane(now.v[i], lane);
    }
  }

  void to_second() { sums().to_second(n_, now.q, now.v, now.a, at.q, at.v); }
  void to_third() { sums().to_third(n_, now.q, now.v, now.a, second, at.q, at.v); }
  void to_fourth() { sums().to_fourth(n_, now.q, now.v, now.a, second, third, at.q, at.v); }
  void to_end() { sums().to_end(n_, now.q, now.v, now.a, second, third, at.a, at.q, at.v); }
  /// How rough the step is: the third difference of the accelerations at its four stages, which a cubic in time does
  /// not have, times the step, by how far that would move the hole if all of it were an error of the arrow's rates [m].
  /// No error, but like the errors it is large where the accelerations have a kink. `hole_rate`: of each mode; `first`
  /// of the coordinates of either plane. To be called with the last stage's accelerations in `at.a`.
  [[nodiscard]] S roughness(const S* hole_rate, int first, int modes) const {
    S sum(0.0);
    for (int plane = 0; plane < 2; ++plane, first += modes) {
      for (int k = 0; k < modes; ++k) {
        const int i = first + k;
        const S difference = S(1.0 / 0.225) * (at.a[i] - third[i]) + S(1.0 / 0.175) * (third[i] - now.a[i]) -
                             S(1.0 / 0.084375) * (third[i] - second[i]);
        sum = sum + hole_rate[k] * kernel::maximum(difference, -difference);
      }
    }
    return step * sum;
  }
  /// The lanes are now where their step ended.
  void accept(M lanes) {
    for (int i = 0; i < n_; ++i) {
      now.q[i] = kernel::select(lanes, at.q[i], now.q[i]);
      now.v[i] = kernel::select(lanes, at.v[i], now.v[i]);
      now.a[i] = kernel::select(lanes, at.a[i], now.a[i]);
    }
  }
  /// The first evaluation was at the lanes' own states.
  void keep_first(M lanes) {
    for (int i = 0; i < n_; ++i) {
      now.a[i] = kernel::select(lanes, second[i], now.a[i]);
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

  int n_;
};

}  // namespace nockwise::detail
