"""What a sweep computes: the samples, given as a grid, a list or a matrix, and the outputs."""

from __future__ import annotations

import difflib
import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from nockwise import _core
from nockwise._errors import input_error

if TYPE_CHECKING:
    from nockwise._core import AnyDrawHold, AnyIntegrator, AnyQuantity

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Column:
    """One parameter that differs: its values in SI, or indices into `words` for a choice."""

    path: str
    values: FloatArray
    words: tuple[str, ...] = ()

    def shown(self) -> npt.NDArray[Any]:
        """The values as a person reads them: numbers in SI, or words."""
        return np.array(self.words)[self.values.astype(int)] if self.words else self.values


@dataclass(frozen=True)
class Options:
    """Options of the draw cycle and the launch, the same for all samples."""

    hold: AnyDrawHold = "archer"
    positions: int = 120
    integrator: AnyIntegrator = "nystrom"
    step: float = 2.25e-4
    tolerance: float = 1e-7
    time_limit: float = 0.15


@dataclass(frozen=True)
class Plan:
    """Everything that decides the numbers of a sweep; nothing that only decides how they are computed."""

    setup: _core.Setup
    columns: tuple[Column, ...]
    grid: bool  # the columns are the axes of a grid; otherwise the columns of a table of samples
    outputs: tuple[str, ...]
    options: Options = field(default_factory=Options)

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of each output."""
        sizes = tuple(column.values.size for column in self.columns)
        return sizes if self.grid else sizes[:1]

    @property
    def size(self) -> int:
        """Number of samples."""
        return math.prod(self.shape)

    def samples(self, indices: npt.NDArray[np.int64]) -> FloatArray:
        """The samples of these indices, one in a row; made when needed, so that a large grid takes no memory."""
        at: Sequence[npt.NDArray[np.int64]]
        at = np.unravel_index(indices, self.shape) if self.grid else [indices] * len(self.columns)
        rows = [column.values[i] for column, i in zip(self.columns, at, strict=True)]
        return np.ascontiguousarray(np.stack(rows, axis=1), dtype=np.float64)

    def batch(self) -> _core._Batch:
        """Setup, columns and outputs as the extension module takes them, checked."""
        columns = [(column.path, list(column.words)) for column in self.columns]
        return _core._Batch(self.setup, columns, list(self.outputs), **vars(self.options))

    def head(self) -> Plan:
        """The same without the values: what a worker elsewhere needs beside its rows."""
        empty = np.empty(0)
        columns = tuple(Column(column.path, empty, column.words) for column in self.columns)
        return Plan(self.setup, columns, self.grid, self.outputs, self.options)

    def extends(self, found: Mapping[str, Any], identity: Mapping[str, Any]) -> int | None:
        """Samples of a stored sweep that this one begins with and goes on from; None if it is another or the same.

        `found` is the stored identity, `identity` this one's. A table goes on by more rows, a grid by more values of
        its first parameter: both leave the samples their indices.
        """
        known = found.get("columns")
        rest = {key: value for key, value in identity.items() if key != "columns"}
        if known == identity["columns"] or rest != {key: value for key, value in found.items() if key != "columns"}:
            return None
        described = identity["columns"]
        try:
            pairs = list(zip(self.columns, known or [], described, strict=True))
            grown = pairs[:1] if self.grid else pairs
            if not all(_continues(*pair) for pair in grown) or any(pair[1] != pair[2] for pair in pairs[len(grown) :]):
                return None
            sizes = [int(pair[1]["size"]) for pair in pairs]
        except (KeyError, TypeError, ValueError):  # a plan that nobody here has written
            return None
        return math.prod(sizes) if self.grid else sizes[0] if len(set(sizes)) == 1 else None

    def identity(self) -> dict[str, Any]:
        """What a stored sweep must agree with to be resumed."""
        values = {path: repr(value) for path, value in self.setup.values().items()}
        setup = hashlib.sha256(repr(sorted(values.items())).encode()).hexdigest()
        for path, track in self.setup.values().items():
            if path.endswith("_track") and track is not None:
                setup = hashlib.sha256((setup + path + _track_digest(track)).encode()).hexdigest()
        columns = [_described(column) for column in self.columns]
        return {
            "nockwise": _core.__version__,
            "setup": setup,
            "grid": self.grid,
            "columns": columns,
            "outputs": list(self.outputs),
            "options": vars(self.options),
        }


def _continues(column: Column, found: Any, described: Mapping[str, Any]) -> bool:
    """Whether a column begins with all that was found of it."""
    if described == found:
        return True
    size, words = int(found["size"]), list(found["words"])
    begins = Column(column.path, column.values[:size], column.words[: len(words)])
    return bool(size < column.values.size and found == _described(begins))


def _described(column: Column) -> dict[str, Any]:
    return {
        "path": column.path,
        "words": list(column.words),
        "size": int(column.values.size),
        "values": _digest(column.values),
    }


def _digest(values: FloatArray) -> str:
    """SHA-256 of the numbers, taken in pieces so that a matrix on the disk is never copied as a whole."""
    digest = hashlib.sha256()
    for start in range(0, values.size, 1 << 16):
        digest.update(values[start : start + (1 << 16)].tobytes())
    return digest.hexdigest()


def _track_digest(track: Any) -> str:
    """Every bit of a track's numbers, as text."""
    match track:
        case _core.CircleTrack():
            return repr((track.radius, track.eccentricity, track.angle))
        case _core.SplineTrack():
            return repr((track.first_angle, track.angle_step, track.distance.tolist()))
    return repr(track.points.tolist())


