"""The launch by DOP853, the flight and the hole in the paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Callable

import numpy as np
from scipy.integrate import DOP853, solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from bow import INCH, Shaft
from energies import Dynamics, Geometry
from statics import State, Walker

RELATIVE_TOLERANCE, ABSOLUTE_TOLERANCE = 1e-9, 1e-11
LONGEST_STEP = 4e-5  # s: no line goes slack and taut again unseen
TIME_LIMIT = 0.1
LAUNCHER, CORD = 6, 7  # elements behind the lines and stops


class Buffered:
    """A CasADi function on fixed arrays, without conversions."""

    def __init__(self, function: Any) -> None:
        self.function = function
        flat_in = [np.zeros(max(1, function.numel_in(i))) for i in range(function.n_in())]
        flat_out = [np.zeros(max(1, function.numel_out(i))) for i in range(function.n_out())]
        self.buffer, self.trigger = function.buffer()
        for i, a in enumerate(flat_in):
            self.buffer.set_arg(i, memoryview(a))
        for i, a in enumerate(flat_out):
            self.buffer.set_res(i, memoryview(a))
        self.inputs = flat_in
        self.outputs = [a[: function.numel_out(i)].reshape(function.size_out(i), order="F") for i, a in enumerate(flat_out)]

    def __call__(self, *values: np.ndarray) -> list[np.ndarray]:
        """Evaluate; the arrays that come back are overwritten by the next call."""
        for a, v in zip(self.inputs, values, strict=True):
            if len(v):
                a[:] = v
        self.trigger()
        return self.outputs


@dataclass
class Evaluation:
    """The right-hand side at one state."""

    acceleration: np.ndarray
    elements: np.ndarray  # stretches and penetrations, natural lengths taken off
    forces: np.ndarray
    jacobian: np.ndarray
    ahead: float
    nock_acceleration: np.ndarray
    cradle: float


class Motion:
    """Equations of motion of one bow, with or without the arrow on the string."""

    def __init__(self, dynamics: Dynamics) -> None:
        self.d = dynamics
        self.main, self.inner, self.ahead = (Buffered(f) for f in (dynamics.main, dynamics.inner, dynamics.ahead))
        self.energy_function = Buffered(dynamics.energy)
        self.preload = np.zeros(6)
        self.w = dynamics.geometry.first_guess()
        shaft = dynamics.shaft
        spline = CubicSpline(shaft.nodes, shaft.modes, bc_type="natural")
        self.spacing = shaft.nodes[1]
        self.shapes = np.array(
            [np.concatenate([[shaft.nodes[i]], spline.c[::-1, i, :].T.ravel()]) for i in range(len(shaft.nodes) - 1)]
        )
        self.damped = True
        self.evaluations = 0

    def tangents(self, q: np.ndarray) -> np.ndarray:
        """Solve for the inner variables, from the last ones; returns the tracks' local polynomials."""
        g = self.d.geometry
        for _ in range(40):
            local = g.local_values(self.w, q[8:10])
            residual, jacobian = self.inner(q, self.w, local)
            step = np.linalg.solve(jacobian, residual[:, 0])
            size = float(np.max(np.abs(step)))
            self.w = self.w - step * min(1.0, 0.3 / max(size, 1e-300))
            if size < 1e-10:  # quadratic: what is left is rounding
                return g.local_values(self.w, q[8:10])
        raise RuntimeError("no tangents found")

    def shape(self, q: np.ndarray) -> np.ndarray:
        """Local polynomials of the modes where the launcher is."""
        ahead = float(self.ahead(q)[0][0, 0])
        return self.shapes[min(max(int(ahead / self.spacing), 0), len(self.shapes) - 1)]

    def evaluate(self, q: np.ndarray, qd: np.ndarray) -> Evaluation:
        """Accelerations and forces."""
        d = self.d
        self.evaluations += 1
        local, shape = self.tangents(q), self.shape(q)
        mass, bias, e, je, cradle, jc, ahead, jn, nb = self.main(q, qd, self.w, local, shape, self.preload)
        elements = e[:, 0] - d.zero
        rate = je @ qd
        forces = np.where(elements > 0, np.maximum(0.0, d.stiffness * elements + d.damping * rate), 0.0)
        f = -bias[:, 0] - d.dampers * qd
        over = 0.0 < ahead[0, 0] < d.shaft.nodes[-1] and d.has_rest
        if d.has_rest and not over:
            forces[LAUNCHER] = 0.0
        f -= je.T @ forces
        if over:
            rest = d.geometry.setup["rest"]
            depth, k = rest["cradle_depth"], rest["lateral_stiffness"]
            share = min(1.0, max(0.0, 1.0 + elements[LAUNCHER] / depth))
            off = cradle[0, 0]
            c = rest["lateral_damping"] if self.damped else 0.0
            f -= share * (k * off + c * float(jc[0] @ qd)) * jc[0]
            if 0.0 < share < 1.0:  # the energy share k off^2 / 2 also pushes along the gap
                f -= 0.5 * k * off**2 / depth * je[LAUNCHER]
        acceleration = np.linalg.solve(mass, f)
        nock = jn @ acceleration + nb[:, 0]
        return Evaluation(acceleration, elements, forces, je, float(ahead[0, 0]), nock, float(cradle[0, 0]))

    def slope(self, _: float, y: np.ndarray) -> np.ndarray:
        """dy/dt."""
        n = self.d.size
        return np.concatenate([y[n:], self.evaluate(y[:n], y[n:]).acceleration])

    def axial_push(self, y: np.ndarray) -> float:
        """Axial force of the string on the arrow [N]: what is left of the lines' pull after the lump."""
        n = self.d.size
        at = self.evaluate(y[:n], y[n:])
        pull = -float(at.forces[:2] @ at.jacobian[:2, self.d.index["x"]])
        return pull - self.d.lump * float(at.nock_acceleration[0])

    def energy(self, y: np.ndarray) -> float:
        """All energy, hand included [J]."""
        n, d = self.d.size, self.d
        q, qd = y[:n], y[n:]
        at = self.evaluate(q, qd)
        kinetic, potential = self.energy_function(q, qd, self.w, self.d.geometry.local_values(self.w, q[8:10]), self.shape(q), self.preload)
        total = float(kinetic[0, 0] + potential[0, 0])
        active = np.where(at.elements > 0, at.elements, 0.0)
        over = d.has_rest and 0.0 < at.ahead < d.shaft.nodes[-1]
        if d.has_rest and not over:
            active[LAUNCHER] = 0.0
        total += 0.5 * float(d.stiffness @ active**2)
        if over:
            rest = d.geometry.setup["rest"]
            share = min(1.0, max(0.0, 1.0 + at.elements[LAUNCHER] / rest["cradle_depth"]))
            total += 0.5 * share * rest["lateral_stiffness"] * at.cradle**2
        return total

    def undamp(self) -> None:
        """No dampers anywhere."""
        self.d.undamped()
        self.damped = False


