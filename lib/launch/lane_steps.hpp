// How long the next step of each lane is (lib/README.md, "Step"). Private; for launch/launch_engine.hpp.
#pragma once

#include "launch/vane_watch.hpp"

namespace nockwise::detail {

/// A launch goes by its whole step as long as that is no rougher (`LaneStates::roughness`) than usual bows make it. A
/// step that is rougher is taken again with half of it, and again: strings that go slack and come taut are followed so,
/// and all kinks without an event. From then on steps of that launch are held to less, in proportion to their length,
/// and grow again where they are smooth.
template <class S>
class LaneSteps {
 public:
  using M = typename kernel::Lanes<S>::Mask;

  void load(int lane, double whole_step) {
    for (S* step : {&whole_, &smooth_, &next_}) {
      kernel::set_lane(*step, lane, whole_step);
    }
    kernel::set_lane(sum_, lane, 0.0);
    kernel::set_lane(followed_, lane, 0.0);
  }
  [[nodiscard]] const S& whole() const { return whole_; }
  [[nodiscard]] double next(int lane) const { return kernel::in_lane(next_, lane); }
  /// Of all steps [m].
  [[nodiscard]] double roughness(int lane) const { return kernel::in_lane(sum_, lane); }

  /// Whether a step of this length and roughness is to be taken again, shorter.
  [[nodiscard]] bool too_rough(int lane, const S& roughness, const S& step) const {
    const double length = kernel::in_lane(step, lane);
    const double whole = kernel::in_lane(whole_, lane);
    const double limit = kernel::in_lane(followed_, lane) > 0.5 ? roughest_followed * length / whole : roughest;
    return kernel::in_lane(roughness, lane) > limit && length > shortest_share * whole;
  }
  void shorten(int lane, const S& step) {
    const double half = 0.5 * kernel::in_lane(step, lane);
    kernel::set_lane(smooth_, lane, half);
    kernel::set_lane(next_, lane, half);
    kernel::set_lane(followed_, lane, 1.0);
  }
  /// These lanes have stepped; `whole` ones did not end on an event.
  void accept(M lanes, M whole, const S& roughness) {
    sum_ = kernel::select(lanes, sum_ + roughness, sum_);
    // A step twice as long is sixteen times as rough, where it is smooth.
    const M smooth = roughness * whole_ < S(roughest_followed / 16.0) * smooth_;
    const S longer = kernel::minimum(S(2.0) * smooth_, whole_);
    smooth_ = kernel::select(kernel::both(kernel::both(lanes, whole), smooth), longer, smooth_);
    next_ = kernel::select(lanes, smooth_, next_);
  }
  /// In these lanes a vane may strike within the next steps: no longer one than `most`.
  void bound(M lanes, const S& most) { next_ = kernel::select(lanes, kernel::minimum(smooth_, most), next_); }

 private:
  // Half as much again as the roughest step of the demo bows whose strings stay taut [m].
  static constexpr double roughest = 6e-3;
  static constexpr double roughest_followed = 1.6e-3;   // of a whole step of a launch that has met a rougher one [m]
  static constexpr double shortest_share = 1.0 / 48.0;  // of the whole step

  S whole_{0.0}, smooth_{0.0}, next_{0.0};  // as the launch is told; as what was met allows; to be taken [s]
  S sum_{0.0};                              // of roughness [m]
  S followed_{0.0};                         // 1 once a step was too rough
};

}  // namespace nockwise::detail
