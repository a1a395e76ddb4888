"""The best design: least or most of a figure over some numbers of a bow, within limits, with SciPy's optimisers.

The search is over each number's range, scaled to 0 to 1. "gradient" is sequential quadratic programming (SciPy's SLSQP)
from several starts, slopes by central differences of which all launches fly together; "search" is differential
evolution, which asks for no slope and finds what lies beyond a ridge, for ten times the launches. Trade steps are whole
numbers: the best point is rounded every way, and then moved a step at a time until no step helps.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from nockwise import _core
from nockwise._errors import Error, input_error, needs_extra
from nockwise._objectives import Evaluator, check_objectives
from nockwise._sweep_plan import FloatArray, make_column

SLOPE_STEP = 2e-3  # of a range, each way
FAILED = 1e3  # in place of a figure that cannot be had, in units of its size at the start
CORNERS = 8  # so many numbers are rounded every way
WITHIN = 1e-6  # of a limit's size, by which it may be overstepped


@dataclass(frozen=True)
class _Limit:
    """A figure that has to stay within two ends, either of which may be open. In SI."""

    name: str
    least: float = -np.inf
    most: float = np.inf

    def __post_init__(self) -> None:
        check_objectives([self.name])
        if not self.least < self.most:
            raise input_error(
                f"subject_to[{self.name!r}]", (self.least, self.most), "must be (least, most), the lower first"
            )

    def missed_by(self, value: float) -> float:
        """How far a figure is outside; infinitely if there is none."""
        return max(self.least - value, value - self.most, 0.0) if np.isfinite(value) else np.inf


@dataclass(frozen=True)
class Improvement:
    """The best design that was found."""

    setup: _core.Setup
    values: dict[str, float]  #: of the free numbers [SI]
    before: dict[str, float]  #: the same in the setup that was given
    figures: dict[str, float]  #: the objective and all limits' figures [SI]
    figures_before: dict[str, float]
    objective: str
    at_end: tuple[str, ...] = ()  #: free numbers that stand at an end of their range: more may be had beyond it
    held_by: tuple[str, ...] = ()  #: limits that the design stands at
    launches: int = 0
    starts: tuple[float, ...] = ()  #: the objective at the end of each start, where one was found


class _Problem:
    def __init__(
        self,
        evaluate: Evaluator,
        low: FloatArray,
        high: FloatArray,
        sign: float,
        limits: Sequence[_Limit],
        first: FloatArray,
    ) -> None:
        self.evaluate, self.low, self.high, self.sign, self.limits = evaluate, low, high, sign, list(limits)
        self.size = np.where(np.abs(first) > 0.0, np.abs(first), 1.0)
        self.seen: dict[bytes, tuple[FloatArray, FloatArray]] = {}

    def place(self, unit: FloatArray) -> FloatArray:
        return np.asarray(self.low + np.clip(unit, 0.0, 1.0) * (self.high - self.low))

    def scaled(self, figures: FloatArray) -> FloatArray:
        """The objective to be made least, then how far inside each end of each limit; by their sizes."""
        rows = [self.sign * figures[..., 0] / self.size[0]]
        for limit in self.limits:
            k = self.evaluate.names.index(limit.name)
            rows += [(figures[..., k] - limit.least) / self.size[k]] if np.isfinite(limit.least) else []
            rows += [(limit.most - figures[..., k]) / self.size[k]] if np.isfinite(limit.most) else []
        values = np.stack(rows, axis=-1)
        bad = np.full(values.shape[-1], -FAILED)
        bad[0] = FAILED
        return np.where(np.isfinite(values).all(axis=-1, keepdims=True), values, bad)

    def look(self, unit: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Scaled figures and their slopes at one place, all launches together."""
        key = unit.tobytes()
        if key not in self.seen:
            n = len(unit)
            around = np.tile(unit, (2 * n + 1, 1))
            for k in range(n):
                around[1 + 2 * k, k] = min(unit[k] + SLOPE_STEP, 1.0)
                around[2 + 2 * k, k] = max(unit[k] - SLOPE_STEP, 0.0)
            found = self.scaled(self.evaluate(self.place(around)))
            apart = np.array([around[1 + 2 * k, k] - around[2 + 2 * k, k] for k in range(n)])
            slopes = (found[1::2] - found[2::2]) / apart[:, None]
            self.seen[key] = (found[0], np.where(np.abs(slopes) < 0.1 * FAILED, slopes, 0.0))
        return self.seen[key]

    def merits(self, units: FloatArray) -> FloatArray:
        """Of many places: the objective, and far more than any of it for what misses a limit."""
        found = self.scaled(self.evaluate(self.place(units)))
        missed = np.maximum(-found[:, 1:] - WITHIN, 0.0).sum(axis=1)
        return np.asarray(found[:, 0] + np.where(missed > 0.0, FAILED * (0.01 + missed), 0.0))


