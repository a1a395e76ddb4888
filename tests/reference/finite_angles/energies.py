"""The bow in three dimensions, from positions, lengths and energies; CasADi differentiates.

Nothing here is a force or a lever arm that somebody worked out. Everything of a half is written in its side frame (the
lower half in the mirror image (x, -y, z)) and brought to the riser's and then to the inertial frame by full rotations.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np
from scipy.interpolate import CubicSpline

from bow import Line, cable_line, string_half, yoke_triangle

HALVES = ("upper", "lower")
SIGN = {"upper": 1, "lower": -1}
LINES = ("string_upper", "string_lower", "cable_upper", "cable_lower")
STATIC = ("beta_u", "beta_l", "theta_u", "theta_l", "lean_u", "lean_l", "nock_x", "nock_y", "nock_z")
RISER = ("X", "Y", "Z", "pitch", "yaw", "roll")


def rot_x(angle: Any) -> Any:
    """Rotation about x, y towards z."""
    c, s = ca.cos(angle), ca.sin(angle)
    return ca.vertcat(ca.horzcat(1, 0, 0), ca.horzcat(0, c, -s), ca.horzcat(0, s, c))


def rot_y(angle: Any) -> Any:
    """Rotation about y, z towards x."""
    c, s = ca.cos(angle), ca.sin(angle)
    return ca.vertcat(ca.horzcat(c, 0, s), ca.horzcat(0, 1, 0), ca.horzcat(-s, 0, c))


def rot_z(angle: Any) -> Any:
    """Rotation about z, x towards y."""
    c, s = ca.cos(angle), ca.sin(angle)
    return ca.vertcat(ca.horzcat(c, -s, 0), ca.horzcat(s, c, 0), ca.horzcat(0, 0, 1))


def mirrored(v: Any, sign: int) -> Any:
    """A vector of a side frame in the riser's frame, and back."""
    return ca.vertcat(v[0], sign * v[1], v[2])


class Track:
    """A groove's support function: a circle in closed form, a spline through a polynomial that is passed in."""

    def __init__(self, table: dict[str, Any]) -> None:
        self.circle = table["kind"] == "circle"
        self.table = table
        self.symbols: Any = None
        if not self.circle:
            if table["kind"] != "spline":
                raise ValueError(f"track of kind {table['kind']} is not supported")
            values = np.asarray(table["distance"])
            knots = table["first_angle"] + table["angle_step"] * np.arange(len(values))
            self.spline = CubicSpline(knots, values)  # not-a-knot ends
            self.integral = self.spline.antiderivative()
            self.symbols = ca.SX.sym("track", 6)

    def support(self, angle: Any) -> tuple[Any, Any, Any]:
        """p, p' and P [m], symbolic."""
        if self.circle:
            r, e, a = self.table["radius"], self.table["eccentricity"], angle - self.table["angle"]
            return r + e * ca.cos(a), -e * ca.sin(a), r * angle + e * ca.sin(a)
        s = self.symbols
        t = angle - s[0]
        p = s[1] + t * (s[2] + t * (s[3] + t * s[4]))
        slope = s[2] + t * (2 * s[3] + 3 * t * s[4])
        area = s[5] + t * (s[1] + t * (s[2] / 2 + t * (s[3] / 3 + t * s[4] / 4)))
        return p, slope, area

    def wrapped(self, angle: float) -> float:
        """(P + p')(angle), a number."""
        if self.circle:
            _, slope, area = self.support(angle)
            return float(area + slope)
        return float(self.integral(angle) + self.spline(angle, 1))

    def local(self, angle: float) -> np.ndarray:
        """The six numbers of the polynomial around an angle."""
        x = self.spline.x
        if not x[0] <= angle <= x[-1]:
            raise RuntimeError(f"a line runs off its track at {np.degrees(angle):.1f} deg")
        i = min(max(int((angle - x[0]) / (x[1] - x[0])), 0), len(x) - 2)
        c = self.spline.c[:, i]
        return np.array([x[i], c[3], c[2], c[1], c[0], float(self.integral(x[i]))])


