"""A built bow against its sheet, and what the bows of one sheet do."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from nockwise._core import BowMeasurements, DrawCycle, EnsembleTears, draw_length_allowance
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._draw import draw_curve
from nockwise.plot._style import EMBER, JADE, NAVY, STONE, axes_or_new, finish, in_units


def draw_against_sheet(
    cycle: DrawCycle, measurements: BowMeasurements, *, ax: Axes | None = None, units: UnitSystem = "workshop"
) -> Axes:
    """The draw curve of a built bow with what its sheet says: brace, wall, peak, holding force, readings."""
    ax = draw_curve(cycle, ax=ax, units=units)
    wall, length = in_units(measurements.draw_length - draw_length_allowance, "m", units)
    brace, _ = in_units(measurements.brace_height, "m", units)
    for x, text in ((float(brace), "brace"), (float(wall), "wall")):
        ax.axvline(x, color=STONE, linewidth=1.2)
        ax.annotate(
            text,
            (x, 1.0),
            (3, -8),
            xycoords=("data", "axes fraction"),
            textcoords="offset points",
            fontsize=8,
            color=STONE,
        )
    if measurements.peak_force is not None and measurements.let_off is not None:
        peak, _ = in_units(measurements.peak_force, "N", units)
        for force in (float(peak), float(peak) * (1.0 - measurements.let_off)):
            ax.axhline(force, color=STONE, linewidth=1.0, linestyle=(0, (2, 2)))
    readings = measurements.draw_curve
    if readings.size:
        at, _ = in_units(readings["draw_length"] - draw_length_allowance, "m", units)
        shown, _ = in_units(readings["force"], "N", units)
        ax.plot(
            at, shown, marker="o", markersize=4, markerfacecolor="none", color=EMBER, linestyle="none", label="read"
        )
        ax.legend(frameon=False, fontsize=8, loc="lower center")
    return finish(ax, f"grip to nock [{length}]")


def ensemble_tears(
    tears: EnsembleTears, *, side: str = "up", ax: Axes | None = None, units: UnitSystem = "workshop"
) -> Axes:
    """What one step of every adjustment does to the tear in the bows of one sheet: nine tenths of them, and the middle.

    `side` is "up" (tail-high positive) or "right". Full bars have one sign in all of those bows, hatched ones do not.
    """
    if side not in ("up", "right"):
        raise input_error("side", side, "must be up or right")
    rows = [row for row in tears.rows if np.any(getattr(row, f"{side}_of") != 0.0)]
    ax = axes_or_new(ax, width=7.2, height=1.2 + 0.26 * max(len(rows), 4))
    unit = ""
    for place, row in enumerate(reversed(rows)):
        band = getattr(row, side)
        (low, middle, high), unit = in_units([band.low, band.median, band.high], "m", units)
        known = band.same_sign
        ax.barh(
            place,
            high - low,
            left=low,
            height=0.62,
            color=JADE if known else "none",
            edgecolor=JADE if known else STONE,
            hatch="" if known else "////",
            linewidth=0.8,
        )
        ax.plot([middle, middle], [place - 0.31, place + 0.31], color=NAVY if known else EMBER, linewidth=2)
    ax.use_sticky_edges = False  # room beside the longest bar
    ax.axvline(0.0, color=NAVY, linewidth=0.8)
    ax.margins(x=0.05)
    ax.set_yticks(range(len(rows)), [f"{row.adjustment.title}" for row in reversed(rows)], fontsize=8)
    direction = "tail-high positive" if side == "up" else "tail-right positive"
    return finish(
        ax,
        f"change of the tear per step, {direction} [{unit}]",
        "",
        "Nine tenths of the sheet's bows; hatched: sign unknown",
    )
