// One launch from a prepared full draw. Private; instantiated per number of links in lib/launch.cpp.
#pragma once

#include "launch_events.hpp"
#include "launch_record.hpp"
#include "launch_stepper.hpp"
#include "release.hpp"

namespace nockwise::detail {

/// The right-hand side as Odeint wants it, with the diagnostics of its last call.
template <int Links>
struct LaunchSystem {
  const Release<Links>& release;
  kernel::Headings<double> headings;
  double attached = 1.0;
  std::size_t evaluations = 0;
  kernel::Diagnostics<double> diagnostics{};

  void operator()(const State& x, State& rate, double /*time*/) {
    const Eigen::Index n = x.size() / 2;
    rate.resize(x.size());
    rate.head(n) = x.tail(n);
    diagnostics = kernel::accelerations(release.constants, release.topology, attached, x.data(), x.data() + n,
                                        rate.data() + n, headings);
    ++evaluations;
  }
};

/// A fixed step that some part of the bow is too quick for; a shorter one may do.
class StepTooLong : public SolverError {
 public:
  StepTooLong(double time, const std::string& sign)
      : SolverError("launch at " + std::to_string(1e3 * time) + " ms",
                    sign + "; a part may be too stiff or too light for the step (try a smaller step)") {}
};

template <int Links>
class LaunchRun {
 public:
  using L = kernel::Layout<Links>;

  LaunchRun(const Release<Links>& release, const LaunchOptions& options, double fletching_from, double fletching_to,
            double vane_height)
      : release_(release),
        options_(options),
        layout_{release.topology.modes},
        size_(layout_.size()),
        system_{release, release.headings},
        stepper_(options),
        recorder_(release, options, fletching_from, fletching_to, vane_height) {
    x_ = State::Zero(2 * size_);
    for (int i = 0; i < size_; ++i) {
      x_[i] = release.q[static_cast<std::size_t>(i)];
    }
    system_(x_, rate_, 0.0);
    x_new_ = x_;
    rate_new_ = rate_;
  }

  Launch run() {
    Launch result;
    start(result);
    while (!(separated_ && tail_passed_)) {
      if (time_ >= options_.time_limit) {
        result.ended_by = LaunchEnd::time_limit;
        break;
      }
      step(result);
      if (system_.diagnostics.excursion > 1e-6) {
        result.ended_by = LaunchEnd::track_ended;
        break;
      }
    }
    finish(result);
    return result;
  }

 private:
  static constexpr int none = -1;

  void start(Launch& result) {
    watch_ = values(x_);
    for (std::size_t i = 0; i < watch_.size(); ++i) {
      positive_[i] = watch_[i] > 0.0;
    }
    result.energy_start = energies();
    recorder_.observe(time_, x_, system_.diagnostics, true);
  }

  WatchValues values(const State& x) {
    return watch_values(release_.constants, release_.topology, system_.attached > 0.5, system_.diagnostics, x.data());
  }
  [[nodiscard]] Energy energies() const {
    const auto e = kernel::energy(release_.constants, release_.topology, system_.attached, x_.data(), x_.data() + size_,
                                  system_.headings);
    return {e.arrow, e.mechanism, e.limbs, e.lines, e.contacts, e.gravity, e.hand};
  }
  [[nodiscard]] bool crossed(const WatchValues& g) const {
    for (std::size_t i = 0; i < g.size(); ++i) {
      if ((g[i] > 0.0) != positive_[i]) {
        return true;
      }
    }
    return false;
  }

  /// Advance one step, or to the first event inside it.
  void step(Launch& result) {
    const auto headings = system_.headings;
    const WatchValues before = watch_;
    double taken = stepper_.advance(system_, x_, rate_, time_, x_new_, rate_new_);
    check_finite();
    WatchValues g = values(x_new_);
    int event = none;
    if (crossed(g)) {
      const auto after = system_.headings;
      const Found first = first_crossing(before, g, taken);
      event = first.watch;
      system_.headings = first.share < 0.5 ? headings : after;
      taken *= first.share;
      stepper_.land(system_, x_, rate_, time_, taken, x_new_, rate_new_);
      g = values(x_new_);
    }
    x_.swap(x_new_);
    rate_.swap(rate_new_);
    time_ += taken;
    watch_ = g;
    ++result.steps;
    recorder_.observe(time_, x_, system_.diagnostics, event != none);
    take_events(event, result);
  }

  struct Found {
    int watch;
    double share;
  };

  /// The first of the event functions that change sign in the step, by the Illinois method on the interpolated step.
  Found first_crossing(const WatchValues& before, const WatchValues& after, double step) {
    Found first{none, 2.0};
    for (int i = 0; i < watch_count; ++i) {
      const auto at = static_cast<std::size_t>(i);
      if ((after[at] > 0.0) == positive_[at]) {
        continue;
      }
      const double share = crossing_share(at, before[at], after[at], step);
      if (share < first.share) {
        first = {i, share};
      }
    }
    return first;
  }