def start_state(motion: Motion, brace: State, full: State) -> np.ndarray:
    """Full draw at rest: the arrow on nock and launcher, the arm in equilibrium, the hand's preload set."""
    d, shaft = motion.d, motion.d.shaft
    n = shaft.modes.shape[1]
    q = np.zeros(d.size)
    q[6:12] = full.v[0:6]
    motion.w = full.w.copy()
    nock = full.v[6:9]
    rest = d.geometry.setup["rest"]
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
        d.zero[CORD] = run + arm["cord_lever"] * (arm["down_angle"] - arm["up_angle"]) + arm["cord_slack"]

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
            zero = np.zeros(d.size)
            local, shape = motion.tangents(q), motion.shape(q)
            _, bias, e, je, *_ = motion.main(q, zero, motion.w, local, shape, motion.preload)
            elements = e[:, 0] - d.zero
            forces = np.where(elements > 0, d.stiffness * elements, 0.0)
            forces[:LAUNCHER] = 0.0
            f = -bias[:, 0] - je.T @ forces
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
    motion.preload = np.zeros(6)
    zero = np.zeros(d.size)
    local, shape = motion.tangents(q), motion.shape(q)
    _, bias, e, je, *_ = motion.main(q, zero, motion.w, local, shape, motion.preload)
    elements = e[:, 0] - d.zero
    forces = np.where(elements > 0, d.stiffness * elements, 0.0)
    motion.preload = (bias[:, 0] + je.T @ forces)[:6].copy()
    return np.concatenate([q, zero])


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
    energies, marks, steps = [], {}, 0
    if watch_energy:
        energies.append((time, motion.energy(state)))
    while solver.status == "running":
        message = solver.step()
        if solver.status == "failed":
            raise RuntimeError(f"integration failed at {solver.t}: {message}")
        steps += 1
        if event(solver.y) <= 0:
            dense = solver.dense_output()
            root = brentq(lambda t: event(dense(t)), solver.t_old, solver.t, xtol=1e-13)
            return Leg(root, dense(root), energies, steps, marks)
        if watch_energy and steps % 10 == 0:
            energies.append((solver.t, motion.energy(solver.y)))
        if motion.d.has_rest:
            n = motion.d.size
            at = motion.evaluate(solver.y[:n], solver.y[n:])
            if at.forces[LAUNCHER] > 0:
                marks["last_contact"] = float(solver.t)
    raise RuntimeError("time limit")


