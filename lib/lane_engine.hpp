// Launches in the lanes of a pack. Private; included by lanes_*.cpp alone.
//
// Every lane runs its own launch by the classical Runge–Kutta steps of launch_run.hpp, in the same order of operations,
// so that it ends with the same bits, whoever shares the pack. A tick is four evaluations of the right-hand side. A
// lane that steps takes its three inner stages and the step's end; one that looks for an event inside its last step
// looks at up to four places instead, then lands on the event in a tick of its own; one that is new, or has just let
// its arrow go, needs a single evaluation. Lanes that end hand in their record and take the next launch.
#pragma once

#include "event_search.hpp"
#include "kernel/pack.hpp"
#include "lanes.hpp"
#include "launch_events.hpp"

#include <cstddef>
#include <cstring>

namespace nockwise::detail {

enum class LanePhase {
  idle,
  fresh,      // needs its first evaluation
  stepping,   // takes a whole step
  searching,  // looks for an event in the step just tried
  landing,    // repeats the step up to the event
  let_go      // needs an evaluation with the string on its own
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
      : topology_(topology), layout_{topology.modes}, n_(layout_.size()), options_(options), supply_(supply) {}

  void run() {
    for (int l = 0; l < N; ++l) {
      refill(l);
    }
    if (running_ == 0) {
      return;
    }
    fill_idle();
    while (running_ > 0) {
      tick();
    }
  }

 private:
  using Search = EventSearch<Isa>;
  static constexpr int none = -1;

  struct Lane {
    LanePhase phase = LanePhase::idle;
    std::size_t ticket = 0;
    bool tail_passed = false;
    int watch = 0;  // being searched
    Search search;
    int first_watch = none;  // the first event found so far, and its share of the step
    double first_share = 2.0;
  };

  // --- Coming and going ----------------------------------------------------------------------------------------------

  /// Give lane `l` the next launch, if there is one.
  void refill(int l) {
    LaneStart<Links> start;
    Lane& lane = lane_[l];
    lane = Lane{};
    if (!supply_.next(supply_.context, lane.ticket, start)) {
      return;
    }
    ++running_;
    lane.phase = LanePhase::fresh;
    load_constants(l, *start.constants);
    for (int i = 0; i < n_; ++i) {
      q_[i].set(l, start.q[i]);
      v_[i].set(l, 0.0);
      a_[i].set(l, 0.0);
    }
    for (int h = 0; h < 2; ++h) {
      load_heading(l, start.headings->string[h], headings_.string[h]);
      load_heading(l, start.headings->cable[h], headings_.cable[h]);
    }
    headings_.shaft.row.set(l, -1.0);
    vanes_.from.set(l, start.vanes.from);
    vanes_.to.set(l, start.vanes.to);
    vanes_.height.set(l, start.vanes.height);
    attached_.set(l, 1.0);
    time_.set(l, 0.0);
    clear_extremes(l);
    LaneResult<Links>& out = out_[l];
    out.failed = false;
    out.sightings = 0;
    out.record.ended_by = LaunchEnd::arrow_clear;
    out.record.separated = false;
    out.record.steps = 0;
    out.record.evaluations = 0;
  }