def _descend(problem: _Problem, starts: FloatArray) -> list[FloatArray]:
    optimize = importlib.import_module("scipy.optimize")
    limits = int(len(problem.look(starts[0])[0]) - 1)
    inside = {
        "type": "ineq",
        "fun": lambda u: problem.look(u)[0][1:],
        "jac": lambda u: problem.look(u)[1][:, 1:].T,
    }
    ends = []
    for start in starts:
        found = optimize.minimize(
            lambda u: float(problem.look(u)[0][0]),
            start,
            jac=lambda u: problem.look(u)[1][:, 0],
            method="SLSQP",
            bounds=[(0.0, 1.0)] * len(start),
            constraints=[inside] if limits else [],
            options={"maxiter": 60, "ftol": 1e-7},
        )
        ends.append(np.clip(np.asarray(found.x, dtype=np.float64), 0.0, 1.0))
    return ends


def _evolve(problem: _Problem, n: int, seed: int) -> list[FloatArray]:
    optimize = importlib.import_module("scipy.optimize")
    found = optimize.differential_evolution(
        lambda u: problem.merits(np.atleast_2d(u.T)),
        [(0.0, 1.0)] * n,
        seed=seed,
        popsize=12,
        maxiter=60,
        tol=1e-6,
        polish=False,
        vectorized=True,
        updating="deferred",
        init="sobol",
    )
    return [np.asarray(found.x, dtype=np.float64)]


def _polish(problem: _Problem, unit: FloatArray, steps: FloatArray, rounds: int) -> FloatArray:
    """A step each way along every number, the best of them taken, until none helps; then half the step."""
    best, merit = unit, float(problem.merits(unit[None])[0])
    for _ in range(rounds):
        moves = np.concatenate([np.diag(steps), -np.diag(steps)])
        tries = best + moves
        tries = tries[((tries >= -1e-12) & (tries <= 1.0 + 1e-12)).all(axis=1)]
        found = problem.merits(tries) if len(tries) else np.array([np.inf])
        k = int(np.argmin(found))
        if found[k] < merit - 1e-9:
            best, merit = np.clip(tries[k], 0.0, 1.0), float(found[k])
        else:
            steps = 0.5 * steps
    return best


def _whole(problem: _Problem, unit: FloatArray, own: FloatArray, steps: FloatArray) -> FloatArray:
    """The same in whole steps from where the bow is: rounded every way, then a step at a time."""
    grid = steps / (problem.high - problem.low)
    origin = (own - problem.low) / (problem.high - problem.low)
    stepped = grid > 0.0
    count = (unit - origin) / np.where(stepped, grid, 1.0)
    corners = [
        np.floor(count[k]) + np.array([0.0, 1.0]) if stepped[k] else np.array([count[k]]) for k in range(len(unit))
    ]
    mesh = np.stack(np.meshgrid(*corners, indexing="ij"), axis=-1).reshape(-1, len(unit))
    tries = np.where(stepped, origin + mesh * grid, unit)
    tries = tries[((tries >= -1e-9) & (tries <= 1.0 + 1e-9)).all(axis=1)]
    if not len(tries):
        raise Error("improve: no whole number of steps lies within the ranges")
    best = tries[int(np.argmin(problem.merits(tries)))]
    merit = float(problem.merits(best[None])[0])
    while True:
        near = np.concatenate([best + np.diag(grid), best - np.diag(grid)])
        near = near[((near >= -1e-9) & (near <= 1.0 + 1e-9)).all(axis=1)]
        found = problem.merits(near) if len(near) else np.array([np.inf])
        k = int(np.argmin(found))
        if not found[k] < merit - 1e-9:
            return np.asarray(best, dtype=np.float64)
        best, merit = near[k], float(found[k])


