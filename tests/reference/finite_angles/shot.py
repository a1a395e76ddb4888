"""The launch by DOP853."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import casadi as ca
import numpy as np
from scipy.integrate import DOP853
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from bow import HERE, INCH, Shaft
from dynamics import Dynamics, Laws
from energies import Geometry
from flight import paper
from statics import State, Walker

RELATIVE_TOLERANCE, ABSOLUTE_TOLERANCE = 1e-9, 1e-11
LONGEST_STEP = 4e-5  # s: no line goes slack and taut again unseen
TIME_LIMIT = 0.1
LAUNCHER, CORD = 6, 7  # elements behind the lines and stops


class CBow(ctypes.Structure):
    """`Bow` of launch.c."""

    _fields_ = (
        [(k, ctypes.c_longlong) for k in ("n", "elements", "modes", "nodes", "tracks", "has_rest", "x_index")]
        + [(k, ctypes.c_double) for k in ("spacing", "shaft_length", "lump")]
        + [(k, ctypes.c_void_p) for k in ("places", "zero", "stiffness", "damping", "dampers", "preload", "cradle")]
        + [(k, ctypes.c_void_p) for k in ("shapes", "track_table", "track_meta", "track_first", "w")]
    )


class CValues(ctypes.Structure):
    """`Values` of launch.c."""

    _fields_ = [
        (name, ctypes.c_double * size)
        for name, size in (
            ("mass", 1600), ("bias", 40), ("e", 16), ("je", 640), ("cradle", 1), ("jc", 40), ("ahead", 1), ("jn", 120),
            ("nb", 3), ("elements", 16), ("forces", 16), ("acceleration", 40), ("nock", 3), ("local", 32),
        )
    ] + [("shape", ctypes.c_void_p)]  # fmt: skip


class Compiled:
    """The functions of one bow and phase as a shared library."""

    def __init__(self, geometry: Geometry, shaft: Shaft, *, attached: bool) -> None:
        self.d = Dynamics(geometry, shaft, attached=attached)
        folder = Path(tempfile.mkdtemp(prefix="finite_angles_"))
        generator = ca.CodeGenerator("generated.c")
        for function in (self.d.main, self.d.inner, self.d.ahead, self.d.energy):
            generator.add(function)
        source = folder / "whole.c"
        source.write_text(generator.dump() + (HERE / "launch.c").read_text())
        subprocess.run(["gcc", "-O1", "-fPIC", "-shared", str(source), "-o", str(folder / "whole.so"), "-lm"], check=True)
        self.library = ctypes.CDLL(str(folder / "whole.so"))
        if max(f.sz_w() for f in (self.d.main, self.d.energy)) > 200000:
            raise RuntimeError("launch.c: work too small")
        shutil.rmtree(folder)


class Motion:
    """Equations of motion of one case, with or without the arrow on the string."""

    def __init__(self, compiled: Compiled, setup: dict[str, Any], *, damped: bool = True) -> None:
        self.setup, self.library, self.d = setup, compiled.library, compiled.d
        self.laws = Laws(compiled.d, setup, damped=damped)
        d, laws, shaft = self.d, self.laws, self.d.shaft
        self.preload, self.w = np.zeros(6), d.geometry.first_guess()
        spline = CubicSpline(shaft.nodes, shaft.modes, bc_type="natural")
        shapes = [np.concatenate([[shaft.nodes[i]], spline.c[::-1, i, :].T.ravel()]) for i in range(len(shaft.nodes) - 1)]
        tracks = d.geometry.tracks
        tables = [t.local(x) for t, *_ in tracks for x in 0.5 * (t.spline.x[1:] + t.spline.x[:-1])]
        self.keep = {
            "places": laws.places, "zero": laws.zero, "stiffness": laws.stiffness, "damping": laws.damping,
            "dampers": laws.dampers, "preload": self.preload, "cradle": laws.cradle, "w": self.w,
            "shapes": np.array(shapes).ravel(),
            "track_table": np.array(tables).ravel(),
            "track_meta": np.array([[u, h, len(t.spline.x) - 1] for t, u, h, _ in tracks], dtype=np.int64).ravel(),
            "track_first": np.array([[t.spline.x[0], t.spline.x[1] - t.spline.x[0], c] for t, _, _, c in tracks]).ravel(),
        }  # fmt: skip
        self.c = CBow(
            n=d.size, elements=len(laws.zero), modes=shaft.modes.shape[1], nodes=len(shaft.nodes), tracks=len(tracks),
            has_rest=int(d.has_rest), x_index=12, spacing=shaft.nodes[1], shaft_length=shaft.nodes[-1], lump=d.lump,
            **{k: v.ctypes.data for k, v in self.keep.items()},
        )  # fmt: skip
        self.values = CValues()
        n, ne, v = d.size, len(laws.zero), self.values

        def view(name: str, *shape: int) -> np.ndarray:
            flat = np.frombuffer(getattr(v, name), dtype=np.float64)
            return np.asarray(flat[: int(np.prod(shape))].reshape(shape, order="F"))

        self.bias, self.je, self.elements = view("bias", n), view("je", ne, n), view("elements", ne)
        self.forces, self.acceleration, self.nock = view("forces", ne), view("acceleration", n), view("nock", 3)
        self.ahead, self.cradle = view("ahead", 1), view("cradle", 1)
        self.out = np.zeros(2 * n)
        self.evaluations = 0
        self.refer = (ctypes.byref(self.c), ctypes.byref(self.values))

    def evaluate(self, y: np.ndarray) -> None:
        """Accelerations and forces of a state, into the views."""
        y = np.ascontiguousarray(y)
        self.evaluations += 1
        bow, values = self.refer
        pointer = ctypes.c_void_p(y.ctypes.data)
        failed = self.library.slope(bow, pointer, values, ctypes.c_void_p(self.out.ctypes.data))
        if failed:
            raise RuntimeError(f"right-hand side failed ({failed})")

    def slope(self, _: float, y: np.ndarray) -> np.ndarray:
        """dy/dt."""
        self.evaluate(y)
        return self.out.copy()

    def axial_push(self, y: np.ndarray) -> float:
        """Axial force of the string on the arrow [N]: what is left of the lines' pull after the lump."""
        self.evaluate(y)
        pull = -float(self.forces[:2] @ self.je[:2, self.d.index["x"]])
        return pull - float(self.d.lump) * float(self.nock[0])

    def energy(self, y: np.ndarray) -> float:
        """All energy, hand included [J]."""
        self.evaluate(y)
        y = np.ascontiguousarray(y)
        out = np.zeros(2)
        bow, values = self.refer
        address = y.ctypes.data
        self.library.energies(
            bow, ctypes.c_void_p(address), ctypes.c_void_p(address + 8 * self.d.size), values, ctypes.c_void_p(out.ctypes.data)
        )
        total, d = float(out.sum()), self.d
        active = np.maximum(self.elements, 0.0)
        over = d.has_rest and 0.0 < self.ahead[0] < d.shaft.nodes[-1]
        if d.has_rest and not over:
            active[LAUNCHER] = 0.0
        total += 0.5 * float(self.laws.stiffness @ active**2)
        if over:
            share = min(1.0, max(0.0, 1.0 + self.elements[LAUNCHER] / self.laws.cradle[0]))
            total += 0.5 * share * self.laws.cradle[1] * float(self.cradle[0]) ** 2
        return total


