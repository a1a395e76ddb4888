#!/usr/bin/env python3
"""What it costs a launch that the string is a third of its mass at the nock: the string as a chain of M masses.

    python string_masses.py      # half a minute; numpy and scipy (../stiff_solvers/requirements.txt)

Independent of the library: half of a symmetric bow with a rigid limb on a hinge and a torsion spring, an elastic string
half that is cut into M equal pieces with a mass at each joint (and half a piece's mass at either end), and an arrow at
the nock. Released at rest from full draw; the arrow parts where the string would have to pull it back with more than the
nock's hold. M = 0 is what the
library does: massless halves, a third of the string's mass at the nock. The serving is left out.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

PIVOT = np.array([0.03, 0.28])  # [m] ahead of and above the grip
LIMB = 0.30  # [m]
STIFFNESS = 110.0  # [N·m/rad]
PRELOAD = 0.62  # [rad] of the spring at brace
AXLE_MASS = 0.16  # [kg] limb and cam
AXIAL_RIGIDITY = 1.5e5  # [N]
STRING_MASS = 0.0065  # [kg] both halves
ARROW_MASS = 0.0246  # [kg]
BRACE_ANGLE = 0.45  # [rad]
DRAW = 0.5  # [m] power stroke
NOCK_HOLD = 8.0  # [N]
DAMPINGS = {"that rings on": 2e-5, "that damps": 2e-4}  # [s], a share of the string's stiffness


def tip(angle: float) -> np.ndarray:
    """Place of the axle; the limb's angle grows as the tip comes back."""
    return PIVOT + LIMB * np.array([-np.sin(angle), np.cos(angle)])


def natural_length() -> float:
    """Unstretched half: at brace it is straight up and down, and holds the limb."""
    height = tip(BRACE_ANGLE)[1]
    lever = LIMB * np.sin(BRACE_ANGLE)
    tension = STIFFNESS * PRELOAD / max(lever, 1e-9)
    return float(height / (1.0 + tension / AXIAL_RIGIDITY))


def nock_x_at_brace() -> float:
    """The string runs through the axle."""
    return float(tip(BRACE_ANGLE)[0])


def full_draw(length: float) -> tuple[float, float]:
    """Limb angle with the nock held, and its place."""
    x = nock_x_at_brace() - DRAW

    def moment(angle: float) -> float:
        end = tip(angle)
        to_nock = np.array([x, 0.0]) - end
        run = float(np.hypot(*to_nock))
        tension = AXIAL_RIGIDITY * max(run / length - 1.0, 0.0)
        along = LIMB * np.array([-np.cos(angle), -np.sin(angle)])  # of the tip per radian
        return tension * float(to_nock @ along) / run - STIFFNESS * (angle - BRACE_ANGLE + PRELOAD)

    return brentq(moment, BRACE_ANGLE, 1.4, xtol=1e-14), x


def launch(masses: int, damping: float) -> tuple[float, float]:
    """Exit speed [m/s] and time [s] with the string half cut into `masses` pieces; 0: massless, a third at the nock."""
    length = natural_length()
    angle, x = full_draw(length)
    pieces = max(masses, 1)
    piece = length / pieces
    stiffness = AXIAL_RIGIDITY / piece
    lump = 0.5 * STRING_MASS / pieces
    at_nock = STRING_MASS / 3.0 if masses == 0 else lump  # both halves' ends: half a piece each
    at_tip = 0.0 if masses == 0 else 0.5 * lump
    moving = ARROW_MASS + at_nock
    inertia = (AXLE_MASS + at_tip) * LIMB**2
    joints = pieces - 1
    start, end = tip(angle), np.array([x, 0.0])
    chain = np.array([start + (end - start) * (i + 1) / pieces for i in range(joints)])
    positions = np.concatenate([[angle, x], chain.ravel()])

    def rates(_: float, y: np.ndarray) -> np.ndarray:
        n = y.size // 2
        q, v = y[:n], y[n:]
        turn = np.array([-np.cos(q[0]), -np.sin(q[0])]) * LIMB
        points = np.vstack([tip(q[0]), q[2:].reshape(-1, 2), [q[1], 0.0]])
        speeds = np.vstack([turn * v[0], v[2:].reshape(-1, 2), [v[1], 0.0]])
        runs = np.diff(points, axis=0)
        lengths = np.hypot(runs[:, 0], runs[:, 1])
        directions = runs / lengths[:, None]
        stretching = np.einsum("ij,ij->i", np.diff(speeds, axis=0), directions)
        tension = np.where(lengths > piece, stiffness * (lengths - piece + damping * stretching), 0.0)
        tension = np.maximum(tension, 0.0)
        forces = tension[:, None] * directions
        a = np.empty(n)
        a[0] = (float(forces[0] @ turn) - STIFFNESS * (q[0] - BRACE_ANGLE + PRELOAD)) / inertia
        a[1] = -2.0 * forces[-1, 0] / moving  # both halves pull
        a[2:] = ((forces[1:] - forces[:-1]) / lump).ravel()
        return np.concatenate([v, a])

    def parting(t: float, y: np.ndarray) -> float:
        n = y.size // 2
        near_brace = y[1] > nock_x_at_brace() - 0.05
        return ARROW_MASS * rates(t, y)[n + 1] + NOCK_HOLD if near_brace else 1.0

    parting.terminal = True  # type: ignore[attr-defined]
    parting.direction = -1.0  # type: ignore[attr-defined]
    solved = solve_ivp(
        rates,
        (0.0, 0.05),
        np.concatenate([positions, np.zeros_like(positions)]),
        method="LSODA",
        events=parting,
        rtol=1e-9,
        atol=1e-11,
        max_step=1e-4,
    )
    if solved.status != 1:
        raise SystemExit(f"M = {masses}: the arrow did not leave")
    y = solved.y_events[0][0]
    return float(y[y.size // 2 + 1]), float(solved.t_events[0][0])


def main() -> None:
    """Print the table."""
    for name, damping in DAMPINGS.items():
        speed, time = launch(0, damping)
        print(f"string {name}, a third at the nock: {speed:.2f} m/s after {1e3 * time:.2f} ms")
        for masses in (2, 3, 4, 6, 8, 12, 16):
            now, when = launch(masses, damping)
            change = 100 * (now / speed - 1)
            print(f"  {masses:2d} pieces per half: {now:.2f} m/s ({change:+.1f} %) after {1e3 * when:.2f} ms")


if __name__ == "__main__":
    main()