  double crossing_share(std::size_t watch, double g_early, double g_late, double step) {
    double early = 0.0;
    double late = 1.0;
    if ((g_early > 0.0) != positive_[watch]) {
      return 1e-6;  // it stood on the other side by rounding already, just after its last event
    }
    for (int i = 0; i < 40 && (late - early) * step > 1e-12; ++i) {
      const double share = std::fmin(std::fmax(early + (late - early) * g_early / (g_early - g_late), early), late);
      interpolate(x_, rate_, x_new_, rate_new_, step, share, between_);
      system_(between_, ignored_, time_);
      const double g = values(between_)[watch];
      if (std::fabs(g) < 1e-9 * std::fabs(g_late - g_early)) {
        return share;
      }
      if ((g > 0.0) == positive_[watch]) {
        early = share;
        g_early = g;
        g_late *= 0.5;
      } else {
        late = share;
        g_late = g;
        g_early *= 0.5;
      }
    }
    return late;
  }

  /// Note the event just landed on; the side it changed to is kept, whatever rounding says of its value here.
  void take_events(int watch, Launch& result) {
    if (watch == none) {
      return;
    }
    const auto at = static_cast<std::size_t>(watch);
    positive_[at] = !positive_[at];
    EventKind kind{};
    if (event_of(watch, positive_[at], kind)) {
      result.events.push_back({kind, time_});
    }
    if (watch == watch_separation) {
      separate(result);
    } else if (watch == watch_tail && !positive_[at]) {
      tail_passed_ = true;
      recorder_.note_tail(time_);
    }
  }

  void separate(Launch& result) {
    check_energy(result);
    result.energy_exit = energies();
    result.exit_time = time_;
    result.exit = arrow_state<Links>(release_, x_, time_);
    separated_ = true;
    recorder_.note_exit();
    set_string_point();
    system_.attached = 0.0;
    system_(x_, rate_, time_);
    positive_[watch_separation] = true;
    watch_[watch_separation] = 1.0;  // from here on
    recorder_.observe(time_, x_, system_.diagnostics, true);
  }

  /// The string goes on from where the nock is.
  void set_string_point() {
    double* q = x_.data();
    double* v = q + size_;
    const auto nock = nock_of(release_, q, v);
    const auto& shape = release_.constants.arrow.nock_shape;
    q[L::string_x] = nock.position.x;
    q[L::string_y] = nock.position.y;
    v[L::string_x] = nock.velocity.x;
    v[L::string_y] = nock.velocity.y;
    q[L::string_z] = kernel::modal_sum(layout_.modes, shape, q + layout_.arrow_z());
    v[L::string_z] = kernel::modal_sum(layout_.modes, shape, v + layout_.arrow_z());
  }

  void check_finite() const {
    if (!x_new_.allFinite() || !rate_new_.allFinite()) {
      throw StepTooLong(time_, "the integration diverged");
    }
  }

  /// Dampers only take energy, so more of it than at the start means that the step was too long for some part, even
  /// where no number is out of bounds yet.
  void check_energy(const Launch& result) const {
    constexpr double allowed = 1e-3;  // of the stored energy; an ordinary bow loses some
    const double gain = energies().total() - result.energy_start.total();
    if (!(gain <= allowed * std::fabs(release_.stored_energy))) {
      throw StepTooLong(time_, "the integration made energy out of nothing");
    }
  }

  void finish(Launch& result) {
    check_energy(result);
    recorder_.observe(time_, x_, system_.diagnostics, true);
    result.evaluations = system_.evaluations;
    result.full_draw_nock_x = release_.q[L::string_x];
    result.holding_force = release_.holding_force;
    result.stored_energy = release_.stored_energy;
    result.late_stop_gap = release_.late_stop_gap;
    result.lean_full_draw[0] = release_.q[L::lean(0)];
    result.lean_full_draw[1] = release_.q[L::lean(1)];
    result.free = arrow_state<Links>(release_, x_, time_);
    recorder_.report(result);
    if (separated_) {
      const double mass = release_.constants.arrow.total_mass;
      result.exit_speed = result.exit.speed;
      result.efficiency = 0.5 * mass * result.exit_speed * result.exit_speed / result.stored_energy;
      result.dissipated = result.energy_start.total() - result.energy_exit.total();
    }
  }

  const Release<Links>& release_;
  const LaunchOptions& options_;
  L layout_;
  int size_;
  LaunchSystem<Links> system_;
  Stepper stepper_;
  Recorder<Links> recorder_;
  State x_, rate_, x_new_, rate_new_, between_, ignored_;
  double time_ = 0.0;
  WatchValues watch_{};
  std::array<bool, watch_count> positive_{};
  bool separated_ = false;
  bool tail_passed_ = false;
};

}  // namespace nockwise::detail
