// One launch from a prepared full draw. Private; instantiated per number of links in lib/launch/launch.cpp. Lanes
// (lanes/launch_engine.hpp) take the same steps in the same order, so that they give the same bits.
#pragma once

#include "launch/event_locator.hpp"
#include "launch/result.hpp"
#include "launch/stepper.hpp"

namespace nockwise::detail {

/// The right-hand side as Odeint wants it, with the diagnostics of its last call.
template <int Links, class Chain = kernel::NoChain>
struct LaunchSystem {
  const Release<Links>& release;
  kernel::Headings<double> headings;
  kernel::Bonds<double> bonds{};
  kernel::Bonds<double> bonds_at_end{};  // where the step ends, and from there on
  bool arrived = false;
  std::size_t evaluations = 0;
  kernel::Diagnostics<double> diagnostics{};

  void operator()(const State& x, State& rate, double /*time*/) {
    const Eigen::Index n = x.size() / 2;
    rate.resize(x.size());
    rate.head(n) = x.tail(n);
    if constexpr (Chain::present) {
      diagnostics = kernel::accelerations(release.constants, release.topology, release.chain, bonds, x.data(),
                                          x.data() + n, rate.data() + n, headings);
    } else {
      diagnostics = kernel::accelerations(release.constants, release.topology, bonds, x.data(), x.data() + n,
                                          rate.data() + n, headings);
    }
    ++evaluations;
  }
  /// The evaluation where a step ends.
  void arrive(const State& x, State& rate, double time) {
    const kernel::Bonds<double> during = bonds;
    bonds = bonds_at_end;
    (*this)(x, rate, time);
    bonds = during;
    arrived = true;
  }
};

/// `Method` has the face of Stepper; benchmarks try others. `Chain`: the string's lump or its pieces
/// (kernel/string_chain.hpp).
template <int Links, class Method = Stepper, class Chain = kernel::NoChain>
class LaunchRun {
 public:
  using L = kernel::Layout<Links>;

  LaunchRun(const Release<Links>& release, const LaunchOptions& options, const Vanes<double>& vanes = {})
      : LaunchRun(release, options, vanes, Method(options)) {}
  LaunchRun(const Release<Links>& release, const LaunchOptions& options, const Vanes<double>& vanes, Method method)
      : release_(release),
        options_(options),
        layout_{release.topology.modes},
        size_(layout_.size() + (Chain::present ? release.chain.coordinates() : 0)),
        system_{release, release.headings},
        stepper_(std::move(method)),
        tracer_(release, options),
        vanes_(vanes),
        landing_(has_fixed_step(options.integrator) ? EventLanding<void>() : EventLanding<void>(1e-9)) {
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
    record_.end = moment();
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
    for (int i = 0; i < watch_count; ++i) {
      if (double* bond = bond_of(system_.bonds, i)) {
        *bond = positive_[static_cast<std::size_t>(i)] ? 1.0 : 0.0;
      }
    }
    system_.bonds_at_end = system_.bonds;
    record_.start_headings = system_.headings;
    look(true);
  }

  WatchValues<double> values(const State& x) {
    return watch_values(release_.constants, release_.topology, system_.bonds.string, system_.diagnostics, x.data());
  }
  [[nodiscard]] bool crossed(const WatchValues<double>& g) const {
    for (std::size_t i = 0; i < g.size(); ++i) {
      if ((g[i] > 0.0) != positive_[i]) {
        return true;
      }
    }
    return false;
  }
  [[nodiscard]] Moment<Links> moment() const {
    Moment<Links> at;
    at.time = time_;
    std::copy_n(x_.data(), size_, at.q);
    std::copy_n(x_.data() + size_, size_, at.v);
    at.headings = system_.headings;
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
    const auto headings = system_.headings;
    const WatchValues<double> before = watch_;
    double taken = stepper_.advance(system_, x_, rate_, time_, x_new_, rate_new_);
    check_finite();
    WatchValues<double> g = values(x_new_);
    int event = none;
    if (crossed(g)) {
      const auto after = system_.headings;
      const double whole = taken;
      landing_.begin(prior_, prior_step_ > 0.0 ? -prior_step_ / whole : 0.0, before, g, positive_);
      do {
        event = landing_.watch();
        taken = whole * landing_.share();
        system_.headings = landing_.share() < 0.5 ? headings : after;
        land(event, taken);
        g = values(x_new_);
      } while (!landing_.take(g));
      system_.bonds = system_.bonds_at_end;
    }
    prior_ = before;
    prior_step_ = event == none ? taken : 0.0;  // the parabola must not reach across a kink
    sight_drop(taken);
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
    system_.bonds_at_end = system_.bonds;
    double* const switched = bond_of(system_.bonds_at_end, event);
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

  void sight_drop(double step) {
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
    if (watch == watch_separation) {
      separate();
    } else if (watch == watch_tail && !positive_[at]) {
      tail_passed_ = true;
    }
  }

  void separate() {
    record_.exit = moment();
    record_.separated = true;
    let_string_go(release_.constants, layout_.modes, true, x_.data(), x_.data() + size_);
    system_.bonds = after_release(system_.bonds);
    system_.bonds_at_end = system_.bonds;
    system_(x_, rate_, time_);
    for (std::size_t w = 0; w < watch_count; ++w) {
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
  WatchValues<double> watch_{}, prior_{};  // at the last step's end and where it began
  double prior_step_ = 0.0;                // 0: that is not known, or lies beyond an event
  EventLanding<void> landing_;
  std::array<bool, watch_count> positive_{};
  bool tail_passed_ = false;
  std::vector<Event> events_;
  LaunchRecord<Links> record_;
};

/// The run with the string in pieces, compiled in lib/launch/segmented_string.cpp.
template <int Links>
Launch fly_in_pieces(const Release<Links>& release, const LaunchOptions& options, const Vanes<double>& vanes);

}  // namespace nockwise::detail
