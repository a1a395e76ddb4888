#!/usr/bin/env python3
"""Fly the Larkspur's arrow as a rigid body with a quaternion, by SciPy, and store where its point arrives.

    python make_reference.py [--write]      # a few seconds; needs requirements.txt

The equations are those of lib/README.md (To the target), written again in another form: attitude is a quaternion, rates
are in the arrow's own frame, which rolls, and the gyroscopic terms are Euler's. The library follows the shaft's
direction and its turning in the frame of the shot. The integrator is DOP853 with an error of 1e-11 and its own search
for the face. ../target_flight_test.cpp compares.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import numpy as np
import numpy.typing as npt
import scipy
from scipy.integrate import solve_ivp

HERE = Path(__file__).parent
Array = npt.NDArray[np.float64]

# The Larkspur's arrow: what ../target_flight_test.cpp holds against the library's own numbers.
ARROW = {
    "mass": 0.0246235858,
    "balance": 0.45130699342105274,
    "inertia": 0.0016765382823560782,
    "length": 0.7239,
    "diameter": 0.0065,
    "vanes": 3,
    "vane_mass": 0.000421192915,
    "vane_length": 0.05,
    "vane_height": 0.0115,
    "vane_distance": 0.055,
    "vane_slope": 2.0,
    "body_slope": 2.0,
    "rest_height": 0.0185,
}
DENSITY, VISCOSITY, GRAVITY = 1.225, 1.458e-6 * 288.15**1.5 / (288.15 + 110.4), 9.80665
EYE = 0.115
DRAG_LAMINAR, DRAG_TURBULENT, TRANSITION, WIDTH, CROSS = 1.5, 2.6, 2.0e4, 0.1, 1.2

NAMES = ("distance", "speed", "pitch", "yaw", "wind", "cant", "bend", "slope")
CASES = [
    (18.288, 80.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
    (45.72, 85.0, 0.01, 0.02, 0.0, 0.02, 0.0, 0.0),
    (70.0, 57.0, -0.02, 0.01, 5.0, 0.05, 0.0, 0.0),
    (45.72, 85.0, 0.0, 0.0, -3.0, 0.03, 3e-4, 0.4),
    (91.44, 90.0, 0.0, -0.03, 8.0, 0.05, 1e-4, 0.0),
]


def rotated(q: Array, v: Array) -> Array:
    """`v` of the arrow's frame in the frame of the shot."""
    w, u = q[0], q[1:]
    turned: Array = v + 2.0 * np.cross(u, np.cross(u, v) + w * v)
    return turned


