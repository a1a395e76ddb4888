"""What all plots share: colours, axes, units on labels."""

from __future__ import annotations

from collections.abc import Sequence

import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes

from nockwise import _describe
from nockwise._describe import UnitSystem
from nockwise._errors import input_error

# Dark, middle and light in print, and far apart for every kind of colour vision.
NAVY = "#17355a"
EMBER = "#c8541f"
JADE = "#3f9a8a"
STRAW = "#dcae4d"
STONE = "#83817a"
LIGHT = "#ebe8e0"
PAPER = "#fbfaf5"
UPPER_LOWER = ((NAVY, "-"), (EMBER, (0, (5, 2))))


def axes_or_new(ax: Axes | None, *, width: float = 6.4, height: float = 4.0) -> Axes:
    """The axes given, or those of a new figure."""
    if ax is not None:
        return ax
    return plt.subplots(figsize=(width, height), layout="constrained")[1]


def axes_list(axes: Sequence[Axes] | None, count: int, *, height: float, width: float = 6.4) -> list[Axes]:
    """`count` axes given, or those of a new figure, one below the other."""
    if axes is None:
        _, made = plt.subplots(count, 1, figsize=(width, height), sharex=True, layout="constrained")
        return list(made)
    given = list(np.ravel(np.asarray(axes, dtype=object)))
    if len(given) != count:
        raise input_error("axes", f"{len(given)} axes", f"must be {count} axes")
    return given


def in_units(values: npt.ArrayLike, unit: str, system: UnitSystem) -> tuple[npt.NDArray[np.float64], str]:
    """Values to plot and their unit; lengths of a few millimetres are best told with `small`."""
    if system not in ("si", "workshop"):
        raise input_error("units", system, "must be si or workshop")
    by, shown = _describe.factor(unit, system)
    return np.asarray(values, dtype=np.float64) * by, shown


def small(values: npt.ArrayLike, system: UnitSystem) -> tuple[npt.NDArray[np.float64], str]:
    """Small lengths [m]: millimetres in SI, inches in the workshop."""
    numbers, shown = in_units(values, "m", system)
    return (numbers * 1e3, "mm") if shown == "m" else (numbers, shown)


def finish(ax: Axes, x: str = "", y: str = "", title: str = "") -> Axes:
    """Labels and a quiet frame."""
    if x:
        ax.set_xlabel(x)
    if y:
        ax.set_ylabel(y)
    if title:
        ax.set_title(title, loc="left", fontsize=10, color=NAVY)
    ax.grid(visible=True, color=LIGHT, linewidth=0.8)
    ax.set_axisbelow(True)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    return ax
