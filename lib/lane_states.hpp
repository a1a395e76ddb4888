// The states of a pack's lanes, and the classical Runge–Kutta step between them. Private; for lane_engine.hpp.
#pragma once

#include "kernel/constants.hpp"
#include "kernel/pack.hpp"

namespace nockwise::detail {

template <class S>
class LaneStates;

/// All sums run from the left, as Odeint's do. A lane that does not step has a step of zero: its stages stay where it
/// is.
template <int N, class Isa>
class LaneStates<kernel::Pack<N, Isa>> {
 public:
  using S = kernel::Pack<N, Isa>;
  using M = kernel::Mask<N, Isa>;
  static constexpr int capacity = kernel::max_coordinates;

  /// Rates at a stage: velocities and accelerations.
  struct Rates {
    S v[capacity] = {}, a[capacity] = {};
  };
  struct State : Rates {
    S q[capacity] = {};
  };

  explicit LaneStates(int coordinates) : n_(coordinates) {}

  State now;                    // accepted
  State tried;                  // the end of the last step, accepted or not
  State at;                     // where the right-hand side is being evaluated
  Rates second, third, fourth;  // stages; `now` is the first
  S step{0.0};                  // of this tick [s]
  S tried_step{0.0};            // the last one [s]

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

  /// Go to an inner stage, `reach` along the rates `k`; its velocities go into `stage`.
  void go_to_stage(S reach, const Rates& k, Rates& stage) {
    for (int i = 0; i < n_; ++i) {
      at.q[i] = now.q[i] + reach * k.v[i];
      stage.v[i] = now.v[i] + reach * k.a[i];
    }
  }
  /// Go to the step's end, in the lanes that step.
  void go_to_end(M steps) {
    const S a_sixth = S(1.0 / 6.0) * step;
    const S a_third = S(1.0 / 3.0) * step;
    for (int i = 0; i < n_; ++i) {
      const S q = now.q[i] + a_sixth * now.v[i] + a_third * second.v[i] + a_third * third.v[i] + a_sixth * fourth.v[i];
      const S v = now.v[i] + a_sixth * now.a[i] + a_third * second.a[i] + a_third * third.a[i] + a_sixth * fourth.a[i];
      at.q[i] = select(steps, q, now.q[i]);
      at.v[i] = select(steps, v, now.v[i]);
    }
  }
  /// Go into the step tried instead, by Hermite's cubic (launch_stepper.hpp, interpolate), in the `lanes` that search.
  void go_between(M lanes, S share, Rates& stage) {
    const S rest = S(1.0) - share;
    const S a = (S(1.0) + S(2.0) * share) * rest * rest;
    const S b = share * rest * rest * tried_step;
    const S c = share * share * (S(3.0) - S(2.0) * share);
    const S d = share * share * (share - S(1.0)) * tried_step;
    for (int i = 0; i < n_; ++i) {
      at.q[i] = select(lanes, a * now.q[i] + b * now.v[i] + c * tried.q[i] + d * tried.v[i], at.q[i]);
      stage.v[i] = select(lanes, a * now.v[i] + b * now.a[i] + c * tried.v[i] + d * tried.a[i], stage.v[i]);
    }
  }

  /// The end just evaluated is the end of the step tried.
  void keep_end(M steps) { blend(steps, at, tried); }
  void accept(M lanes) { blend(lanes, tried, now); }
  /// The first evaluation was at the lanes' own states.
  void keep_first(M lanes) {
    for (int i = 0; i < n_; ++i) {
      now.a[i] = select(lanes, second.a[i], now.a[i]);
    }
  }
  /// Zero in the lanes whose step tried is all finite: a number that is not finite stays one when multiplied by zero.
  [[nodiscard]] S finite() const {
    S sum(0.0);
    for (int i = 0; i < n_; ++i) {
      sum = sum + S(0.0) * tried.q[i] + S(0.0) * tried.v[i] + S(0.0) * tried.a[i];
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
