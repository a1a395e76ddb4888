"""Lagrange oracle of the Wheelwright bow: statics and launch for every variant, written to `lagrange.json`.

Run: python lagrange_oracle.py
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from bow import HERE, parameters_hash, read_bow, read_document
from lagrange_model import BETA_L, BETA_U, COORDINATES, LINES, NOCK_X, NOCK_Y, RISER, THETA_L, THETA_U, Model, Vector
from lagrange_statics import Draw, Held

OUTPUT = HERE / "lagrange.json"
RELATIVE_TOLERANCE = 1e-10
ABSOLUTE_TOLERANCE = 1e-12
LONGEST_STEP = 1e-5  # s: short enough that no line goes slack and taut again within a step, unseen
LONGEST_LAUNCH = 0.060  # s
DRAW_POSITIONS = 40
TRACE_TIMES = 25


@dataclass(frozen=True)
class Launch:
    """A launch from rest to the parting of string and arrow. States are (q, q')."""

    exit_time: float
    exit_state: Vector
    times: Vector
    states: Vector  # shape (times, 18)
    energy_error: float  # largest |T + V - V0| over the launch [J]
    preload: Vector
    steps: int


def acceleration(model: Model, state: Vector, preload: Vector) -> Vector:
    """q'' from M q'' = f."""
    mass, force = model.mass_and_force(state[:9], state[9:], preload)
    return np.asarray(np.linalg.solve(mass, force), dtype=np.float64)


def launch(model: Model, start: Vector, times: int = TRACE_TIMES) -> Launch:
    """Integrate from rest at `start`, where the hand's preload holds the riser still, until string and arrow part.

    Every kink of the forces (a stop opening or closing, a line going slack or taut) ends an integration leg, so that the
    integrator never steps across one.
    """
    preload = model.gradient(start)[RISER]
    rest_lengths = np.array(
        [model.bow.upper.string_length, model.bow.lower.string_length, model.bow.upper.cable_length, model.bow.lower.cable_length]
    )

    def slope(_: float, state: Vector) -> Vector:
        return np.concatenate([state[9:], acceleration(model, state, preload)])

    def parting(_: float, state: Vector) -> float:
        return float(model.bow.arrow_mass * acceleration(model, state, preload)[NOCK_X] + model.bow.nock_hold)

    def kink(index: int) -> Any:
        def distance(_: float, state: Vector) -> float:
            length, _tension, _contact, gap = model.lines(state[:9])
            return float(np.concatenate([length - rest_lengths, gap])[index])

        distance.terminal = True  # type: ignore[attr-defined]
        return distance

    parting.terminal = True  # type: ignore[attr-defined]
    parting.direction = -1.0  # type: ignore[attr-defined]
    events = [parting, *(kink(i) for i in range(6))]
    time, state, legs, steps = 0.0, np.concatenate([start, np.zeros(9)]), [], 0
    while True:
        leg = solve_ivp(
            slope,
            (time, LONGEST_LAUNCH),
            state,
            method="DOP853",
            rtol=RELATIVE_TOLERANCE,
            atol=ABSOLUTE_TOLERANCE,
            max_step=LONGEST_STEP,
            events=events,
            dense_output=True,
        )
        if leg.status != 1:
            raise RuntimeError(f"string and arrow did not part within {LONGEST_LAUNCH} s: {leg.message}")
        legs.append(leg)
        steps += len(leg.t) - 1
        time, state = float(leg.t[-1]), leg.y[:, -1]
        if len(leg.t_events[0]):
            break
        # SciPy looks for a change of sign: leave the kink by a sliver, along the solution, before the next leg
        sliver = 1e-12
        state = state + sliver * slope(time, state)
        time += sliver

    def sample(t: float) -> Vector:
        part = next((one for one in legs if t <= one.t[-1]), legs[-1])
        return np.asarray(part.sol(t))

    grid = np.linspace(0.0, time, times)
    states = np.array([sample(t) for t in grid])
    states[-1] = state
    stored = sum(model.energies(start, np.zeros(9), preload))
    error = max(abs(sum(model.energies(y[:9], y[9:], preload)) - stored) for one in legs for y in one.y.T)
    return Launch(time, state, grid, states, error, preload, steps)


def named(q: Vector) -> dict[str, float]:
    """A coordinate vector with its names."""
    return dict(zip(COORDINATES, (float(v) for v in q), strict=True))


def static_record(model: Model, held: Held) -> dict[str, Any]:
    """One row of the draw curve. `force` is what the archer applies at the nock: Fx < 0 pulls back."""
    _, tension, contact, gap = model.lines(held.q)
    q = held.q
    return {
        "x": float(q[NOCK_X]),
        "y": float(q[NOCK_Y]),
        "force_x": held.force_x,
        "force_y": held.force_y,
        "beta_u": float(q[BETA_U]),
        "beta_l": float(q[BETA_L]),
        "theta_u": float(q[THETA_U]),
        "theta_l": float(q[THETA_L]),
        "tension": dict(zip(LINES, tension.tolist(), strict=True)),
        "contact_normal": dict(zip(LINES, contact.tolist(), strict=True)),
        "stop_gap_u": float(gap[0]),
        "stop_gap_l": float(gap[1]),
        "residual": held.residual,
    }


def launch_record(model: Model, shot: Launch, brace_energy: float) -> dict[str, Any]:
    """Launch results and trace."""
    q, qd = shot.exit_state[:9], shot.exit_state[9:]
    stored = model.energy(shot.states[0, :9]) - brace_energy
    arrow = 0.5 * model.bow.arrow_mass * float(qd[NOCK_X] ** 2 + qd[NOCK_Y] ** 2)
    acc = [acceleration(model, s, shot.preload) for s in shot.states]
    return {
        "hand_preload": dict(zip(("X", "Y", "pitch"), shot.preload.tolist(), strict=True)),
        "exit_time": shot.exit_time,
        "exit_speed": float(np.hypot(qd[NOCK_X], qd[NOCK_Y])),
        "exit_velocity_x": float(qd[NOCK_X]),
        "exit_velocity_y": float(qd[NOCK_Y]),
        "exit_position": named(q),
        "exit_rates": named(qd),
        "riser_velocity_x": float(qd[0]),
        "riser_velocity_y": float(qd[1]),
        "riser_pitch_rate": float(qd[2]),
        "exit_tension": dict(zip(LINES, model.lines(q)[1].tolist(), strict=True)),
        "peak_nock_acceleration_on_trace": max(float(a[NOCK_X]) for a in acc),
        "stored_energy": stored,
        "arrow_energy": arrow,
        "efficiency": arrow / stored,
        "energy_balance_error": shot.energy_error,
        "energy_balance_error_relative": shot.energy_error / stored,
        "integrator_steps": shot.steps,
        "trace": [
            {"t": float(t), "q": named(s[:9]), "rate": named(s[9:]), "nock_acceleration_x": float(a[NOCK_X])}
            for t, s, a in zip(shot.times, shot.states, acc, strict=True)
        ],
    }


def first_stop(model: Model, touch: Held) -> str:
    """Which stop touches first."""
    upper, lower = model.lines(touch.q)[3]
    if abs(upper - lower) < 1e-9:
        return "both"
    return "upper" if upper < lower else "lower"


def peak(draw: Draw, rows: list[dict[str, Any]]) -> tuple[float, float]:
    """Nock position and magnitude of the largest draw force, refined by a parabola through three fine positions."""
    x = min(rows, key=lambda row: row["force_x"])["x"]
    for width in (0.008, 0.001):
        sample = [-draw.at(x + dx).force_x for dx in (-width, 0.0, width)]
        curvature = sample[0] - 2 * sample[1] + sample[2]
        x += 0.5 * width * (sample[0] - sample[2]) / curvature
    return x, -draw.at(x).force_x


def variant_record(name: str, document: dict[str, Any]) -> dict[str, Any]:
    """Everything about one variant."""
    model = Model(read_bow(name, document))
    draw = Draw(model)
    start_x = float(draw.brace[NOCK_X])
    touch = draw.at(draw.first_touch())
    full = draw.at(float(touch.q[NOCK_X]) - model.bow.wall_pull)
    rows = [static_record(model, draw.at(x)) for x in np.linspace(start_x, full.q[NOCK_X], DRAW_POSITIONS)]
    free = [row for row in rows if min(row["stop_gap_u"], row["stop_gap_l"]) > 0]
    peak_x, peak_force = peak(draw, free)
    brace_energy = model.energy(draw.brace)
    axles = model.axles(draw.brace)
    _, tension, contact, gap = model.lines(draw.brace)
    shot = launch(model, full.q)
    inner = list(range(BETA_U, NOCK_X))
    return {
        "meaning": document["variants"][name]["meaning"],
        "brace": {
            "q": named(draw.brace),
            "residual": draw.brace_residual,
            "axle_to_axle": float(np.hypot(*(axles[0] - axles[1]))),
            "tension": dict(zip(LINES, tension.tolist(), strict=True)),
            "contact_normal": dict(zip(LINES, contact.tolist(), strict=True)),
            "stop_gap_u": float(gap[0]),
            "stop_gap_l": float(gap[1]),
        },
        "peak_force": peak_force,
        "peak_x": peak_x,
        "let_off": 1.0 + touch.force_x / peak_force,
        "first_touch": static_record(model, touch),
        "first_stop": first_stop(model, touch),
        "full_draw": static_record(model, full),
        "softest_mode_at_first_touch": float(np.linalg.eigvalsh(model.hessian(touch.q)[np.ix_(inner, inner)])[0]),
        "draw_curve": rows,
        "launch": launch_record(model, shot, brace_energy),
    }


def main() -> None:
    """Write `lagrange.json`."""
    document = read_document()
    result = {
        "oracle": "Lagrange: energies, algorithmic differentiation, Newton, DOP853",
        "units": "SI, rad; forces are what the archer applies at the nock",
        "parameters_sha256": parameters_hash(document),
        "tolerances": {"rtol": RELATIVE_TOLERANCE, "atol": ABSOLUTE_TOLERANCE, "max_step": LONGEST_STEP},
        "let_off": "1 - holding force at first touch of a stop / peak force",
        "variants": {name: variant_record(name, document) for name in document["variants"]},
    }
    OUTPUT.write_text(json.dumps(result, indent=1) + "\n")
    for name, record in result["variants"].items():  # type: ignore[attr-defined]
        shot = record["launch"]
        touch = record["first_touch"]
        print(
            f"{name}: peak {record['peak_force']:.3f} N, let-off {record['let_off']:.4f}, "
            f"touch {touch['x']:.5f} m ({record['first_stop']} first), exit {shot['exit_time'] * 1e3:.4f} ms, "
            f"{shot['exit_velocity_x']:.5f} m/s, vy {shot['exit_velocity_y']:.6f} m/s, "
            f"energy error {shot['energy_balance_error']:.2e} J, {shot['integrator_steps']} steps"
        )


if __name__ == "__main__":
    main()
