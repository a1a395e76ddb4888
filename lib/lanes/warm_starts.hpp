// The run directions of a pack's lanes. Private; for lanes/launch_engine.hpp.
#pragma once

#include "kernel/line_loads.hpp"
#include "numerics/pack.hpp"

namespace nockwise::detail {

template <class S>
class LaneRunDirections;

/// Every evaluation moves the run directions on. A launch alone steps from where its last step ended, whatever it
/// looked at in between; so each lane marks its run directions before and after the step it tries, and returns to them.
template <int N, class Isa>
class LaneRunDirections<kernel::Pack<N, Isa>> {
 public:
  using S = kernel::Pack<N, Isa>;
  using M = kernel::Mask<N, Isa>;

  /// What the right-hand side reads and moves on.
  kernel::RunDirections<S>& now() { return now_; }

  void load(int lane, const kernel::RunDirections<double>& from) {
    turn(lane, from);
    forget_windows(lane);
  }
  /// Other run directions in the same bow.
  void turn(int lane, const kernel::RunDirections<double>& to) {
    for (int r = 0; r < runs; ++r) {
      set(lane, run(now_, r), run(to, r).u, run(to, r).cosine, run(to, r).sine);
    }
  }
  void copy(int from, int to) {
    for (int r = 0; r < runs; ++r) {
      const kernel::RunDirection<S>& run_direction = run(now_, r);
      set(to, run(now_, r), run_direction.u[from], run_direction.cosine[from], run_direction.sine[from]);
    }
    forget_windows(to);
  }
  void read(int lane, kernel::RunDirections<double>& to) const {
    for (int r = 0; r < runs; ++r) {
      const kernel::RunDirection<S>& from = run(now_, r);
      kernel::RunDirection<double>& run_direction = run(to, r);
      run_direction.u = from.u[lane];
      run_direction.cosine = from.cosine[lane];
      run_direction.sine = from.sine[lane];
    }
  }

  void mark_before(M lanes) {
    for (int r = 0; r < runs; ++r) {
      const kernel::RunDirection<S>& from = run(now_, r);
      before_[r].u = select(lanes, from.u, before_[r].u);
      before_[r].cosine = select(lanes, from.cosine, before_[r].cosine);
      before_[r].sine = select(lanes, from.sine, before_[r].sine);
    }
  }
  void mark_after(int lane) {
    for (int r = 0; r < runs; ++r) {
      const kernel::RunDirection<S>& from = run(now_, r);
      set(lane, after_[r], from.u[lane], from.cosine[lane], from.sine[lane]);
    }
  }
  void return_to_before(int lane) { return_to(lane, before_); }
  void return_to_after(int lane) { return_to(lane, after_); }

 private:
  static constexpr int runs = 4;  // both string halves, both cables
  struct Bearing {
    S u, cosine, sine;
  };

  template <class RunDirections>
  static auto& run(RunDirections& run_directions, int r) {
    return r < 2 ? run_directions.string[r] : run_directions.cable[r - 2];
  }
  template <class To>
  static void set(int lane, To& to, double u, double cosine, double sine) {
    to.u.set(lane, u);
    to.cosine.set(lane, cosine);
    to.sine.set(lane, sine);
  }
  void return_to(int lane, const Bearing (&mark)[runs]) {
    for (int r = 0; r < runs; ++r) {
      set(lane, run(now_, r), mark[r].u[lane], mark[r].cosine[lane], mark[r].sine[lane]);
    }
  }
  /// The lane reads other tables from here on.
  void forget_windows(int lane) {
    for (int r = 0; r < runs; ++r) {
      run(now_, r).near.row.set(lane, -1.0);
      run(now_, r).far.row.set(lane, -1.0);
    }
    now_.shaft.row.set(lane, -1.0);
  }

  kernel::RunDirections<S> now_{};
  Bearing before_[runs]{}, after_[runs]{};
};

}  // namespace nockwise::detail
