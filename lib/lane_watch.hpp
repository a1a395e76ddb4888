// The event functions of a pack's lanes, and the searches for where they change sign. Private; for lane_engine.hpp.
#pragma once

#include "event_search.hpp"
#include "kernel/pack.hpp"
#include "lane_record.hpp"
#include "launch_events.hpp"

namespace nockwise::detail {

template <class S>
class LaneWatch;

/// As launch_run.hpp: of the functions that changed their sign in a step the one that did so first is the event.
template <int N, class Isa>
class LaneWatch<kernel::Pack<N, Isa>> {
 public:
  using S = kernel::Pack<N, Isa>;
  using M = kernel::Mask<N, Isa>;
  using Values = WatchValues<S>;

  void start(M lanes, const Values& g) {
    for (std::size_t w = 0; w < watch_count; ++w) {
      value_[w] = select(lanes, g[w], value_[w]);
      positive_[w] = select(lanes, select(g[w] > S(0.0), S(1.0), S(0.0)), positive_[w]);
    }
  }
  void accept(M lanes, const Values& g) {
    for (std::size_t w = 0; w < watch_count; ++w) {
      value_[w] = select(lanes, g[w], value_[w]);
    }
  }
  /// String and arrow have parted: that event cannot come again.
  void part(M lanes) {
    positive_[watch_separation] = select(lanes, S(1.0), positive_[watch_separation]);
    value_[watch_separation] = select(lanes, S(1.0), value_[watch_separation]);
  }

  /// The lanes in which some function has changed its sign.
  [[nodiscard]] M crossed(const Values& g) const {
    M any_of{};
    for (std::size_t w = 0; w < watch_count; ++w) {
      any_of.bits |= (g[w] > S(0.0)).bits ^ (positive_[w] > S(0.5)).bits;
    }
    return any_of;
  }
  /// Search a step that ended with the values `g`; true when no look into it is needed.
  bool begin(const Values& g, int lane) {
    for (std::size_t w = 0; w < watch_count; ++w) {
      tried_[w].set(lane, g[w][lane]);
    }
    hunt_[lane] = Hunt{};
    return next(lane, 0);
  }
  /// Take a look at share(lane); true when the search is over.
  bool take(const Values& g, int lane) {
    Hunt& hunt = hunt_[lane];
    if (!hunt.search.take(g[static_cast<std::size_t>(hunt.watch)][lane])) {
      return false;
    }
    note_found(hunt);
    return next(lane, hunt.watch + 1);
  }
  /// Share of the step to look at next.
  [[nodiscard]] double share(int lane) const { return hunt_[lane].search.share(); }

  /// Share of the step at which the event found lies.
  [[nodiscard]] double event_share(int lane) const { return hunt_[lane].first_share; }
  /// The event found happens: its function has the other sign from here on, whatever rounding says.
  Sighting happen(int lane, double time) {
    const int watch = hunt_[lane].first_watch;
    const auto w = static_cast<std::size_t>(watch);
    const bool now_positive = !positive(w, lane);
    positive_[w].set(lane, now_positive ? 1.0 : 0.0);
    return {watch, now_positive, time};
  }

 private:
  struct Hunt {
    int watch = 0;  // being searched
    EventSearch<Isa> search;
    int first_watch = -1;  // the first event found so far, and its share of the step
    double first_share = 2.0;
  };

  [[nodiscard]] bool positive(std::size_t w, int lane) const { return positive_[w][lane] > 0.5; }
  static void note_found(Hunt& hunt) {
    if (hunt.search.share() < hunt.first_share) {
      hunt.first_share = hunt.search.share();
      hunt.first_watch = hunt.watch;
    }
  }
  /// Search the next function from `watch` on that changed its sign; true when there is none left to look for.
  bool next(int lane, int watch) {
    Hunt& hunt = hunt_[lane];
    for (; watch < watch_count; ++watch) {
      const auto w = static_cast<std::size_t>(watch);
      if ((tried_[w][lane] > 0.0) == positive(w, lane)) {
        continue;
      }
      hunt.watch = watch;
      hunt.search = EventSearch<Isa>(value_[w][lane], tried_[w][lane], positive(w, lane));
      if (!hunt.search.trivial()) {
        return false;
      }
      note_found(hunt);
    }
    return true;
  }

  Values value_{}, tried_{}, positive_{};  // at the last step's end, of the step tried; 1 where it stands above zero
  Hunt hunt_[N];
};

}  // namespace nockwise::detail
