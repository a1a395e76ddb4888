#!/usr/bin/env python3
"""Fly the Larkspur's arrow as six point masses, differentiated by JAX, and store where its point arrives.

    python six_masses.py [--write]      # five minutes; needs requirements.txt

The author had not read the library's code of flight and target when he wrote this: only lib/README.md (Arrow, Flight,
To the target), lib/limits.md, the public header nockwise/target.hpp and how ../target_flight_test.cpp calls it. It was
first held against the results in lagrange.json, not against the library; one number, the axial inertia, was looked up in
the code after that (see there). Where the text leaves a reading open, the words "a reading" below say which was taken, and
what another would do.

A fourth form of the equations. The arrow is a rigid cross of six point masses that has its mass, both moments of
inertia and nothing else: two masses on the shaft's axis, four around it. Coordinates are the mass centre and the angles
of yaw, pitch and roll. Places of all points are written as functions of them; JAX differentiates these once for the
mass matrix, twice for what the coordinates' curvature costs, and every force of the air enters by the virtual work at
the point where it acts (the spin's by a force on every vane). No moment, no gyroscopic term, no angular velocity of the
shaft is written down. Modes of the shaft are computed here from the setup's numbers, and ring on by a matrix exponential
of their own equation in both planes at once, not by a closed form. Gusts: the answer of the impact to a gust anywhere on
the way, by flights through small gusts, and from those and the gusts' correlation the spread of impacts.
../target_flight_oracle_test.cpp compares.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import scipy
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.linalg import eigh, expm

jax.config.update("jax_enable_x64", True)  # type: ignore[no-untyped-call]
HERE = Path(__file__).parent
Array = NDArray[np.float64]

GRAIN, INCH, POUND_FORCE = 6.479891e-5, 0.0254, 4.4482216152605
GRAVITY = 9.80665
# The Larkspur's arrow (examples/setups/larkspur.toml).
LENGTH, DIAMETER, NODES, MODES, DAMPING = 28.5 * INCH, 0.0065, 24, 6, 0.01
SHAFT_MASS = 8.1 * GRAIN / INCH * LENGTH
NOCK, FRONT, VANE = 9.65 * GRAIN, 120.0 * GRAIN, 6.5 * GRAIN
VANES, VANE_LENGTH, VANE_HEIGHT, VANE_PLACE = 3, 0.05, 0.0115, 0.055
BODY_SLOPE, VANE_SLOPE = 2.0, 2.0
SPINE = 0.340 * INCH
STIFFNESS = 1.94 * POUND_FORCE * (28.0 * INCH) ** 3 / (48.0 * SPINE)
# Defaults of nockwise::FlightConditions, from its header.
DRAG_LAMINAR, DRAG_TURBULENT, TRANSITION, WIDTH, CROSS_FLOW, HEAD_SLOPE = 1.5, 2.6, 2.0e4, 0.1, 1.2, 2.0
EYE, REST = 0.115, 0.0185  # the second as in lagrange.json, so that the eye is where it is there

CASE: dict[str, float] = {
    "distance": 45.72,
    "nock_x": 0.03,
    "speed": 80.0,
    "pitch": 0.0,
    "yaw": 0.0,
    "pitch_rate": 0.0,
    "yaw_rate": 0.0,
    "temperature": 288.15,
    "altitude": 0.0,
    "wind_along": 0.0,
    "wind_right": 0.0,
    "wind_up": 0.0,
    "slope": 0.0,
    "vane_cant": 0.02,
    "head_area": 0.0,
    "bend": 0.0,
    "bend_angle": 0.0,
    "elevation": 0.0,
    "windage": 0.0,
    "cant": 0.0,
    "aim_up": 0.0,
    "aim_right": 0.0,
    "ring_up": 0.0,  # the shaft leaves bent in an arc of this sag, its middle up [m]
    "ring_right": 0.0,
    "ring_rate_right": 0.0,  # the same arc's rate [m/s]
    "spine_difference": 0.0,  # how much stiffer the shaft is in its stiff plane than in the mean
    "spine_direction": 0.0,  # of that plane, from up to the right [rad]
}
CASES: list[dict[str, float]] = [
    {"pitch": 0.01, "yaw": 0.02},
    {"distance": 64.0, "speed": 62.0, "yaw": -0.015, "wind_along": -3.0, "wind_right": 4.0, "wind_up": 0.7, "slope": 0.35},
    {"distance": 91.44, "speed": 58.0, "pitch_rate": 1.5, "yaw_rate": -2.0, "vane_cant": 0.06, "temperature": 268.15},
    {"distance": 36.576, "elevation": 0.02, "windage": -0.004, "cant": 0.09, "aim_up": 0.003, "aim_right": -0.002,
     "pitch": 0.008, "wind_right": -6.0, "slope": -0.3},
    {"distance": 45.72, "bend": 0.0006, "bend_angle": 0.7, "yaw": 0.01, "altitude": 1500.0, "temperature": 300.0},
    {"distance": 45.72, "speed": 75.0, "head_area": 3.0e-4, "pitch": 0.012, "wind_right": 3.0, "vane_cant": 0.035},
    {"distance": 9.144, "ring_up": 0.012, "ring_right": -0.007, "ring_rate_right": 2.0, "pitch": 0.005},
    {"distance": 18.288, "ring_up": -0.006, "ring_right": 0.011, "ring_rate_right": -3.0, "windage": 0.003, "cant": -0.2},
    {"distance": 9.144, "ring_up": 0.012, "ring_right": -0.007, "ring_rate_right": 2.0, "spine_difference": 0.1,
     "spine_direction": 0.6},
    {"distance": 18.288, "ring_up": 0.01, "spine_difference": -0.04, "spine_direction": -1.2, "cant": 0.1},
]


def shaft_masses() -> Array:
    """Masses of the nodes [kg], Eq. (19)."""
    step = LENGTH / (NODES - 1)
    weights = np.ones(NODES)
    weights[:3] = weights[-1:-4:-1] = 3 / 8, 7 / 6, 23 / 24
    masses = SHAFT_MASS / LENGTH * step * weights
    masses[0] += NOCK
    masses[-1] += FRONT
    below = int(VANE_PLACE / step)
    share = VANE_PLACE / step - below
    masses[below] += VANES * VANE * (1 - share)
    masses[below + 1] += VANES * VANE * share
    return np.asarray(masses)


NODE = np.linspace(0.0, LENGTH, NODES)
MASSES = shaft_masses()
MASS = float(MASSES.sum())
BALANCE = float(MASSES @ NODE / MASS)
TRANSVERSE = float(MASSES @ (NODE - BALANCE) ** 2)
VANE_RADIUS = 0.5 * (DIAMETER + VANE_HEIGHT)
# lib/README.md said "of a tube with the shaft's radius and of the vanes" when this was written, which was read as the
# bare shaft at its outside radius, 2.60e-7 kg·m². That missed the flights stored in lagrange.json by 0.08 to 0.19 rad/s
# of spin and 0.01 to 0.2 mm; all seven agree to 1e-9 m with 2.997419e-7, which is 0.8 of all but the vanes at that
# radius. README.md says so since.
AXIAL = 0.8 * (MASS - VANES * VANE) * (0.5 * DIAMETER) ** 2 + VANES * VANE * VANE_RADIUS**2


def shaft_modes() -> tuple[Array, Array]:
    """Shapes (node, mode) of the elastic modes kept, normalised by mass, and their angular frequencies."""
    stiffness = np.zeros((NODES, NODES))
    spline = CubicSpline(NODE, np.eye(NODES), bc_type="natural")
    # The energy ½ EI ∫ y''² of natural splines: y'' is linear between nodes.
    curvature = spline(NODE, 2)
    step = NODE[1]
    for i in range(NODES - 1):
        a, b = curvature[i][:, None], curvature[i + 1][:, None]
        stiffness += STIFFNESS * step / 6 * (2 * a @ a.T + a @ b.T + b @ a.T + 2 * b @ b.T)
    values, shapes = eigh(stiffness, np.diag(MASSES))
    return shapes[:, 2 : 2 + MODES], np.sqrt(values[2 : 2 + MODES])


def arc() -> Array:
    """Places of the nodes on an arc of sag 1 whose middle is up, without rigid motion [m]."""
    bent = -4.0 * (NODE / LENGTH - 0.5) ** 2
    arm = NODE - BALANCE
    return np.asarray(bent - MASSES @ bent / MASS - arm * (MASSES @ (arm * bent)) / TRANSVERSE)


def air(temperature: float, altitude: float) -> tuple[float, float]:
    """Density and viscosity of dry air (ISO 2533)."""
    pressure = 101325.0 * (1 - 0.0065 * altitude / 288.15) ** (GRAVITY / (287.05287 * 0.0065))
    return pressure / (287.05287 * temperature), 1.458e-6 * temperature**1.5 / (temperature + 110.4)


def rotation(axis: int, angle: Any) -> Any:
    """Turn about an axis of the frame, counter-clockwise looking against it."""
    c, s = jnp.cos(angle), jnp.sin(angle)
    one, zero = jnp.ones_like(c), jnp.zeros_like(c)
    rows = (
        [[one, zero, zero], [zero, c, -s], [zero, s, c]],
        [[c, zero, s], [zero, one, zero], [-s, zero, c]],
        [[c, -s, zero], [s, c, zero], [zero, zero, one]],
    )[axis]
    return jnp.array(rows)


def attitude(q: Any) -> Any:
    """Columns: the shaft's direction, and what was up and right on it, from yaw, pitch and roll."""
    return rotation(1, -q[3]) @ rotation(2, q[4]) @ rotation(0, q[5])


