"""Flight and the hole in the paper."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from bow import Shaft


def paper(setup: dict[str, Any], shaft: Shaft, index: dict[str, Any], state: np.ndarray) -> dict[str, float]:
    """Flight from the state as the tail passes the rest, and the tear at the setup's paper [m]."""
    size = len(state) // 2
    q, qd = state[:size], state[size:]
    arrow, air = setup["arrow"], setup["surroundings"]
    area = 0.25 * np.pi * arrow["diameter"] ** 2
    dynamic = 0.5 * air["air_density"]
    vanes = arrow["fletching"]
    vane_area = 0.5 * vanes["count"] * vanes["length"] * vanes["height"]
    arm_p, arm_v = shaft.nodes[-1] - shaft.balance, vanes["distance"] - shaft.balance
    c, cd = [q[index["c"]], q[index["d"]]], [qd[index["c"]], qd[index["d"]]]
    rigid = [q[12] + shaft.balance, qd[12]]
    for j in range(2):
        rigid += [c[j][0] / np.sqrt(shaft.mass), cd[j][0] / np.sqrt(shaft.mass)]
        rigid += [c[j][1] / np.sqrt(shaft.inertia), cd[j][1] / np.sqrt(shaft.inertia)]

    def slope(_: float, s: np.ndarray) -> np.ndarray:
        v = s[1]
        out = [v, -dynamic * v**2 * area * arrow["drag_coefficient"] / shaft.mass]
        for j, gravity in ((2, air["gravity"]), (6, 0.0)):
            _, yd, angle, spin = s[j : j + 4]
            push_p = dynamic * v**2 * area * arrow["body_normal_force_slope"] * (angle - (yd + arm_p * spin) / v)
            push_v = dynamic * v**2 * vane_area * vanes["normal_force_slope"] * (angle - (yd + arm_v * spin) / v)
            out += [yd, (push_p + push_v) / shaft.mass - gravity, spin, (arm_p * push_p + arm_v * push_v) / shaft.inertia]
        return np.array(out)

    plane = air["paper_distance"]
    flight = solve_ivp(slope, (0.0, 0.2), rigid, method="DOP853", rtol=1e-11, atol=1e-13, dense_output=True)
    omega, zeta = shaft.omega[2:], 0.5 * shaft.tau * shaft.omega[2:]
    shapes = CubicSpline(shaft.nodes, shaft.modes, bc_type="natural")

    def ringing(j: int, t: float) -> np.ndarray:
        a, b = c[j][2:], cd[j][2:]
        if np.any(zeta >= 1):
            raise ValueError("an overcritical mode")
        slow = omega * np.sqrt(1 - zeta**2)
        swing = a * np.cos(slow * t) + (b + zeta * omega * a) / slow * np.sin(slow * t)
        return np.asarray(np.exp(-zeta * omega * t) * swing)

    def crossing(section: float) -> tuple[float, float, float]:
        t = brentq(lambda t: float(flight.sol(t)[0]) - (plane + shaft.balance - section), 0.0, 0.2, xtol=1e-14)
        s = flight.sol(t)
        y, z = (
            s[i] + s[i + 2] * (section - shaft.balance) + float(shapes(section)[2:] @ ringing(j, t)) for j, i in ((0, 2), (1, 6))
        )
        return t, float(y), float(z)

    tail = crossing(vanes["distance"] if vanes["count"] else 0.0)
    point = crossing(float(shaft.nodes[-1]))
    return {"up": tail[1] - point[1], "right": tail[2] - point[2], "point_y": point[1], "point_z": point[2]}
