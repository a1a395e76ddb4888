"""MuJoCo oracle of the Wheelwright bow, and its deviations from the Lagrange oracle, written to `mujoco.json`.

Run after lagrange_oracle.py: python mujoco_oracle.py
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import mujoco
import numpy as np
from scipy.optimize import brentq, root

from bow import HERE, Bow, parameters_hash, read_bow, read_document
from mujoco_bow import (
    CAM_L,
    CAM_U,
    LIMB_L,
    LIMB_U,
    NOCK_X,
    NOCK_Y,
    RISER_PITCH,
    TENDONS,
    Engine,
    Vector,
)

LAGRANGE = HERE / "lagrange.json"
OUTPUT = HERE / "mujoco.json"
TIMESTEPS = (2e-6, 1e-6)  # s; the finer one is reported, the coarser one shows the step error
LONGEST_LAUNCH = 0.060  # s
MECHANISM = [LIMB_U, CAM_U, LIMB_L, CAM_L]
LIMITS = {"draw_force": 0.002, "exit_speed": 0.003, "exit_velocity_y": 0.03}  # relative, from the brief


def come_to_rest(bow: Bow, start: Vector) -> Vector:
    """Let the engine swing out with damped joints and a riser too heavy to move."""
    engine = Engine(bow, 5e-5)
    model, data = engine.model, engine.data
    model.opt.integrator = mujoco.mjtIntegrator.mjINT_IMPLICITFAST
    model.dof_armature[: RISER_PITCH + 1] = 1e9
    model.dof_damping[[LIMB_U, LIMB_L]] = 10.0  # N m s/rad
    model.dof_damping[[CAM_U, CAM_L]] = 0.1
    model.dof_damping[[NOCK_X, NOCK_Y]] = 30.0  # N s/m
    data.qpos[:] = start
    for _ in range(20_000):
        mujoco.mj_step(model, data)
        engine.check_wrapping()
    return np.array(data.qpos)


class Statics:
    """Rest positions of the engine: riser held at zero, springs balanced by SciPy's root finder."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        bow = engine.bow
        start = np.zeros(9)
        start[[LIMB_U, LIMB_L]] = bow.upper.limb_free_angle + 0.63, bow.lower.limb_free_angle + 0.63
        start[[CAM_U, CAM_L]] = -start[[LIMB_U, LIMB_L]]
        start[NOCK_X] = -0.178
        free = [*MECHANISM, NOCK_X, NOCK_Y]

        def full(z: Vector) -> Vector:
            q = start.copy()
            q[free] = z
            return q

        rough = come_to_rest(bow, start)
        fine = root(lambda z: engine.spring_force(full(z))[free], rough[free], options={"xtol": 1e-13})
        if np.max(np.abs(fine.fun)) > 1e-6:
            raise RuntimeError(f"no brace position: {fine.message}")
        self.brace = full(fine.x)
        self.passed = [self.brace]

    def residual(self, x: float, z: Vector) -> Vector:
        """Moments on limbs and wheels, and the moment of the nock force about the grip pivot."""
        q = np.zeros(9)
        q[MECHANISM], q[NOCK_X], q[NOCK_Y] = z[:4], x, z[4]
        force = self.engine.spring_force(q)
        return np.append(force[MECHANISM], x * force[NOCK_Y] - q[NOCK_Y] * force[NOCK_X])

    def at(self, x: float, step: float = 0.004) -> Vector:
        """Rest position with the nock held at `x`, by continuation from the last position passed before it."""
        q = min((p for p in self.passed if p[NOCK_X] >= x - 1e-12), key=lambda p: p[NOCK_X])
        before = min((p for p in self.passed if p[NOCK_X] > q[NOCK_X] + 1e-6), key=lambda p: p[NOCK_X], default=q)
        while True:
            target = max(x, q[NOCK_X] - step)
            guess = q.copy()
            if before[NOCK_X] > q[NOCK_X]:
                guess += (q - before) * (target - q[NOCK_X]) / (q[NOCK_X] - before[NOCK_X])
            found = root(lambda z, to=target: self.residual(to, z), guess[[*MECHANISM, NOCK_Y]], options={"xtol": 1e-13})
            if np.max(np.abs(found.fun)) > 1e-6:
                raise RuntimeError(f"no rest position at {target}: {found.message}")
            new = np.zeros(9)
            new[MECHANISM], new[NOCK_X], new[NOCK_Y] = found.x[:4], target, found.x[4]
            self.engine.spring_force(new)
            self.engine.check_wrapping()
            if target <= x:
                return new
            self.passed.append(new)
            before, q = q, new

    def gap(self, x: float) -> float:
        """Smaller stop gap [m] with the nock held at `x`."""
        return float(min(stop_gaps(self.engine, self.at(x))))

    def first_touch(self) -> float:
        """Nock position at which the first stop touches."""
        x = self.brace[NOCK_X]
        while self.gap(x) > 0.0:
            x -= 0.01
        found: float = brentq(self.gap, x, x + 0.01, xtol=1e-12)
        return found


