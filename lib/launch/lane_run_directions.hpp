// The run directions of launches, one to a lane of the scalar. Private.
#pragma once

#include "kernel/line_loads.hpp"

namespace nockwise::detail {

/// Every evaluation moves the run directions on. A step starts from where the last one ended, whatever was evaluated
/// in between: each lane marks its run directions before and after the step it tries, and returns to them.
template <class S>
class LaneRunDirections {
 public:
  using M = typename kernel::Lanes<S>::Mask;

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
      copy_run(to, run(now_, r), run(now_, r), from);
    }
    forget_windows(to);
  }
  void read(int lane, kernel::RunDirections<double>& to) const {
    for (int r = 0; r < runs; ++r) {
      const kernel::RunDirection<S>& from = run(now_, r);
      kernel::RunDirection<double>& run_direction = run(to, r);
      run_direction.u = kernel::in_lane(from.u, lane);
      run_direction.cosine = kernel::in_lane(from.cosine, lane);
      run_direction.sine = kernel::in_lane(from.sine, lane);
    }
  }

  void mark_before(M lanes) {
    for (int r = 0; r < runs; ++r) {
      const kernel::RunDirection<S>& from = run(now_, r);
      before_[r].u = kernel::select(lanes, from.u, before_[r].u);
      before_[r].cosine = kernel::select(lanes, from.cosine, before_[r].cosine);
      before_[r].sine = kernel::select(lanes, from.sine, before_[r].sine);
    }
  }
  void mark_after(int lane) {
    for (int r = 0; r < runs; ++r) {
      copy_run(lane, after_[r], run(now_, r), lane);
    }
  }
  void return_to_before(int lane) {
    for (int r = 0; r < runs; ++r) {
      copy_run(lane, run(now_, r), before_[r], lane);
    }
  }
  void return_to_after(int lane) {
    for (int r = 0; r < runs; ++r) {
      copy_run(lane, run(now_, r), after_[r], lane);
    }
  }

 private:
  static constexpr int runs = 4;  // both string halves, both cables
  struct Mark {
    S u, cosine, sine;
  };

  template <class RunDirections>
  static auto& run(RunDirections& run_directions, int r) {
    return r < 2 ? run_directions.string[r] : run_directions.cable[r - 2];
  }
  template <class To>
  static void set(int lane, To& to, double u, double cosine, double sine) {
    kernel::set_lane(to.u, lane, u);
    kernel::set_lane(to.cosine, lane, cosine);
    kernel::set_lane(to.sine, lane, sine);
  }
  /// Lane `lane` of `to` becomes lane `source` of `from`.
  template <class To, class From>
  static void copy_run(int lane, To& to, const From& from, int source) {
    set(lane, to, kernel::in_lane(from.u, source), kernel::in_lane(from.cosine, source),
        kernel::in_lane(from.sine, source));
  }
  /// The lane reads other tables from here on.
  void forget_windows(int lane) {
    if constexpr (kernel::Lanes<S>::count > 1) {
      for (int r = 0; r < runs; ++r) {
        kernel::set_lane(run(now_, r).near.row, lane, -1.0);
        kernel::set_lane(run(now_, r).far.row, lane, -1.0);
      }
      kernel::set_lane(now_.shaft.row, lane, -1.0);
    }
  }

  kernel::RunDirections<S> now_{};
  Mark before_[runs]{}, after_[runs]{};
};

}  // namespace nockwise::detail
