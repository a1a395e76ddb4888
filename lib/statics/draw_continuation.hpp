// The draw by continuation in the nock's position, and the search for the wall (lib/README.md, "Statics"). Private.
#pragma once

#include "nockwise/draw.hpp"
#include "numerics/false_position.hpp"
#include "statics/lateral_balance.hpp"
#include "statics/statics.hpp"

#include <algorithm>

namespace nockwise::detail {

/// How far a draw has come: all that going on from here depends on. A value, so that whoever goes on from a copy of it
/// goes the same way, to the bit.
template <int Links>
struct DrawProgress {
  StaticPoint now, before, earlier;
  kernel::RunDirections<double> run_directions{};
  UnknownMatrix inverse{0, 0};  // of the last solution's Jacobian
  double largest_force = 0.0;   // [N]
};

template <int Links>
class DrawContinuation {
 public:
  using L = kernel::Layout<Links>;

  /// From brace. `slot`: as for Statics.
  DrawContinuation(const ModelData& data, const kernel::Constants<double, Links>& c, DrawHold hold,
                   EvaluationSlot<Links>* slot = nullptr)
      : data_(data),
        with_stops_(c),
        c_(c),
        topology_(data.topology),
        statics_(c_, topology_, slot),
        pressure_point_(pressure_point_of(data, hold)) {
    release_stops();
    if (!statics_.settle(data.brace)) {
      throw SolverError("brace", "a string or cable cannot lie taut");
    }
    statics_.report(data.brace, now_);
    before_ = now_;
    earlier_ = now_;
  }

  /// From where another draw of the same bow has come to, its stops not engaged.
  DrawContinuation(const ModelData& data, const kernel::Constants<double, Links>& c, DrawHold hold,
                   const DrawProgress<Links>& progress, EvaluationSlot<Links>* slot = nullptr)
      : data_(data),
        with_stops_(c),
        c_(c),
        topology_(data.topology),
        statics_(c_, topology_, slot),
        pressure_point_(pressure_point_of(data, hold)),
        now_(progress.now),
        before_(progress.before),
        earlier_(progress.earlier),
        largest_force_(progress.largest_force) {
    release_stops();
    statics_.set_run_directions(progress.run_directions);
    statics_.set_inverse(progress.inverse);
  }

  [[nodiscard]] DrawProgress<Links> progress() const {
    return {now_, before_, earlier_, statics_.run_directions(), statics_.inverse(), largest_force_};
  }

  [[nodiscard]] const StaticPoint& now() const { return now_; }
  [[nodiscard]] double nock_x() const { return now_.q[L::string_x]; }
  [[nodiscard]] double smallest_gap() const { return std::min(now_.stop_gap[0], now_.stop_gap[1]); }
  /// Largest draw force of the positions visited so far [N].
  [[nodiscard]] double largest_force() const { return largest_force_; }
  [[nodiscard]] Statics<Links>& statics() { return statics_; }
  [[nodiscard]] kernel::Vector2<double> pressure_point() const { return pressure_point_; }

  /// Let the stops push from here on. Until then only their gaps are computed, so that the search for the touch has a
  /// smooth function; at the touch itself the equilibrium is the same.
  void engage_stops() {
    for (int h = 0; h < 2; ++h) {
      c_.half[h].stop.stiffness = with_stops_.half[h].stop.stiffness;
    }
    statics_.constants_changed();
  }

  /// Move the nock to `x`, in as many steps as it takes.
  /// \throws SolverError naming the position and the reason.
  Task<Done> advance_to(double x);

  /// Put a grip torque [N·m] on where the nock is now: it shifts the nock aside, and everything else follows (Eq. 46).
  /// \throws SolverError when there is no equilibrium with it
  Task<Done> hold_grip_torque(double torque);

  /// Draw until the first stop touches, and at most a stride on; roughly, to go on with find_touch().
  Task<Done> pass_touch();

  /// From there, the nock position of the touch, exactly. The bow may be held elsewhere than it was drawn by.
  Task<double> find_touch();

 private:
  void release_stops() {
    for (auto& half : c_.half) {
      half.stop.stiffness = 0.0;
    }
  }
  static kernel::Vector2<double> pressure_point_of(const ModelData& data, DrawHold hold) {
    const Grip& grip = data.setup.grip;
    return hold == DrawHold::archer ? kernel::Vector2<double>{grip.pressure_point_x, grip.pressure_point_y}
                                    : kernel::Vector2<double>{0.0, 0.0};
  }

