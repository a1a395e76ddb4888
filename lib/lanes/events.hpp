// The event functions of a pack's lanes, and where steps are to end on them. Private; for lanes/launch_engine.hpp.
#pragma once

#include "launch/event_locator.hpp"
#include "launch/events.hpp"
#include "launch/record.hpp"
#include "numerics/pack.hpp"

namespace nockwise::detail {

template <class S>
class LaneEvents;

template <int N, class Isa>
class LaneEvents<kernel::Pack<N, Isa>> {
 public:
  using S = kernel::Pack<N, Isa>;
  using M = kernel::Mask<N, Isa>;
  using Values = EventValues<S>;

  void start(M lanes, const Values& g) {
    prior_step_ = select(lanes, S(0.0), prior_step_);
    for (std::size_t w = 0; w < event_function_count; ++w) {
      value_[w] = select(lanes, g[w], value_[w]);
      positive_[w] = select(lanes, select(g[w] > S(0.0), S(1.0), S(0.0)), positive_[w]);
    }
  }
  /// 1 where the function stands above zero.
  [[nodiscard]] const S& sign(int watch) const { return positive_[static_cast<std::size_t>(watch)]; }
  /// Take the values at the end of a step of this length; `straight`: it did not end on an event.
  void accept(M lanes, const Values& g, S step, M straight) {
    for (std::size_t w = 0; w < event_function_count; ++w) {
      prior_[w] = select(lanes, value_[w], prior_[w]);
      value_[w] = select(lanes, g[w], value_[w]);
    }
    prior_step_ = select(lanes, select(straight, step, S(0.0)), prior_step_);
  }
  /// String and arrow have parted: that event cannot come again.
  void part(M lanes) {
    for (std::size_t w = 0; w < event_function_count; ++w) {
      if (ends_as_nock_leaves<Isa>(static_cast<int>(w))) {
        positive_[w] = select(lanes, S(1.0), positive_[w]);
        value_[w] = select(lanes, S(1.0), value_[w]);
      }
    }
  }

  /// The lanes in which some function has changed its sign.
  [[nodiscard]] M crossed(const Values& g) const {
    M any_of{};
    for (std::size_t w = 0; w < event_function_count; ++w) {
      any_of.bits |= (g[w] > S(0.0)).bits ^ (positive_[w] > S(0.5)).bits;
    }
    return any_of;
  }
  /// Land in a step of length `whole` that ended with the values `g`.
  void begin(const Values& g, double whole, int lane) {
    const double before = prior_step_[lane];
    typename Landing::Signs positive{};
    for (std::size_t w = 0; w < event_function_count; ++w) {
      positive[w] = this->positive(w, lane);
    }
    landing_[lane].begin(in_lane(prior_, lane), before > 0.0 ? -before / whole : 0.0, in_lane(value_, lane),
                         in_lane(g, lane), positive);
    whole_[lane] = whole;
  }
  /// Take the values where the lane has landed; true when it may stay there.
  bool take(const Values& g, int lane) { return landing_[lane].take(in_lane(g, lane)); }
  /// The event aimed at, its share of the whole step, and the step to it.
  [[nodiscard]] int event(int lane) const { return landing_[lane].watch(); }
  [[nodiscard]] double share(int lane) const { return landing_[lane].share(); }
  [[nodiscard]] double step(int lane) const { return whole_[lane] * share(lane); }
  /// The event landed on happens: its function has the other sign from here on, whatever rounding says.
  EventRecord happen(int lane, double time) {
    const int watch = event(lane);
    const auto w = static_cast<std::size_t>(watch);
    const bool now_positive = !positive(w, lane);
    positive_[w].set(lane, now_positive ? 1.0 : 0.0);
    return {watch, now_positive, time};
  }

 private:
  using Landing = EventLocator<Isa>;

  [[nodiscard]] bool positive(std::size_t w, int lane) const { return positive_[w][lane] > 0.5; }
  static typename Landing::Values in_lane(const Values& g, int lane) {
    typename Landing::Values values;
    for (std::size_t w = 0; w < event_function_count; ++w) {
      values[w] = g[w][lane];
    }
    return values;
  }

  Values value_{}, prior_{}, positive_{};  // at the last step's end, where it began; 1 where it stands above zero
  S prior_step_{0.0};                      // 0: that is not known, or lies beyond an event
  double whole_[N]{};                      // steps that are landed in
  Landing landing_[N];
};

}  // namespace nockwise::detail