  /// A Constants<double> is a row of slots of eight bytes, a Constants<S> the same row of slots of N times eight. Of
  /// the tables over the arrow's modes only what this topology uses is moved.
  void load_constants(int l, const kernel::Constants<double, Links>& from) {
    static_assert(sizeof(constants_) == N * sizeof(from));
    each_used_slots([&](std::size_t first, std::size_t count) {
      const char* in = reinterpret_cast<const char*>(&from) + first * sizeof(double);
      char* out = lane_of(l) + first * N * sizeof(double);
      for (std::size_t i = 0; i < count; ++i) {
        std::memcpy(out + i * N * sizeof(double), in + i * sizeof(double), sizeof(double));
      }
    });
  }
  char* lane_of(int l) { return reinterpret_cast<char*>(&constants_) + static_cast<std::size_t>(l) * sizeof(double); }
  /// Ranges of slots, without the unused ends of the tables over modes.
  template <class Take>
  void each_used_slots(const Take& take) const {
    using C = kernel::Constants<double, Links>;
    using A = kernel::ArrowConstants<double>;
    constexpr std::size_t size = sizeof(double);
    constexpr std::size_t arrow = offsetof(C, arrow);
    const auto modes = static_cast<std::size_t>(topology_.modes);
    take(0, (arrow + offsetof(A, stiffness)) / size);
    take((arrow + offsetof(A, stiffness)) / size, modes);
    take((arrow + offsetof(A, nock_shape)) / size, modes);
    for (std::size_t row = 0; row < modes; ++row) {
      take((arrow + offsetof(A, thrust)) / size + row * kernel::max_modes, modes);
    }
    take((arrow + offsetof(A, shapes)) / size, (sizeof(C) - arrow - offsetof(A, shapes)) / size);
  }
  static void load_heading(int l, const kernel::Heading<double>& from, kernel::Heading<S>& to) {
    to.u.set(l, from.u);
    to.cosine.set(l, from.cosine);
    to.sine.set(l, from.sine);
    to.near.row.set(l, -1.0);
    to.far.row.set(l, -1.0);
  }
  void clear_extremes(int l) {
    constexpr double infinity = Extremes<S>::infinity;
    for (S* zero : {&extremes_.acceleration, &extremes_.contact, &extremes_.last_contact}) {
      zero->set(l, 0.0);
    }
    for (S* low : {&extremes_.y_low, &extremes_.z_low, &extremes_.shaft_gap, &extremes_.fletching_gap}) {
      low->set(l, infinity);
    }
    for (S* high : {&extremes_.y_high, &extremes_.z_high}) {
      high->set(l, -infinity);
    }
  }

  /// Lanes without a launch go through the motions of another: their numbers stay harmless, nobody reads them.
  void fill_idle() {
    int busy = 0;
    while (lane_[busy].phase == LanePhase::idle) {
      ++busy;
    }
    for (int l = 0; l < N; ++l) {
      if (lane_[l].phase == LanePhase::idle) {
        copy_lane(busy, l);
      }
    }
  }
  void copy_lane(int from, int to) {
    const auto copy = [&](S& pack) { pack.set(to, pack[from]); };
    each_used_slots([&](std::size_t first, std::size_t count) {
      for (std::size_t i = first; i < first + count; ++i) {
        std::memcpy(lane_of(to) + i * N * sizeof(double), lane_of(from) + i * N * sizeof(double), sizeof(double));
      }
    });
    for (int i = 0; i < n_; ++i) {
      copy(q_[i]);
      copy(v_[i]);
      copy(a_[i]);
    }
    for (int h = 0; h < 2; ++h) {
      for (kernel::Heading<S>* heading : {&headings_.string[h], &headings_.cable[h]}) {
        copy(heading->u);
        copy(heading->cosine);
        copy(heading->sine);
        heading->near.row.set(to, -1.0);
        heading->far.row.set(to, -1.0);
      }
    }
    headings_.shaft.row.set(to, -1.0);
    attached_.set(to, 1.0);
    time_.set(to, 0.0);
  }

  void keep_headings(int l, kernel::Headings<double>& to) const { keep_headings(l, headings_, to); }
  template <class From>
  static void keep_headings(int l, const From& from, kernel::Headings<double>& to) {
    for (int h = 0; h < 2; ++h) {
      keep_heading(l, from.string[h], to.string[h]);
      keep_heading(l, from.cable[h], to.cable[h]);
    }
  }
  template <class From>
  static void keep_heading(int l, const From& from, kernel::Heading<double>& to) {
    to.u = from.u[l];
    to.cosine = from.cosine[l];
    to.sine = from.sine[l];
  }
  void keep_moment(int l, Moment<Links>& to) const {
    to.time = time_[l];
    for (int i = 0; i < n_; ++i) {
      to.q[i] = q_[i][l];
      to.v[i] = v_[i][l];
    }
    keep_headings(l, to.headings);
  }

  void hand_in(int l, LaunchEnd end, bool failed) {
    LaneResult<Links>& out = out_[l];
    out.failed = failed || out.sightings > most_sightings;
    out.record.ended_by = end;
    keep_moment(l, out.record.end);
    Extremes<double>& e = out.record.extremes;
    e.acceleration = extremes_.acceleration[l];
    e.y_low = extremes_.y_low[l];
    e.y_high = extremes_.y_high[l];
    e.z_low = extremes_.z_low[l];
    e.z_high = extremes_.z_high[l];
    e.contact = extremes_.contact[l];
    e.last_contact = extremes_.last_contact[l];
    e.shaft_gap = extremes_.shaft_gap[l];
    e.fletching_gap = extremes_.fletching_gap[l];
    supply_.done(supply_.context, lane_[l].ticket, out);
    --running_;
    refill(l);
    if (lane_[l].phase == LanePhase::idle && running_ > 0) {
      int busy = 0;
      while (lane_[busy].phase == LanePhase::idle) {
        ++busy;
      }
      copy_lane(busy, l);
    }
  }

