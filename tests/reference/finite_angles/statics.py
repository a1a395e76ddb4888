"""Brace, draw, wall and lateral hold: Newton on the gradient of the potential, walked along the draw."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.optimize import brentq, minimize

from energies import Geometry, Statics

X, Y, Z = 6, 7, 8
PLANE = [0, 1, 2, 3]
LEANS = [4, 5]
TOLERANCE = 1e-9  # N and N m


class NoEquilibriumError(RuntimeError):
    """Newton did not reach the tolerance."""


@dataclass
class State:
    """One equilibrium."""

    v: np.ndarray
    w: np.ndarray
    info: dict[str, Any]
    residual: float

    @property
    def gaps(self) -> np.ndarray:
        """Gaps of the upper and the lower stop [m]."""
        return -np.asarray(self.info["e"])[4:6]

    @property
    def yaw_moment(self) -> float:
        """Moment about +y of the lines on the riser [N m]: the moment of the force that the lines put on the bow."""
        g = self.info["gradient"]
        return float(self.v[Z] * g[X] - self.v[X] * g[Z])


@dataclass
class Walker:
    """Equilibria of one bow."""

    statics: Statics
    pressure_point: tuple[float, float] = (0.0, 0.0)
    planar: bool = False
    states: list[State] = field(default_factory=list)

    def unknowns(self, *, held: bool) -> list[int]:
        """What the equations are solved for."""
        free = PLANE + ([] if self.planar else LEANS) + [Y] + ([] if self.planar else [Z])
        return free if held else [*free, X]

    def equations(self, v: np.ndarray, w: np.ndarray, held: bool, moment: float | None) -> tuple[Any, ...]:
        """Residual and Jacobian by (unknowns, w). `moment`: wanted yaw moment instead of no side force on the nock."""
        info = self.statics.at(v, w)
        g, h = info["gradient"], info["hessian"]
        rows, jac = [], []
        for i in self.unknowns(held=held):
            residual, row = g[i], h[i].copy()
            if held and i == Y:
                px, py = self.pressure_point
                residual = (v[X] - px) * g[Y] - (v[Y] - py) * g[X]
                row = (v[X] - px) * h[Y] - (v[Y] - py) * h[X]
                row[X] += g[Y]
                row[Y] -= g[X]
            if held and i == Z and moment is not None:
                residual = v[Z] * g[X] - v[X] * g[Z] - moment
                row = v[Z] * h[X] - v[X] * h[Z]
                row[Z] += g[X]
                row[X] -= g[Z]
            rows.append(residual)
            jac.append(row)
        residual = np.concatenate([rows, info["inner"]])
        jacobian = np.vstack([np.array(jac), info["inner_jacobian"]])
        columns = [*self.unknowns(held=held), *range(9, 17)]
        return residual, jacobian[:, columns], info

    def newton(self, v: np.ndarray, w: np.ndarray, *, held: bool, moment: float | None = None) -> State:
        """The equilibrium near a guess."""
        free = self.unknowns(held=held)
        v = v.copy()
        w = self.statics.solve_inner(v, w)
        residual, jacobian, info = self.equations(v, w, held, moment)
        for _ in range(80):
            size = float(np.max(np.abs(residual)))
            if size < TOLERANCE:
                return State(v, w, info, size)
            step = np.linalg.solve(jacobian, residual)
            scale = min(1.0, 0.1 / float(np.max(np.abs(step))))
            for _ in range(14):
                trial, trial_w = v.copy(), w - scale * step[len(free) :]
                trial[free] -= scale * step[: len(free)]
                try:
                    trial_w = self.statics.solve_inner(trial, trial_w)
                    new = self.equations(trial, trial_w, held, moment)
                except RuntimeError:
                    scale *= 0.5
                    continue
                new_size = float(np.max(np.abs(new[0])))
                if np.isfinite(new_size) and (new_size < size or new_size < 1e-8):
                    break
                scale *= 0.5
            v, w, (residual, jacobian, info) = trial, trial_w, new
        size = float(np.max(np.abs(residual)))
        if size < 1e-6:
            return State(v, w, info, size)
        raise NoEquilibriumError(f"residual {size:.3g} at {v}")

    def brace(self, guess: State | None = None) -> State:
        """The bow at rest, riser clamped, nock free."""
        state = self._brace_from_scratch() if guess is None else self.newton(guess.v, guess.w, held=False)
        self.states = [state]
        return state

    def _brace_from_scratch(self) -> State:
        g = self.statics.geometry
        v = np.zeros(9)
        v[0:2] = [g.halves[h].free + 0.35 for h in ("upper", "lower")]
        v[X] = -0.17
        planar, self.planar = self.planar, True
        w = self.statics.solve_inner(v, g.first_guess())
        for _ in range(40):  # limbs until the cables are just taut
            slack = float(np.mean(self.statics.at(v, w)["e"][2:4]))
            probe = v.copy()
            probe[0:2] += 1e-5
            slope = (float(np.mean(self.statics.at(probe, self.statics.solve_inner(probe, w))["e"][2:4])) - slack) / 1e-5
            v[0:2] -= np.clip((slack - 1e-3) / slope, -0.1, 0.1)
            w = self.statics.solve_inner(v, w)
        free = self.unknowns(held=False)
        keep = {"w": w}

        def at(z: np.ndarray) -> dict[str, Any]:
            full = v.copy()
            full[free] = z
            keep["w"] = self.statics.solve_inner(full, keep["w"])
            return self.statics.at(full, keep["w"])

        start = v[free]
        minimum = minimize(
            lambda z: at(z)["energy"], start, jac=lambda z: at(z)["gradient"][free], method="BFGS", options={"gtol": 1e-2}
        )
        v[free] = minimum.x
        try:
            state = self.newton(v, self.statics.solve_inner(v, keep["w"]), held=False)
        finally:
            self.planar = planar
        return state if planar else self.newton(state.v, state.w, held=False)

    def at(self, x: float, moment: float | None = None, step: float = 0.005) -> State:
        """Equilibrium with the nock held at `x`, walked to from the nearest state passed before it."""
        behind = [s for s in self.states if s.v[X] >= x - 1e-12]
        state = min(behind, key=lambda s: s.v[X] - x)
        before = min((s for s in behind if s.v[X] > state.v[X] + 1e-5), key=lambda s: s.v[X], default=None)
        while True:
            target = max(x, state.v[X] - step)
            v, w = state.v.copy(), state.w.copy()
            if before is not None and abs(target - state.v[X]) > 0:
                share = (target - state.v[X]) / (state.v[X] - before.v[X])
                v, w = v + share * (state.v - before.v), w + share * (state.w - before.w)
            v[X] = target
            found = self.newton(v, w, held=True, moment=moment)
            if target <= x:
                return found
            if moment is None:
                self.states.append(found)
            before, state = state, found


def full_draw(walker: Walker, wall_pull: float, torque: float = 0.0, *, touch_under_torque: bool = False) -> dict[str, Any]:
    """First touch of a stop and full draw, `wall_pull` behind it.

    A grip torque [N m] is put on at full draw, where it shifts the nock sideways at the same x and everything else follows.
    With `touch_under_torque` the wall is felt under it: the nock is then `wall_pull` behind a touch with the torque on.
    """
    statics = walker.statics
    statics.stops_active = False
    x = float(walker.states[-1].v[X])
    while float(np.min(walker.at(x).gaps)) > 0:
        x -= 0.01
        if x < -0.9:
            raise NoEquilibriumError("no stop touches")
    touch_x = brentq(lambda at: float(np.min(walker.at(at).gaps)), x, x + 0.01, xtol=1e-12, rtol=1e-13)
    touch = walker.at(touch_x)

    def twisted(at: float) -> State:
        base = walker.at(at)
        return walker.newton(base.v, base.w, held=True, moment=base.yaw_moment - torque)

    full_x = touch_x - wall_pull
    if torque != 0.0 and touch_under_torque:
        full_x = -wall_pull + brentq(lambda at: float(np.min(twisted(at).gaps)), touch_x - 3e-3, touch_x + 3e-3, xtol=1e-12)
    statics.stops_active = True
    full = touch
    for share in np.linspace(0.0, 1.0, 9)[1:]:  # into the wall in small steps
        v = full.v.copy()
        v[X] = touch_x + share * (full_x - touch_x)
        full = walker.newton(v, full.w, held=True)
    if torque != 0.0:
        neutral = full.yaw_moment
        for share in np.linspace(0.0, 1.0, 5)[1:]:
            full = walker.newton(full.v, full.w, held=True, moment=neutral - share * torque)
    return {"touch": touch, "full": full}


def detours(state: State, planar: Statics) -> np.ndarray:
    """By how much each line is longer than the same bow's with every lateral place at zero [m]."""
    v = state.v.copy()
    v[[4, 5, 8]] = 0.0
    w = planar.solve_inner(v, state.w)
    extra: np.ndarray = state.info["lengths"] - planar.at(v, w)["lengths"]
    return extra


