// Where to end a step so that it ends on its first event. Private.
//
// A step in which event functions change sign is taken again, shorter, until it ends on the first of them. Where that
// is, is guessed from the parabola through the function's values where the step begins, where it ended too late, and
// where the step before it began; or, from the second try on, at the last two ends that were tried. The first try is
// mostly good enough. A state machine, so that a lane of a pack can land while others step.
#pragma once

#include "launch/events.hpp"

#include <cmath>

namespace nockwise::detail {

/// What counts as zero, of an event function's change over a step: 1 µs of a step of 200.
inline constexpr double usual_event_tolerance = 5e-3;

/// `Isa` as for kernel::Pack: the code of one instruction set stays apart.
template <class Isa>
class EventLocator {
 public:
  using Values = EventValues<double>;
  using Signs = std::array<bool, event_function_count>;

  EventLocator() = default;
  /// `enough`: what counts as zero, of the function's change over the step.
  explicit EventLocator(double enough) : tolerance_(enough) {}

  /// A whole step from values `early` to `late`, and `prior` at `prior_share` of it (below zero: the step before it
  /// began there; 0: not known). `positive`: signs at the start, as the events so far have left them.
  void begin(const Values& prior, double prior_share, const Values& early, const Values& late, const Signs& positive) {
    third_ = {prior_share, prior};
    early_ = {0.0, early};
    late_ = {1.0, late};
    for (std::size_t f = 0; f < event_function_count; ++f) {
      enough_[f] = tolerance_ * magnitude(late[f] - early[f]);
    }
    positive_ = positive;
    knows_third_ = prior_share < 0.0;
    tries_ = 0;
    aim();
  }
  /// The event aimed at, and the share of the whole step to take next.
  [[nodiscard]] int event() const { return event_; }
  [[nodiscard]] double share() const { return share_; }

  /// Take the values where the step ended now; true when it ends on the event.
  bool located(const Values& g) {
    ++tries_;
    bool passed = false;  // another event, or well past this one
    for (int f = 0; f < event_function_count; ++f) {
      const auto at = f;
      passed = passed || (changed(g[at], at) && !(f == event_ && magnitude(g[at]) <= enough_[at]));
    }
    const auto aimed = event_;
    if (at_once_ || tries_ == most_tries || (!passed && magnitude(g[aimed]) <= enough_[aimed])) {
      return true;
    }
    Place& end = passed ? late_ : early_;
    third_ = end;
    end = {share_, g};
    knows_third_ = true;
    aim();
    return false;
  }

 private:
  static constexpr double at_the_start = 1e-6;
  static constexpr int most_tries = 40;

  struct Place {
    double share = 0.0;
    Values g{};
  };

  static double magnitude(double a) { return a < 0.0 ? -a : a; }
  [[nodiscard]] bool changed(double g, std::size_t f) const { return (g > 0.0) != positive_[f]; }

  /// Aim at the first of the functions that have changed sign at the late end.
  void aim() {
    share_ = 2.0;
    for (int f = 0; f < event_function_count; ++f) {
      const auto at = f;
      if (!changed(late_.g[at], at)) {
        continue;
      }
      // Just after its last event it may still stand on the other side; then it has happened again.
      const bool at_once = changed(early_.g[at], at);
      const double share = at_once ? early_.share + at_the_start : crossing(at);
      if (share < share_) {
        share_ = share;
        event_ = f;
        at_once_ = at_once;
      }
    }
  }

  /// Where the parabola passes zero between the early end and the late one.
  [[nodiscard]] double crossing(std::size_t f) const {
    const double g = early_.g[f];
    const double length = late_.share - early_.share;
    const double slope = (late_.g[f] - g) / length;
    const double straight = -g / slope;
    double s = straight;
    if (knows_third_) {
      const double to_third = third_.share - early_.share;
      const double bend = ((third_.g[f] - g) / to_third - slope) / (to_third - length);
      const double b = slope - bend * length;
      const double root = std::sqrt(std::fmax(0.0, b * b - 4.0 * bend * g));
      const double q = -0.5 * (b < 0.0 ? b - root : b + root);
      const double near = g / q;
      const double far = q / bend;
      s = near > 0.0 && near < length ? near : (far > 0.0 && far < length ? far : straight);
    }
    // What the parabola does not find soon is kinked: halve every other time.
    const bool inside = s > 0.0 && s < length && (tries_ < 6 || tries_ % 2 == 0);
    return early_.share + (inside ? s : 0.5 * length);
  }

  double tolerance_ = usual_event_tolerance;
  Place early_, late_, third_;
  Values enough_{};
  Signs positive_{};
  int event_ = 0, tries_ = 0;
  double share_ = 0.0;
  bool knows_third_ = false, at_once_ = false;
};

}  // namespace nockwise::detail