@dataclass
class Half:
    """Symbols and positions of one half, in its side frame relative to the grip pivot."""

    sign: int
    limb: dict[str, Any]
    cam: dict[str, Any]
    beta: Any
    theta: Any
    lean: Any

    def __post_init__(self) -> None:
        self.along = ca.vertcat(-ca.sin(self.beta), ca.cos(self.beta), 0)  # the limb, pivot to axle
        self.pivot = ca.DM([self.limb["pivot_x"], self.limb["pivot_y"], 0])
        self.axle = self.pivot + self.limb["effective_length"] * self.along
        self.tip = rot_z(self.beta) @ rot_y(self.lean) @ rot_z(-self.beta)  # turn by the lean about the limb
        self.axis = self.tip @ ca.DM([0, 0, 1])  # of the axle
        cm = rot_z(self.theta) @ ca.DM([self.cam["center_of_mass_x"], self.cam["center_of_mass_y"], 0])
        self.cam_cm = self.axle + self.tip @ cm
        self.free = self.limb["free_angle"] + self.limb["bolt_turns"] * self.limb["angle_per_turn"]
        self.stop_gap = self.cam["stop"]["radius"] * (self.cam["stop"]["angle"] - self.theta + self.beta)

    def seen(self, point: Any) -> Any:
        """A point of the side frame in the cam's leaning plane: two in-plane coordinates from the axle, one along it."""
        return self.tip.T @ (point - self.axle)