def bow_statics(geometry: Geometry, setup: dict[str, Any], natural: np.ndarray | None = None) -> Walker:
    """Walker of a setup; `natural`: natural lengths of the two cables instead of the setup's."""
    statics = Statics(geometry, setup)
    if natural is not None:
        statics.set_natural(natural)
    return Walker(statics, (setup["grip"]["pressure_point_x"], setup["grip"]["pressure_point_y"]))


def planar_walker(geometry: Geometry, setup: dict[str, Any]) -> Walker:
    """The same bow with everything in the plane of the string."""
    point = (setup["grip"]["pressure_point_x"], setup["grip"]["pressure_point_y"])
    return Walker(Statics(geometry, setup, planar=True), point, planar=True)


def reference_lengths(geometry: Geometry, setup: dict[str, Any]) -> tuple[np.ndarray, Walker]:
    """Natural lengths of the cables along their true path, and the walker with its brace.

    So that at brace under load each cable has the tension that its planar length in the file gives it at the same angles
    of limbs and cams: the strain is the same, natural = planar natural * (true length / planar length).
    """
    walker, planar = bow_statics(geometry, setup), Statics(geometry, setup, planar=True)
    filed = np.array([line.length for line in walker.statics.lines[2:]])
    flat = planar_walker(geometry, setup).brace()
    state = State(flat.v.copy(), flat.w.copy(), flat.info, 0.0)
    natural = filed + 0.0025
    for _ in range(30):
        walker.statics.set_natural(natural)
        state = walker.newton(state.v, state.w, held=False)
        extra = detours(state, planar)[2:]
        true = state.info["lengths"][2:]
        new = filed * true / (true - extra)
        change = float(np.max(np.abs(new - natural)))
        natural = new
        if change < 1e-13:
            break
    walker.statics.set_natural(natural)
    walker.brace(state)
    return natural, walker