  // --- A tick --------------------------------------------------------------------------------------------------------

  [[nodiscard]] M mask_of(bool (*wanted)(LanePhase)) const {
    M mask{};
    for (int l = 0; l < N; ++l) {
      mask.bits[l] = wanted(lane_[l].phase) ? -1 : 0;
    }
    return mask;
  }
  static bool takes_step(LanePhase p) { return p == LanePhase::stepping || p == LanePhase::landing; }

  void evaluate(const S* q, const S* v, S* a) {
    diagnostics_ = kernel::accelerations(constants_, topology_, attached_, q, v, a, headings_);
  }

  void tick() {
    start_tick();
    inner_stage(S(0.5) * step_, v_, a_, v2_, a2_);
    after_first();
    look_and_go_on();
    inner_stage(S(0.5) * step_, v2_, a2_, v3_, a3_);
    look_and_go_on();
    inner_stage(step_, v3_, a3_, v4_, a4_);
    look_and_go_on();
    end_of_step();
    finish_tick();
  }

  void start_tick() {
    S step(0.0);
    for (int l = 0; l < N; ++l) {
      Lane& lane = lane_[l];
      if (lane.phase == LanePhase::stepping) {
        step.set(l, options_.step);
        tried_.set(l, options_.step);
        out_[l].record.evaluations += 4;
      } else if (lane.phase == LanePhase::landing) {
        step.set(l, tried_[l]);
        out_[l].record.evaluations += 4;
        restore(l, lane.first_share < 0.5 ? before_ : after_);
      }
    }
    step_ = step;
    remember_headings();
  }

  // Headings before the step tried and after it; a lane that lands starts from the nearer ones.
  struct Bearing {
    S u, cosine, sine;
  };
  struct Bearings {
    Bearing string[2], cable[2];
  };
  static void remember(M mask, const kernel::Heading<S>& from, Bearing& to) {
    to.u = select(mask, from.u, to.u);
    to.cosine = select(mask, from.cosine, to.cosine);
    to.sine = select(mask, from.sine, to.sine);
  }
  void remember_headings() {
    const M steps = mask_of([](LanePhase p) { return p == LanePhase::stepping; });
    for (int h = 0; h < 2; ++h) {
      remember(steps, headings_.string[h], before_.string[h]);
      remember(steps, headings_.cable[h], before_.cable[h]);
    }
  }
  static void set_lane(int l, const Bearing& from, kernel::Heading<S>& to) {
    to.u.set(l, from.u[l]);
    to.cosine.set(l, from.cosine[l]);
    to.sine.set(l, from.sine[l]);
  }
  void restore(int l, const Bearings& from) {
    for (int h = 0; h < 2; ++h) {
      set_lane(l, from.string[h], headings_.string[h]);
      set_lane(l, from.cable[h], headings_.cable[h]);
    }
  }
  void note_after(int l) {
    for (int h = 0; h < 2; ++h) {
      for (auto [from, to] :
           {Pair{&headings_.string[h], &after_.string[h]}, Pair{&headings_.cable[h], &after_.cable[h]}}) {
        to->u.set(l, from->u[l]);
        to->cosine.set(l, from->cosine[l]);
        to->sine.set(l, from->sine[l]);
      }
    }
  }
  struct Pair {
    const kernel::Heading<S>* from;
    Bearing* to;
  };

  /// One inner stage from the rates (kv, ka), into (stage_v, stage_a); all sums run from the left, as Odeint's do.
  void inner_stage(S reach, const S* kv, const S* ka, S* stage_v, S* stage_a) {
    for (int i = 0; i < n_; ++i) {
      stage_q_[i] = q_[i] + reach * kv[i];
      stage_v[i] = v_[i] + reach * ka[i];
    }
    if (searching_ > 0) {
      interpolate(stage_v);
    }
    evaluate(stage_q_, stage_v, stage_a);
  }

