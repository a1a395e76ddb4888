// The launch: one state machine for every scalar, with one launch to a lane. Private.
//
// A launch alone is a lane of one double (launch/single_launch.hpp); a sweep runs as many as a pack has lanes
// (lanes/launches.hpp). Every lane is at its own place in its own launch, and ends with the same bits, whoever shares
// the pack. A tick is a step of every lane. A lane that steps takes the step's inner evaluations and the one at its
// end; one whose step went past an event takes it again, shorter, until it ends there; one that is new, or has just let
// its arrow go, needs a single evaluation. Lanes that end hand their record over and take the next launch.
//
// Who does what: lane_constants loads a lane, lane_run_directions remembers where its Newton iterations start, methods
// and lane_states step, lane_events says where events are, lane_contact_modes what they switch, and the engine decides
// what each lane does next.
#pragma once

#include "launch/drop_record.hpp"
#include "launch/lane.hpp"
#include "launch/lane_constants.hpp"
#include "launch/lane_contact_modes.hpp"
#include "launch/lane_events.hpp"
#include "launch/lane_run_directions.hpp"
#include "launch/lane_states.hpp"
#include "launch/lane_steps.hpp"
#include "launch/nock.hpp"
#include "launch/record.hpp"

#include <cstddef>

namespace nockwise::detail {

/// `Method`: how a step is made (launch/methods.hpp). `Queue`: where launches come from and records go to:
///
///   bool next(int lane, LaneStart<Links>&)   the next launch for this lane; false when there is none
///   LaunchRecord<Links>& record(int lane)    what is kept of the lane's launch
///   void met(int lane, const EventRecord&)   an event
///   void trace(double time, const double* q, const double* v, diagnostics, bool attached, bool always)
///                                            a state of a launch alone; `attached`: with the nock on the string;
///                                            `always`: to be kept even within the trace's interval
///   void done(int lane, bool diverged)       the lane's launch has ended; `diverged`: with numbers that are not finite
template <class S, int Links, class Method, class Queue>
class LaunchEngine {
 public:
  using M = typename kernel::Lanes<S>::Mask;
  using L = kernel::Layout<Links>;
  static constexpr int lane_count = kernel::Lanes<S>::count;
  static constexpr bool alone = lane_count == 1;

  /// All launches are of one topology; `coordinates` counts those of a string in pieces too.
  LaunchEngine(const kernel::Topology& topology, int coordinates, const LaunchLimits& limits, Method method,
               Queue& queue)
      : topology_(topology),
        layout_{topology.modes},
        time_limit_(limits.time),
        queue_(queue),
        constants_(topology.modes),
        states_(coordinates),
        method_(std::move(method)),
        events_(limits.event_tolerance) {}

  void run() {
    for (int l = 0; l < lane_count; ++l) {
      refill(l);
    }
    for (int l = 0; l < lane_count; ++l) {
      keep_busy(l);
    }
    while (running_ > 0) {
      tick();
    }
  }

 private:
  /// The right-hand side as methods want it: at `states_.at`, accelerations into `a`.
  struct Evaluate {
    LaunchEngine& engine;

    void operator()(S* a) const { engine.evaluate(a); }
    [[nodiscard]] const kernel::ContactModes<S>& contact_modes() const { return engine.contact_modes_.all(); }
  };

  // --- Coming and going ----------------------------------------------------------------------------------------------

  /// Give lane `l` the next launch, if there is one.
  void refill(int l) {
    LaneStart<Links> start;
    LaunchLane& lane = lane_[l];
    lane = LaunchLane{};
    if (!queue_.next(l, start)) {
      return;
    }
    ++running_;
    lane.phase = LanePhase::fresh;
    constants_.load(l, *start.constants);
    chain_ = start.chain;
    states_.load(l, start.q, start.v);
    run_directions_.load(l, *start.run_directions);
    steps_.load(l, start.step);
    contact_modes_.load(l);
    kernel::set_lane(time_, l, 0.0);
    clear_lane(l, extremes_);
    queue_.record(l).separated = false;
    queue_.record(l).steps = 0;
  }