def start_state(motion: Motion, brace: State, full: State) -> np.ndarray:
    """Full draw at rest: the arrow on nock and launcher, the arm in equilibrium, the hand's preload set."""
    d, shaft = motion.d, motion.d.shaft
    n = shaft.modes.shape[1]
    q = np.zeros(d.size)
    q[6:12] = full.v[0:6]
    motion.w[:] = full.w
    nock = full.v[6:9]
    rest = motion.setup["rest"]
    ic, id_ = d.index["c"], d.index["d"]
    if d.has_arm:
        arm = rest["arm"]
        q[d.index["arm"]] = arm["up_angle"]
        half = d.geometry.halves[arm["cord_side"]]
        h = 0 if arm["cord_side"] == "upper" else 1
        beta = brace.v[h]
        tied = np.array(
            [
                float(half.pivot[0]) - arm["cord_attachment"] * np.sin(beta),
                half.sign * (float(half.pivot[1]) + arm["cord_attachment"] * np.cos(beta)),
            ]
        )
        run = np.linalg.norm(tied - [rest["position_x"], rest["height"]])
        motion.laws.zero[CORD] = run + arm["cord_lever"] * (arm["down_angle"] - arm["up_angle"]) + arm["cord_slack"]

    def lay(slope_y: float, slope_z: float) -> None:
        q[ic] = 0.0
        q[id_] = 0.0
        for index, start, slope in ((ic, nock[1], slope_y), (id_, nock[2], slope_z)):
            q[index.start] = np.sqrt(shaft.mass) * (start + slope * shaft.balance)
            q[index.start + 1] = np.sqrt(shaft.inertia) * slope

    def shorten() -> None:
        c, side = q[ic], q[id_]
        q[12] = nock[0] - 0.5 * (c @ shaft.shortening @ c + side @ shaft.shortening @ side) / shaft.mass

    if d.has_rest:
        reach = rest["position_x"] - nock[0]
        slope_z = (rest["center_shot"] - nock[2]) / reach
        lay((rest["height"] - 1e-3 - nock[1]) / reach, slope_z)  # pressed down: in contact to begin with
        shorten()
        free = [*range(ic.start, ic.stop)] + ([d.index["arm"]] if d.has_arm else [])
        phi0 = shaft.modes[0]

        def residual(z: np.ndarray) -> np.ndarray:
            q[free] = z[:-1]
            shorten()
            motion.evaluate(np.concatenate([q, np.zeros(d.size)]))
            forces = motion.forces.copy()
            forces[:LAUNCHER] = 0.0
            f = -motion.bias - motion.je.T @ forces
            out = f[free]
            out[:n] += z[-1] * phi0
            return np.append(out, 1e3 * (phi0 @ q[ic] - nock[1]))

        z = np.append(q[free], 0.0)
        for _ in range(40):
            r = residual(z)
            if np.max(np.abs(r)) < 1e-11:
                break
            jacobian = np.column_stack([(residual(z + s) - residual(z - s)) / 2e-7 for s in 1e-7 * np.eye(len(z))])
            z = z - np.linalg.solve(jacobian, r)
        residual(z)
    else:
        lay(0.0, 0.0)
        shorten()
    motion.preload[:] = 0.0
    state = np.concatenate([q, np.zeros(d.size)])
    motion.evaluate(state)
    motion.preload[:] = (motion.bias + motion.je.T @ motion.forces)[:6]
    return state


