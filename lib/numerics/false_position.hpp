// Where in a step an event function passes zero: the false position of Anderson and Björck (BIT 13, 1973), which keeps
// the bracket and converges faster than linearly. A state machine, so that a lane of a pack can search while others
// step. Private.
#pragma once

namespace nockwise::detail {

/// `Isa` as for kernel::Pack: the code of one instruction set stays apart.
template <class Isa>
class EventSearch {
 public:
  EventSearch() = default;
  /// Bracket from the start to the end of a step, with the function's values there; `positive`: its sign at the start;
  /// `enough`: what counts as zero (0: a hundred-thousandth of its change).
  EventSearch(double g_early, double g_late, bool positive, double enough = 0.0)
      : g_early_(g_early),
        g_late_(g_late),
        enough_(enough > 0.0 ? enough : tolerance * magnitude(g_late - g_early)),
        narrowest_(enough > 0.0 ? 1e-13 : narrowest),
        positive_(positive),
        share_(first_share()) {}

  /// Share of the step to evaluate next.
  [[nodiscard]] double share() const { return share_; }
  /// Take the function's value there; true when `share` is the answer.
  bool take(double g) {
    ++tries_;
    if (magnitude(g) <= enough_) {
      return true;
    }
    if ((g > 0.0) == positive_) {
      g_late_ *= last_ == early ? shrink(g, g_early_) : 1.0;
      early_ = share_;
      g_early_ = g;
      last_ = early;
    } else {
      g_early_ *= last_ == late ? shrink(g, g_late_) : 1.0;
      late_ = share_;
      g_late_ = g;
      last_ = late;
    }
    if (tries_ >= most_tries || late_ - early_ < narrowest_) {
      share_ = late_;
      return true;
    }
    share_ = tries_ % 8 == 0 ? 0.5 * (early_ + late_) : between();
    return false;
  }
  /// Already on the other side by rounding, just after its last event: nothing to search.
  [[nodiscard]] bool trivial() const { return (g_early_ > 0.0) != positive_; }

 private:
  static constexpr double tolerance = 1e-5;  // of the change over the step
  static constexpr double narrowest = 1e-9;  // of the step
  static constexpr int most_tries = 40;
  enum Side { neither, early, late };

  static double magnitude(double a) { return a < 0.0 ? -a : a; }
  static double shrink(double now, double before) {
    const double m = 1.0 - now / before;
    return m > 0.0 ? m : 0.5;
  }
  [[nodiscard]] double first_share() const { return trivial() ? 1e-6 : between(); }
  [[nodiscard]] double between() const {
    const double share = early_ + (late_ - early_) * g_early_ / (g_early_ - g_late_);
    return share > early_ && share < late_ ? share : 0.5 * (early_ + late_);
  }

  double early_ = 0.0, late_ = 1.0;
  double g_early_ = 0.0, g_late_ = 0.0;
  double enough_ = 0.0, narrowest_ = narrowest;
  bool positive_ = false;
  double share_ = 0.0;
  int tries_ = 0;
  Side last_ = neither;
};

}  // namespace nockwise::detail
