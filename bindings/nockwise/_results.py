"""Results as plain containers: dictionaries, and columns for a table."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from nockwise import _core, _describe
from nockwise._errors import input_error


def asdict(result: Any) -> dict[str, Any]:
    """All fields of a result, and of the results within it, by name.

    Parameters
    ----------
    result
        What a function of nockwise gave (`DrawCycle`, `Launch`, `Explanation`, ...), or a `Setup`.

    Returns
    -------
    dict
        Field names to values in SI: numbers, texts and arrays as they are (read-only views), a pair of halves as
        `{"upper": ..., "lower": ...}`, results as dictionaries, lists of results as lists of dictionaries. A setup
        gives its values by path.

    Raises
    ------
    InputError
        `result` is no result.

    """
    found = _plain(result)
    if not isinstance(found, dict) or isinstance(result, dict | tuple):
        raise input_error("result", type(result).__name__, "must be a result of nockwise, or a Setup")
    return found


def _plain(value: Any) -> Any:
    match value:
        case _core.Setup():
            return value.values()
        case tuple() if hasattr(value, "_fields"):
            return {"upper": _plain(value[0]), "lower": _plain(value[1])}
        case tuple() | list():
            return [_plain(item) for item in value]
        case dict():
            return {key: _plain(item) for key, item in value.items()}
    names = [name for name in _describe.fields_of(type(value).__name__) if hasattr(value, name)]
    return {name: _plain(getattr(value, name)) for name in names} if names else value


def columns(rows: npt.NDArray[np.void]) -> dict[str, npt.NDArray[Any]]:
    """The fields of a structured array as columns of a table; a pair of halves becomes two.

    Parameters
    ----------
    rows
        A structured array with one row per point, such as `DrawCycle.points`, of shape (n,).

    Returns
    -------
    dict
        Names to arrays of shape (n,), in the units of the fields; `cam_angle` gives `cam_angle.upper` and
        `cam_angle.lower`. `pandas.DataFrame(columns(cycle.points))` is a table.

    Raises
    ------
    InputError
        `rows` is no structured array of one dimension.

    """
    names = rows.dtype.names if isinstance(rows, np.ndarray) else None
    if names is None or rows.ndim != 1:
        raise input_error("rows", type(rows).__name__, "must be a structured array, such as the points of a draw cycle")
    found: dict[str, npt.NDArray[Any]] = {}
    for name in names:
        if rows[name].ndim == 1:
            found[name] = rows[name]
        else:
            found |= {f"{name}.{half}": rows[name][:, i] for i, half in enumerate(("upper", "lower"))}
    return found
