// Launches in the lanes of a pack. Private; included by lanes_*.cpp alone.
//
// Every lane runs its own launch by the Nyström steps of launch/single_launch.hpp, in the same order of operations,
// so that it ends with the same bits, whoever shares the pack. A tick is four evaluations of the right-hand side. A
// lane that steps takes its three inner stages and the step's end; one whose step went past an event takes it again,
// shorter; one that is new, or has just let its arrow go, needs a single evaluation. Lanes that end hand in their
// record and take the next launch.
//
// Who does what: lanes/constants.hpp loads a lane, lanes/warm_starts.hpp remembers where its Newton iterations start,
// lanes/states.hpp steps, lanes/events.hpp says where events are, and the engine decides what each lane does next.
#pragma once

#include "lanes/constants.hpp"
#include "lanes/dispatch.hpp"
#include "lanes/events.hpp"
#include "lanes/extremes.hpp"
#include "lanes/states.hpp"
#include "lanes/warm_starts.hpp"
#include "launch/nock.hpp"

#include <cstddef>
#include <memory>

namespace nockwise::detail {

enum class LanePhase {
  idle,
  fresh,     // needs its first evaluation
  stepping,  // takes a whole step
  landing,   // repeats the step up to an event
  let_go     // needs an evaluation with the string on its own
};

template <class S, int Links>
class LaneEngine;

template <int N, class Isa, int Links>
class LaneEngine<kernel::Pack<N, Isa>, Links> {
 public:
  using S = kernel::Pack<N, Isa>;
  using M = kernel::Mask<N, Isa>;
  using L = kernel::Layout<Links>;

  LaneEngine(const kernel::Topology& topology, const LaneOptions& options, const LaneSupply<Links>& supply)
      : topology_(topology),
        layout_{topology.modes},
        options_(options),
        supply_(supply),
        constants_(topology.modes),
        states_(layout_.size()) {}

  void run() {
    for (int l = 0; l < N; ++l) {
      refill(l);
    }
    for (int l = 0; l < N; ++l) {
      keep_busy(l);
    }
    while (running_ > 0) {
      tick();
    }
  }

 private:
  struct Lane {
    LanePhase phase = LanePhase::idle;
    double step = 0.0;  // whole ones [s]
    bool tail_passed = false;
    bool waits = false;     // has what it needed of this tick
    bool diverged = false;  // in this tick
  };

  // --- Coming and going ----------------------------------------------------------------------------------------------

  /// Give lane `l` the next launch, if there is one.
  void refill(int l) {
    LaneStart<Links> start;
    Lane& lane = lane_[l];
    lane = Lane{};
    if (!supply_.next(supply_.context, l, start)) {
      return;
    }
    ++running_;
    lane.phase = LanePhase::fresh;
    constants_.load(l, *start.constants);
    states_.load(l, start.q);
    run_directions_.load(l, *start.run_directions);
    vanes_.from.set(l, start.vanes.from);
    vanes_.to.set(l, start.vanes.to);
    vanes_.height.set(l, start.vanes.height);
    lane.step = start.step;
    restore(l);
    time_.set(l, 0.0);
    clear_lane(l, extremes_);
    LaneResult<Links>& out = out_[l];
    out.event_count = 0;
    out.record.separated = false;
    out.record.steps = 0;
    out.record.evaluations = 0;
  }

  void restore(int l) {
    contact_modes_.string.set(l, 1.0);
    contact_modes_.launcher.set(l, kernel::as_it_stands);
    for (S& cable : contact_modes_.cable) {
      cable.set(l, kernel::as_it_stands);
    }
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
    restore(l);
    time_.set(l, 0.0);
  }

  void read_snapshot(int l, Snapshot<Links>& to) const {
    to.time = time_[l];
    states_.read(l, to.q, to.v);
    run_directions_.read(l, to.run_directions);
  }
  void hand_in(int l, LaunchEnd end) {
    LaneResult<Links>& out = out_[l];
    out.diverged = lane_[l].diverged;
    out.overflowed = out.event_count > max_event_records;
    out.record.ended_by = end;
    read_snapshot(l, out.record.end);
    read_lane(l, extremes_, out.record.extremes);
    supply_.done(supply_.context, l, out);
    --running_;
    refill(l);
    keep_busy(l);
  }

  // --- A tick --------------------------------------------------------------------------------------------------------

  /// The lanes for which `wanted` is true of the lane.
  template <class Wanted>
  [[nodiscard]] M lanes(const Wanted& wanted) const {
    M mask{};
    for (int l = 0; l < N; ++l) {
      mask.bits[l] = wanted(lane_[l]) ? -1 : 0;
    }
    return mask;
  }
  [[nodiscard]] M lanes(LanePhase phase) const {
    return lanes([phase](const Lane& lane) { return lane.phase == phase; });
  }