def _ranges(setup: _core.Setup, free: Mapping[str, Any]) -> tuple[list[str], FloatArray, FloatArray]:
    if not free:
        raise input_error("free", "{}", "must name at least one number of the setup")
    low, high = [], []
    for path, ends in free.items():
        column = make_column(setup, path, list(ends))
        if column.words or column.values.size != 2 or not column.values[0] < column.values[1]:
            raise input_error(path, str(ends), "must be two numbers, the lower first")
        low.append(float(column.values[0]))
        high.append(float(column.values[1]))
        if not low[-1] <= setup[path] <= high[-1]:
            raise input_error(path, str(ends), f"must hold what the setup has, {setup[path]:g}")
    return list(free), np.array(low), np.array(high)


def improve(
    setup: _core.Setup,
    objective: str,
    free: Mapping[str, Any],
    subject_to: Mapping[str, tuple[float | None, float | None]] | None = None,
    *,
    most: bool = False,
    steps: Mapping[str, Any] | None = None,
    method: str = "gradient",
    starts: int = 4,
    seed: int = 1,
    threads: int | None = None,
) -> Improvement:
    """The best design within limits.

    Parameters
    ----------
    setup
        The bow to start from.
    objective
        What is to be least: a name of `objectives()`, such as "tear_per_quarter_twist", "launch.nock_travel_z" or
        "valley".
    free
        Paths of the numbers that may be moved, each with its two ends, in SI or text with units; what the setup has
        lies between them.
    subject_to
        Figures with their (least, most) [SI]; None is open.
    most
        Make the objective most instead.
    steps
        Of some free numbers the trade step: they move in whole steps from what the setup has.
    method
        "gradient", from `starts` places, or "search".
    starts
        How many places descents begin at, the setup's own first.
    seed
        Of the other places, and of the search.
    threads
        How many; all cores by default. The answer is the same.

    Returns
    -------
    Improvement
        The bow, its numbers and figures before and after, and what holds it.

    Raises
    ------
    InputError
        Names, ranges, limits or steps that cannot be used.
    Error
        No design was found that keeps the limits; or SciPy is not installed.

    """
    if importlib.util.find_spec("scipy") is None:
        raise needs_extra("scipy", "sweep")
    if method not in ("gradient", "search"):
        raise input_error("method", method, "must be gradient or search")
    if not 1 <= starts <= 64:
        raise input_error("starts", starts, "must be from 1 to 64")
    paths, low, high = _ranges(setup, free)
    limits = [
        _Limit(name, -np.inf if least is None else least, np.inf if greatest is None else greatest)
        for name, (least, greatest) in (subject_to or {}).items()
    ]
    evaluate = Evaluator(setup, paths, [objective, *(limit.name for limit in limits)], threads)
    own = np.array([setup[path] for path in paths])
    first = evaluate(own[None])[0]
    if not np.isfinite(first[0]):
        raise Error(f"improve: the setup as given has no {objective}: shoot it first")
    problem = _Problem(evaluate, low, high, -1.0 if most else 1.0, limits, first)
    here = (own - low) / (high - low)
    if method == "gradient":
        qmc = importlib.import_module("scipy.stats.qmc")
        others = (
            qmc.LatinHypercube(len(paths), seed=seed).random(starts - 1) if starts > 1 else np.zeros((0, len(paths)))
        )
        ends = _descend(problem, np.concatenate([here[None], others]))
    else:
        ends = _evolve(problem, len(paths), seed)
    merits = problem.merits(np.stack(ends))
    best = _polish(problem, ends[int(np.argmin(merits))], np.full(len(paths), 0.02), 24)
    if steps:
        sizes = _step_sizes(setup, paths, steps)
        for _ in range(2):  # the others follow to where the whole steps have gone
            best = _whole(problem, best, own, sizes)
            best = _polish(problem, best, np.where(sizes > 0.0, 0.0, 0.02), 12)
    values = problem.place(best)
    figures = evaluate(values[None])[0]
    found = dict(zip(evaluate.names, figures, strict=True))
    missed = [limit for limit in limits if limit.missed_by(found[limit.name]) > _slack(limit)]
    if missed or not np.isfinite(figures[0]):
        names = ", ".join(limit.name for limit in missed) or objective
        raise Error(f"improve: no design within these ranges keeps {names}; the nearest has {_told(evaluate, figures)}")
    sign = -1.0 if most else 1.0
    return Improvement(
        setup=evaluate.bow(values),
        values=dict(zip(paths, values.tolist(), strict=True)),
        before=dict(zip(paths, own.tolist(), strict=True)),
        figures=dict(zip(evaluate.names, figures.tolist(), strict=True)),
        figures_before=dict(zip(evaluate.names, first.tolist(), strict=True)),
        objective=objective,
        at_end=tuple(p for p, u in zip(paths, best, strict=True) if min(u, 1.0 - u) < 1e-3),
        held_by=tuple(limit.name for limit in limits if _stands_at(limit, figures[evaluate.names.index(limit.name)])),
        launches=evaluate.launches,
        starts=tuple(float(sign * m * problem.size[0]) for m in merits if m < 0.01 * FAILED),
    )


