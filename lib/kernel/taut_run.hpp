// A taut run between a cam's track and a point, an axle or another cam's track (lib/README.md, "Taut runs").
//
// Everything is in the side frame of end A's half. The run leaves A in the direction d(u) = (cos u, sin u), near −π/2
// at brace. With D = B − A, the length L(u) = d·D + σ_A P_A(φ_A) + P_B(φ_B) + const is stationary in u at tangency, and
// by the envelope theorem ∂L/∂D = d, ∂L/∂α_A = −σ_A p_A, ∂L/∂α_B = −p_B. A let-out track has σ = +1, a take-up
// track σ = −1.
#pragma once

#include "kernel/track_table.hpp"

#include <numbers>
#include <type_traits>

namespace nockwise::kernel {

enum class TrackRole { let_out, take_up };

/// Sign σ of a track's role.
constexpr double role_sign(TrackRole role) { return role == TrackRole::let_out ? 1.0 : -1.0; }
/// Normal angle minus u for a track at end A.
constexpr double normal_shift(TrackRole role) {
  return role == TrackRole::let_out ? 1.5 * std::numbers::pi : 0.5 * std::numbers::pi;
}

/// The direction of a run, kept from call to call so that Newton starts within a step's turn of the answer.
template <class S>
struct RunDirection {
  S u, cosine, sine;
  [[no_unique_address]] TrackWindow<S> near{};
  [[no_unique_address]] TrackWindow<S> far{};