  /// Hermite's cubic of the step tried, for the lanes that search (launch_stepper.hpp, interpolate).
  void interpolate(S* stage_v) {
    M mask{};
    S share(0.0);
    for (int l = 0; l < N; ++l) {
      mask.bits[l] = lane_[l].phase == LanePhase::searching ? -1 : 0;
      share.set(l, lane_[l].phase == LanePhase::searching ? lane_[l].search.share() : 0.0);
    }
    const S rest = S(1.0) - share;
    const S a = (S(1.0) + S(2.0) * share) * rest * rest;
    const S b = share * rest * rest * tried_;
    const S c = share * share * (S(3.0) - S(2.0) * share);
    const S d = share * share * (share - S(1.0)) * tried_;
    for (int i = 0; i < n_; ++i) {
      stage_q_[i] = select(mask, a * q_[i] + b * v_[i] + c * q_new_[i] + d * v_new_[i], stage_q_[i]);
      stage_v[i] = select(mask, a * v_[i] + b * a_[i] + c * v_new_[i] + d * a_new_[i], stage_v[i]);
    }
  }

  /// After the first evaluation: lanes that needed just that have the rate at their state.
  void after_first() {
    bool any_single = false;
    M fresh{};
    M let_go{};
    for (int l = 0; l < N; ++l) {
      fresh.bits[l] = lane_[l].phase == LanePhase::fresh ? -1 : 0;
      let_go.bits[l] = lane_[l].phase == LanePhase::let_go ? -1 : 0;
      any_single = any_single || fresh[l] || let_go[l];
    }
    if (!any_single) {
      return;
    }
    const M single{fresh.bits | let_go.bits};
    for (int i = 0; i < n_; ++i) {
      a_[i] = select(single, a2_[i], a_[i]);
    }
    const WatchValues<S> g = watch_values(constants_, topology_, attached_, diagnostics_, q_);
    for (std::size_t w = 0; w < watch_count; ++w) {
      watch_[w] = select(fresh, g[w], watch_[w]);
      positive_[w] = select(fresh, select(g[w] > S(0.0), S(1.0), S(0.0)), positive_[w]);
    }
    look(single);
    for (int l = 0; l < N; ++l) {
      if (fresh[l]) {
        keep_headings(l, out_[l].record.start_headings);
      }
      if (single[l]) {
        ++out_[l].record.evaluations;
        note_after(l);  // what the rest of the tick does to its headings is undone at its end
        waits_[l] = true;
      }
    }
    excursion_ = select(single, diagnostics_.excursion, excursion_);
  }

  /// Take the present evaluation into the searches under way.
  void look_and_go_on() {
    if (searching_ == 0) {
      return;
    }
    const WatchValues<S> g = watch_values(constants_, topology_, attached_, diagnostics_, stage_q_);
    for (int l = 0; l < N; ++l) {
      Lane& lane = lane_[l];
      if (lane.phase != LanePhase::searching || waits_[l]) {
        continue;
      }
      ++out_[l].record.evaluations;
      if (lane.search.take(g[static_cast<std::size_t>(lane.watch)][l])) {
        note_found(l);
        search_next(l, lane.watch + 1);
      }
    }
  }

  void note_found(int l) {
    Lane& lane = lane_[l];
    if (lane.search.share() < lane.first_share) {
      lane.first_share = lane.search.share();
      lane.first_watch = lane.watch;
    }
  }

  /// Search the next event function from `watch` on that changed its sign in the step; after the last one, land.
  void search_next(int l, int watch) {
    Lane& lane = lane_[l];
    for (; watch < watch_count; ++watch) {
      const auto w = static_cast<std::size_t>(watch);
      const bool positive = positive_[w][l] > 0.5;
      if ((tried_watch_[w][l] > 0.0) == positive) {
        continue;
      }
      lane.watch = watch;
      lane.search = Search(watch_[w][l], tried_watch_[w][l], positive);
      if (!lane.search.trivial()) {
        return;
      }
      note_found(l);
    }
    tried_.set(l, tried_[l] * lane.first_share);
    lane.phase = LanePhase::landing;
    waits_[l] = true;
    --searching_;
  }