def launch(setup: dict[str, Any], walker: Walker, drawn: dict[str, Any], **options: Any) -> dict[str, Any]:
    """From release until the nock has left the string and the tail has passed the rest."""
    geometry, shaft = Geometry(setup), Shaft(setup)
    undamped = options.pop("undamped", False)
    held, free = (Motion(Dynamics(geometry, shaft, attached=a)) for a in (True, False))
    for motion in (held, free):
        motion.d.set_natural(walker.statics.natural[2:])
        if undamped:
            motion.undamp()
    state = start_state(held, drawn["brace"], drawn["full"])
    free.preload, free.d.zero = held.preload, held.d.zero
    hold = setup["arrow"]["nock_hold"]
    start_energy = held.energy(state)
    rest_at_start = float(np.max(np.abs(held.evaluate(state[: held.d.size], state[held.d.size :]).acceleration[6:12])))
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
    free.w = held.w.copy()
    second_start = np.concatenate([exit_q, nock, exit_qd, nock_rate])
    m = free.d.size

    def ahead(y: np.ndarray) -> float:
        return float(free.d.ahead(y[:m])[0])

    second = integrate(free, first.time, second_start, ahead, **options)
    result["energies"] = first.energies + second.energies
    result["marks"] = {**first.marks, **second.marks}
    result["steps"] += second.steps
    result["free_time"], result["free"] = second.time, second.state
    result["end_energy"] = free.energy(second.state)
    return result


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
        return np.exp(-zeta * omega * t) * (a * np.cos(slow * t) + (b + zeta * omega * a) / slow * np.sin(slow * t))

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


def launch_record(setup: dict[str, Any], walker: Walker, drawn: dict[str, Any]) -> dict[str, Any]:
    """Launch, flight and paper of one case."""
    shot = launch(setup, walker, drawn)
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
        "energy_start": shot["start_energy"],
        "energy_exit": shot["exit_energy"],
        "exit": arrow(exit_q, exit_qd),
        "free": arrow(free_q, free_qd),
        "riser_exit": exit_q[:6].tolist(),
        "lean_exit_deg": np.degrees(exit_q[10:12]).tolist(),
        "rest_last_contact": shot["marks"].get("last_contact", 0.0),
        "preload": motion.preload.tolist(),
        "steps": shot["steps"],
    }
