// One launch from a prepared full draw. Private; instantiated per number of links in lib/launch/launch.cpp. Lanes
// (lanes/launch_engine.hpp) take the same steps in the same order, so that they give the same bits.
#pragma once

#include "launch/event_locator.hpp"
#include "launch/launch_alone.hpp"
#include "launch/result.hpp"
#include "launch/stepper.hpp"

namespace nockwise::detail {

/// The right-hand side as Odeint wants it, with the diagnostics of its last call.
template <int Links, class Chain = kernel::NoChain>
struct LaunchSystem {
  const Release<Links>& release;
  kernel::RunDirections<double> run_directions;
  kernel::ContactModes<double> contact_modes{};
  kernel::ContactModes<double> modes_at_end{};  // where the step ends, and from there on
  bool arrived = false;
  std::size_t evaluations = 0;
  kernel::Diagnostics<double> diagnostics{};

  void operator()(const State& x, State& rate, double /*time*/) {
    const Eigen::Index n = x.size() / 2;
    rate.resize(x.size());
    rate.head(n) = x.tail(n);
    if constexpr (Chain::present) {
      diagnostics = kernel::accelerations(release.constants, release.topology, release.chain, contact_modes, x.data(),
                                          x.data() + n, rate.data() + n, run_directions);
    } else {
      diagnostics = kernel::accelerations(release.constants, release.topology, contact_modes, x.data(), x.data() + n,
                                          rate.data() + n, run_directions);
    }
    ++evaluations;
  }
  /// The evaluation where a step ends.
  void arrive(const State& x, State& rate, double time) {
    const kernel::ContactModes<double> during = contact_modes;
    contact_modes = modes_at_end;
    (*this)(x, rate, time);
    contact_modes = during;
    arrived = true;
  }
};

/// `Method` has the face of Stepper; benchmarks try others. `Chain`: the string's lump or its pieces
/// (kernel/string_chain.hpp).
template <int Links, class Method = Stepper, class Chain = kernel::NoChain>
class SingleLaunch {
 public:
  using L = kernel::Layout<Links>;

  SingleLaunch(const Release<Links>& release, const LaunchOptions& options, const Vanes<double>& vanes = {})
      : SingleLaunch(release, options, vanes, Method(options)) {}
  SingleLaunch(const Release<Links>& release, const LaunchOptions& options, const Vanes<double>& vanes, Method method)
      : release_(release),
        options_(options),
        layout_{release.topology.modes},
        size_(layout_.size() + (Chain::present ? release.chain.coordinates() : 0)),
        system_{release, release.run_directions},
        stepper_(std::move(method)),
        tracer_(release, options),
        vanes_(vanes),
        landing_(has_fixed_step(options.integrator) ? EventLocator<void>() : EventLocator<void>(1e-9)) {
    x_ = State::Zero(2 * size_);
    std::copy_n(at_full_draw(release).q, size_, x_.data());
    system_(x_, rate_, 0.0);
    x_new_ = x_;
    rate_new_ = rate_;
  }

  Launch run() {
    start();
    while (!(record_.separated && tail_passed_)) {
      if (time_ >= options_.time_limit) {
        record_.ended_by = LaunchEnd::time_limit;
        break;
      }
      step();
      if (system_.diagnostics.excursion > track_end) {
        record_.ended_by = LaunchEnd::track_ended;
        break;
      }
    }
    look(true);
    record_.end = snapshot();
    record_.evaluations = system_.evaluations;
    Launch result = make_launch(release_, record_, std::move(events_));
    result.trace = tracer_.take();
    return result;
  }

 private:
  static constexpr int none = -1;

  void start() {
    watch_ = values(x_);
    for (std::size_t i = 0; i < watch_.size(); ++i) {
      positive_[i] = watch_[i] > 0.0;
    }
    for (int i = 0; i < event_function_count; ++i) {
      if (double* contact_mode = contact_mode_of(system_.contact_modes, i)) {
        *contact_mode = positive_[static_cast<std::size_t>(i)] ? 1.0 : 0.0;
      }
    }
    system_.modes_at_end = system_.contact_modes;
    record_.start_run_directions = system_.run_directions;
    look(true);
  }

  EventValues<double> values(const State& x) {
    return event_values(release_.constants, release_.topology, system_.contact_modes.string, system_.diagnostics,
                        x.data());
  }
  [[nodiscard]] bool crossed(const EventValues<double>& g) const {
    for (std::size_t i = 0; i < g.size(); ++i) {
      if ((g[i] > 0.0) != positive_[i]) {
        return true;
      }
    }
    return false;
  }
  [[nodiscard]] Snapshot<Links> snapshot() const {
    Snapshot<Links> at;
    at.time = time_;
    std::copy_n(x_.data(), size_, at.q);
    std::copy_n(x_.data() + size_, size_, at.v);
    at.run_directions = system_.run_directions;
    return at;
  }

