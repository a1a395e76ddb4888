"""The ideal hinged bow (rigid sprung limbs, massless string that does not stretch), from the Wheelwright's own machinery.

Its table was worked out twice.

Wheels of radius zero are tips; the cables are so long that they never pull; the stops are out of reach. The reference has an
inextensible string, the machinery an elastic one: the results tend to the reference as the stiffness grows.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from bow import read_bow
from lagrange_model import BETA_L, BETA_U, NOCK_X, NOCK_Y, Model, Vector
from lagrange_oracle import acceleration
from lagrange_statics import newton

LIMB, HINGE, SPRING, HALF_STRING = 0.45, 0.15, 120.0, 0.5624318125
ARROW = 0.025
# nock x [m], theta [rad], draw force [N], string tension [N], energy stored since brace [J]
TABLE = (
    (0.20, 0.41334316, 17.431709, 254.691967, 0.18077486),
    (0.25, 0.43032554, 49.321623, 222.722237, 1.90007517),
    (0.40, 0.53834013, 115.629606, 192.089597, 14.45567834),
    (0.60, 0.74869389, 216.510057, 207.312054, 46.94357198),
    (0.65, 0.81108742, 251.682800, 218.627952, 58.62200207),
)


def hinged_model(string_ea: float, limb_inertia: float) -> Model:
    """The hinged bow with a string of stiffness `string_ea` [N] and limbs of `limb_inertia` [kg m^2] about their hinges."""
    wheelwright = read_bow("symmetric")
    half = replace(
        wheelwright.upper,
        pivot_x=0.0,
        pivot_y=HINGE,
        limb_length=LIMB,
        limb_stiffness=SPRING,
        limb_free_angle=0.0,
        limb_mass=limb_inertia / LIMB**2,
        cam_mass=0.0,
        string_radius=0.0,
        string_offset=0.0,
        cable_radius=0.0,
        cable_offset=0.0,
        string_ea=string_ea,
        string_length=HALF_STRING,
        cable_length=10.0,
        stop_angle=1e3,
    )
    bow = replace(wheelwright, upper=half, lower=half, riser_mass=1e9, riser_inertia=1e9, string_mass=0.0, arrow_mass=ARROW)
    return Model(bow)


def stand(model: Model, nock: float) -> Vector:
    """Equilibrium with the nock held `nock` metres behind the hinges."""
    q = np.zeros(9)
    q[NOCK_X] = -nock

    def excess(beta: float) -> float:
        return float(np.hypot(nock - LIMB * np.sin(beta), HINGE + LIMB * np.cos(beta))) - HALF_STRING

    q[[BETA_U, BETA_L]] = np.arcsin(0.18 / LIMB) if nock <= 0.18 else brentq(excess, 0.3, 1.2, xtol=1e-14)
    q, _ = newton(model, q, held=False, unknowns=[BETA_U, BETA_L])
    return q


def constrained_acceleration(model: Model, nock: float = 0.65) -> float:
    """Nock acceleration on release with the string's length held constant (Lagrange multipliers)."""
    q = stand(model, nock)
    free = [BETA_U, BETA_L, NOCK_X, NOCK_Y]
    mass, _ = model.mass_and_force(q, np.zeros(9), np.zeros(3))
    spring = np.array([-SPRING * q[BETA_U], -SPRING * q[BETA_L], 0.0, 0.0])
    step = 1e-6
    lines = np.array(
        [(model.lines(q + step * e)[0][:2] - model.lines(q - step * e)[0][:2]) / (2 * step) for e in np.eye(9)[free]]
    ).T
    system = np.block([[mass[np.ix_(free, free)], lines.T], [lines, np.zeros((2, 2))]])
    return float(np.linalg.solve(system, np.append(spring, [0.0, 0.0]))[2])


def launch_to_brace(model: Model, nock: float = 0.65) -> tuple[float, float]:
    """Time [s] from release until the nock passes brace, and its speed there [m/s]."""
    none = np.zeros(3)

    def slope(_: float, state: Vector) -> Vector:
        return np.concatenate([state[9:], acceleration(model, state, none)])

    def at_brace(_: float, state: Vector) -> float:
        return float(state[NOCK_X] + 0.18)

    at_brace.terminal = True  # type: ignore[attr-defined]
    start = np.concatenate([stand(model, nock), np.zeros(9)])
    shot = solve_ivp(slope, (0.0, 0.03), start, method="DOP853", rtol=1e-9, atol=1e-12, events=at_brace)
    return float(shot.t[-1]), float(shot.y[9 + NOCK_X, -1])
