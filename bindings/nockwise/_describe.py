"""Units and comments of result fields, and values in words: shared by texts, notebooks, plots and sweeps."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import numpy as np

from nockwise import _core

if TYPE_CHECKING:
    from nockwise._core import AnyQuantity

UnitSystem = Literal["si", "workshop"]


class Comment(NamedTuple):
    """What the C++ headers say about a name."""

    unit: str
    text: str


# SI units of results, and how a workshop reads them: quantity, unit, decimals.
WORKSHOP: dict[str, tuple[AnyQuantity, str, int]] = {
    "m": ("length", "in", 3),
    "N": ("force", "lbf", 2),
    "m/s": ("speed", "ft/s", 1),
    "m/s²": ("acceleration", "g", 0),
    "rad": ("angle", "deg", 2),
    "rad/s": ("angular_speed", "deg/s", 1),
    "s": ("time", "ms", 2),
    "J": ("energy", "ft·lbf", 2),
    "kg": ("mass", "gr", 1),
    "fraction": ("percent", "%", 1),
}


@cache
def _comments() -> dict[str, Comment]:
    return {name: Comment(*pair) for name, pair in _core._header_comments().items()}


def comment(name: str) -> Comment:
    """Unit and comment of a public name ("DrawCycle.let_off"); both empty for names that have none."""
    return _comments().get(name, Comment("", ""))


def fields_of(kind: str) -> list[str]:
    """Names of the fields of a result struct, in the order of the header."""
    prefix = kind + "."
    return [name.removeprefix(prefix) for name, (_, _) in _comments().items() if name.startswith(prefix)]


def factor(unit: str, system: UnitSystem) -> tuple[float, str]:
    """What to multiply a number in an SI unit by to show it in a unit system, and the unit to write beside it."""
    if system == "si" or unit not in WORKSHOP:
        return 1.0, unit
    quantity, shown, _ = WORKSHOP[unit]
    return float(_core.from_si(1.0, quantity, shown)), shown


def in_words(value: float, unit: str) -> str:
    """A number in the workshop's unit and in SI: "62.00 lbf (275.8 N)"."""
    if not np.isfinite(value):
        return "none"
    si = f"{value:.5g} {unit}".strip() if unit != "fraction" else ""
    if unit not in WORKSHOP:
        return si
    quantity, shown, decimals = WORKSHOP[unit]
    text = _core.display(value, quantity, shown, decimals)
    return f"{text} ({si})" if si else text


def scalars(result: Any) -> list[tuple[str, float, str, str]]:
    """(name, value, unit, comment) of the plain numbers of a result."""
    kind = type(result).__name__
    rows = []
    for name in fields_of(kind):
        value = getattr(result, name, None)
        unit, text = comment(f"{kind}.{name}")
        if value is None and unit:
            rows.append((name, float("nan"), unit, text))
        elif isinstance(value, bool | int | float):
            rows.append((name, float(value), unit, text))
        elif isinstance(value, tuple) and len(value) == 2 and all(isinstance(part, float) for part in value):
            rows.append((f"{name}.upper", value[0], unit, text))
            rows.append((f"{name}.lower", value[1], unit, text))
    return rows