  /// The step's end, and the evaluation there.
  void end_of_step() {
    const S sixth = S(1.0 / 6.0) * step_;
    const S third = S(1.0 / 3.0) * step_;
    const M steps = stepping_mask();
    for (int i = 0; i < n_; ++i) {
      const S q = q_[i] + sixth * v_[i] + third * v2_[i] + third * v3_[i] + sixth * v4_[i];
      const S v = v_[i] + sixth * a_[i] + third * a2_[i] + third * a3_[i] + sixth * a4_[i];
      stage_q_[i] = select(steps, q, q_[i]);
      stage_v_[i] = select(steps, v, v_[i]);
    }
    if (searching_ > 0) {
      interpolate(stage_v_);
    }
    evaluate(stage_q_, stage_v_, stage_a_);
    for (int i = 0; i < n_; ++i) {
      q_new_[i] = select(steps, stage_q_[i], q_new_[i]);
      v_new_[i] = select(steps, stage_v_[i], v_new_[i]);
      a_new_[i] = select(steps, stage_a_[i], a_new_[i]);
    }
    steps_ = steps;
  }
  /// Lanes whose three inner stages were a step's.
  [[nodiscard]] M stepping_mask() const {
    M mask{};
    for (int l = 0; l < N; ++l) {
      mask.bits[l] = takes_step(lane_[l].phase) && !waits_[l] ? -1 : 0;
    }
    return mask;
  }

  void finish_tick() {
    const WatchValues<S> g = watch_values(constants_, topology_, attached_, diagnostics_, stage_q_);
    // A number that is not finite stays one when multiplied by zero.
    S sum(0.0);
    for (int i = 0; i < n_; ++i) {
      sum = sum + S(0.0) * q_new_[i] + S(0.0) * v_new_[i] + S(0.0) * a_new_[i];
    }
    M accepted{};
    for (int l = 0; l < N; ++l) {
      const bool was_searching = lane_[l].phase == LanePhase::searching;
      if (steps_[l]) {
        if (!(sum[l] == 0.0)) {
          lane_[l].phase = LanePhase::let_go;  // handed in below, as failed
          failed_[l] = true;
        } else if (lane_[l].phase == LanePhase::landing || !crossed(g, l)) {
          accepted.bits[l] = -1;
        } else {
          begin_search(g, l);
        }
      } else if (was_searching && !waits_[l]) {
        ++out_[l].record.evaluations;
        if (lane_[l].search.take(g[static_cast<std::size_t>(lane_[l].watch)][l])) {
          note_found(l);
          search_next(l, lane_[l].watch + 1);
        }
      }
    }
    accept(accepted, g);
    settle_lanes(accepted);
  }

  [[nodiscard]] bool crossed(const WatchValues<S>& g, int l) const {
    for (std::size_t w = 0; w < watch_count; ++w) {
      if ((g[w][l] > 0.0) != (positive_[w][l] > 0.5)) {
        return true;
      }
    }
    return false;
  }
  void begin_search(const WatchValues<S>& g, int l) {
    for (std::size_t w = 0; w < watch_count; ++w) {
      tried_watch_[w].set(l, g[w][l]);
    }
    note_after(l);
    Lane& lane = lane_[l];
    lane.first_watch = none;
    lane.first_share = 2.0;
    lane.phase = LanePhase::searching;
    ++searching_;
    search_next(l, 0);
  }

  void accept(M accepted, const WatchValues<S>& g) {
    for (int i = 0; i < n_; ++i) {
      q_[i] = select(accepted, q_new_[i], q_[i]);
      v_[i] = select(accepted, v_new_[i], v_[i]);
      a_[i] = select(accepted, a_new_[i], a_[i]);
    }
    for (std::size_t w = 0; w < watch_count; ++w) {
      watch_[w] = select(accepted, g[w], watch_[w]);
    }
    time_ = select(accepted, time_ + step_, time_);
    look(accepted);
    excursion_ = select(accepted, diagnostics_.excursion, excursion_);
  }

  /// Take the lanes that are `seen` into their extremes.
  void look(M seen) {
    M passed{};
    for (int l = 0; l < N; ++l) {
      passed.bits[l] = lane_[l].tail_passed ? -1 : 0;
    }
    const auto& shape = constants_.arrow.nock_shape;
    observe(extremes_, seen, attached_ > S(0.5), passed, topology_.rest != RestKind::none, time_, diagnostics_,
            kernel::modal_sum(layout_.modes, shape, q_ + L::arrow_y),
            kernel::modal_sum(layout_.modes, shape, q_ + layout_.arrow_z()), vanes_);
  }

