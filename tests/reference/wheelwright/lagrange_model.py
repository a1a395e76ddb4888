"""The Wheelwright bow from its energies alone: write T and V, differentiate, solve.

Nothing here is a force or a lever arm that somebody worked out: the only physics are positions, the length of a taut line
round an eccentric circle, and the energies. Generalised forces, mass matrix and velocity terms come from CasADi's
algorithmic differentiation.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np
from numpy.typing import NDArray

from bow import Bow, Half

Vector = NDArray[np.float64]

COORDINATES = ("X", "Y", "pitch", "beta_u", "beta_l", "theta_u", "theta_l", "x", "y")
RISER = slice(0, 3)
BETA_U, BETA_L, THETA_U, THETA_L, NOCK_X, NOCK_Y = range(3, 9)
LINES = ("string_u", "string_l", "cable_u", "cable_l")


def rotate(angle: Any, x: Any, y: Any) -> Any:
    """(x, y) turned counter-clockwise by `angle` [rad]."""
    return ca.vertcat(ca.cos(angle) * x - ca.sin(angle) * y, ca.sin(angle) * x + ca.cos(angle) * y)


def wrapped_length(centre: Any, radius: float, end: Any, cam_angle: Any, anchor: float, side: int) -> tuple[Any, Any]:
    """Length of a taut line [m] from an anchor on a circle to a point below it, and the contact normal [rad, cam frame].

    side = -1: leaves on the archer's side (-x), wrapped from `anchor` up to the contact (let-out track);
    side = +1: leaves on the target's side (+x), wrapped from the contact up to `anchor` (take-up track).
    The exact tangent: a line from a point at distance D touches the circle where its normal makes acos(R/D) with the
    direction to the point; the straight part is sqrt(D^2 - R^2).
    """
    reach = end - centre
    distance = ca.sqrt(reach[0] ** 2 + reach[1] ** 2)
    from_down = ca.atan2(reach[0], -reach[1])  # direction of the point, counted from straight down
    opening = ca.acos(radius / distance)
    normal = (1.5 * np.pi if side < 0 else -0.5 * np.pi) + from_down + side * opening
    contact = normal - cam_angle
    straight = ca.sqrt(distance**2 - radius**2)
    return straight - side * radius * (contact - anchor), contact


@dataclass
class Side:
    """Expressions of one half in its side frame."""

    axle: Any
    cam_angle: Any
    limb_angle: Any
    kinetic: Any
    stop_gap: Any


def half_side(half: Half, sign: int, q: Any, qd: Any, beta: Any, theta: Any) -> Side:
    """Kinematics and kinetic energy of one half; the lower one (sign = -1) lives in the mirror image (x, -y)."""
    pitch = sign * q[2]
    pocket = ca.vertcat(q[0], sign * q[1]) + rotate(pitch, half.pivot_x, half.pivot_y)
    axle = pocket + half.limb_length * rotate(pitch + beta, 0.0, 1.0)
    cam_angle = theta + pitch
    cam_cm = axle + rotate(cam_angle, half.cam_cm_x, half.cam_cm_y)
    v_axle = ca.jtimes(axle, q, qd)
    v_cm = ca.jtimes(cam_cm, q, qd)
    spin = ca.jtimes(cam_angle, q, qd)
    inertia_cm = half.cam_inertia - half.cam_mass * (half.cam_cm_x**2 + half.cam_cm_y**2)
    kinetic = 0.5 * (half.limb_mass * ca.dot(v_axle, v_axle) + half.cam_mass * ca.dot(v_cm, v_cm) + inertia_cm * spin**2)
    gap = half.stop_radius * (half.stop_angle - (theta - beta))
    return Side(axle, cam_angle, beta, kinetic, gap)


class Model:
    """Compiled energies of one bow. `q` is in the order of COORDINATES."""

    def __init__(self, bow: Bow) -> None:
        self.bow = bow
        q, qd, preload = ca.SX.sym("q", 9), ca.SX.sym("qd", 9), ca.SX.sym("preload", 3)
        upper = half_side(bow.upper, 1, q, qd, q[BETA_U], q[THETA_U])
        lower = half_side(bow.lower, -1, q, qd, q[BETA_L], q[THETA_L])
        riser_cm = q[0:2] + rotate(q[2], bow.riser_cm_x, bow.riser_cm_y)
        v_riser, v_nock = ca.jtimes(riser_cm, q, qd), qd[NOCK_X : NOCK_Y + 1]
        kinetic = upper.kinetic + lower.kinetic
        kinetic += 0.5 * (bow.riser_mass * ca.dot(v_riser, v_riser) + bow.riser_inertia * qd[2] ** 2)
        kinetic += 0.5 * (bow.string_mass + bow.arrow_mass) * ca.dot(v_nock, v_nock)

        lengths, contacts, rest, stiffness = [], [], [], []
        for track in ("string", "cable"):
            for half, own, other, sign in ((bow.upper, upper, lower, 1), (bow.lower, lower, upper, -1)):
                get = {
                    name: getattr(half, f"{track}_{name}")
                    for name in ("radius", "offset", "offset_angle", "anchor_angle", "ea", "length")
                }
                centre = own.axle + get["offset"] * rotate(own.cam_angle + get["offset_angle"], 1.0, 0.0)
                end = ca.vertcat(q[NOCK_X], sign * q[NOCK_Y])
                if track == "cable":  # the yoke, at the centre of the other axle, seen in this side's mirror
                    end = ca.vertcat(other.axle[0], -other.axle[1])
                length, contact = wrapped_length(
                    centre, get["radius"], end, own.cam_angle, get["anchor_angle"], -1 if track == "string" else 1
                )
                lengths.append(length)
                contacts.append(contact)
                rest.append(get["length"])
                stiffness.append(get["ea"] / get["length"])
        stretch = [ca.fmax(length - l0, 0.0) for length, l0 in zip(lengths, rest, strict=True)]
        tensions = ca.vertcat(*(k * e for k, e in zip(stiffness, stretch, strict=True)))
        gaps = ca.vertcat(upper.stop_gap, lower.stop_gap)

        limb_energy = sum(
            0.5 * half.limb_stiffness * (q[i] - half.limb_free_angle) ** 2
            for half, i in ((bow.upper, BETA_U), (bow.lower, BETA_L))
        )
        line_energy = sum(0.5 * k * e**2 for k, e in zip(stiffness, stretch, strict=True))
        stop_energy = sum(
            0.5 * half.stop_stiffness * ca.fmax(-gap, 0.0) ** 2
            for half, gap in ((bow.upper, upper.stop_gap), (bow.lower, lower.stop_gap))
        )
        bow_energy = limb_energy + line_energy + stop_energy
        hand = ca.vertcat(bow.hand_stiffness_x, bow.hand_stiffness_y, bow.hand_stiffness_pitch)
        hand_energy = ca.sumsqr(ca.sqrt(hand) * q[RISER]) / 2 - ca.dot(preload, q[RISER])

        gradient = ca.gradient(bow_energy, q)
        total_gradient = ca.gradient(bow_energy + hand_energy, q)
        mass = ca.hessian(kinetic, qd)[0]
        momentum = ca.gradient(kinetic, qd)
        velocity_terms = ca.jtimes(momentum, q, qd) - ca.gradient(kinetic, q)
        self._energy = ca.Function("V", [q], [bow_energy])
        self._gradient = ca.Function("dV", [q], [gradient])
        self._hessian = ca.Function("ddV", [q], [ca.jacobian(gradient, q)])
        self._total = ca.Function("E", [q, qd, preload], [kinetic, bow_energy + hand_energy])
        self._dynamics = ca.Function("dyn", [q, qd, preload], [mass, -total_gradient - velocity_terms])
        self._lines = ca.Function("lines", [q], [ca.vertcat(*lengths), tensions, ca.vertcat(*contacts), gaps])
        self._axles = ca.Function("axles", [q], [ca.horzcat(upper.axle, ca.vertcat(lower.axle[0], -lower.axle[1])).T])

    def energy(self, q: Vector) -> float:
        """Energy of limbs, lines and stops [J]."""
        return float(self._energy(q))

    def gradient(self, q: Vector) -> Vector:
        """dV/dq without the hand [N, N m]."""
        return np.asarray(self._gradient(q)).ravel()

    def hessian(self, q: Vector) -> Vector:
        """d2V/dq2 without the hand."""
        return np.asarray(self._hessian(q))

    def energies(self, q: Vector, qd: Vector, preload: Vector) -> tuple[float, float]:
        """Kinetic energy and all potential energy, hand included [J]."""
        kinetic, potential = self._total(q, qd, preload)
        return float(kinetic), float(potential)

    def mass_and_force(self, q: Vector, qd: Vector, preload: Vector) -> tuple[Vector, Vector]:
        """M and f of M q'' = f."""
        mass, force = self._dynamics(q, qd, preload)
        return np.asarray(mass), np.asarray(force).ravel()

    def lines(self, q: Vector) -> tuple[Vector, Vector, Vector, Vector]:
        """Lengths, tensions, contact normals (order of LINES) and stop gaps (upper, lower)."""
        length, tension, contact, gap = (np.asarray(out).ravel() for out in self._lines(q))
        return length, tension, contact, gap

    def axles(self, q: Vector) -> Vector:
        """Axle centres in the inertial frame [m], rows upper and lower."""
        return np.asarray(self._axles(q))