def fly(case: dict[str, float]) -> dict[str, float]:
    """Place of the point on the face, and what the arrow does there."""
    arrow = ARROW
    radius = 0.5 * arrow["diameter"]
    section = np.pi * radius**2
    middle = radius + 0.5 * arrow["vane_height"]
    of_vanes = arrow["vanes"] * arrow["vane_mass"]
    axial = (arrow["mass"] - of_vanes) * 0.8 * radius**2 + of_vanes * middle**2
    planform = arrow["vanes"] * arrow["vane_length"] * arrow["vane_height"]
    to_point = arrow["length"] - arrow["balance"]
    to_vanes = arrow["vane_distance"] - arrow["balance"]
    to_middle = 0.5 * arrow["length"] - arrow["balance"]
    wind = np.array([0.0, 0.0, case["wind"]])
    gravity = -GRAVITY * np.array([np.sin(case["slope"]), np.cos(case["slope"]), 0.0])

    def rate(_: float, state: Array) -> Array:
        velocity, q, omega = state[3:6], state[6:10], state[10:13]
        back = q * np.array([1.0, -1.0, -1.0, -1.0])
        air = rotated(back, velocity - wind)  # in the arrow's frame: x along the shaft
        speed = np.linalg.norm(air)

        def across(arm: float) -> Array:
            flow = air + np.cross(omega, np.array([arm, 0.0, 0.0]))
            return np.array([0.0, flow[1], flow[2]])

        def bent(from_nock: float) -> Array:  # slope of the arc; it bulges along the arrow's own y
            slope = -8.0 * case["bend"] * (from_nock - 0.5 * arrow["length"]) / arrow["length"] ** 2
            return np.array([0.0, speed * slope, 0.0])

        reynolds = DENSITY * speed * arrow["diameter"] / VISCOSITY
        share = 1.0 / (1.0 + (TRANSITION / reynolds) ** (1.0 / WIDTH))
        drag = DRAG_LAMINAR + (DRAG_TURBULENT - DRAG_LAMINAR) * share
        half = 0.5 * DENSITY
        body = -half * section * arrow["body_slope"] * speed * (across(to_point) - bent(arrow["length"]))
        tail = -half * 0.5 * planform * arrow["vane_slope"] * speed * (across(to_vanes) - bent(arrow["vane_distance"]))
        side = across(to_middle)
        side = -half * CROSS * arrow["length"] * arrow["diameter"] * np.linalg.norm(side) * side
        force = body + tail + side - half * section * drag * speed * air
        x = np.array([1.0, 0.0, 0.0])
        moment = np.cross(to_point * x, body) + np.cross(to_vanes * x, tail) + np.cross(to_middle * x, side)
        roll = half * planform * arrow["vane_slope"] * middle * speed * (case["cant"] * speed - omega[0] * middle)
        moment[0] = roll
        inertia = np.array([axial, arrow["inertia"], arrow["inertia"]])
        spin = (moment - np.cross(omega, inertia * omega)) / inertia
        turn = np.empty(4)
        turn[0] = -0.5 * q[1:] @ omega
        turn[1:] = 0.5 * (q[0] * omega + np.cross(q[1:], omega))
        return np.concatenate([velocity, rotated(q, force) / arrow["mass"] + gravity, turn, spin])

    nose = np.array([1.0, case["pitch"], case["yaw"]])
    nose /= np.linalg.norm(nose)
    # Up stays up: the arrow's y is up, square to the shaft.
    up = np.array([0.0, 1.0, 0.0]) - nose * nose[1]
    up /= np.linalg.norm(up)
    frame = np.column_stack([nose, up, np.cross(nose, up)])
    w = 0.5 * np.sqrt(1.0 + np.trace(frame))
    axis = np.array([frame[2, 1] - frame[1, 2], frame[0, 2] - frame[2, 0], frame[1, 0] - frame[0, 1]])
    q = np.array([w, *(axis / (4.0 * w))])
    eye = arrow["rest_height"] + EYE
    start = np.array([0.03 + arrow["balance"], -eye, 0.0])

    def face(_: float, state: Array) -> float:
        return float(state[0] + to_point * rotated(state[6:10], np.array([1.0, 0.0, 0.0]))[0] - case["distance"])

    face.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(
        rate,
        (0.0, 10.0),
        np.concatenate([start, [case["speed"], 0.0, 0.0], q, np.zeros(3)]),
        method="DOP853",
        events=face,
        rtol=1e-11,
        atol=1e-12,
        max_step=5e-3,
    )
    end = solved.y_events[0][0]
    point = end[:3] + to_point * rotated(end[6:10] / np.linalg.norm(end[6:10]), np.array([1.0, 0.0, 0.0]))
    return {
        "time": float(solved.t_events[0][0]),
        "up": float(point[1]),
        "right": float(point[2]),
        "speed": float(np.linalg.norm(end[3:6])),
        "spin": float(end[10]),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="write reference.json")
    options = parser.parse_args()
    cases = [dict(zip(NAMES, case, strict=True)) for case in CASES]
    flights = [{"case": case, "arrival": fly(case)} for case in cases]
    document = {"scipy": scipy.__version__, "arrow": ARROW, "flights": flights}
    text = json.dumps(document, indent=1) + "\n"
    if options.write:
        (HERE / "reference.json").write_text(text)
    else:
        print(text)


if __name__ == "__main__":
    main()
