// The headings of a pack's lanes. Private; for lanes/launch_engine.hpp.
#pragma once

#include "kernel/line_loads.hpp"
#include "numerics/pack.hpp"

namespace nockwise::detail {

template <class S>
class LaneHeadings;

/// Every evaluation moves the headings on. A launch alone steps from where its last step ended, whatever it looked at
/// in between; so each lane marks its headings before and after the step it tries, and returns to them.
template <int N, class Isa>
class LaneHeadings<kernel::Pack<N, Isa>> {
 public:
  using S = kernel::Pack<N, Isa>;
  using M = kernel::Mask<N, Isa>;

  /// What the right-hand side reads and moves on.
  kernel::Headings<S>& now() { return now_; }

  void load(int lane, const kernel::Headings<double>& from) {
    turn(lane, from);
    forget_windows(lane);
  }
  /// Other headings in the same bow.
  void turn(int lane, const kernel::Headings<double>& to) {
    for (int r = 0; r < runs; ++r) {
      set(lane, run(now_, r), run(to, r).u, run(to, r).cosine, run(to, r).sine);
    }
  }
  void copy(int from, int to) {
    for (int r = 0; r < runs; ++r) {
      const kernel::Heading<S>& heading = run(now_, r);
      set(to, run(now_, r), heading.u[from], heading.cosine[from], heading.sine[from]);
    }
    forget_windows(to);
  }
  void read(int lane, kernel::Headings<double>& to) const {
    for (int r = 0; r < runs; ++r) {
      const kernel::Heading<S>& from = run(now_, r);
      kernel::Heading<double>& heading = run(to, r);
      heading.u = from.u[lane];
      heading.cosine = from.cosine[lane];
      heading.sine = from.sine[lane];
    }
  }

  void mark_before(M lanes) {
    for (int r = 0; r < runs; ++r) {
      const kernel::Heading<S>& from = run(now_, r);
      before_[r].u = select(lanes, from.u, before_[r].u);
      before_[r].cosine = select(lanes, from.cosine, before_[r].cosine);
      before_[r].sine = select(lanes, from.sine, before_[r].sine);
    }
  }
  void mark_after(int lane) {
    for (int r = 0; r < runs; ++r) {
      const kernel::Heading<S>& from = run(now_, r);
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

  template <class Headings>
  static auto& run(Headings& headings, int r) {
    return r < 2 ? headings.string[r] : headings.cable[r - 2];
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

  kernel::Headings<S> now_{};
  Bearing before_[runs]{}, after_[runs]{};
};

}  // namespace nockwise::detail