# Six masses with the arrow's mass and moments of inertia: half the mass in two on the axis, half in four around it.
AROUND = float(np.sqrt(AXIAL / (0.5 * MASS)))
ALONG = float(np.sqrt((TRANSVERSE - 0.5 * AXIAL) / (0.5 * MASS)))
BODY = np.array([[ALONG, 0, 0], [-ALONG, 0, 0], [0, AROUND, 0], [0, -AROUND, 0], [0, 0, AROUND], [0, 0, -AROUND]])
BODY_MASS = MASS * np.array([0.25, 0.25, 0.125, 0.125, 0.125, 0.125])
AZIMUTHS = 2 * np.pi * np.arange(VANES) / VANES


def place(q: Any, in_body: Any) -> Any:
    """Where a point of the body is."""
    return q[:3] + attitude(q) @ in_body


def places(q: Any) -> Any:
    """Where the six masses are."""
    return q[:3] + jnp.asarray(BODY) @ attitude(q).T


def accelerations(q: Any, rate: Any, case: dict[str, Any], gust_knots: Any, gusts: Any) -> Any:
    """Second derivatives of the coordinates: d'Alembert's principle over the six masses."""
    weight = jnp.asarray(BODY_MASS)
    jacobian = jax.jacfwd(places)(q)  # mass, component, coordinate
    matrix = jnp.einsum("i,icj,ick->jk", weight, jacobian, jacobian)

    def speeds(at: Any) -> Any:
        return jax.jvp(places, (at,), (rate,))[1]

    curved = jax.jvp(speeds, (q,), (rate,))[1]
    slope = case["slope"]
    gravity = -GRAVITY * jnp.array([jnp.sin(slope), jnp.cos(slope), 0.0])
    load = jnp.einsum("i,icj,ic->j", weight, jacobian, gravity - curved)

    gust = jnp.array([jnp.interp(q[0], gust_knots, gusts[c]) for c in range(3)])
    wind = jnp.array([case["wind_along"], case["wind_up"], case["wind_right"]]) + gust
    against = rate[:3] - wind
    speed = jnp.linalg.norm(against)
    turn = attitude(q)
    shaft = turn[:, 0]
    bulge = jnp.cos(case["bend_angle"]) * turn[:, 1] + jnp.sin(case["bend_angle"]) * turn[:, 2]
    pressure = 0.5 * case["density"] * speed
    section = np.pi * DIAMETER**2 / 4

    def work(in_body: Any, force: Any) -> Any:
        """Generalised forces of a force at a point of the body, by its virtual work."""
        return jax.jacfwd(lambda at: place(at, in_body))(q).T @ force

    def flow(from_nock: float) -> Any:
        """What a piece of the shaft meets across itself, bent as it is."""
        in_body = jnp.array([from_nock - BALANCE, 0.0, 0.0])
        moving = jax.jvp(lambda at: place(at, in_body), (q,), (rate,))[1] - wind
        bent = -8.0 * case["bend"] * (from_nock - 0.5 * LENGTH) / LENGTH**2
        return in_body, moving - shaft * (shaft @ moving) - speed * bent * bulge

    at, across = flow(LENGTH)
    load += work(at, -pressure * (section * BODY_SLOPE + case["head_area"] * HEAD_SLOPE) * across)
    at, across = flow(VANE_PLACE)
    load += work(at, -pressure * VANES / 2 * VANE_LENGTH * VANE_HEIGHT * VANE_SLOPE * across)
    at, across = flow(0.5 * LENGTH)
    size = jnp.sqrt(across @ across + 1e-300)
    load += work(at, -0.5 * case["density"] * CROSS_FLOW * LENGTH * DIAMETER * size * across)
    reynolds = case["density"] * speed * DIAMETER / case["viscosity"]
    drag = DRAG_LAMINAR + (DRAG_TURBULENT - DRAG_LAMINAR) / (1 + (TRANSITION / reynolds) ** (1 / WIDTH))
    load = load.at[:3].add(-pressure * section * drag * against)

    # Every vane is pushed around the shaft by the flow against its cant, less what its own way around gives.
    for azimuth in AZIMUTHS:
        out = jnp.array([0.0, np.cos(azimuth), np.sin(azimuth)])
        around = turn @ jnp.array([0.0, -np.sin(azimuth), np.cos(azimuth)])
        there = jnp.array([VANE_PLACE - BALANCE, 0.0, 0.0])
        rim = there + VANE_RADIUS * out
        turning = jax.jvp(lambda at, rim=rim, there=there: place(at, rim) - place(at, there), (q,), (rate,))[1] @ around
        push = pressure * VANE_LENGTH * VANE_HEIGHT * VANE_SLOPE * (case["vane_cant"] * speed - turning)
        load += work(rim, push * around) - work(jnp.array([0.0, 0.0, 0.0]), push * around)
        # What the pushes' common lever ahead of the mass centre gives cancels over the vanes; so does their sum.
    return jnp.linalg.solve(matrix, load)


