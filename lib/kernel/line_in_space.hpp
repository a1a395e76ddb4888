// A line's run in space: from a groove that leans with its cam, past the guard, to what it ends at (lib/README.md,
// "Lateral plane", Eqs. 32–34).
//
// The run in the vertical plane (taut_run.hpp) says where a line touches its grooves; its length is taken between the
// places where these points stand in space. Everything is seen from the bow's own plane, in the side frame of the
// line's half, and for a unit of tension: forces are minus the derivatives of the length.
#pragma once

#include "kernel/lateral_state.hpp"
#include "kernel/mechanism.hpp"
#include "kernel/taut_run.hpp"

namespace nockwise::kernel {

/// How a cam leans: turned about the limb's direction e by an angle that brings n = e × ẑ away from the archer's right.
template <class S>
struct Leaning {
  Vector2<S> limb, across;  // e and n
  S sine, cosine;

  Leaning(Vector2<S> limb_direction, S lean) : limb(limb_direction), across{limb_direction.y, -limb_direction.x} {
    sine_cosine(lean, sine, cosine);
  }
};

/// A point that turns with a leaning cam (Eq. 32), in that cam's side frame.
template <class S>
struct CamPoint {
  Vector2<S> arm;    // from its axle, at zero lean
  S along;           // of it, along the limb
  S across, aside;   // as it leans: along n, and out of the bow's plane
  S shift;           // in the plane along n, by the lean
  Vector2<S> leant;  // from its axle in the plane, as it leans
};

template <class S>
CamPoint<S> cam_point(const Leaning<S>& lean, Vector2<S> arm, S offset) {
  const S straight = dot(lean.across, arm);
  const S across = lean.cosine * straight + lean.sine * offset;
  const S shift = across - straight;
  return {arm,   dot(lean.limb, arm),      across, lean.cosine * offset - lean.sine * straight,
          shift, arm + shift * lean.across};
}

/// A direction in the bow's plane and out of it.
template <class S>
struct Pull {
  Vector2<S> in_plane;
  S aside;
};

/// Length of a line, and the forces of a unit of tension on what it depends on.
template <class S>
struct SpatialLine {
  S length{0.0};
  Vector2<S> near_axle{S(0.0), S(0.0)};
  Vector2<S> far{S(0.0), S(0.0)};    // the far axle, or the end of a string; in the side frame of the line's half
  Vector2<S> guard{S(0.0), S(0.0)};  // the riser where it holds the guard
  S near_cam{0.0}, far_cam{0.0};     // on the cams' turns
  S near_turn{0.0}, far_turn{0.0};   // on the limbs' directions
  S near_lean{0.0}, far_lean{0.0};
  S pitch{0.0};      // on the riser's pitch, by the guard alone
  S end_aside{0.0};  // on the lateral place of a string's end
};

/// What a force at a leaning point does to lean and limb; returns that on its arm.
template <class S>
Vector2<S> carry_lean(const Leaning<S>& lean, const CamPoint<S>& point, const Pull<S>& force, S& on_lean, S& on_turn) {
  const S across = dot(lean.across, force.in_plane);
  const S turned_in = (lean.cosine - S(1.0)) * across - lean.sine * force.aside;
  on_lean += point.aside * across - point.across * force.aside;
  on_turn += point.along * turned_in + point.shift * dot(lean.limb, force.in_plane);
  return force.in_plane + turned_in * lean.across;
}

/// What a force at the groove of end A does to its cam and, since the planar run is not quite the tangent in space, to
/// the run's direction, which is returned: dϱ = k × ϱ dα + σ r d (du − dα) while the arc grows by σ r (du − dα).
template <TrackRole role, class S>
S carry_groove(const Line<S>& line, const Leaning<S>& lean, const CamPoint<S>& groove, const Pull<S>& force,
               SpatialLine<S>& to) {
  const Vector2<S> on_arm = carry_lean(lean, groove, force, to.near_lean, to.near_turn);
  const S slip = S(role_sign(role)) * (line.p_a + line.curve_a) * (S(1.0) - dot(on_arm, line.direction));
  to.near_cam += cross(groove.arm, on_arm) + slip;
  return -slip;
}

/// A force on the run's direction, through Eq. (7).
template <TrackRole role, class S>
void carry_direction(const Line<S>& line, S force, SpatialLine<S>& to) {
  const S scaled = force / line.straight;
  const Vector2<S> across = scaled * quarter_turn(line.direction);
  to.near_axle -= across;
  to.far += across;
  to.near_cam -= S(role_sign(role)) * scaled * line.slope_a;
  to.far_cam += scaled * line.slope_b;
}

/// Half of the string, from its groove to an end in the bow's plane and out of it by `end_aside`.
template <class S, int Links>
SpatialLine<S> string_in_space(const Half<S, Links>& half, const HalfMotion<S, Links>& m, const Line<S>& line,
                               const Leaning<S>& lean, Vector2<S> end, S end_aside) {
  constexpr TrackRole role = TrackRole::let_out;
  const CamPoint<S> groove = cam_point(lean, tangent_a<role>(line), half.string_z);
  const Vector2<S> span = end - (m.axle() + groove.leant);
  const S aside = end_aside - groove.aside;
  const S straight = square_root(dot(span, span) + aside * aside);
  const S inverse = S(1.0) / straight;
  const Pull<S> pull{inverse * span, inverse * aside};
  SpatialLine<S> line_in_space;
  line_in_space.length = line.length + (straight - line.straight);
  line_in_space.near_axle = pull.in_plane;
  line_in_space.far = S(-1.0) * pull.in_plane;
  line_in_space.end_aside = -pull.aside;
  const S on_direction = carry_groove<role>(line, lean, groove, pull, line_in_space);
  carry_direction<role>(line, on_direction, line_in_space);
  return line_in_space;
}

/// Where cable `h` runs: from its take-up groove past the guard, a point of a rod along the riser's x, to a groove of
/// the other cam or to a yoke. In the side frame of its half, from the grip; places aside are those out of the bow's
/// plane.
template <class S>
struct CablePath {
  CamPoint<S> groove, far_groove;  // the far one of a let-out, in the far side frame
  Vector2<S> start, end;           // the groove, and the far groove or axle of a yoke
  Vector2<S> up;                   // of the riser
  S climb;                         // of the whole run along it
  S share;                         // of the run before the guard
  Vector2<S> guard;
};

template <class S, int Links>
CablePath<S> cable_path(const Constants<S, Links>& c, const Topology& topology, const HalfMotion<S, Links> (&m)[2],
                        const Line<S>& line, const RiserMotion<S>& side_riser, int h, const Leaning<S>& near,
                        const Leaning<S>& far) {
  const int o = 1 - h;
  CablePath<S> path;
  path.groove = cam_point(near, tangent_a<TrackRole::take_up>(line), c.half[h].take_up_z);
  path.start = m[h].axle() + path.groove.leant;
  path.end = mirror(m[o].axle());
  if (topology.cable_end[h] == CableEnd::let_out) {
    path.far_groove = cam_point(far, mirror(tangent_b(line)), c.half[o].let_out_z);
    path.end += mirror(path.far_groove.leant);
  }
  path.up = {-side_riser.sine, side_riser.cosine};
  const Vector2<S> run = path.end - path.start;
  path.climb = dot(path.up, run);
  path.share = (S(half_sign[h]) * c.guard.height - dot(path.up, path.start)) / path.climb;
  path.guard = path.start + path.share * run;
  return path;
}

/// The guard as the far cam sees it, along the limb, across it and aside, from its axle in its leaning plane.
template <class S>
struct SeenFromCam {
  S along, straight, across, aside;  // `straight`: across at zero lean
};

template <class S>
SeenFromCam<S> seen_from_cam(const Leaning<S>& lean, Vector2<S> from_axle, S aside) {
  const S straight = dot(lean.across, from_axle);
  return {dot(lean.limb, from_axle), straight, lean.cosine * straight - lean.sine * aside,
          lean.cosine * aside + lean.sine * straight};
}

/// From the guard to the axle over a yoke, its triangle turning freely about the leaning axle: length, and the forces
/// on far limb and lean. Returns the pull on the guard, in the far side frame; the axle is pulled with its opposite.
template <class S>
Vector2<S> yoke_in_space(const YokeConstants<S>& yoke, const Leaning<S>& far, Vector2<S> from_axle, S guard_z,
                         SpatialLine<S>& to) {
  const SeenFromCam<S> seen = seen_from_cam(far, from_axle, guard_z);
  const S radius = square_root(seen.along * seen.along + seen.across * seen.across);
  const S run = radius - yoke.leg_height;
  const S beside = seen.aside - yoke.junction_offset;
  const S straight = square_root(run * run + beside * beside);
  const S inverse = S(1.0) / straight;
  const S by_radius = inverse * run / radius;
  const S by_along = by_radius * seen.along;
  const S by_across = by_radius * seen.across;
  const S by_aside = inverse * beside;
  const S by_straight = far.cosine * by_across + far.sine * by_aside;
  to.length += straight + yoke.leg_height;
  to.far_lean += by_across * seen.aside - by_aside * seen.across;
  to.far_turn += by_along * seen.straight - by_straight * seen.along;
  return S(-1.0) * (by_along * far.limb + by_straight * far.across);
}

/// Where a cable stands along its run, for reports: its groove, the guard, and the far groove or the yoke's junction.
/// Lengths in the plane [m]; places aside are those out of the bow's plane.
template <class S>
struct CableStations {
  Vector2<S> start, guard, end;
  S start_z, guard_z, end_z;
  S to_guard, beyond_guard;
};

template <class S, int Links>
CableStations<S> cable_stations(const Constants<S, Links>& c, const Topology& topology,
                                const HalfMotion<S, Links> (&m)[2], const Line<S>& line,
                                const RiserMotion<S>& side_riser, int h, const Leaning<S>& near,
                                const Leaning<S>& far) {
  const CablePath<S> path = cable_path(c, topology, m, line, side_riser, h, near, far);
  const Vector2<S> run = path.end - path.start;
  const S whole = square_root(dot(run, run));
  CableStations<S> at{path.start,         path.guard,
                      path.end,           path.groove.aside,
                      c.guard.z[h],       path.far_groove.aside,
                      path.share * whole, (S(1.0) - path.share) * whole};
  if (topology.cable_end[h] == CableEnd::yoke) {
    // The junction stands on the way from the axle to the guard, and leans with the axle.
    const YokeConstants<S>& yoke = c.yoke[h];
    const Vector2<S> out = (S(1.0) / at.beyond_guard) * (path.guard - path.end);
    at.end += yoke.leg_height * out;
    at.end_z = far.cosine * yoke.junction_offset - far.sine * yoke.leg_height * dot(far.across, mirror(out));
    at.beyond_guard -= yoke.leg_height;
  }
  return at;
}

template <class S, int Links>
SpatialLine<S> cable_in_space(const Constants<S, Links>& c, const Topology& topology,
                              const HalfMotion<S, Links> (&m)[2], const Line<S>& line, const RiserMotion<S>& side_riser,
                              int h, const Leaning<S>& near, const Leaning<S>& far) {
  constexpr TrackRole role = TrackRole::take_up;
  const int o = 1 - h;
  const S guard_z = c.guard.z[h];
  const CablePath<S> path = cable_path(c, topology, m, line, side_riser, h, near, far);
  SpatialLine<S> cable;
  const Vector2<S> to_guard = path.guard - path.start;
  const S aside = guard_z - path.groove.aside;
  const S straight = square_root(dot(to_guard, to_guard) + aside * aside);
  const S inverse = S(1.0) / straight;
  const Pull<S> pull{inverse * to_guard, inverse * aside};
  cable.length = line.length + (straight - line.straight);
  Pull<S> far_pull;  // on the guard
  if (topology.cable_end[h] == CableEnd::let_out) {
    const Vector2<S> onward = path.end - path.guard;
    const S far_aside = path.far_groove.aside - guard_z;
    const S far_straight = square_root(dot(onward, onward) + far_aside * far_aside);
    const S far_inverse = S(1.0) / far_straight;
    cable.length += far_straight;
    far_pull = {far_inverse * onward, far_inverse * far_aside};
  } else {
    far_pull = {mirror(yoke_in_space(c.yoke[h], far, mirror(path.guard) - m[o].axle(), guard_z, cable)), S(0.0)};
  }
  // The guard's place in the plane goes with both ends, at the height of the rod; the rod takes what is along the
  // riser.
  const Vector2<S> on_guard = far_pull.in_plane - pull.in_plane;
  const S on_rod = dot(on_guard, path.end - path.start) / path.climb;
  const Vector2<S> shared = on_guard - on_rod * path.up;
  cable.guard = on_rod * path.up;
  cable.pitch = -on_rod * dot(quarter_turn(path.up), path.guard);
  cable.near_axle = pull.in_plane + (S(1.0) - path.share) * shared;
  cable.far = path.share * shared - far_pull.in_plane;
  S on_direction = carry_groove<role>(line, near, path.groove, Pull<S>{cable.near_axle, pull.aside}, cable);
  if (topology.cable_end[h] == CableEnd::let_out) {
    const Vector2<S> on_arm = mirror(
        carry_lean(far, path.far_groove, Pull<S>{mirror(cable.far), -far_pull.aside}, cable.far_lean, cable.far_turn));
    const S slip = (line.p_b + line.curve_b) * (S(1.0) + dot(on_arm, line.direction));
    const Vector2<S> turning = line.slope_b * quarter_turn(line.direction) - line.p_b * line.direction;
    cable.far_cam = dot(on_arm, turning) + slip;
    on_direction += slip;
  }
  carry_direction<role>(line, on_direction, cable);
  return cable;
}

}  // namespace nockwise::kernel