@dataclass
class Leg:
    """One integration to an event."""

    time: float
    state: np.ndarray
    energies: list[tuple[float, float]]
    steps: int
    marks: dict[str, float]


def integrate(
    motion: Motion,
    time: float,
    state: np.ndarray,
    event: Callable[[np.ndarray], float],
    *,
    watch_energy: bool = False,
    tolerance: float = RELATIVE_TOLERANCE,
    longest: float = LONGEST_STEP,
) -> Leg:
    """Step until the event function, positive at first, has gone through zero."""
    solver = DOP853(motion.slope, time, state, TIME_LIMIT, rtol=tolerance, atol=ABSOLUTE_TOLERANCE, max_step=longest)
    energies: list[tuple[float, float]] = []
    marks: dict[str, float] = {}
    steps = 0
    if watch_energy:
        energies.append((time, motion.energy(state)))
    while solver.status == "running":
        message = solver.step()
        if solver.status == "failed":
            raise RuntimeError(f"integration failed at {solver.t}: {message}")
        steps += 1
        if event(solver.y) <= 0:
            dense = solver.dense_output()
            root = brentq(lambda t, at=dense: event(at(t)), solver.t_old, solver.t, xtol=1e-13)
            return Leg(root, dense(root), energies, steps, marks)
        if watch_energy and steps % 10 == 0:
            energies.append((solver.t, motion.energy(solver.y)))
        if motion.d.has_rest:
            motion.evaluate(solver.y)
            if motion.forces[LAUNCHER] > 0:
                marks["last_contact"] = float(solver.t)
    raise RuntimeError("time limit")


class Launcher:
    """Both phases of one bow, compiled once, for launches of its cases (which differ in places, lengths and hold)."""

    def __init__(self, geometry: Geometry, setup: dict[str, Any]) -> None:
        self.shaft = Shaft(setup)
        self.held, self.free = (Compiled(geometry, self.shaft, attached=a) for a in (True, False))