ACCELERATIONS = jax.jit(accelerations)
CALM = (np.array([-1.0, 0.0, 1000.0]), np.zeros((3, 3)))


def start(case: dict[str, float]) -> tuple[Array, Array, Array]:
    """Coordinates and rates of the body as it is let go, and the turn of the launch's frame, Eq. (65)."""
    turn = np.asarray(
        rotation(1, -case["aim_right"])
        @ rotation(2, case["aim_up"])
        @ rotation(0, case["cant"])
        @ rotation(1, -case["windage"])
        @ rotation(2, case["elevation"])
    )
    centre = turn @ np.array([case["nock_x"] + BALANCE, -(EYE + REST), 0.0])
    velocity = turn @ np.array([case["speed"], 0.0, 0.0])
    # A reading: pitch and yaw of a launch are slopes, dy/dx and dz/dx.
    along = np.array([1.0, case["pitch"], case["yaw"]])
    shaft = along / np.linalg.norm(along)
    # A reading: their rates are of the unit vector, but for its length. As rates of the slopes, or of two angles, the
    # arrow of lagrange.json's fifth flight strikes 0.014 mm elsewhere.
    swing = np.array([0.0, case["pitch_rate"], case["yaw_rate"]])
    swing -= shaft * (shaft @ swing)
    shaft, swing = turn @ shaft, turn @ swing
    yaw, pitch = np.arctan2(shaft[2], shaft[0]), np.arcsin(shaft[1])
    pitch_rate = swing[1] / np.cos(pitch)
    yaw_rate = (swing[2] * shaft[0] - swing[0] * shaft[2]) / (shaft[0] ** 2 + shaft[2] ** 2)
    # No spin about the shaft at first, and "up" on it as upright as it can be.
    q = np.array([*centre, yaw, pitch, 0.0])
    spin = float(angular_about_shaft(q, np.array([*velocity, yaw_rate, pitch_rate, 0.0])))
    return q, np.array([*velocity, yaw_rate, pitch_rate, -spin]), turn


