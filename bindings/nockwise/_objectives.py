"""What a design is measured by: outputs of one launch, and figures that take several launches or a whole draw."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from nockwise import _core
from nockwise._errors import Error, input_error
from nockwise._sweep import sweep
from nockwise._sweep_plan import FloatArray, sweep_outputs

Row = Mapping[str, float]
Moved = Sequence[Mapping[str, float]]
QUARTER = 0.25  # [twist], each way
CREEP = 0.05  # of the peak, by which the force rises where the valley ends


class Figure(NamedTuple):
    """A figure of a bow that several launches make together: what else is shot for each bow, and what it comes to."""

    unit: str
    doc: str
    neighbours: Moved  # added to each bow's own values; launches beside its own
    outputs: tuple[str, ...]
    combine: Callable[[FloatArray], FloatArray]  # (bows, launches, outputs) to (bows,); the bow's own launch first


def _worst_answer(shots: FloatArray) -> FloatArray:
    """Of the cables, the larger change of the hole per quarter twist."""
    changes = 0.5 * (shots[:, 1::2, :] - shots[:, 2::2, :])
    return np.asarray(np.max(np.hypot(changes[..., 0], changes[..., 1]), axis=1), dtype=np.float64)


def _hole(shots: FloatArray) -> FloatArray:
    return np.asarray(np.hypot(shots[:, 0, 0], shots[:, 0, 1]), dtype=np.float64)


TEAR = ("paper_tear.up", "paper_tear.right")
FIGURES: dict[str, Figure] = {
    "tear": Figure("m", "length of the hole's tear, whichever way", (), TEAR, _hole),
    "tear_per_quarter_twist": Figure(
        "m",
        "how far a quarter twist in one cable moves the hole, of both cables the larger; central, a quarter each way",
        [{f"cables.{half}.twists": sign * QUARTER} for half in ("upper", "lower") for sign in (1.0, -1.0)],
        TEAR,
        _worst_answer,
    ),
}
VALLEY = ("m", "how far the string may creep from the wall before the force has risen by a twentieth of the peak")


def objectives() -> dict[str, str]:
    """All that `improve` can make least or most, or hold.

    Returns
    -------
    dict
        Names with meaning and unit: figures of several launches, then the outputs of `sweep_outputs()`.

    """
    figures = {name: f"{figure.doc} [{figure.unit}]" for name, figure in FIGURES.items()}
    return figures | {"valley": f"{VALLEY[1]} [{VALLEY[0]}]"} | sweep_outputs()


def valley_of(setup: _core.Setup) -> float:
    """Width of the valley.

    Parameters
    ----------
    setup
        The bow.

    Returns
    -------
    float
        How far the string may creep from the wall before the draw force has risen by a twentieth of its peak above
        its least, the bow being let down [m].

    Raises
    ------
    InputError
        For a setup that cannot be a bow.
    SolverError
        For one that cannot be drawn.

    """
    cycle = _core.draw_cycle(_core.Model(setup))
    nock = cycle.points["nock_x"][: cycle.touch_index + 1]
    force = cycle.points["draw_force"][: cycle.touch_index + 1]
    limit = cycle.holding_force + CREEP * cycle.peak_force
    above = np.flatnonzero(force > limit)
    peak = int(np.argmax(force))
    last = int(above[above >= peak][-1]) if np.any(above >= peak) else peak
    if last + 1 >= len(force):  # the wall stands on the slope
        return 0.0
    part = (force[last] - limit) / (force[last] - force[last + 1])
    edge = nock[last] + part * (nock[last + 1] - nock[last])
    return abs(float(nock[-1] - edge))


def check_objectives(names: Sequence[str]) -> tuple[str, ...]:
    """The same, if there is each."""
    known = objectives()
    for name in names:
        if name not in known:
            raise input_error("objective", name, "must be one of nockwise.objectives()")
    return tuple(dict.fromkeys(names))


class Evaluator:
    """Figures of many bows that differ in some numbers, all launched together."""

    def __init__(
        self, setup: _core.Setup, paths: Sequence[str], names: Sequence[str], threads: int | None = None
    ) -> None:
        self.setup = setup
        self.paths = list(paths)
        self.names = check_objectives(names)
        self.threads = threads
        self.launches = 0
        wanted = [name for name in self.names if name not in FIGURES and name != "valley"]
        self.outputs = list(
            dict.fromkeys([*wanted, *(o for n in self.names if n in FIGURES for o in FIGURES[n].outputs)])
        )
        self.moved: list[Mapping[str, float]] = [{}]
        for name in self.names:
            self.moved += (
                [each for each in FIGURES[name].neighbours if each not in self.moved] if name in FIGURES else []
            )

    def __call__(self, places: FloatArray) -> FloatArray:
        """A row of figures for each row of values; NaN where the bow, or one that is shot beside it, cannot be shot."""
        found = np.full((len(places), len(self.names)), np.nan)
        shots = self._shoot(places)
        for k, name in enumerate(self.names):
            if name in FIGURES:
                figure = FIGURES[name]
                which = [0, *(self.moved.index(each) for each in figure.neighbours)]
                columns = [self.outputs.index(output) for output in figure.outputs]
                found[:, k] = figure.combine(shots[:, which][:, :, columns])
            elif name == "valley":
                found[:, k] = [self._valley(place) for place in places]
            else:
                found[:, k] = shots[:, 0, self.outputs.index(name)]
        return found

    def bow(self, place: Sequence[float] | FloatArray) -> _core.Setup:
        """The bow with these values."""
        made = _core.parse_setup(_core.format_setup(self.setup))
        for path, value in zip(self.paths, place, strict=True):
            made[path] = float(value)
        return made

    def _valley(self, place: FloatArray) -> float:
        try:
            return valley_of(self.bow(place))
        except Error:
            return float("nan")

    def _shoot(self, places: FloatArray) -> FloatArray:
        if not self.outputs:
            return np.zeros((len(places), 1, 0))
        # A sweep has a column at least; the rest's height as it is changes nothing.
        paths = list(dict.fromkeys([*self.paths, *(path for each in self.moved for path in each)])) or ["rest.height"]
        own = np.array([self.setup[path] for path in paths])
        table = np.tile(own, (len(places), len(self.moved), 1))
        for k, path in enumerate(self.paths):
            table[:, :, paths.index(path)] = places[:, None, k]
        for j, each in enumerate(self.moved):
            for path, change in each.items():
                table[:, j, paths.index(path)] += change
        data = sweep(
            self.setup,
            table.reshape(-1, len(paths)),
            paths=paths,
            outputs=self.outputs,
            threads=self.threads,
            progress=False,
        )
        self.launches += table.shape[0] * table.shape[1]
        values = np.stack([data[output].values for output in self.outputs], axis=-1)
        return np.asarray(values, dtype=np.float64).reshape(len(places), len(self.moved), len(self.outputs))