def launch(launcher: Launcher, setup: dict[str, Any], walker: Walker, drawn: dict[str, Any], **options: Any) -> dict[str, Any]:
    """From release until the nock has left the string and the tail has passed the rest."""
    undamped = options.pop("undamped", False)
    held, free = (Motion(c, setup, damped=not undamped) for c in (launcher.held, launcher.free))
    for motion in (held, free):
        motion.laws.set_natural(walker.statics.natural[2:])
    state = start_state(held, drawn["brace"], drawn["full"])
    free.preload[:], free.laws.zero[:] = held.preload, held.laws.zero
    hold = setup["arrow"]["nock_hold"]
    start_energy = held.energy(state)
    rest_at_start = float(np.max(np.abs(held.acceleration[:12])))
    first = integrate(held, 0.0, state, lambda y: held.axial_push(y) + hold, **options)
    n = held.d.size
    exit_q, exit_qd = first.state[:n], first.state[n:]
    nock, nock_rate = (np.asarray(x).ravel() for x in held.d.arrow_nock(exit_q, exit_qd))
    result: dict[str, Any] = {
        "motion": held,
        "start": state,
        "exit_time": first.time,
        "exit": first.state,
        "start_energy": start_energy,
        "exit_energy": held.energy(first.state),
        "energies": first.energies,
        "marks": first.marks,
        "steps": first.steps,
        "start_acceleration": rest_at_start,
    }
    if not held.d.has_rest:
        result["free"] = first.state
        return result
    free.w[:] = held.w
    second_start = np.concatenate([exit_q, nock, exit_qd, nock_rate])
    m = free.d.size

    def ahead(y: np.ndarray) -> float:
        return float(free.d.ahead(y[:m], free.laws.places)[0])

    second = integrate(free, first.time, second_start, ahead, **options)
    result["energies"] = first.energies + second.energies
    result["marks"] = {**first.marks, **second.marks}
    result["steps"] += second.steps
    result["free_time"], result["free"] = second.time, second.state
    result["end_energy"] = free.energy(second.state)
    return result


def launch_record(launcher: Launcher, setup: dict[str, Any], walker: Walker, drawn: dict[str, Any]) -> dict[str, Any]:
    """Launch, flight and paper of one case."""
    shot = launch(launcher, setup, walker, drawn)
    motion: Motion = shot["motion"]
    shaft, n = motion.d.shaft, motion.d.size
    exit_q, exit_qd = shot["exit"][:n], shot["exit"][n:]
    m = len(shot["free"]) // 2
    free_q, free_qd = shot["free"][:m], shot["free"][m:]
    tear = paper(setup, shaft, motion.d.index, shot["free"])
    ic, id_ = motion.d.index["c"], motion.d.index["d"]

    def arrow(q: np.ndarray, qd: np.ndarray) -> dict[str, float]:
        root_m, root_i = np.sqrt(shaft.mass), np.sqrt(shaft.inertia)
        return {
            "x": float(q[12]),
            "speed": float(qd[12]),
            "velocity_y": float(qd[ic][0] / root_m),
            "velocity_z": float(qd[id_][0] / root_m),
            "pitch": float(q[ic][1] / root_i),
            "yaw": float(q[id_][1] / root_i),
            "pitch_rate": float(qd[ic][1] / root_i),
            "yaw_rate": float(qd[id_][1] / root_i),
        }

    stored = float(drawn["full"].info["energy"] - drawn["brace"].info["energy"])
    return {
        "exit_time": shot["exit_time"],
        "exit_speed": float(exit_qd[12]),
        "free_time": shot["free_time"],
        "tear_up_in": tear["up"] / INCH,
        "tear_right_in": tear["right"] / INCH,
        "point_hole": [tear["point_y"], tear["point_z"]],
        "efficiency": float(0.5 * shaft.mass * exit_qd[12] ** 2 / stored),
        "energy_start": float(shot["start_energy"]),
        "energy_exit": float(shot["exit_energy"]),
        "exit": arrow(exit_q, exit_qd),
        "free": arrow(free_q, free_qd),
        "riser_exit": exit_q[:6].tolist(),
        "lean_exit_deg": np.degrees(exit_q[10:12]).tolist(),
        "rest_last_contact": shot["marks"].get("last_contact", 0.0),
        "preload": motion.preload.tolist(),
        "steps": shot["steps"],
    }