  /// A lane without a launch goes through the motions of another: its numbers stay harmless, nobody reads them.
  void keep_busy(int l) {
    if (lane_[l].phase != LanePhase::idle || running_ == 0) {
      return;
    }
    int busy = 0;
    while (lane_[busy].phase == LanePhase::idle) {
      ++busy;
    }
    constants_.copy(busy, l);
    states_.copy(busy, l);
    run_directions_.copy(busy, l);
    contact_modes_.load(l);
    kernel::set_lane(time_, l, 0.0);
  }

  void read_snapshot(int l, Snapshot<Links>& to) const {
    to.time = kernel::in_lane(time_, l);
    states_.read(l, to.q, to.v);
    run_directions_.read(l, to.run_directions);
  }
  void end_launch(int l, LaunchEnd end) {
    trace(true);
    LaunchRecord<Links>& record = queue_.record(l);
    record.ended_by = end;
    record.evaluations = lane_[l].evaluations;
    record.roughness = steps_.roughness(l);
    read_snapshot(l, record.end);
    read_lane(l, extremes_, record.extremes);
    queue_.done(l, lane_[l].diverged);
    --running_;
    refill(l);
    // What the lane had may be gone now, and with it what idle lanes were made to repeat.
    for (int idle = 0; idle < lane_count; ++idle) {
      keep_busy(idle);
    }
  }

  // --- A tick --------------------------------------------------------------------------------------------------------

  /// The lanes for which `wanted` is true of the lane.
  template <class Wanted>
  [[nodiscard]] M lanes(const Wanted& wanted) const {
    M mask{};
    for (int l = 0; l < lane_count; ++l) {
      kernel::set_lane(mask, l, wanted(lane_[l]));
    }
    return mask;
  }
  [[nodiscard]] M lanes(LanePhase phase) const {
    return lanes([phase](const LaunchLane& lane) { return lane.phase == phase; });
  }

  void tick() {
    const Evaluate evaluate{*this};
    choose_steps();
    const M steps = lanes([](const LaunchLane& lane) { return lane.steps(); });
    method_.first_part(states_, kernel::any(steps), evaluate);
    take_single_evaluations();
    M accepted{};
    if (kernel::any(steps)) {
      method_.second_part(states_, kernel::in_lane(time_, 0), lane_[0].phase == LanePhase::landing || watches_vanes(),
                          evaluate);
      roughness_ = method_.roughness(states_, constants_.all().arrow.hole_rate, L::arrow_y, layout_.modes);
      evaluate_end(steps);
      const EventValues<S> g = values();
      accepted = locate_events(steps, g);
      if (kernel::any(accepted)) {
        accept(accepted, g);
      }
    }
    advance_phases(accepted);
  }

  void choose_steps() {
    S step(0.0);
    for (int l = 0; l < lane_count; ++l) {
      if (lane_[l].phase == LanePhase::stepping) {
        kernel::set_lane(step, l, steps_.next(l));
      } else if (lane_[l].phase == LanePhase::landing) {
        kernel::set_lane(step, l, events_.step(l));
        // From the nearer end of the whole step.
        if (events_.share(l) < 0.5) {
          run_directions_.return_to_before(l);
        } else {
          run_directions_.return_to_after(l);
        }
      }
    }
    states_.step = step;
    run_directions_.mark_before(lanes(LanePhase::stepping));
  }

  /// Accelerations at the place gone to, into `a`.
  void evaluate(S* a) {
    for (LaunchLane& lane : lane_) {
      lane.evaluations += lane.waits ? 0 : 1;
    }
    const auto& at = states_.at;
    if constexpr (alone) {
      if (chain_ != nullptr) {
        diagnostics_ = kernel::accelerations(constants_.all(), topology_, *chain_, contact_modes_.all(), at.q, at.v, a,
                                             run_directions_.now());
        return;
      }
    }
    diagnostics_ =
        kernel::accelerations(constants_.all(), topology_, contact_modes_.all(), at.q, at.v, a, run_directions_.now());
  }
  [[nodiscard]] EventValues<S> values() const {
    return event_values(constants_.all(), topology_, contact_modes_.all().string, diagnostics_, states_.at.q);
  }