def sweep_outputs() -> dict[str, str]:
    """All that a sweep can give.

    Returns
    -------
    dict
        Names, such as "paper_tear.up", with the comment that tells meaning and unit.

    """
    return {name: text for name, _, text, _ in _core._batch_outputs()}


def check_outputs(outputs: Sequence[str]) -> tuple[str, ...]:
    """The names as a tuple, each known and none twice."""
    if isinstance(outputs, str):
        outputs = [outputs]
    known = sweep_outputs()
    for name in outputs:
        if name not in known:
            near = difflib.get_close_matches(str(name), known, 1, 0.0)
            raise input_error(
                "outputs", name, f"there is no such output; the nearest is {near[0]}; nockwise.sweep_outputs() has all"
            )
    if len(set(outputs)) != len(outputs) or not outputs:
        raise input_error("outputs", list(outputs), "must name at least one output, and none twice")
    return tuple(outputs)


def make_column(setup: _core.Setup, path: str, values: Any) -> Column:
    """Values of one parameter: numbers in SI, text with units, or words of a choice."""
    choices = {p.path for p in _core.choice_parameters()}
    items = [values] if isinstance(values, str | float | int) else values
    if path in choices:
        given = [str(item) for item in items]
        words = tuple(dict.fromkeys(given))
        for word in words:
            setup.replace({path: word})
        return Column(path, np.array([words.index(word) for word in given], dtype=np.float64), words)
    if path in {*(p.path for p in _core.text_parameters()), *(p.path for p in _core.track_parameters())}:
        raise input_error(path, "", "is neither a number nor a choice, and cannot be swept")
    parameter = _core.parameter(path)  # a wrong path is told with the nearest one
    numeric = isinstance(items, np.ndarray) and items.dtype.kind in "fiu"
    if not numeric and any(isinstance(item, str) for item in items):
        items = [parse_quantity(path, parameter.quantity, item) for item in items]
    try:
        # A matrix on the disk (np.load with mmap_mode="r") stays there; one that may yet change is copied.
        fixed = isinstance(items, np.memmap) and not items.flags.writeable
        numbers = np.asarray(items, dtype=np.float64) if fixed else np.array(items, dtype=np.float64)
    except (TypeError, ValueError):
        raise input_error(path, values, "must be numbers in SI, or text with units") from None
    if numbers.ndim != 1 or numbers.size == 0:
        raise input_error(path, f"shape {numbers.shape}", "must be a list of at least one value")
    if not np.isfinite(numbers).all():
        at = int(np.flatnonzero(~np.isfinite(numbers))[0])
        raise input_error(path, f"{numbers[at]} at index {at}", "must be finite numbers")
    return Column(path, numbers)


def parse_quantity(path: str, quantity: AnyQuantity, item: Any) -> float:
    """A number in SI as it is, or text with a unit; `path` names it in the error."""
    if not isinstance(item, str):
        return float(item)
    try:
        return _core.parse_quantity(item, quantity)
    except ValueError as error:
        raise input_error(path, item, getattr(error, "allowed", "must be a number with its unit")) from None


def make_plan(
    setup: _core.Setup, values: Any, paths: Sequence[str] | None, outputs: Sequence[str], options: Options
) -> Plan:
    """Read what the user of sweep() gave."""
    names = check_outputs(outputs)
    if isinstance(values, Mapping):
        if paths is not None:
            raise input_error("paths", list(paths), "go with a sample matrix; a mapping has its paths as keys")
        columns = [make_column(setup, path, given) for path, given in values.items()]
        plan = Plan(setup, tuple(columns), True, names, options)
    elif paths is not None:
        matrix = values if isinstance(values, np.memmap) else np.asarray(values)
        if matrix.ndim != 2 or matrix.shape[1] != len(paths) or matrix.shape[0] == 0:
            raise input_error(
                "samples", f"shape {matrix.shape}", f"must have the shape (n, {len(paths)}), one column per path"
            )
        columns = [make_column(setup, path, matrix[:, i]) for i, path in enumerate(paths)]
        plan = Plan(setup, tuple(columns), False, names, options)
    else:
        samples = list(values)
        if not samples or not all(isinstance(sample, Mapping) for sample in samples):
            raise input_error(
                "samples", type(values).__name__, "must be a mapping, a list of mappings, or a matrix with paths="
            )
        keys = list(samples[0])
        for index, sample in enumerate(samples):
            if list(sample) != keys:
                raise input_error(f"samples[{index}]", list(sample), f"must give the same paths as the first: {keys}")
        columns = [make_column(setup, path, [sample[path] for sample in samples]) for path in keys]
        plan = Plan(setup, tuple(columns), False, names, options)
    if not plan.columns:
        raise input_error("values", "{}", "must give at least one parameter")
    if len({column.path for column in plan.columns}) != len(plan.columns):
        raise input_error("paths", [column.path for column in plan.columns], "must not name a parameter twice")
    _check_options(options)
    plan.batch()  # checks the rest
    return plan


def _check_options(options: Options) -> None:
    """Refuse before the sweep what would make every sample fail."""
    for name in ("step", "tolerance", "time_limit"):
        value = getattr(options, name)
        if isinstance(value, bool) or not isinstance(value, int | float | np.number) or not 0.0 < value < math.inf:
            raise input_error(name, value, "must be a number above 0")
    if isinstance(options.positions, bool) or not isinstance(options.positions, int) or options.positions < 8:
        raise input_error("positions", options.positions, "must be a whole number, at least 8")
    for name in ("hold", "integrator"):
        if not isinstance(getattr(options, name), str):
            raise input_error(name, getattr(options, name), "must be a word")