def angular_about_shaft(q: Any, rate: Any) -> Any:
    """How fast the body turns about its shaft: how "up" on it moves along "right" on it."""
    turn = attitude(q)
    moved = jax.jvp(attitude, (q,), (rate,))[1]
    return turn[:, 2] @ moved[:, 1]


def bending_of_point(case: dict[str, float], time: float) -> Array:
    """Bending of the shaft's front end in the launch's frame [m], the shaft having rung for that time."""
    shapes, frequencies = shaft_modes()
    amplitude = shapes.T @ (MASSES * arc())
    damping = 2.0 * DAMPING / frequencies[0]
    stiff_plane = np.array([np.cos(case["spine_direction"]), np.sin(case["spine_direction"])])
    around = (1 - case["spine_difference"]) * np.eye(2) + 2 * case["spine_difference"] * np.outer(stiff_plane, stiff_plane)
    at_first = np.array([case["ring_up"], case["ring_right"], 0.0, case["ring_rate_right"]])
    bent = np.zeros(3)
    for k, frequency in enumerate(frequencies):
        stiffness = frequency**2 * around
        own = np.block([[np.zeros((2, 2)), np.eye(2)], [-stiffness, -damping * stiffness]])
        bent[1:] += shapes[-1, k] * amplitude[k] * (expm(own * time) @ at_first)[:2]
    return bent


