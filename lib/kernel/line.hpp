// A taut run between a cam's track and a point, an axle or another cam's track (lib/README.md, "Taut runs").
//
// Everything is in the side frame of end A's half. The run leaves A in the direction d(u) = (cos u, sin u), near −π/2
// at brace. With D = B − A, the length L(u) = d·D + σ_A P_A(φ_A) + P_B(φ_B) + const is stationary in u at tangency, and
// by the envelope theorem ∂L/∂D = d, ∂L/∂α_A = −σ_A p_A, ∂L/∂α_B = −p_B. A let-out track has σ = +1, a take-up
// track σ = −1.
#pragma once

#include "kernel/track_table.hpp"

#include <numbers>

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
struct Heading {
  S u, cosine, sine;
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
};

/// End B of a run: an axle (no track) or the let-out track of the other cam, whose turn is `alpha` in its own side
/// frame.
template <class S>
struct FarEnd {
  const TrackTable<S>* track = nullptr;
  S alpha{};
};

/// Turn a unit vector by a small angle: Taylor to the 7th order (below 1e-13 for 0.1 rad), then one normalisation step.
template <class S>
void turn_heading(Heading<S>& heading, S angle) {
  const S square = angle * angle;
  const S sine = angle * (S(1.0) - square * (S(1.0 / 6.0) - square * (S(1.0 / 120.0) - square * S(1.0 / 5040.0))));
  const S cosine =
      S(1.0) - square * (S(0.5) - square * (S(1.0 / 24.0) - square * (S(1.0 / 720.0) - square * S(1.0 / 40320.0))));
  const S c = heading.cosine * cosine - heading.sine * sine;
  const S s = heading.sine * cosine + heading.cosine * sine;
  const S scale = S(1.5) - S(0.5) * (c * c + s * s);
  heading = {heading.u + angle, c * scale, s * scale};
}

template <class S>
struct Tangency {
  TrackValue<S> a, b;
  S residual;  // dL/du (Eq. 5)
  S straight;  // −d²L/du²
};

template <TrackRole role, class S>
Tangency<S> tangency(const Heading<S>& heading, const TrackTable<S>& track_a, S alpha_a, const FarEnd<S>& far,
                     Vector2<S> span, S& excursion) {
  constexpr double sigma = role_sign(role);
  Tangency<S> result;
  result.a = evaluate(track_a, heading.u + S(normal_shift(role)) - alpha_a, excursion);
  result.b = {S(0.0), S(0.0), S(0.0)};
  if (far.track != nullptr) {
    result.b = evaluate(*far.track, S(0.5 * std::numbers::pi) - heading.u - far.alpha, excursion);
  }
  const S along = heading.cosine * span.x + heading.sine * span.y;
  const S across = heading.cosine * span.y - heading.sine * span.x;
  result.residual = across + S(sigma) * result.a.p - result.b.p;
  result.straight = along - S(sigma) * result.a.slope - result.b.slope;
  return result;
}

/// Solve a run by Newton from the kept heading. Two iterations reach rounding from within a step's turn; the length's
/// own error is of second order in what remains. `solve_cold` is for a first call.
template <TrackRole role, int iterations = 2, class S>
Line<S> solve_line(Heading<S>& heading, const TrackTable<S>& track_a, S alpha_a, const FarEnd<S>& far, Vector2<S> span,
                   S& excursion) {
  constexpr double sigma = role_sign(role);
  S ignored(0.0);
  for (int i = 0; i < iterations; ++i) {
    const Tangency<S> t = tangency<role>(heading, track_a, alpha_a, far, span, ignored);
    turn_heading(heading, t.residual / t.straight);
  }
  const Tangency<S> t = tangency<role>(heading, track_a, alpha_a, far, span, excursion);
  Line<S> line;
  line.direction = {heading.cosine, heading.sine};
  line.length = dot(line.direction, span) + S(sigma) * t.a.area + t.b.area;
  line.straight = t.straight;
  line.normal_a = heading.u + S(normal_shift(role)) - alpha_a;
  line.p_a = t.a.p;
  line.slope_a = t.a.slope;
  line.p_b = t.b.p;
  line.slope_b = t.b.slope;
  line.area_b = t.b.area;
  return line;
}

/// Point a heading at the far end, on the branch (−3π/2, π/2) that contains −π/2, ready for `settle_heading`.
inline Heading<double> aim(Vector2<double> span) {
  constexpr double pi = std::numbers::pi;
  double u = std::atan2(span.y, span.x);
  if (u > 0.5 * pi) {
    u -= 2.0 * pi;
  }
  return {u, std::cos(u), std::sin(u)};
}

/// Newton from a rough heading, with the step limited, until dL/du vanishes to rounding. False when it does not settle.
template <TrackRole role>
bool settle_heading(Heading<double>& heading, const TrackTable<double>& track_a, double alpha_a,
                    const FarEnd<double>& far, Vector2<double> span) {
  double ignored = 0.0;
  for (int i = 0; i < 50; ++i) {
    const Tangency<double> t = tangency<role>(heading, track_a, alpha_a, far, span, ignored);
    if (!(t.straight > 0.0)) {
      return false;
    }
    const double step = std::fmax(-0.3, std::fmin(0.3, t.residual / t.straight));
    const double u = heading.u + step;
    heading = {u, std::cos(u), std::sin(u)};
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