  /// After the first evaluation: lanes that needed just that have the rate at their state.
  void take_single_evaluations() {
    const M fresh = lanes(LanePhase::fresh);
    const M single = lanes([](const LaunchLane& lane) { return lane.needs_one_evaluation(); });
    if (!kernel::any(single)) {
      return;
    }
    states_.keep_first(single);
    events_.start(fresh, values());
    contact_modes_.read(fresh, events_);
    observe_lanes(single, true);
    for (int l = 0; l < lane_count; ++l) {
      if (kernel::in_lane(fresh, l)) {
        run_directions_.read(l, queue_.record(l).start_run_directions);
      }
      if (kernel::in_lane(single, l)) {
        run_directions_.mark_after(l);  // what the rest of the tick does to them is undone at its end
        lane_[l].waits = true;
      }
    }
    excursion_ = kernel::select(single, diagnostics_.excursion, excursion_);
  }

  /// The evaluation where the step ends. One that ends on an event is evaluated as from then on.
  void evaluate_end(M steps) {
    bool evaluated = method_.knows_end();
    for (int l = 0; l < lane_count; ++l) {
      if (kernel::in_lane(steps, l) && lane_[l].phase == LanePhase::landing &&
          contact_modes_.switch_at(events_.event(l), l)) {
        evaluated = false;
      }
    }
    if (!evaluated) {
      evaluate(states_.at.a);
    }
  }
  /// The lanes whose step may stay: it ends on its event, or has none. The others take it again.
  [[nodiscard]] M locate_events(M steps, const EventValues<S>& g) {
    const S finite = states_.finite();
    const M crossed = events_.crossed(g);
    M accepted{};
    for (int l = 0; l < lane_count; ++l) {
      if (!kernel::in_lane(steps, l)) {
        continue;
      }
      if (!(kernel::in_lane(finite, l) == 0.0)) {
        lane_[l].diverged = true;
      } else if (lane_[l].phase == LanePhase::landing) {
        const int event = events_.event(l);
        const bool located = events_.located(g, l);
        const bool rough = located && steps_.too_rough(l, roughness_, states_.step);
        kernel::set_lane(accepted, l, located && !rough);
        if (!located || rough) {
          contact_modes_.switch_at(event, l);  // back
        }
        if (rough) {
          take_shorter(l);
        }
      } else if (kernel::in_lane(crossed, l)) {
        run_directions_.mark_after(l);
        lane_[l].phase = LanePhase::landing;
        events_.locate(g, kernel::in_lane(states_.step, l), l);
      } else if (steps_.too_rough(l, roughness_, states_.step)) {
        take_shorter(l);
      } else {
        kernel::set_lane(accepted, l, true);
      }
    }
    return accepted;
  }

  /// Lane `l` is still where its step began, and steps from there again.
  void take_shorter(int l) {
    lane_[l].phase = LanePhase::stepping;
    run_directions_.return_to_before(l);
    steps_.shorten(l, states_.step);
  }

  void accept(M accepted, const EventValues<S>& g) {
    if (kernel::has_arm(topology_.rest)) {
      record_drops<S, Links>(accepted, constants_.all().rest.up_angle, states_, time_,
                             [this](int l, const EventRecord& event) { queue_.met(l, event); });
    }
    states_.accept(accepted);
    events_.accept(accepted, g, states_.step, lanes(LanePhase::stepping));
    time_ = kernel::select(accepted, time_ + states_.step, time_);
    observe_lanes(accepted, lane_[0].phase == LanePhase::landing);
    steps_.accept(accepted, lanes(LanePhase::stepping), roughness_);
    watch_vanes(accepted);
    excursion_ = kernel::select(accepted, diagnostics_.excursion, excursion_);
  }

  /// From here on the lanes `seen` take steps that follow a vane which may strike.
  void watch_vanes(M seen) {
    if (topology_.vanes == 0 || (topology_.rest == RestKind::none && !topology_.cables_beside)) {
      return;
    }
    steps_.bound(seen,
                 step_near_vanes(constants_.all(), topology_, diagnostics_, states_.now.v[L::arrow_x], steps_.whole()));
  }
  /// Of a launch alone: whether its steps are set shorter than a method would choose them.
  [[nodiscard]] bool watches_vanes() const {
    if constexpr (alone) {
      return steps_.next(0) < steps_.whole();
    }
    return false;
  }