  /// Secants from here to the touch; false where they lead astray.
  Task<bool> follow_secants();
  /// Anderson and Björck's false position between an open and a touching stop.
  Task<Done> close_in(double open, double open_gap, double shut, double shut_gap);

  Task<bool> try_step(double x);

  /// A Newton step may land on another branch of the equilibrium: refuse a cam that has turned farther than a draw of
  /// this length can turn it (bounds found by trial), and a string that is slack.
  [[nodiscard]] bool plausible(const StaticPoint& next) const {
    constexpr double turn_at_rest = 0.05;   // allowed however little the nock moves [rad]
    constexpr double turn_per_draw = 40.0;  // [rad/m]
    const double move = std::fabs(next.q[L::string_x] - now_.q[L::string_x]);
    for (int h = 0; h < 2; ++h) {
      const auto cam = L::cam(h);
      const double turn = std::fabs(next.q[cam] - now_.q[cam]);
      if (turn > turn_at_rest + turn_per_draw * move || !(next.string_tension[h] > 0.0)) {
        return false;
      }
    }
    return true;
  }

  void check() const {
    for (int h = 0; h < 2; ++h) {
      if (!(now_.cable_tension[h] > 0.0)) {
        throw SolverError(place(), std::string("the ") + half_name(h) +
                                       " cable went slack: the take-up lever is too small for the limbs here");
      }
    }
    if (now_.excursion > 1e-9) {
      throw SolverError(place(), "a line ran off the end of its track; the track must cover the whole draw");
    }
  }
  [[nodiscard]] std::string place() const { return "draw cycle with the nock at " + std::to_string(nock_x()) + " m"; }

  /// \throws InputError where it is the guard for which the draw cannot go on
  void check_guard_here() {
    kernel::HalfMotion<double, Links> m[2];
    const auto lines = statics_.loads(now_.q, m);
    check_guard(data_, c_, m, lines, "in the draw");
  }

