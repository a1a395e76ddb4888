"""Plots of the draw cycle."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes

from nockwise import _describe
from nockwise._core import DrawCycle
from nockwise._describe import UnitSystem
from nockwise.plot._style import EMBER, JADE, NAVY, STONE, UPPER_LOWER, axes_list, axes_or_new, finish, in_units


def draw_curve(cycle: DrawCycle, *, ax: Axes | None = None, units: UnitSystem = "workshop", label: str = "") -> Axes:
    """Draw force over the distance from grip to nock, with peak, valley and wall."""
    ax = axes_or_new(ax)
    draw, length = in_units(-cycle.points["nock_x"], "m", units)
    force, strength = in_units(cycle.points["draw_force"], "N", units)
    touch = cycle.touch_index
    (line,) = ax.plot(
        draw[: touch + 1], force[: touch + 1], linewidth=2, label=label or None, color=None if label else NAVY
    )
    ax.plot(draw[touch:], force[touch:], linewidth=2, color=line.get_color(), linestyle=(0, (1, 1)))
    ax.fill_between(draw[: touch + 1], force[: touch + 1], color=line.get_color(), alpha=0.08, linewidth=0)
    marks = (
        (cycle.peak_nock_x, cycle.peak_force, "peak", (0, 8), EMBER, "^"),
        (
            cycle.valley_nock_x,
            cycle.holding_force,
            f"valley, let-off {100 * cycle.let_off:.0f} %",
            (-8, -16),
            JADE,
            "v",
        ),
    )
    for x, f, text, offset, color, marker in marks:
        at = (in_units(-x, "m", units)[0], in_units(f, "N", units)[0])
        ax.plot(*at, marker=marker, color=color, markersize=7, linestyle="none")
        shown = f"{text} {at[1]:.1f} {strength}"
        ax.annotate(
            shown,
            at,
            offset,
            textcoords="offset points",
            ha="right" if x == cycle.valley_nock_x else "center",
            fontsize=8,
            color=color,
        )
    ax.axvline(float(draw[touch]), color=STONE, linewidth=0.8, linestyle=(0, (2, 2)))
    ax.set_ylim(0.0, 1.15 * float(force.max()))
    if label:
        ax.legend(frameon=False)
    energy = _describe.in_words(cycle.stored_energy, "J")
    return finish(
        ax, f"grip to nock [{length}]", f"draw force [{strength}]", f"Draw curve: {energy} stored up to the wall"
    )


def cam_sync(cycle: DrawCycle, *, axes: Sequence[Axes] | None = None, units: UnitSystem = "workshop") -> list[Axes]:
    """How far the cams turn over the draw, how far the upper is ahead, and the gaps of the draw stops near the wall.

    Three axes, one below the other.
    """
    turn, lead, gap = made = axes_list(axes, 3, height=6.6)
    draw, length = in_units(-cycle.points["nock_x"], "m", units)
    angles, unit = in_units(cycle.points["cam_angle"], "rad", units)
    gaps = 1e3 * cycle.points["stop_gap"]
    for half, (name, (color, dashes)) in enumerate(zip(("upper", "lower"), UPPER_LOWER, strict=True)):
        turn.plot(draw, angles[:, half], color=color, linestyle=dashes, linewidth=2, label=f"{name} cam")
        if np.isfinite(gaps[0, half]):  # a cam without a stop has no gap
            gap.plot(draw, gaps[:, half], color=color, linestyle=dashes, linewidth=2, label=f"{name} stop")
    lead.axhline(0.0, color=STONE, linewidth=0.8)
    lead.plot(draw, angles[:, 0] - angles[:, 1], color=JADE, linewidth=2)
    gap.axhline(0.0, color=STONE, linewidth=0.8)
    last = np.flatnonzero(np.nanmin(gaps, axis=1) > 10.0)
    gap.set_ylim(-1.0, 10.0 if last.size else None)
    for ax in made:
        ax.axvline(float(draw[cycle.touch_index]), color=STONE, linewidth=0.8, linestyle=(0, (2, 2)))
    turn.legend(frameon=False, fontsize=8)
    if gap.get_legend_handles_labels()[0]:
        gap.legend(frameon=False, fontsize=8, loc="upper left")
    other = (
        "it is the only one" if cycle.late_stop_gap is None else f"the other lacks {1e3 * cycle.late_stop_gap:.2f} mm"
    )
    finish(turn, y=f"cam angle [{unit}]", title=f"Cam sync: {cycle.first_stop} stop touches first, {other}")
    finish(lead, y=f"upper ahead by [{unit}]")
    finish(gap, f"grip to nock [{length}]", "stop gap [mm]")
    return made
