// Which contacts are engaged in each lane's launch. Private; for launch/launch_engine.hpp.
#pragma once

#include "launch/lane_events.hpp"

namespace nockwise::detail {

template <class S>
class LaneContactModes {
 public:
  using M = typename kernel::Lanes<S>::Mask;

  [[nodiscard]] const kernel::ContactModes<S>& all() const { return modes_; }
  [[nodiscard]] M attached() const { return modes_.string > S(0.5); }

  /// A launch begins in this lane: on the string, everything else as it stands.
  void load(int lane) {
    kernel::set_lane(modes_.string, lane, 1.0);
    kernel::set_lane(modes_.launcher, lane, kernel::as_it_stands);
    for (S& cable : modes_.cable) {
      kernel::set_lane(cable, lane, kernel::as_it_stands);
    }
  }
  /// In these lanes the modes are what the events' functions say; from here on events switch them.
  void read(M lanes, const LaneEvents<S>& events) {
    for (int f = 0; f < event_function_count; ++f) {
      if (S* mode = contact_mode_of(modes_, f)) {
        *mode = kernel::select(lanes, events.sign(f), *mode);
      }
    }
  }
  /// As after the event. False where it switches none.
  bool switch_at(int event, int lane) {
    S* const mode = contact_mode_of(modes_, event);
    if (mode != nullptr) {
      kernel::set_lane(*mode, lane, 1.0 - kernel::in_lane(*mode, lane));
    }
    return mode != nullptr;
  }
  /// In these lanes the nock leaves the string.
  void separate(M lanes) {
    const kernel::ContactModes<S> after = after_release(modes_);
    modes_.string = kernel::select(lanes, after.string, modes_.string);
    for (int h = 0; h < 2; ++h) {
      modes_.cable[h] = kernel::select(lanes, after.cable[h], modes_.cable[h]);
    }
  }

 private:
  kernel::ContactModes<S> modes_{};
};

}  // namespace nockwise::detail