  /// Take the present state into the extremes and the trace.
  void look(bool always) {
    const double* q = x_.data();
    const auto& shape = release_.constants.arrow.nock_shape;
    const bool attached = !record_.separated;
    observe(record_.extremes, true, attached, tail_passed_, release_.topology.rest != RestKind::none, time_,
            system_.diagnostics, kernel::modal_sum(layout_.modes, shape, q + L::arrow_y),
            kernel::modal_sum(layout_.modes, shape, q + layout_.arrow_z()), vanes_);
    tracer_.observe(time_, q, q + size_, system_.diagnostics, attached, always);
  }

  /// Advance one step, or to the first event inside it.
  void step() {
    const auto run_directions = system_.run_directions;
    const EventValues<double> before = watch_;
    double taken = stepper_.advance(system_, x_, rate_, time_, x_new_, rate_new_);
    check_finite();
    EventValues<double> g = values(x_new_);
    int event = none;
    if (crossed(g)) {
      const auto after = system_.run_directions;
      const double whole = taken;
      landing_.begin(prior_, prior_step_ > 0.0 ? -prior_step_ / whole : 0.0, before, g, positive_);
      do {
        event = landing_.watch();
        taken = whole * landing_.share();
        system_.run_directions = landing_.share() < 0.5 ? run_directions : after;
        land(event, taken);
        g = values(x_new_);
      } while (!landing_.take(g));
      system_.contact_modes = system_.modes_at_end;
    }
    prior_ = before;
    prior_step_ = event == none ? taken : 0.0;  // the parabola must not reach across a kink
    record_drop(taken);
    x_.swap(x_new_);
    rate_.swap(rate_new_);
    time_ += taken;
    watch_ = g;
    ++record_.steps;
    look(event != none);
    take_events(event);
  }

  /// Take just so much of the step; the evaluation at its end knows the event.
  void land(int event, double step) {
    system_.modes_at_end = system_.contact_modes;
    double* const switched = contact_mode_of(system_.modes_at_end, event);
    if (switched != nullptr) {
      *switched = 1.0 - *switched;
    }
    system_.arrived = false;
    stepper_.land(system_, x_, rate_, time_, step, x_new_, rate_new_);
    if (!system_.arrived && switched != nullptr) {  // the method does not say where it ends
      system_.arrive(x_new_, rate_new_, time_ + step);
    }
    check_finite();
  }

  void record_drop(double step) {
    constexpr int arm = L::rest_arm;
    const double started = release_.constants.rest.up_angle - drop_margin;
    if (kernel::has_arm(release_.topology.rest) && x_[arm] > started && x_new_[arm] <= started) {
      const double share =
          share_to_drop<void>(started, x_[arm], x_[size_ + arm], x_new_[arm], x_new_[size_ + arm], step);
      events_.push_back({EventKind::drop_started, time_ + share * step});
    }
  }

  /// Note the event just landed on; the side it changed to is kept, whatever rounding says of its value here.
  void take_events(int watch) {
    if (watch == none) {
      return;
    }
    const auto at = static_cast<std::size_t>(watch);
    positive_[at] = !positive_[at];
    EventKind kind{};
    if (event_of(watch, positive_[at], kind)) {
      events_.push_back({kind, time_});
    }
    if (watch == event_separation) {
      separate();
    } else if (watch == event_tail && !positive_[at]) {
      tail_passed_ = true;
    }
  }

  void separate() {
    record_.exit = snapshot();
    record_.separated = true;
    let_string_go(release_.constants, layout_.modes, true, x_.data(), x_.data() + size_);
    system_.contact_modes = after_release(system_.contact_modes);
    system_.modes_at_end = system_.contact_modes;
    system_(x_, rate_, time_);
    for (std::size_t w = 0; w < event_function_count; ++w) {
      if (ends_as_nock_leaves<void>(static_cast<int>(w))) {  // from here on
        positive_[w] = true;
        watch_[w] = 1.0;
      }
    }
    look(true);
  }

  void check_finite() const {
    if (!x_new_.allFinite() || !rate_new_.allFinite()) {
      throw StepTooLong(time_, "the integration diverged");
    }
  }

  const Release<Links>& release_;
  const LaunchOptions& options_;
  L layout_;
  int size_;
  LaunchSystem<Links, Chain> system_;
  Method stepper_;
  Tracer<Links> tracer_;
  Vanes<double> vanes_;
  State x_, rate_, x_new_, rate_new_;
  double time_ = 0.0;
  EventValues<double> watch_{}, prior_{};  // at the last step's end and where it began
  double prior_step_ = 0.0;                // 0: that is not known, or lies beyond an event
  EventLocator<void> landing_;
  std::array<bool, event_function_count> positive_{};
  bool tail_passed_ = false;
  std::vector<Event> events_;
  LaunchRecord<Links> record_;
};

template <int Links>
Launch launch_alone(const Release<Links>& release, const LaunchOptions& options, const Vanes<double>& vanes) {
  if (release.chain.pieces > 1) {
    return SingleLaunch<Links, Stepper, kernel::StringChain>(release, options, vanes).run();
  }
  return SingleLaunch<Links>(release, options, vanes).run();
}

// For the sources lib/launch/links_*.cpp.
#define NOCKWISE_LAUNCH_ALONE(links) \
  template Launch launch_alone(const Release<links>&, const LaunchOptions&, const Vanes<double>&);

}  // namespace nockwise::detail
