"""Brace and draw cycle of the Lagrange oracle: Newton with the exact Hessian, continued along the draw."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, minimize

from lagrange_model import BETA_U, COORDINATES, NOCK_X, NOCK_Y, Model, Vector

MECHANISM = list(range(BETA_U, NOCK_X))  # limbs and cams
NOMINAL_BRACE_X = -0.178
FORCE_TOLERANCE = 1e-9  # N and N m, on every equilibrium equation


class NoEquilibriumError(RuntimeError):
    """Newton did not reach the tolerance."""


@dataclass(frozen=True)
class Held:
    """The bow at rest with the nock held."""

    q: Vector
    force_x: float
    force_y: float
    residual: float


def equations(model: Model, q: Vector, *, held: bool, unknowns: list[int]) -> tuple[Vector, Vector]:
    """Equilibrium residuals and their Jacobian with respect to `unknowns`.

    Free nock: the gradient vanishes. Held nock: the moment of the nock force about the grip pivot vanishes instead.
    """
    g, h = model.gradient(q), model.hessian(q)
    if not held:
        return g[unknowns], h[np.ix_(unknowns, unknowns)]
    moment = q[NOCK_X] * g[NOCK_Y] - q[NOCK_Y] * g[NOCK_X]
    row = q[NOCK_X] * h[NOCK_Y] - q[NOCK_Y] * h[NOCK_X]
    row[NOCK_X] += g[NOCK_Y]
    row[NOCK_Y] -= g[NOCK_X]
    inner = [i for i in unknowns if i != NOCK_Y]
    jacobian = np.vstack([h[np.ix_(inner, unknowns)], row[unknowns]])
    return np.append(g[inner], moment), jacobian


def newton(model: Model, start: Vector, *, held: bool, unknowns: list[int]) -> tuple[Vector, float]:
    """Damped Newton; returns the state and the largest residual."""
    q = start.copy()
    residual, jacobian = equations(model, q, held=held, unknowns=unknowns)
    for _ in range(60):
        size = float(np.max(np.abs(residual)))
        if size < FORCE_TOLERANCE:
            break
        step = np.linalg.solve(jacobian, residual)
        scale = min(1.0, 0.2 / float(np.max(np.abs(step))))
        for _ in range(12):
            trial = q.copy()
            trial[unknowns] -= scale * step
            new_residual, new_jacobian = equations(model, trial, held=held, unknowns=unknowns)
            new_size = float(np.max(np.abs(new_residual)))
            if np.isfinite(new_size) and (new_size < size or new_size < 1e-7):
                break
            scale *= 0.5
        q, residual, jacobian = trial, new_residual, new_jacobian
    size = float(np.max(np.abs(residual)))
    if not size < 1e3 * FORCE_TOLERANCE:
        state = dict(zip(COORDINATES, q.tolist(), strict=True))
        raise NoEquilibriumError(f"residual {size:.3g} at {state}")
    return q, size


def brace(model: Model) -> tuple[Vector, float]:
    """The bow at rest, riser clamped, nock free: state and largest residual."""
    q = np.zeros(9)
    q[BETA_U : BETA_U + 2] = np.array([model.bow.upper.limb_free_angle, model.bow.lower.limb_free_angle])
    q[BETA_U : BETA_U + 2] += 0.7
    q[NOCK_X] = NOMINAL_BRACE_X
    q = taut_start(model, q)
    unknowns = [*MECHANISM, NOCK_X, NOCK_Y]

    def full(z: Vector) -> Vector:
        out = q.copy()
        out[unknowns] = z
        return out

    minimum = minimize(
        lambda z: model.energy(full(z)),
        q[unknowns],
        jac=lambda z: model.gradient(full(z))[unknowns],
        hess=lambda z: model.hessian(full(z))[np.ix_(unknowns, unknowns)],
        method="trust-exact",
        options={"gtol": 1e-3, "initial_trust_radius": 0.01, "max_trust_radius": 0.1, "maxiter": 500},
    )
    return newton(model, full(minimum.x), held=False, unknowns=unknowns)


def taut_start(model: Model, q: Vector) -> Vector:
    """Limb angles at which the lines are as long as their unstretched length, cams in their reference orientation."""
    for _ in range(40):
        length, *_ = model.lines(q)
        rest = np.array([model.bow.upper.cable_length, model.bow.lower.cable_length])
        slack = float(np.mean(length[2:] - rest))
        if abs(slack) < 1e-9:
            break
        probe = q.copy()
        probe[BETA_U : BETA_U + 2] += 1e-6
        slope = (float(np.mean(model.lines(probe)[0][2:] - rest)) - slack) / 1e-6
        q = q.copy()
        q[BETA_U : BETA_U + 2] -= np.clip(slack / slope, -0.1, 0.1)
    return q


def hold(model: Model, x: float, start: Vector) -> Held:
    """Equilibrium with the nock held at `x`, riser clamped, the nock force passing through the grip pivot."""
    q = start.copy()
    q[NOCK_X] = x
    q, residual = newton(model, q, held=True, unknowns=[*MECHANISM, NOCK_Y])
    g = model.gradient(q)
    return Held(q, float(g[NOCK_X]), float(g[NOCK_Y]), residual)


class Draw:
    """The draw cycle by continuation from brace; remembers the states it has passed."""

    def __init__(self, model: Model, step: float = 0.004) -> None:
        self.model = model
        self.step = step
        self.brace, self.brace_residual = brace(model)
        self.states: list[Vector] = [self.brace]

    def at(self, x: float) -> Held:
        """Equilibrium with the nock held at `x`, reached in small steps from the nearest state passed before it."""
        behind = [q for q in self.states if q[NOCK_X] >= x - 1e-12]
        q = min(behind, key=lambda state: state[NOCK_X] - x)
        previous = min((s for s in behind if s[NOCK_X] > q[NOCK_X] + 1e-6), key=lambda s: s[NOCK_X], default=None)
        while True:
            target = max(x, q[NOCK_X] - self.step)
            guess = q.copy()
            if previous is not None:
                guess += (q - previous) * (target - q[NOCK_X]) / (q[NOCK_X] - previous[NOCK_X])
            held = hold(self.model, target, guess)
            if target <= x:
                return held
            self.states.append(held.q)
            previous, q = q, held.q

    def smallest_gap(self, x: float) -> float:
        """The smaller of the two stop gaps [m] with the nock held at `x`."""
        return float(np.min(self.model.lines(self.at(x).q)[3]))

    def first_touch(self, limit: float = -0.80) -> float:
        """Nock position [m] at which the first stop touches."""
        x = self.brace[NOCK_X]
        while self.smallest_gap(x) > 0.0:
            x -= 0.01
            if x < limit:
                raise NoEquilibriumError(f"no stop touches before {limit} m")
        root: float = brentq(self.smallest_gap, x, x + 0.01, xtol=1e-13, rtol=1e-14)
        return root