  /// What each lane does next.
  void settle_lanes(M accepted) {
    M leaving{};
    bool any_leaves = false;
    for (int l = 0; l < N; ++l) {
      if (accepted[l]) {
        ++out_[l].record.steps;
        if (lane_[l].phase == LanePhase::landing) {
          leaving.bits[l] = take_event(l) ? -1 : 0;
          any_leaves = any_leaves || leaving[l];
        }
        if (!leaving[l]) {
          lane_[l].phase = LanePhase::stepping;
        }
      }
    }
    if (any_leaves) {
      let_string_go(leaving);
    }
    for (int l = 0; l < N; ++l) {
      const bool ready = lane_[l].phase == LanePhase::fresh || lane_[l].phase == LanePhase::let_go;
      const bool evaluated = waits_[l] && ready;
      waits_[l] = false;
      if (failed_[l]) {
        failed_[l] = false;
        hand_in(l, LaunchEnd::arrow_clear, true);
      } else if (evaluated) {
        const bool was_fresh = lane_[l].phase == LanePhase::fresh;
        lane_[l].phase = LanePhase::stepping;
        restore(l, after_);
        end_if_over(l, !was_fresh);
      } else if (accepted[l] && !leaving[l]) {
        end_if_over(l, true);
      }
    }
  }

  void end_if_over(int l, bool after_step) {
    if (after_step && excursion_[l] > track_end) {
      hand_in(l, LaunchEnd::track_ended, false);
    } else if (out_[l].record.separated && lane_[l].tail_passed) {
      hand_in(l, LaunchEnd::arrow_clear, false);
    } else if (time_[l] >= options_.time_limit) {
      hand_in(l, LaunchEnd::time_limit, false);
    }
  }

  /// Note the event that lane `l` has landed on; true when the nock leaves the string.
  bool take_event(int l) {
    Lane& lane = lane_[l];
    LaneResult<Links>& out = out_[l];
    const int watch = lane.first_watch;
    const auto w = static_cast<std::size_t>(watch);
    const bool positive = !(positive_[w][l] > 0.5);
    positive_[w].set(l, positive ? 1.0 : 0.0);
    if (out.sightings < most_sightings) {
      out.sighting[out.sightings] = {watch, positive, time_[l]};
    }
    ++out.sightings;
    if (watch == watch_tail && !positive) {
      lane.tail_passed = true;
    }
    if (watch != watch_separation) {
      return false;
    }
    keep_moment(l, out.record.exit);
    out.record.separated = true;
    lane.phase = LanePhase::let_go;
    return true;
  }

  /// The string goes on from where the nock is.
  void let_string_go(M leaving) {
    const auto& shape = constants_.arrow.nock_shape;
    const auto nock = nock_of(constants_, layout_.modes, q_, v_);
    const auto put = [&](S& to, S value) { to = select(leaving, value, to); };
    put(q_[L::string_x], nock.position.x);
    put(q_[L::string_y], nock.position.y);
    put(v_[L::string_x], nock.velocity.x);
    put(v_[L::string_y], nock.velocity.y);
    put(q_[L::string_z], kernel::modal_sum(layout_.modes, shape, q_ + layout_.arrow_z()));
    put(v_[L::string_z], kernel::modal_sum(layout_.modes, shape, v_ + layout_.arrow_z()));
    put(attached_, S(0.0));
    put(positive_[watch_separation], S(1.0));
    put(watch_[watch_separation], S(1.0));
  }

  static constexpr int capacity = kernel::max_coordinates;

  kernel::Constants<S, Links> constants_{};
  kernel::Topology topology_;
  L layout_;
  int n_;
  LaneOptions options_;
  LaneSupply<Links> supply_;
  int running_ = 0;
  int searching_ = 0;

  kernel::Headings<S> headings_{};
  kernel::Diagnostics<S> diagnostics_{};
  Bearings before_{}, after_{};
  Vanes<S> vanes_;
  Extremes<S> extremes_;
  S attached_{1.0}, time_{0.0}, step_{0.0}, tried_{0.0}, excursion_{0.0};
  WatchValues<S> watch_{}, tried_watch_{}, positive_{};
  S q_[capacity] = {}, v_[capacity] = {}, a_[capacity] = {};
  S q_new_[capacity] = {}, v_new_[capacity] = {}, a_new_[capacity] = {};
  S stage_q_[capacity] = {}, stage_v_[capacity] = {}, stage_a_[capacity] = {};
  S v2_[capacity] = {}, a2_[capacity] = {}, v3_[capacity] = {}, a3_[capacity] = {}, v4_[capacity] = {},
    a4_[capacity] = {};
  M steps_{};
  Lane lane_[N];
  bool waits_[N] = {};   // has what it needed of this tick
  bool failed_[N] = {};  // diverged
  LaneResult<Links> out_[N];
};

}  // namespace nockwise::detail