  void set(S angle, S cosine_of, S sine_of) {
    u = angle;
    cosine = cosine_of;
    sine = sine_of;
  }
};

/// A solved run (Eqs. 3–6). `straight` is the free length; p and slope (p′) are those at the tangent points, zero at an
/// anchor.
template <class S>
struct Line {
  Vector2<S> direction;
  S length;
  S straight;
  S normal_a;  // cam-frame normal angle at A
  S p_a, slope_a;
  S p_b, slope_b, area_b;
  S curve_a, curve_b;  // p″
};

/// End B of a run: an axle (no track) or the let-out track of the other cam, which has turned in its own side frame.
template <class S>
struct FarEnd {
  const TrackTable<S>* track = nullptr;
  Turn<S> turn{};
};

/// Turn a unit vector by a small angle: Taylor to the 7th order (below 1e-13 for 0.1 rad), then one normalisation step.
template <class S>
void turn_run_direction(RunDirection<S>& run_direction, S angle) {
  const S square = angle * angle;
  const S sine = angle * (S(1.0) - square * (S(1.0 / 6.0) - square * (S(1.0 / 120.0) - square * S(1.0 / 5040.0))));
  const S cosine =
      S(1.0) - square * (S(0.5) - square * (S(1.0 / 24.0) - square * (S(1.0 / 720.0) - square * S(1.0 / 40320.0))));
  const S c = run_direction.cosine * cosine - run_direction.sine * sine;
  const S s = run_direction.sine * cosine + run_direction.cosine * sine;
  const S scale = S(1.5) - S(0.5) * (c * c + s * s);
  run_direction.set(run_direction.u + angle, c * scale, s * scale);
}

/// Turn a unit vector by an angle near zero, whose square is lost in rounding.
template <class S>
void nudge_run_direction(RunDirection<S>& run_direction, S angle) {
  const S c = run_direction.cosine - run_direction.sine * angle;
  const S s = run_direction.sine + run_direction.cosine * angle;
  const S scale = S(1.5) - S(0.5) * (c * c + s * s);
  run_direction.set(run_direction.u + angle, c * scale, s * scale);
}

template <class S>
struct Tangency {
  TrackValue<S> a, b;
  S along;     // of the span, in the run's direction
  S residual;  // dL/du (Eq. 5)
  S straight;  // −d²L/du²
  S bend;      // −d³L/du³
};

/// The normal at A stands at u + normal_shift − α; its cosine and sine follow from those of u and of the placed track.
template <TrackRole role, class S>
TrackValue<S> evaluate_near(const PlacedTrack<S>& track, RunDirection<S>& run_direction, S& excursion) {
  const S cosine = run_direction.cosine * track.cosine + run_direction.sine * track.sine;
  const S sine = run_direction.sine * track.cosine - run_direction.cosine * track.sine;
  const S normal = run_direction.u + S(normal_shift(role)) - track.turn;
  return role == TrackRole::let_out ? evaluate(*track.table, normal, sine, -cosine, run_direction.near, excursion)
                                    : evaluate(*track.table, normal, -sine, cosine, run_direction.near, excursion);
}

/// The normal at B stands at π/2 − u − α in the other half's side frame.
template <class S>
TrackValue<S> evaluate_far(const PlacedTrack<S>& track, RunDirection<S>& run_direction, S& excursion) {
  const S cosine = run_direction.cosine * track.cosine - run_direction.sine * track.sine;
  const S sine = run_direction.sine * track.cosine + run_direction.cosine * track.sine;
  return evaluate(*track.table, S(0.5 * std::numbers::pi) - run_direction.u - track.turn, sine, cosine,
                  run_direction.far, excursion);
}

template <TrackRole role, class S>
Tangency<S> tangency(RunDirection<S>& run_direction, const PlacedTrack<S>& near, const PlacedTrack<S>* far,
                     Vector2<S> span, S& excursion) {
  constexpr double sigma = role_sign(role);
  Tangency<S> t;
  t.a = evaluate_near<role>(near, run_direction, excursion);
  t.b = {S(0.0), S(0.0), S(0.0), S(0.0)};
  if (far != nullptr) {
    t.b = evaluate_far(*far, run_direction, excursion);
  }
  t.along = run_direction.cosine * span.x + run_direction.sine * span.y;
  const S across = run_direction.cosine * span.y - run_direction.sine * span.x;
  t.residual = across + S(sigma) * t.a.p - t.b.p;
  t.straight = t.along - S(sigma) * t.a.slope - t.b.slope;
  t.bend = across - S(sigma) * t.a.curve + t.b.curve;
  return t;
}

/// Solve a run from the kept run direction: one step of Chebyshev's method, of third order, and one evaluation that is
/// carried over what remains to first order (the length to second). Within a step's turn that reaches rounding.
/// `iterations` 0: take the run direction as it is; a first call starts from `settle_run_direction`.
template <TrackRole role, int iterations = 1, class S>
Line<S> solve_line(RunDirection<S>& run_direction, const TrackTable<S>& track_a,
                   const std::type_identity_t<Turn<S>>& turn_a, const FarEnd<S>& far_end, Vector2<S> span,
                   S& excursion) {
  constexpr double sigma = role_sign(role);
  const PlacedTrack<S> near(track_a, turn_a);
  const bool wraps = far_end.track != nullptr;
  const PlacedTrack<S> placed_far(wraps ? *far_end.track : track_a, far_end.turn);
  const PlacedTrack<S>* far = wraps ? &placed_far : nullptr;
  S ignored(0.0);
  for (int i = 0; i < iterations; ++i) {
    const Tangency<S> t = tangency<role>(run_direction, near, far, span, ignored);
    const S inverse = S(1.0) / t.straight;
    const S step = t.residual * inverse;
    turn_run_direction(run_direction, step - S(0.5) * step * step * t.bend * inverse);
  }
  const Tangency<S> t = tangency<role>(run_direction, near, far, span, excursion);
  const S rest = iterations > 0 ? t.residual / t.straight : S(0.0);
  Line<S> line;
  line.length = t.along + S(sigma) * t.a.area + t.b.area + S(0.5) * rest * t.residual;
  line.straight = t.straight + t.bend * rest;
  line.p_a = t.a.p + t.a.slope * rest;
  line.slope_a = t.a.slope + t.a.curve * rest;
  line.p_b = t.b.p - t.b.slope * rest;
  line.slope_b = t.b.slope - t.b.curve * rest;
  line.area_b = t.b.area - t.b.p * rest;
  line.curve_a = t.a.curve;
  line.curve_b = t.b.curve;
  nudge_run_direction(run_direction, rest);
  line.direction = {run_direction.cosine, run_direction.sine};
  line.normal_a = run_direction.u + S(normal_shift(role)) - near.turn;
  return line;
}

/// Point a run direction at the far end, on the branch (−3π/2, π/2) that contains −π/2, ready for
/// `settle_run_direction`.
inline RunDirection<double> aim(Vector2<double> span) {
  constexpr double pi = std::numbers::pi;
  double u = std::atan2(span.y, span.x);
  if (u > 0.5 * pi) {
    u -= 2.0 * pi;
  }
  const Turn<double> turn(u);
  return {u, turn.cosine, turn.sine};
}

/// Newton from a rough run direction, with the step limited, until dL/du vanishes to rounding. False when it does not
/// settle.
template <TrackRole role>
bool settle_run_direction(RunDirection<double>& run_direction, const TrackTable<double>& track_a,
                          const Turn<double>& turn_a, const FarEnd<double>& far_end, Vector2<double> span) {
  const PlacedTrack<double> near(track_a, turn_a);
  const bool wraps = far_end.track != nullptr;
  const PlacedTrack<double> far(wraps ? *far_end.track : track_a, far_end.turn);
  double ignored = 0.0;
  for (int i = 0; i < 50; ++i) {
    const Tangency<double> t = tangency<role>(run_direction, near, wraps ? &far : nullptr, span, ignored);
    if (!(t.straight > 0.0)) {
      return false;
    }
    const double step = std::fmax(-0.3, std::fmin(0.3, t.residual / t.straight));
    const Turn<double> turn(run_direction.u + step);
    run_direction.set(turn.angle, turn.cosine, turn.sine);
    if (std::fabs(step) < 1e-14) {
      return true;
    }
    if (i > 8 && std::fabs(step) < 1e-12) {
      return true;
    }
  }
  return false;
}

/// Turning moment on cam A in its side frame, per unit tension (∂L/∂α_A = −σ p).
template <TrackRole role, class S>
S lever(const Line<S>& line) {
  return S(role_sign(role)) * line.p_a;
}

/// Tangent point at A, from the axle: t = p n + p′ n′ with n = σ (sin u, −cos u) and n′ = σ d.
template <TrackRole role, class S>
Vector2<S> tangent_a(const Line<S>& line) {
  constexpr double sigma = role_sign(role);
  const S sp = S(sigma) * line.p_a;
  const S ss = S(sigma) * line.slope_a;
  return {sp * line.direction.y + ss * line.direction.x, ss * line.direction.y - sp * line.direction.x};
}

/// Tangent point at a let-out far end, from its axle, in the frame of A: t = −p d′ − p′ d with d′ = (−sin u, cos u).
template <class S>
Vector2<S> tangent_b(const Line<S>& line) {
  return {line.p_b * line.direction.y - line.slope_b * line.direction.x,
          -line.p_b * line.direction.x - line.slope_b * line.direction.y};
}

}  // namespace nockwise::kernel