def fly(given: dict[str, float], gusts: tuple[Array, Array] = CALM) -> dict[str, float]:
    """Where the point arrives; time since the arrow was let go."""
    case = CASE | given
    density, viscosity = air(case["temperature"], case["altitude"])
    for_air = {k: float(v) for k, v in case.items()} | {"density": density, "viscosity": viscosity}
    q, rate, turn = start(case)

    def derivative(_: float, state: Array) -> Array:
        return np.concatenate([state[6:], np.asarray(ACCELERATIONS(state[:6], state[6:], for_air, *gusts))])

    def to_face(_: float, state: Array) -> float:
        return float(state[0] + (LENGTH - BALANCE) * np.cos(state[3]) * np.cos(state[4]) - case["distance"])

    to_face.terminal = True  # type: ignore[attr-defined]
    way = solve_ivp(derivative, (0.0, 5.0), np.concatenate([q, rate]), "DOP853", events=to_face, rtol=1e-12, atol=1e-13)
    state, time = way.y_events[0][0], float(way.t_events[0][0])
    q, rate = state[:6], state[6:]
    point = np.asarray(place(q, np.array([LENGTH - BALANCE, 0.0, 0.0]))) + turn @ bending_of_point(case, time)
    return {
        "time": time,
        "up": float(point[1]),
        "right": float(point[2]),
        "speed": float(np.linalg.norm(rate[:3])),
        "spin": float(angular_about_shaft(q, rate)),
        "pitch": float(np.arcsin(attitude(q)[1, 0])),
        "yaw": float(np.arctan2(attitude(q)[2, 0], attitude(q)[0, 0])),
    }


def gust_spread(distance: float, gust: float, length: float) -> dict[str, float]:
    """Standard deviations of the impact of a level arrow in gusts, from its answer to small gusts on the way."""
    knots = np.linspace(0.0, distance, 41)
    answers = np.zeros((2, 3, knots.size))
    small = 0.2
    for component in range(3):
        for i in range(knots.size):
            ends = []
            for sign in (1.0, -1.0):
                gusts = np.zeros((3, knots.size))
                gusts[component, i] = sign * small
                ends.append(fly({"distance": distance}, (knots, gusts)))
            answers[0, component, i] = (ends[0]["up"] - ends[1]["up"]) / (2 * small)
            answers[1, component, i] = (ends[0]["right"] - ends[1]["right"]) / (2 * small)
    alike = np.exp(-np.abs(knots[:, None] - knots[None, :]) / length)
    # A reading: the gusts along, up and across are independent of each other.
    sizes = gust * np.array([1.0, 0.5, 1.0])
    up, right = (np.sqrt(sum(sizes[c] ** 2 * a[c] @ alike @ a[c] for c in range(3))) for a in answers)
    return {"distance": distance, "gust": gust, "gust_length": length, "up": float(up), "right": float(right)}


def main() -> None:
    """Print, or store with --write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--write", action="store_true")
    arguments = parser.parse_args()
    document = {
        "jax": jax.__version__,
        "scipy": scipy.__version__,
        "arrow": {"mass": MASS, "balance": BALANCE, "inertia": TRANSVERSE, "rest_height": REST},
        "frequencies": [float(w) / (2 * np.pi) for w in shaft_modes()[1]],
        "flights": [{"case": CASE | case, "arc": list(arc()), "arrival": fly(case)} for case in CASES],
        "gusts": [gust_spread(45.72, 2.0, 30.0), gust_spread(64.008, 1.5, 8.0)],
    }
    text = json.dumps(document, indent=1) + "\n"
    if arguments.write:
        (HERE / "six_masses.json").write_text(text, encoding="utf-8")
    else:
        print(text)


if __name__ == "__main__":
    main()