  const ModelData& data_;
  const kernel::Constants<double, Links>& with_stops_;
  kernel::Constants<double, Links> c_;
  const kernel::Topology& topology_;
  Statics<Links> statics_;
  kernel::Vector2<double> pressure_point_;
  StaticPoint now_, before_, earlier_;
  StaticPoint next_;  // of the step that is tried; a member, since a coroutine's variables are allocated
  double largest_force_ = 0.0;
  static constexpr double rough = 1e-6;   // tolerance on the way to the touch [rad, m]
  static constexpr double stride = 0.03;  // on that way [m]
  double tolerance_ = Statics<Links>::exact;
};

template <int Links>
Task<Done> DrawContinuation<Links>::advance_to(double x) {
  double step = x - nock_x();
  for (int failures = 0; nock_x() != x;) {
    const double remaining = x - nock_x();
    const double target = std::fabs(step) >= std::fabs(remaining) ? x : nock_x() + step;
    const bool there = co_await try_step(target);
    if (there) {
      step *= 1.5;
      continue;
    }
    step = 0.4 * (target - nock_x());
    if (++failures > 24 || std::fabs(step) < 1e-7) {
      check_guard_here();
      throw SolverError(place(),
                        "the equilibrium of limbs and cams was lost; the let-off may be too deep for these tracks, "
                        "or a line went slack");
    }
  }
  check();
  co_return Done{};
}

template <int Links>
Task<Done> DrawContinuation<Links>::hold_grip_torque(double torque) {
  if (torque != 0.0) {
    // At once, or where cams that are out of time are too nearly free for that, in parts.
    constexpr double smallest_part = 1.0 / 64.0;
    const double neutral = now_.lateral.yaw;
    double held = 0.0;
    double part = 1.0;
    while (held < 1.0) {
      const double next = std::min(1.0, held + part);
      statics_.hold_yaw(neutral - next * torque);
      const bool there = co_await try_step(nock_x());
      if (there) {
        held = next;
      } else if (part > smallest_part) {
        part *= 0.5;
      } else {
        throw SolverError(place(), "no equilibrium was found with this grip torque");
      }
    }
    check();
  }
  co_return Done{};
}

template <int Links>
Task<Done> DrawContinuation<Links>::pass_touch() {
  constexpr double farthest = -1.3;
  if (topology_.stop[0] == StopKind::none && topology_.stop[1] == StopKind::none) {
    throw InputError("cams.upper.stop.kind", "none",
                     "must be limb or cable on at least one cam: without a draw stop there is no full draw");
  }
  if (smallest_gap() <= 0.0) {
    throw SolverError(place(), "a draw stop touches at brace already; check the stop's angle");
  }
  tolerance_ = rough;
  while (smallest_gap() > 0.0) {
    if (nock_x() < farthest) {
      throw SolverError(place(), "no draw stop touched within 1.3 m; check the stops' angles");
    }
    co_await advance_to(nock_x() - stride);
  }
  tolerance_ = Statics<Links>::exact;
  co_return Done{};
}

template <int Links>
Task<double> DrawContinuation<Links>::find_touch() {
  const bool found = co_await follow_secants();
  if (!found) {  // between two positions that are sure to have the touch between them
    while (smallest_gap() <= 0.0) {
      co_await advance_to(nock_x() + stride);
    }
    double open = nock_x();
    double open_gap = smallest_gap();
    while (smallest_gap() > 0.0) {
      open = nock_x();
      open_gap = smallest_gap();
      co_await advance_to(open - stride);
    }
    co_await close_in(open, open_gap, nock_x(), smallest_gap());
  }
  co_return nock_x();
}

template <int Links>
Task<bool> DrawContinuation<Links>::follow_secants() {
  constexpr double touches = 1e-12;  // [m]
  constexpr int most = 12;
  double slope =
      (std::min(before_.stop_gap[0], before_.stop_gap[1]) - smallest_gap()) / (before_.q[L::string_x] - nock_x());
  for (int i = 0; i < most; ++i) {
    const double gap = smallest_gap();
    const double from = nock_x();
    const double move = -gap / slope;
    if (!(slope > 0.0 && std::fabs(move) <= 2.0 * stride)) {
      co_return false;
    }
    co_await advance_to(from + move);
    const double left = smallest_gap();
    if (std::fabs(left) <= touches || nock_x() == from) {
      co_return true;
    }
    if (i > 0) {  // the first may have changed hands
      slope = (left - gap) / (nock_x() - from);
    }
  }
  co_return false;
}

template <int Links>
Task<Done> DrawContinuation<Links>::close_in(double open, double open_gap, double shut, double shut_gap) {
  EventSearch<void> search(open_gap, shut_gap, true, 1e-13);
  while (true) {
    const double x = open + (shut - open) * search.share();
    co_await advance_to(x);
    if (search.take(smallest_gap())) {
      break;
    }
  }
  co_await advance_to(open + (shut - open) * search.share());
  co_return Done{};
}

template <int Links>
Task<bool> DrawContinuation<Links>::try_step(double x) {
  Coordinates q = now_.q;
  const double span = now_.q[L::string_x] - before_.q[L::string_x];
  const double move = x - now_.q[L::string_x];
  // The continuation of the last two steps by a parabola, or of the last one by a straight line (Eq. 45), unless they
  // were much shorter than this one.
  if (std::fabs(span) > 0.2 * std::fabs(move)) {
    const double earlier = before_.q[L::string_x] - earlier_.q[L::string_x];
    const bool curved = std::fabs(earlier) > 0.2 * std::fabs(move);
    for (std::size_t i = 0; i <= L::lean(1); ++i) {  // the coordinates after it do not change in the draw
      const double slope = (now_.q[i] - before_.q[i]) / span;
      q[i] += slope * move;
      if (curved) {
        const double bend = (slope - (before_.q[i] - earlier_.q[i]) / earlier) / (span + earlier);
        q[i] += bend * move * (move + span);
      }
    }
  }
  const auto kept = statics_.run_directions();
  const bool solved = co_await statics_.solve_draw(q, x, pressure_point_, next_, tolerance_);
  if (!solved || !plausible(next_)) {
    statics_.set_run_directions(kept);
    co_return false;
  }
  earlier_ = before_;
  before_ = now_;
  now_ = next_;
  if (c_.half[0].stop.stiffness == 0.0) {  // stops not engaged: the wall's force is no peak
    largest_force_ = std::max(largest_force_, std::hypot(now_.nock_force.x, now_.nock_force.y));
  }
  co_return true;
}

// Compiled in lib/statics/links_*.cpp.
#define NOCKWISE_EXTERN(links) extern template class DrawContinuation<links>;
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

}  // namespace nockwise::detail