def _slack(limit: _Limit) -> float:
    ends = [abs(end) for end in (limit.least, limit.most) if np.isfinite(end)]
    return 1e-4 * max(ends, default=0.0) + 1e-9


def _stands_at(limit: _Limit, value: float) -> bool:
    near = 10.0 * _slack(limit)
    return bool(abs(value - limit.least) < near or abs(value - limit.most) < near)


def _told(evaluate: Evaluator, figures: FloatArray) -> str:
    return ", ".join(f"{name} {value:.6g}" for name, value in zip(evaluate.names, figures, strict=True))


def _step_sizes(setup: _core.Setup, paths: Sequence[str], steps: Mapping[str, Any]) -> FloatArray:
    sizes = np.zeros(len(paths))
    for path, step in steps.items():
        if path not in paths:
            raise input_error("steps", path, "must be one of the free numbers")
        parameter = _core.parameter(path)
        size = _core.parse_quantity(step, parameter.quantity) if isinstance(step, str) else float(step)
        if not size > 0.0:
            raise input_error(f"steps[{path!r}]", step, "must be above zero")
        sizes[paths.index(path)] = size
    if np.count_nonzero(sizes) > CORNERS:
        raise input_error("steps", len(steps), f"must be of at most {CORNERS} numbers")
    return sizes


def tradeoff(
    setup: _core.Setup,
    objectives: tuple[str, str],
    free: Mapping[str, Any],
    subject_to: Mapping[str, tuple[float | None, float | None]] | None = None,
    *,
    most: tuple[bool, bool] = (False, False),
    points: int = 8,
    **options: Any,
) -> list[Improvement]:
    """The front between two objectives: of one the best for each level of the other.

    Parameters
    ----------
    setup
        The bow to start from.
    objectives
        Two names of `objectives()`.
    free, subject_to
        As for `improve`.
    most
        Which of the two is to be most.
    points
        How many designs, 2 to 100: the best of the one, the best of the other, and even levels of the first between.
    **options
        Others of `improve`.

    Returns
    -------
    list of Improvement
        From the best of the first to the best of the second, each with both among its figures; a level that no
        design keeps is left out, and so is a design that another one beats in both.

    Raises
    ------
    InputError
        As `improve`.
    Error
        As `improve`, of the two ends.

    """
    if not 2 <= points <= 100:
        raise input_error("points", points, "must be from 2 to 100")
    limits = dict(subject_to or {})
    one, other = objectives
    best_one = improve(setup, one, free, limits, most=most[0], **options)
    best_other = improve(setup, other, free, limits, most=most[1], **options)
    ends = best_one.figures[one], _figure(best_other, one)
    found = [best_one]
    for level in np.linspace(ends[0], ends[1], points)[:-1]:
        kept = (float(level) - _margin(level), None) if most[0] else (None, float(level) + _margin(level))
        held = limits | {one: kept}
        try:
            found.append(improve(setup, other, free, held, most=most[1], **options))
        except Error:
            continue
    found.append(best_other)
    return _unbeaten([_with_both(each, objectives) for each in found], objectives, most)


def _margin(level: float) -> float:
    return 1e-5 * abs(float(level)) + 1e-12


def _figure(design: Improvement, name: str) -> float:
    return float(Evaluator(design.setup, [], [name])(np.zeros((1, 0)))[0, 0])


def _with_both(design: Improvement, objectives: tuple[str, str]) -> Improvement:
    """The same with both objectives among its figures."""
    missing = [name for name in objectives if name not in design.figures]
    return replace(design, figures=design.figures | {name: _figure(design, name) for name in missing})


def _unbeaten(found: Sequence[Improvement], objectives: tuple[str, str], most: tuple[bool, bool]) -> list[Improvement]:
    def merits(each: Improvement) -> list[float]:
        return [(-1.0 if up else 1.0) * each.figures[name] for name, up in zip(objectives, most, strict=True)]

    front: list[Improvement] = []
    least = np.inf
    for each in sorted(found, key=merits):
        second = merits(each)[1]
        if second < least:
            least = second
            front.append(each)
    return front