def stop_gaps(engine: Engine, q: Vector) -> tuple[float, float]:
    """Stop gaps (upper, lower) [m]."""
    upper, lower = engine.bow.upper, engine.bow.lower
    return upper.stop_radius * (upper.stop_angle - q[CAM_U]), lower.stop_radius * (lower.stop_angle - q[CAM_L])


@dataclass(frozen=True)
class Launch:
    """A launch sampled at every step up to the parting; the last row is the interpolated parting."""

    times: Vector
    q: Vector
    rate: Vector
    energy_error: float


def launch(engine: Engine, start: Vector) -> Launch:
    """Step MuJoCo from rest at `start` until the force between string and arrow falls below minus the nock's hold."""
    model, data, bow = engine.model, engine.data, engine.bow
    mujoco.mj_resetData(model, data)
    preload = -engine.spring_force(start)[: RISER_PITCH + 1]
    data.qfrc_applied[: RISER_PITCH + 1] = preload
    times, qs, rates, energies = [], [], [], []
    last = np.inf
    while data.time < LONGEST_LAUNCH:
        mujoco.mj_forward(model, data)
        engine.check_wrapping()
        times.append(data.time)
        qs.append(data.qpos.copy())
        rates.append(data.qvel.copy())
        energies.append(data.energy.sum() - preload @ data.qpos[: RISER_PITCH + 1])
        value = bow.arrow_mass * data.qacc[NOCK_X] + bow.nock_hold
        if value < 0.0:
            share = last / (last - value)
            for series in (times, qs, rates):
                series[-1] = series[-2] + share * (series[-1] - series[-2])
            return Launch(np.array(times), np.array(qs), np.array(rates), float(np.ptp(energies)))
        last = value
        mujoco.mj_step(model, data)
    raise RuntimeError("string and arrow did not part")


def oracle_coordinates(q: Vector) -> dict[str, float]:
    """MuJoCo's joints (wheels relative to limbs) as the oracle's coordinates (wheels relative to the riser)."""
    return {
        "X": q[0],
        "Y": q[1],
        "pitch": q[2],
        "beta_u": q[LIMB_U],
        "beta_l": q[LIMB_L],
        "theta_u": q[CAM_U] + q[LIMB_U],
        "theta_l": q[CAM_L] + q[LIMB_L],
        "x": q[NOCK_X],
        "y": q[NOCK_Y],
    }


def static_record(engine: Engine, q: Vector) -> dict[str, Any]:
    """One row of the draw curve: forces are what the archer applies at the nock."""
    force = -engine.spring_force(q)
    gaps = stop_gaps(engine, q)
    state = {name: float(value) for name, value in oracle_coordinates(q).items() if name not in ("X", "Y", "pitch")}
    return {
        **state,
        "force_x": float(force[NOCK_X]),
        "force_y": float(force[NOCK_Y]),
        "tension": dict(zip(TENDONS, engine.tensions().tolist(), strict=True)),
        "stop_gap_u": float(gaps[0]),
        "stop_gap_l": float(gaps[1]),
    }


def shot_record(shot: Launch) -> dict[str, float]:
    """Results at the parting."""
    rate = shot.rate[-1]
    return {
        "exit_time": float(shot.times[-1]),
        "exit_speed": float(np.hypot(rate[NOCK_X], rate[NOCK_Y])),
        "exit_velocity_x": float(rate[NOCK_X]),
        "exit_velocity_y": float(rate[NOCK_Y]),
        "riser_velocity_x": float(rate[0]),
        "riser_velocity_y": float(rate[1]),
        "riser_pitch_rate": float(rate[2]),
        "energy_balance_error": shot.energy_error,
    }