class Geometry:
    """Lengths of all lines as functions of the mechanism, the nock in the riser's frame, and inner variables.

    The inner variables `w` (directions of runs, the place at the guard's rod, the turn of a yoke about its axle) are those
    in which the lengths are stationary. Lateral places and the size of yokes are symbols, `places`, so that one compiled
    geometry serves every case of a bow.
    """

    def __init__(self, setup: dict[str, Any], *, second_order: bool = False, legs_only_pull: bool = False) -> None:
        self.setup, self.second_order, self.legs_only_pull = setup, second_order, legs_only_pull
        self.idle: Any = 0  # keeps inner variables that nothing depends on where they are
        self.places = ca.SX.sym("places", 13)  # guard, string, take-up, let-out, yoke height, junction, each u, l; launcher
        self.beta, self.theta, self.lean = ca.SX.sym("beta", 2), ca.SX.sym("theta", 2), ca.SX.sym("lean", 2)
        self.nock = ca.SX.sym("nock", 3)  # in the riser's frame
        self.w = ca.SX.sym("w", 8)
        self.halves = {
            h: Half(SIGN[h], setup["limbs"][h], setup["cams"][h], self.beta[i], self.theta[i], self.lean[i])
            for i, h in enumerate(HALVES)
        }
        for h in HALVES:
            self._check(h)
        self.tracks: list[tuple[Track, int, int, float]] = []  # track, index of its u in w, half, constant of the normal
        self.track_symbols: list[Any] = []
        lengths = [self._string(h, i) for i, h in enumerate(HALVES)]
        lengths += [self._cable(h, 2 + 3 * i) for i, h in enumerate(HALVES)]
        self.lengths = ca.vertcat(*lengths)
        self.locals = ca.vertcat(*self.track_symbols) if self.track_symbols else ca.SX(0, 1)
        self._statics: Any = None

    def _check(self, half: str) -> None:
        limb, cam = self.setup["limbs"][half], self.setup["cams"][half]
        if limb["segments"] != 1 or self.setup["riser"][f"{half}_end_compliance"] != 0 or cam["stop"]["kind"] != "limb":
            raise ValueError("one rigid link per limb, stiff riser ends and limb stops only")

    def _groove(self, half: str, name: str, u: int, target: Any, anchor: float) -> Any:
        """Wrapped arc and straight line [m] from a groove's anchor to a point of the side frame of its own half."""
        own, cam = self.halves[half], self.setup["cams"][half]
        outlet = name != "take_up"
        sigma = 1 if outlet else -1
        track = Track(cam[f"{name}_track"])
        constant = 1.5 * np.pi if outlet else 0.5 * np.pi
        offset = self.places[{"string": 2, "take_up": 4, "let_out": 6}[name] + HALVES.index(half)]
        if not track.circle:
            self.tracks.append((track, u, HALVES.index(half), constant))
            self.track_symbols.append(track.symbols)
        angle = self.w[u] + constant - own.theta
        _, slope, area = track.support(angle)
        seen = own.seen(target)
        straight = ca.cos(self.w[u]) * seen[0] + ca.sin(self.w[u]) * seen[1] - sigma * slope
        aside = seen[2] - offset
        return sigma * (area + slope - track.wrapped(anchor)) + self._slanted(straight, aside)

    def _slanted(self, along: Any, aside: Any) -> Any:
        """Length of a straight line of which `aside` is out of the plane [m]; or what the second order leaves of it."""
        return along + 0.5 * aside**2 / along if self.second_order else ca.sqrt(along**2 + aside**2)

    def _string(self, half: str, u: int) -> Any:
        return self._groove(half, "string", u, mirrored(self.nock, SIGN[half]), self.setup["cams"][half]["string_anchor_angle"])

    def _cable(self, half: str, first: int) -> Any:
        other = "lower" if half == "upper" else "upper"
        own_sign, far = SIGN[half], self.halves[other]
        height = self.setup["cable_guard"]["height"]
        guard = ca.vertcat(self.w[first + 1], height, self.places[HALVES.index(half)])  # in the riser's frame
        cam = self.setup["cams"][half]
        near = self._groove(half, "take_up", first, mirrored(guard, own_sign), cam["take_up_anchor_angle"])
        if self.setup["cables"][half]["end"] != "yoke":
            anchor = self.setup["cams"][other]["let_out_anchor_angle"]
            return near + self._groove(other, "let_out", first + 2, mirrored(guard, -own_sign), anchor)
        if self.legs_only_pull:
            self.idle += 0.5 * (self.w[first + 2] + 0.5 * np.pi) ** 2
            return near + self._legs(half, far.seen(mirrored(guard, -own_sign)))
        turn = self.w[first + 2]
        height, aside = self.places[8 + HALVES.index(half)], self.places[10 + HALVES.index(half)]
        run = far.seen(mirrored(guard, -own_sign)) - ca.vertcat(height * ca.cos(turn), height * ca.sin(turn), aside)
        return near + self._slanted(ca.norm_2(run[0:2]), run[2]) + height

    def _legs(self, half: str, guard: Any) -> Any:
        """From the guard to the axle over a yoke whose legs do not stretch and cannot push.

        A leg that would have to push is slack: the cable and the other leg are then straight from guard to loop.
        """
        height, aside = self.places[8 + HALVES.index(half)], self.places[10 + HALVES.index(half)]
        b = self.setup["cables"][half]["yoke"]["half_width"]
        along = ca.norm_2(guard[0:2]) - height
        lean = 0.5 * (aside - height * (guard[2] - aside) / along) / b  # of the pull to the right leg
        both = self._slanted(along, guard[2] - aside) + height
        alone = [
            self._slanted(ca.norm_2(guard[0:2]), guard[2] - side * b) - ca.sqrt(height**2 + (aside - side * b) ** 2) + height
            for side in (-1, 1)
        ]
        return ca.if_else(lean < -0.5, alone[0], ca.if_else(lean > 0.5, alone[1], both))

    def local_values(self, w: np.ndarray, theta: np.ndarray) -> np.ndarray:
        """Numbers for `locals` at the present contact normals."""
        if not self.tracks:
            return np.zeros(0)
        return np.concatenate([t.local(w[u] + c - theta[h]) for t, u, h, c in self.tracks])

    def first_guess(self) -> np.ndarray:
        """Inner variables to start from: everything runs straight up and down."""
        w = np.full(8, -0.5 * np.pi)
        w[[3, 6]] = 0.0
        return w

    def mechanism_potential(self, height: Any) -> Any:
        """Springs of limbs and the weight of limbs and cams; `height(half, point of its side frame)` [m]."""
        g0 = self.setup["surroundings"]["gravity"]
        total = 0
        for h in HALVES:
            own = self.halves[h]
            total += 0.5 * own.limb["torsion_stiffness"] * (own.beta - own.free) ** 2
            total += 0.5 * own.limb["twist_stiffness"] * own.lean**2
            total += g0 * own.limb["effective_mass"] * height(h, own.axle) + g0 * own.cam["mass"] * height(h, own.cam_cm)
        return total


def lines_of(setup: dict[str, Any]) -> list[Line]:
    """The four lines, in the order of LINES."""
    return [string_half(setup, SIGN[h]) for h in HALVES] + [cable_line(setup["cables"][h]) for h in HALVES]


def places_of(setup: dict[str, Any], *, planar: bool = False) -> np.ndarray:
    """Numbers for `Geometry.places`; planar: all of it in the plane of the string."""
    guard, cams = setup["cable_guard"], [setup["cams"][h] for h in HALVES]
    triangles = [yoke_triangle(setup["cables"][h]) for h in HALVES]
    lateral = [guard["offset"] + SIGN[h] * 0.5 * guard["spacing"] for h in HALVES]
    for groove in ("string_track_offset", "take_up_offset", "let_out_offset"):
        lateral += [cam["shim"] + cam[groove] for cam in cams]
    heights = [t.height if t else 0.0 for t in triangles]
    asides = [t.aside if t else 0.0 for t in triangles]
    asides.append(setup["rest"]["center_shot"])
    return np.array([0.0 if planar else x for x in lateral] + heights + [0.0 if planar else x for x in asides])