  void tick() {
    start_tick();
    states_.to_second();
    evaluate(states_.second);
    finish_singles();
    states_.to_third();
    evaluate(states_.third);
    states_.to_fourth();
    evaluate(states_.at.a);
    end_of_step();
    finish_tick();
  }

  void start_tick() {
    S step(0.0);
    for (int l = 0; l < N; ++l) {
      if (lane_[l].phase == LanePhase::stepping) {
        step.set(l, lane_[l].step);
        out_[l].record.evaluations += 4;
      } else if (lane_[l].phase == LanePhase::landing) {
        step.set(l, watch_.step(l));
        out_[l].record.evaluations += 4;
        // From the nearer end of the whole step.
        if (watch_.share(l) < 0.5) {
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
    const auto& at = states_.at;
    diagnostics_ =
        kernel::accelerations(constants_.all(), topology_, contact_modes_, at.q, at.v, a, run_directions_.now());
  }
  [[nodiscard]] EventValues<S> values() const {
    return event_values(constants_.all(), topology_, contact_modes_.string, diagnostics_, states_.at.q);
  }

  /// After the first evaluation: lanes that needed just that have the rate at their state.
  void finish_singles() {
    const M fresh = lanes(LanePhase::fresh);
    const M single{fresh.bits | lanes(LanePhase::let_go).bits};
    if (!any(single)) {
      return;
    }
    states_.keep_first(single);
    watch_.start(fresh, values());
    for (int w = 0; w < event_function_count; ++w) {
      if (S* contact_mode = contact_mode_of(contact_modes_, w)) {
        *contact_mode = select(fresh, watch_.sign(w), *contact_mode);
      }
    }
    look(single);
    for (int l = 0; l < N; ++l) {
      if (fresh[l]) {
        run_directions_.read(l, out_[l].record.start_run_directions);
      }
      if (single[l]) {
        ++out_[l].record.evaluations;
        run_directions_.mark_after(l);  // what the rest of the tick does to them is undone at its end
        lane_[l].waits = true;
      }
    }
    excursion_ = select(single, diagnostics_.excursion, excursion_);
  }

  /// The step's end, and the evaluation there.
  void end_of_step() {
    steps_ = lanes([](const Lane& lane) {
      return (lane.phase == LanePhase::stepping || lane.phase == LanePhase::landing) && !lane.waits;
    });
    states_.to_end();
    switch_contact_modes();
    evaluate(states_.at.a);
  }

  /// A step that ends on an event is evaluated there as from then on.
  void switch_contact_modes() {
    for (int l = 0; l < N; ++l) {
      if (steps_[l] && lane_[l].phase == LanePhase::landing) {
        switch_contact_mode(watch_.event(l), l);
      }
    }
  }
  void switch_contact_mode(int event, int l) {
    if (S* contact_mode = contact_mode_of(contact_modes_, event)) {
      contact_mode->set(l, 1.0 - (*contact_mode)[l]);
    }
  }

  void finish_tick() {
    const EventValues<S> g = values();
    const S finite = states_.finite();
    const M crossed = watch_.crossed(g);
    M accepted{};
    for (int l = 0; l < N; ++l) {
      if (!steps_[l]) {
        continue;
      }
      if (!(finite[l] == 0.0)) {
        lane_[l].diverged = true;
      } else if (lane_[l].phase == LanePhase::landing) {
        const int event = watch_.event(l);
        accepted.bits[l] = watch_.take(g, l) ? -1 : 0;
        if (!accepted[l]) {
          switch_contact_mode(event, l);  // back
        }
      } else if (crossed[l]) {
        run_directions_.mark_after(l);
        lane_[l].phase = LanePhase::landing;
        watch_.begin(g, lane_[l].step, l);
      } else {
        accepted.bits[l] = -1;
      }
    }
    accept(accepted, g);
    settle_lanes(accepted);
  }

  void accept(M accepted, const EventValues<S>& g) {
    if (kernel::has_arm(topology_.rest)) {
      record_drops(accepted);
    }
    states_.accept(accepted);
    watch_.accept(accepted, g, states_.step, lanes(LanePhase::stepping));
    time_ = select(accepted, time_ + states_.step, time_);
    look(accepted);
    excursion_ = select(accepted, diagnostics_.excursion, excursion_);
  }

  void record_drops(M accepted) {
    const S started = constants_.all().rest.up_angle - S(drop_margin);
    const auto& from = states_.now;
    const auto& to = states_.at;
    constexpr int arm = L::rest_arm;
    const M begins = both(accepted, both(from.q[arm] > started, to.q[arm] <= started));
    if (!any(begins)) {
      return;
    }
    for (int l = 0; l < N; ++l) {
      if (begins[l]) {
        const double share =
            share_to_drop<Isa>(started[l], from.q[arm][l], from.v[arm][l], to.q[arm][l], to.v[arm][l], states_.step[l]);
        note({event_drop_started, false, time_[l] + share * states_.step[l]}, l);
      }
    }
  }
  void note(const EventRecord& seen, int l) {
    LaneResult<Links>& out = out_[l];
    if (out.event_count < max_event_records) {
      out.event[out.event_count] = seen;
    }
    ++out.event_count;
  }

  /// Take the lanes that are `seen` into their extremes.
  void look(M seen) {
    const auto& shape = constants_.all().arrow.nock_shape;
    const S* q = states_.now.q;
    observe(extremes_, seen, contact_modes_.string > S(0.5), lanes([](const Lane& lane) { return lane.tail_passed; }),
            topology_.rest != RestKind::none, time_, diagnostics_,
            kernel::modal_sum(layout_.modes, shape, q + L::arrow_y),
            kernel::modal_sum(layout_.modes, shape, q + layout_.arrow_z()), vanes_);
  }

  // --- What each lane does next --------------------------------------------------------------------------------------

  void settle_lanes(M accepted) {
    M leaving{};
    for (int l = 0; l < N; ++l) {
      if (accepted[l]) {
        ++out_[l].record.steps;
        const bool event = lane_[l].phase == LanePhase::landing;
        lane_[l].phase = LanePhase::stepping;
        leaving.bits[l] = event && take_event(l) ? -1 : 0;
      }
    }
    if (any(leaving)) {
      let_string_go(constants_.all(), layout_.modes, leaving, states_.now.q, states_.now.v);
      part(leaving);
      watch_.part(leaving);
    }
    for (int l = 0; l < N; ++l) {
      Lane& lane = lane_[l];
      const bool waited = lane.waits;
      lane.waits = false;
      if (lane.diverged) {
        hand_in(l, LaunchEnd::arrow_clear);
      } else if (waited && (lane.phase == LanePhase::fresh || lane.phase == LanePhase::let_go)) {
        const bool after_step = lane.phase == LanePhase::let_go;
        lane.phase = LanePhase::stepping;
        run_directions_.return_to_after(l);
        end_if_over(l, after_step);
      } else if (accepted[l] && !leaving[l]) {
        end_if_over(l, true);
      }
    }
  }

  void part(M leaving) {
    const kernel::ContactModes<S> after = after_release(contact_modes_);
    contact_modes_.string = select(leaving, after.string, contact_modes_.string);
    for (int h = 0; h < 2; ++h) {
      contact_modes_.cable[h] = select(leaving, after.cable[h], contact_modes_.cable[h]);
    }
  }

  void end_if_over(int l, bool after_step) {
    if (after_step && excursion_[l] > track_end) {
      hand_in(l, LaunchEnd::track_ended);
    } else if (out_[l].record.separated && lane_[l].tail_passed) {
      hand_in(l, LaunchEnd::arrow_clear);
    } else if (time_[l] >= options_.time_limit) {
      hand_in(l, LaunchEnd::time_limit);
    }
  }

  /// Note the event that lane `l` has landed on; true when the nock leaves the string.
  bool take_event(int l) {
    LaneResult<Links>& out = out_[l];
    const EventRecord seen = watch_.happen(l, time_[l]);
    note(seen, l);
    if (seen.watch == event_tail && !seen.positive) {
      lane_[l].tail_passed = true;
    }
    if (seen.watch != event_separation) {
      return false;
    }
    read_snapshot(l, out.record.exit);
    out.record.separated = true;
    lane_[l].phase = LanePhase::let_go;
    return true;
  }

  kernel::Topology topology_;
  L layout_;
  LaneOptions options_;
  LaneSupply<Links> supply_;
  int running_ = 0;

  LaneConstants<S, Links> constants_;
  LaneStates<S> states_;
  LaneRunDirections<S> run_directions_;
  LaneEvents<S> watch_;
  kernel::Diagnostics<S> diagnostics_{};
  Vanes<S> vanes_;
  Extremes<S> extremes_;
  kernel::ContactModes<S> contact_modes_{};
  S time_{0.0}, excursion_{0.0};
  M steps_{};  // lanes that stepped in this tick
  Lane lane_[N];
  LaneResult<Links> out_[N];
};

template <class S, int Links>
void run_lanes(const kernel::Topology& topology, const LaneOptions& options, const LaneSupply<Links>& supply) {
  std::make_unique<LaneEngine<S, Links>>(topology, options, supply)->run();
}

}  // namespace nockwise::detail
