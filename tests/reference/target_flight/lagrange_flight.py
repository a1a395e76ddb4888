#!/usr/bin/env python3
"""Fly the Larkspur's arrow by Lagrange's equations, differentiated by CasADi, and store where its point arrives.

    python lagrange_flight.py [--write]      # a few seconds; needs requirements.txt

A third form of the equations of lib/README.md (To the target): the body's place, the two angles of the shaft and its
roll from up are coordinates, the kinetic energy is that of a symmetric body, and every force of the air enters by the
virtual work at the point where it acts. Neither a gyroscopic term nor a moment is written down: they come out of the
differentiation. CVODES integrates with the way of the point along the line of sight as the independent variable, so
that there is no search for the face. ../target_flight_test.cpp compares.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import casadi as ca
from make_reference import ARROW, CROSS, DRAG_LAMINAR, DRAG_TURBULENT, EYE, GRAVITY, TRANSITION, WIDTH

HERE = Path(__file__).parent

STILL = {
    "distance": 45.72,
    "speed": 85.0,
    "pitch": 0.0,
    "yaw": 0.0,
    "pitch_rate": 0.0,
    "yaw_rate": 0.0,
    "wind_along": 0.0,
    "wind_right": 0.0,
    "wind_up": 0.0,
    "vane_cant": 0.0,
    "bend": 0.0,
    "bend_angle": 0.0,
    "slope": 0.0,
    "temperature": 288.15,
    "altitude": 0.0,
    "head_area": 0.0,
}
CASES: list[dict[str, float]] = [
    {"pitch": 0.01, "yaw": 0.02, "vane_cant": 0.02},
    {"distance": 70.0, "speed": 57.0, "pitch": -0.02, "yaw": 0.01, "wind_right": 5.0, "vane_cant": 0.05},
    {"wind_right": -3.0, "vane_cant": 0.03, "bend": 3e-4, "bend_angle": 1.0, "slope": 0.4},
    {"distance": 91.44, "speed": 90.0, "yaw": -0.03, "wind_right": 8.0, "vane_cant": 0.05, "bend": 1e-4},
    {"pitch": 0.01, "pitch_rate": 1.5, "yaw_rate": -2.0, "vane_cant": -0.02},
    {"wind_along": -6.0, "wind_up": 1.5, "temperature": 263.15, "altitude": 2400.0, "vane_cant": 0.02},
    {"pitch": 0.005, "yaw_rate": 1.0, "head_area": 4e-4, "vane_cant": 0.04, "bend": 2e-4, "bend_angle": -2.0},
]


def air_of(temperature: float, altitude: float) -> tuple[float, float]:
    """Density and viscosity of dry air (ISO 2533)."""
    gas, lapse = 287.05287, 0.0065
    pressure = 101325.0 * (1.0 - lapse * altitude / 288.15) ** (GRAVITY / (gas * lapse))
    return pressure / (gas * temperature), 1.458e-6 * temperature**1.5 / (temperature + 110.4)


def fly(case: dict[str, float]) -> dict[str, float]:
    """Place of the point on the face, and what the arrow does there."""
    a = ARROW
    radius = 0.5 * a["diameter"]
    section = ca.pi * radius**2
    middle = radius + 0.5 * a["vane_height"]
    of_vanes = a["vanes"] * a["vane_mass"]
    axial = (a["mass"] - of_vanes) * 0.8 * radius**2 + of_vanes * middle**2
    planform = a["vanes"] * a["vane_length"] * a["vane_height"]
    density, viscosity = air_of(case["temperature"], case["altitude"])
    wind = ca.vertcat(case["wind_along"], case["wind_up"], case["wind_right"])
    head_slope = 2.0

    q = ca.SX.sym("q", 6)  # x, y, z of the mass centre; rise and turn of the shaft; roll from up
    v = ca.SX.sym("v", 6)
    rise, turn, roll = q[3], q[4], q[5]
    shaft = ca.vertcat(ca.cos(rise) * ca.cos(turn), ca.sin(rise), ca.cos(rise) * ca.sin(turn))
    up = ca.vertcat(-ca.sin(rise) * ca.cos(turn), ca.cos(rise), -ca.sin(rise) * ca.sin(turn))
    right = ca.vertcat(-ca.sin(turn), 0, ca.cos(turn))

    def rate_of(place: ca.SX) -> ca.SX:
        return ca.jacobian(place, q) @ v

    # A mark on the shaft turns about it by the roll, and by how the upward direction itself turns about the shaft.
    spin = v[5] + ca.dot(rate_of(up), right)
    turning = rate_of(shaft)
    kinetic = 0.5 * a["mass"] * ca.sumsqr(v[:3]) + 0.5 * a["inertia"] * ca.sumsqr(turning) + 0.5 * axial * spin**2

    air = v[:3] - wind
    speed = ca.norm_2(air)
    bulge = ca.cos(roll + case["bend_angle"]) * up + ca.sin(roll + case["bend_angle"]) * right

    def place_at(from_nock: float) -> ca.SX:
        return q[:3] + (from_nock - a["balance"]) * shaft

    def across(from_nock: float) -> ca.SX:
        flow = rate_of(place_at(from_nock)) - wind
        return flow - shaft * ca.dot(shaft, flow)

    def bent(from_nock: float) -> ca.SX:
        return speed * (-8.0 * case["bend"] * (from_nock - 0.5 * a["length"]) / a["length"] ** 2) * bulge

    half = 0.5 * density
    reynolds = density * speed * a["diameter"] / viscosity
    drag = DRAG_LAMINAR + (DRAG_TURBULENT - DRAG_LAMINAR) / (1.0 + (TRANSITION / reynolds) ** (1.0 / WIDTH))
    front = section * a["body_slope"] + case["head_area"] * head_slope
    side = across(0.5 * a["length"])
    down = ca.vertcat(-ca.sin(case["slope"]), -ca.cos(case["slope"]), 0.0)
    forces = [
        (place_at(a["balance"]), a["mass"] * GRAVITY * down - half * section * drag * speed * air),
        (place_at(a["length"]), -half * front * speed * (across(a["length"]) - bent(a["length"]))),
        (
            place_at(a["vane_distance"]),
            -half * 0.5 * planform * a["vane_slope"] * speed * (across(a["vane_distance"]) - bent(a["vane_distance"])),
        ),
        # The square root of a flow that vanishes has no derivative, and none is asked for.
        (place_at(0.5 * a["length"]), -half * CROSS * a["length"] * a["diameter"] * ca.sqrt(ca.sumsqr(side)) * side),
    ]
    force = sum((ca.jacobian(place, q).T @ push for place, push in forces), ca.SX.zeros(6))
    couple = half * planform * a["vane_slope"] * middle * speed * (case["vane_cant"] * speed - spin * middle)
    force += ca.jacobian(spin, v).T * couple  # its virtual work is on the turn about the shaft

    momentum = ca.gradient(kinetic, v)
    inertia = ca.jacobian(momentum, v)
    acceleration = ca.solve(inertia, force + ca.gradient(kinetic, q) - ca.jacobian(momentum, q) @ v)

    point = place_at(a["length"])
    closing = rate_of(point)[0]
    state = ca.vertcat(q, v, ca.SX.sym("t"))
    rate = ca.vertcat(v, acceleration, 1.0) / closing
    start_nose = ca.DM([1.0, case["pitch"], case["yaw"]])
    start_nose /= ca.norm_2(start_nose)
    rise_0 = ca.asin(start_nose[1])
    turn_0 = ca.atan2(start_nose[2], start_nose[0])
    swing = ca.DM([0.0, case["pitch_rate"], case["yaw_rate"]])
    basis = ca.Function("basis", [q], [up, right])
    up_0, right_0 = basis(ca.vertcat(0, 0, 0, rise_0, turn_0, 0))
    rise_rate = ca.dot(swing, up_0)
    turn_rate = ca.dot(swing, right_0) / ca.cos(rise_0)
    roll_rate = -ca.sin(rise_0) * turn_rate  # so that it does not spin yet: checked below
    q_0 = ca.vertcat(0.03 + a["balance"], -(a["rest_height"] + EYE), 0.0, rise_0, turn_0, 0.0)
    v_0 = ca.vertcat(case["speed"], 0.0, 0.0, rise_rate, turn_rate, roll_rate)
    spin_of = ca.Function("spin", [q, v], [spin])
    v_0[5] -= spin_of(q_0, v_0)
    assert abs(float(spin_of(q_0, v_0))) < 1e-14
    point_of = ca.Function("point", [q], [point])
    flight = ca.integrator(
        "flight",
        "cvodes",
        {"x": state, "ode": rate},
        float(point_of(q_0)[0]),
        case["distance"],
        {"reltol": 1e-13, "abstol": 1e-15, "max_num_steps": 1000000, "linear_multistep_method": "adams"},
    )
    end = flight(x0=ca.vertcat(q_0, v_0, 0.0))["xf"]
    arrived = point_of(end[:6])
    assert abs(float(arrived[0]) - case["distance"]) < 1e-8
    return {
        "time": float(end[12]),
        "up": float(arrived[1]),
        "right": float(arrived[2]),
        "speed": float(ca.norm_2(end[6:9])),
        "spin": float(spin_of(end[:6], end[6:12])),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="write lagrange.json")
    options = parser.parse_args()
    flights = [{"case": STILL | case, "arrival": fly(STILL | case)} for case in CASES]
    document = {"casadi": ca.__version__, "arrow": ARROW, "flights": flights}
    text = json.dumps(document, indent=1) + "\n"
    if options.write:
        (HERE / "lagrange.json").write_text(text)
    else:
        print(text)


if __name__ == "__main__":
    main()
