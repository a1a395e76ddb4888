// The event functions of launches, one to a lane of the scalar, and where steps are to end on them. Private; for
// launch/launch_engine.hpp.
#pragma once

#include "launch/event_locator.hpp"
#include "launch/events.hpp"
#include "launch/record.hpp"

namespace nockwise::detail {

template <class S>
class LaneEvents {
 public:
  static constexpr int lane_count = kernel::Lanes<S>::count;
  using M = typename kernel::Lanes<S>::Mask;
  using Isa = typename kernel::Lanes<S>::Isa;
  using Values = EventValues<S>;

  /// `tolerance`: what counts as zero, of a function's change over a step.
  explicit LaneEvents(double tolerance) {
    for (Locator& locator : locator_) {
      locator = Locator(tolerance);
    }
  }

  /// A launch begins in these lanes, with these values.
  void start(M lanes, const Values& g) {
    prior_step_ = kernel::select(lanes, S(0.0), prior_step_);
    for (std::size_t f = 0; f < event_function_count; ++f) {
      value_[f] = kernel::select(lanes, g[f], value_[f]);
      positive_[f] = kernel::select(lanes, kernel::select(g[f] > S(0.0), S(1.0), S(0.0)), positive_[f]);
    }
  }
  /// 1 where the function stands above zero.
  [[nodiscard]] const S& sign(int function) const { return positive_[function]; }
  /// Take the values at the end of a step of this length; `smooth`: it did not end on an event.
  void accept(M lanes, const Values& g, S step, M smooth) {
    for (std::size_t f = 0; f < event_function_count; ++f) {
      prior_[f] = kernel::select(lanes, value_[f], prior_[f]);
      value_[f] = kernel::select(lanes, g[f], value_[f]);
    }
    prior_step_ = kernel::select(lanes, kernel::select(smooth, step, S(0.0)), prior_step_);
  }
  /// String and arrow have separated: these events cannot come again.
  void separate(M lanes) {
    for (std::size_t f = 0; f < event_function_count; ++f) {
      if (ends_as_nock_leaves<Isa>(static_cast<int>(f))) {
        positive_[f] = kernel::select(lanes, S(1.0), positive_[f]);
        value_[f] = kernel::select(lanes, S(1.0), value_[f]);
      }
    }
  }

  /// The lanes in which some function has changed its sign.
  [[nodiscard]] M crossed(const Values& g) const {
    M any_of{};
    for (std::size_t f = 0; f < event_function_count; ++f) {
      any_of = kernel::either(any_of, kernel::differ(g[f] > S(0.0), positive_[f] > S(0.5)));
    }
    return any_of;
  }
  /// Locate the first event in a step of length `whole` that ended with the values `g`.
  void locate(const Values& g, double whole, int lane) {
    const double before = kernel::in_lane(prior_step_, lane);
    typename Locator::Signs positive{};
    for (std::size_t f = 0; f < event_function_count; ++f) {
      positive[f] = this->positive(f, lane);
    }
    locator_[lane].begin(values_in(prior_, lane), before > 0.0 ? -before / whole : 0.0, values_in(value_, lane),
                         values_in(g, lane), positive);
    whole_[lane] = whole;
  }
  /// Take the values where the lane's shorter step ended; true when that is the event.
  bool located(const Values& g, int lane) { return locator_[lane].located(values_in(g, lane)); }
  /// The event sought, its share of the whole step, and the step to it.
  [[nodiscard]] int event(int lane) const { return locator_[lane].event(); }
  [[nodiscard]] double share(int lane) const { return locator_[lane].share(); }
  [[nodiscard]] double step(int lane) const { return whole_[lane] * share(lane); }
  /// The event happens: its function has the other sign from here on, whatever rounding says of its value.
  EventRecord pass(int lane, double time) {
    const int function = event(lane);
    const auto f = function;
    const bool now_positive = !positive(f, lane);
    kernel::set_lane(positive_[f], lane, now_positive ? 1.0 : 0.0);
    return {function, now_positive, time};
  }

 private:
  using Locator = EventLocator<Isa>;

  [[nodiscard]] bool positive(std::size_t f, int lane) const { return kernel::in_lane(positive_[f], lane) > 0.5; }
  static typename Locator::Values values_in(const Values& g, int lane) {
    typename Locator::Values values;
    for (std::size_t f = 0; f < event_function_count; ++f) {
      values[f] = kernel::in_lane(g[f], lane);
    }
    return values;
  }

  Values value_{}, prior_{}, positive_{};  // at the last step's end, where it began; 1 where it stands above zero
  S prior_step_{0.0};                      // 0: that is not known, or lies beyond an event
  double whole_[lane_count]{};             // steps in which an event is being located
  Locator locator_[lane_count];
};

}  // namespace nockwise::detail