  /// Take where the lanes `seen` are now into their extremes, and a launch alone into its trace; `always`: even if the
  /// trace's interval is not over.
  void observe_lanes(M seen, bool always) {
    const auto& shape = constants_.all().arrow.nock_shape;
    const S* q = states_.now.q;
    const Observed<S, M> at{seen,
                            contact_modes_.attached(),
                            lanes([](const LaunchLane& lane) { return lane.tail_passed; }),
                            time_,
                            kernel::modal_sum(layout_.modes, shape, q + L::arrow_y),
                            kernel::modal_sum(layout_.modes, shape, q + layout_.arrow_z())};
    observe(extremes_, at, topology_.rest != RestKind::none, diagnostics_);
    if (topology_.vanes > 0) {
      observe_vanes(extremes_, at, topology_, diagnostics_, constants_.all().vanes, constants_.all().rest.half_width);
    }
    trace(always);
  }
  void trace([[maybe_unused]] bool always) {
    if constexpr (alone) {
      queue_.trace(time_, states_.now.q, states_.now.v, diagnostics_, contact_modes_.attached(), always);
    }
  }

  // --- What each lane does next --------------------------------------------------------------------------------------

  void advance_phases(M accepted) {
    M leaving{};
    for (int l = 0; l < lane_count; ++l) {
      if (kernel::in_lane(accepted, l)) {
        ++queue_.record(l).steps;
        const bool event = lane_[l].phase == LanePhase::landing;
        lane_[l].phase = LanePhase::stepping;
        kernel::set_lane(leaving, l, event && take_event(l));
      }
    }
    if (kernel::any(leaving)) {
      let_string_go(constants_.all(), layout_.modes, leaving, states_.now.q, states_.now.v);
      contact_modes_.separate(leaving);
      events_.separate(leaving);
    }
    for (int l = 0; l < lane_count; ++l) {
      LaunchLane& lane = lane_[l];
      const bool waited = lane.waits;
      lane.waits = false;
      if (lane.diverged) {
        end_launch(l, LaunchEnd::arrow_clear);
      } else if (waited && lane.needs_one_evaluation()) {
        const bool after_step = lane.phase == LanePhase::let_go;
        lane.phase = LanePhase::stepping;
        run_directions_.return_to_after(l);
        end_if_over(l, after_step);
      } else if (kernel::in_lane(accepted, l) && !kernel::in_lane(leaving, l)) {
        end_if_over(l, true);
      }
    }
  }

  void end_if_over(int l, bool after_step) {
    if (after_step && kernel::in_lane(excursion_, l) > track_end) {
      end_launch(l, LaunchEnd::track_ended);
    } else if (queue_.record(l).separated && lane_[l].tail_passed) {
      end_launch(l, LaunchEnd::arrow_clear);
    } else if (kernel::in_lane(time_, l) >= time_limit_) {
      end_launch(l, LaunchEnd::time_limit);
    }
  }

  /// Record the event on which lane `l` has stepped; true when the nock leaves the string.
  bool take_event(int l) {
    const EventRecord event = events_.pass(l, kernel::in_lane(time_, l));
    queue_.met(l, event);
    if (event.function == event_tail && !event.positive) {
      lane_[l].tail_passed = true;
    }
    if (event.function != event_separation) {
      return false;
    }
    LaunchRecord<Links>& record = queue_.record(l);
    read_snapshot(l, record.exit);
    record.separated = true;
    lane_[l].phase = LanePhase::let_go;
    return true;
  }

  kernel::Topology topology_;
  L layout_;
  double time_limit_;
  Queue& queue_;
  int running_ = 0;

  LaneConstants<S, Links> constants_;
  const kernel::StringChain* chain_ = nullptr;  // null: the string's lump
  LaneStates<S> states_;
  Method method_;
  LaneRunDirections<S> run_directions_;
  LaneEvents<S> events_;
  kernel::Diagnostics<S> diagnostics_{};
  LaneSteps<S> steps_;
  S roughness_{0.0};  // of the last step, whether accepted or not [m]
  Extremes<S> extremes_;
  LaneContactModes<S> contact_modes_;
  S time_{0.0}, excursion_{0.0};
  LaunchLane lane_[lane_count];
};

}  // namespace nockwise::detail