class Statics:
    """Values and derivatives of the potential with the riser held at zero. Order of `v`: STATIC."""

    def __init__(self, geometry: Geometry, setup: dict[str, Any], *, planar: bool = False) -> None:
        self.geometry, self.setup, self.planar = geometry, setup, planar
        self.places = places_of(setup, planar=planar)
        self.lines = lines_of(setup)
        self.yokes = {h: yoke_triangle(setup["cables"][h]) for h in HALVES}
        if geometry._statics is None:
            geometry._statics = self._functions()
        self._inner, self._evaluate = geometry._statics
        self.natural = np.array([line.length for line in self.lines])
        self.stiffness = np.array([line.stiffness for line in self.lines])
        self.stop_stiffness = np.array([setup["cams"][h]["stop"]["stiffness"] for h in HALVES])
        self.stops_active = True

    def _functions(self) -> tuple[Any, Any]:
        g = self.geometry
        v = ca.vertcat(g.beta, g.theta, g.lean, g.nock)
        tension = ca.SX.sym("tension", 6)  # of the four lines; push of the two stops
        e = ca.vertcat(g.lengths, *(-g.halves[h].stop_gap for h in HALVES))
        smooth = g.mechanism_potential(lambda h, p: SIGN[h] * p[1])
        work = ca.dot(tension, e) + smooth
        both = ca.vertcat(v, g.w)
        gradient = ca.gradient(ca.sum1(g.lengths) + g.idle, g.w)
        inner = ca.Function("inner", [v, g.w, g.locals, g.places], [gradient, ca.jacobian(gradient, g.w)])
        outputs = [e, ca.jacobian(e, v), smooth, ca.gradient(smooth, v), ca.jacobian(ca.gradient(work, v), both)]
        outputs += [gradient, ca.jacobian(gradient, both), ca.jacobian(e, g.w)]
        return inner, ca.Function("statics", [v, g.w, g.locals, tension, g.places], outputs)

    def set_natural(self, cables: np.ndarray) -> None:
        """Give the two cables other natural lengths [m], and the stiffness of lines that long."""
        for i, length in enumerate(cables):
            self.natural[2 + i] = length
            self.stiffness[2 + i] = self.lines[2 + i].axial_rigidity / length

    def solve_inner(self, v: np.ndarray, w: np.ndarray) -> np.ndarray:
        """The inner variables at which every length is stationary."""
        for _ in range(60):
            residual, jacobian = self._inner(v, w, self.geometry.local_values(w, v[2:4]), self.places)
            step = np.linalg.solve(np.asarray(jacobian), np.asarray(residual).ravel())
            step *= min(1.0, 0.3 / max(1e-300, float(np.max(np.abs(step)))))
            w = w - step
            if np.max(np.abs(step)) < 1e-13:
                return w
        raise RuntimeError("no tangents found")

    def at(self, v: np.ndarray, w: np.ndarray) -> dict[str, Any]:
        """Elements, tensions, energy, gradient and the Jacobian of (gradient, inner) by (v, w)."""
        local = self.geometry.local_values(w, v[2:4])
        e0 = np.asarray(self._evaluate(v, w, local, np.zeros(6), self.places)[0]).ravel()
        e = e0.copy()
        e[:4] -= self.natural
        k = np.concatenate([self.stiffness, self.stop_stiffness if self.stops_active else np.zeros(2)])
        tension = k * np.maximum(e, 0.0)
        _, je, smooth, gradient, hessian, inner, inner_j, jw = (
            np.asarray(x) for x in self._evaluate(v, w, local, tension, self.places)
        )
        active = np.where(e > 0, k, 0.0)
        full = hessian + (je.T * active) @ np.hstack([je, jw])
        energy = float(smooth.ravel()[0]) + 0.5 * float(np.sum(k * np.maximum(e, 0.0) ** 2))
        return {
            "e": e,
            "lengths": e0[:4],
            "tension": tension,
            "energy": energy,
            "gradient": gradient.ravel() + je.T @ tension,
            "hessian": full,
            "inner": inner.ravel(),
            "inner_jacobian": inner_j,
        }