def trace_deviation(shot: Launch, trace: list[dict[str, Any]]) -> dict[str, float]:
    """Largest difference of every coordinate at the Lagrange oracle's times (within MuJoCo's own launch)."""
    worst: dict[str, float] = {}
    for row in trace:
        if row["t"] > shot.times[-1]:
            continue
        i = min(max(int(np.searchsorted(shot.times, row["t"])), 1), len(shot.times) - 1)
        width = shot.times[i] - shot.times[i - 1]
        s = (row["t"] - shot.times[i - 1]) / width
        q = (
            (1 + 2 * s) * (1 - s) ** 2 * shot.q[i - 1]
            + s * (1 - s) ** 2 * width * shot.rate[i - 1]
            + s**2 * (3 - 2 * s) * shot.q[i]
            - s**2 * (1 - s) * width * shot.rate[i]
        )
        for name, value in oracle_coordinates(q).items():
            worst[name] = max(worst.get(name, 0.0), abs(float(value) - row["q"][name]))
    return worst


def variant_record(name: str, document: dict[str, Any], lagrange: dict[str, Any]) -> dict[str, Any]:
    """MuJoCo's results for one variant and how far they are from the Lagrange oracle."""
    bow = read_bow(name, document)
    engine = Engine(bow, TIMESTEPS[-1])
    statics = Statics(engine)
    touch = statics.first_touch()
    full = statics.at(touch - bow.wall_pull)
    rows = [static_record(engine, statics.at(row["x"])) for row in lagrange["draw_curve"]]
    peak = max(abs(row["force_x"]) for row in lagrange["draw_curve"])
    force = [abs(mine["force_x"] - row["force_x"]) for mine, row in zip(rows, lagrange["draw_curve"], strict=True)]
    relative = [
        f / abs(row["force_x"]) for f, row in zip(force, lagrange["draw_curve"], strict=True) if abs(row["force_x"]) > 1.0
    ]
    shots = {step: launch(Engine(bow, step), full) for step in TIMESTEPS}
    shot = shot_record(shots[TIMESTEPS[-1]])
    coarse = shot_record(shots[TIMESTEPS[0]])
    reference = lagrange["launch"]
    compared = ("exit_time", "exit_speed", "exit_velocity_y", "riser_velocity_x", "riser_velocity_y", "riser_pitch_rate")
    exit_deviation = {key: shot[key] / reference[key] - 1.0 for key in compared}
    deviation: dict[str, Any] = {
        "draw_force_relative_to_peak": max(force) / peak,
        "draw_force_relative": max(relative),
        "first_touch_x": touch - lagrange["first_touch"]["x"],
        "nock_y": max(abs(m["y"] - row["y"]) for m, row in zip(rows, lagrange["draw_curve"], strict=True)),
        **exit_deviation,
        "trace_largest_difference": trace_deviation(shots[TIMESTEPS[-1]], reference["trace"]),
    }
    return {
        "brace": {key: float(value) for key, value in oracle_coordinates(statics.brace).items()},
        "first_touch_x": touch,
        "full_draw": static_record(engine, full),
        "draw_curve": rows,
        "launch": shot,
        "step_error": {key: coarse[key] / shot[key] - 1.0 for key in compared},
        "deviation_from_lagrange": deviation,
        "within_limits": bool(
            deviation["draw_force_relative"] < LIMITS["draw_force"]
            and abs(deviation["exit_speed"]) < LIMITS["exit_speed"]
            and abs(deviation["exit_velocity_y"]) < LIMITS["exit_velocity_y"]
        ),
    }


def main() -> None:
    """Write `mujoco.json`."""
    document = read_document()
    lagrange = json.loads(LAGRANGE.read_text())
    if lagrange["parameters_sha256"] != parameters_hash(document):
        raise SystemExit("lagrange.json belongs to other parameters: run lagrange_oracle.py first")
    variants = {name: variant_record(name, document, lagrange["variants"][name]) for name in document["variants"]}
    result = {
        "oracle": f"MuJoCo {mujoco.__version__}, RK4, tendons wrapping on off-centre cylinders",
        "units": "SI, rad; forces are what the archer applies at the nock",
        "parameters_sha256": parameters_hash(document),
        "timesteps": list(TIMESTEPS),
        "limits_relative": LIMITS,
        "variants": variants,
    }
    OUTPUT.write_text(json.dumps(result, indent=1) + "\n")
    for name, record in variants.items():
        d = record["deviation_from_lagrange"]
        print(
            f"{name}: force {d['draw_force_relative']:.2e}, exit speed {d['exit_speed']:+.2e}, vy {d['exit_velocity_y']:+.2e}, "
            f"step error in vy {record['step_error']['exit_velocity_y']:+.1e}, within limits: {record['within_limits']}"
        )


if __name__ == "__main__":
    main()
