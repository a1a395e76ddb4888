"""Groups on a target, what makes them, and the way there."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Ellipse

from nockwise._core import ArrowTable, Forgiveness, Group
from nockwise._describe import UnitSystem
from nockwise.plot._style import EMBER, JADE, LIGHT, NAVY, PAPER, STONE, STRAW, axes_or_new, finish, small

TONES = (JADE, EMBER, STRAW, NAVY)
GOLD = "#f4e7c6"  # light enough for what is drawn over it


def group(
    shot: Group,
    *,
    face: float | None = None,
    most: int = 4,
    ax: Axes | None = None,
    units: UnitSystem = "workshop",
) -> Axes:
    """The group on its target: impacts, the ellipse of two standard deviations, and what makes it, as arrows.

    Each arrow reaches from the middle of the group as far as one standard deviation of one source moves the impact;
    those of the largest shares are drawn. `face` is the diameter of a face of ten rings [m], drawn behind.
    """
    ax = axes_or_new(ax, width=6.4, height=6.0)
    if face is not None:
        _rings(ax, face, units)
    right, unit = small(shot.right, units)
    up, _ = small(shot.up, units)
    scale = float(small(1.0, units)[0])
    middle = (shot.mean_right * scale, shot.mean_up * scale)
    for sign in (1.0, 2.0):
        ax.add_patch(
            Ellipse(
                middle,
                2.0 * sign * shot.major * scale,
                2.0 * sign * shot.minor * scale,
                angle=float(np.degrees(shot.angle)),
                fill=False,
                edgecolor=NAVY,
                linewidth=1.2 if sign == 1.0 else 0.8,
                linestyle="-" if sign == 1.0 else (0, (5, 2)),
            )
        )
    ax.plot(right, up, marker="o", linestyle="none", color=NAVY, alpha=0.35, markersize=3.2, markeredgewidth=0)
    half = 1.1 * max(float(np.max(np.abs(right))), float(np.max(np.abs(up))), 2.2 * shot.major * scale)
    tones = iter(TONES * most)
    aside = 0
    for each in shot.forgiveness.sources[:most]:
        reach = each.deviation * scale * np.array([each.right_per_unit, each.up_per_unit])
        if each.share < 0.01 or not np.any(reach):
            continue
        label = f"{each.title} ({100 * each.share:.0f} %)"
        # Side by side, so that those that lie along each other can be told apart.
        square = np.array([-reach[1], reach[0]]) / float(np.hypot(*reach))
        start = np.array(middle) + square * 0.035 * half * (aside - 1.5)
        _arrow(ax, (float(start[0]), float(start[1])), reach, next(tones), label)
        aside += 1
    ax.set_xlim(-half, half)
    ax.set_ylim(-half, half)
    ax.set_aspect("equal")
    if ax.get_legend_handles_labels()[0]:
        ax.legend(loc="upper right", fontsize=8, frameon=False)
    title = f"{shot.name}, {shot.distance:.0f} m, {shot.scatter}: {shot.pattern.split(',')[0]}"
    return finish(ax, f"right [{unit}]", f"up [{unit}]", title)


def forgiveness(found: Forgiveness, *, most: int = 10, ax: Axes | None = None, units: UnitSystem = "workshop") -> Axes:
    """How far each source scatters the impact, level and upright: one standard deviation, largest share first."""
    sources = found.sources[:most]
    ax = axes_or_new(ax, width=7.2, height=1.6 + 0.42 * len(sources))
    places = np.arange(len(sources))[::-1]
    right, unit = small([each.deviation_right for each in sources], units)
    up, _ = small([each.deviation_up for each in sources], units)
    ax.barh(places + 0.19, right, height=0.36, color=NAVY, label="left and right")
    ax.barh(places - 0.19, up, height=0.36, color=JADE, label="up and down")
    ax.set_yticks(places, [f"{each.title} ({100 * each.share:.0f} %)" for each in sources], fontsize=8)
    ax.legend(loc="lower right", fontsize=8, frameon=False)
    title = f"{found.name}: what scatters the impact at {found.distance:.0f} m"
    return finish(ax, f"one standard deviation [{unit}]", "", title)


def arrow_table(found: ArrowTable, *, ax: Axes | None = None, units: UnitSystem = "workshop") -> tuple[Axes, Axes]:
    """Each arrow's group at the farther distance, and beside it the hole it makes: tear up with its nine of ten bows.

    Arrows that are as good as the best are drawn full, the others hollow; those too light to be shot are crossed out.
    """
    rows = [each for each in found.rows if not each.failure]
    ax = axes_or_new(ax, width=8.4, height=1.8 + 0.36 * len(rows))
    beside = ax.inset_axes((1.06, 0.0, 0.62, 1.0))
    places = np.arange(len(rows))[::-1]
    size, unit = small([each.far_size for each in rows], units)
    for place, row, wide in zip(places, rows, size, strict=True):
        ax.barh(place, wide, height=0.62, color=JADE if row.as_good else "none", edgecolor=NAVY, linewidth=0.9)
        error = wide * row.larger_error
        ax.plot([wide - error, wide + error], [place, place], color=NAVY, linewidth=1.4)
        low, high = (float(small(each, units)[0]) for each in (row.tear_up_low, row.tear_up_high))
        beside.plot([low, high], [place, place], color=NAVY, linewidth=2.0)
        beside.plot(float(small(row.tear_up, units)[0]), place, marker="o", color=EMBER, markersize=5)
        if row.light:
            ax.plot(0.5 * wide, place, marker="x", color=EMBER, markersize=11, markeredgewidth=2.5)
    ax.set_yticks(places, [each.title for each in rows], fontsize=8)
    beside.set_yticks(places, [])
    beside.axvline(0.0, color=STONE, linewidth=0.8)
    finish(beside, f"tear up [{unit}]", "", "hole before tuning")
    finish(
        ax, f"group, one standard deviation [{unit}]", "", f"{found.name}, {found.scatter}, {found.far_distance:.0f} m"
    )
    return ax, beside


def flight(points: npt.NDArray[Any], *, ax: Axes | None = None, units: UnitSystem = "workshop") -> Axes:
    """An arrow's way to the target from the side and from above: height and drift off the line of sight.

    `points` is what flight_to() gives.
    """
    from nockwise.plot._style import in_units

    ax = axes_or_new(ax, width=7.2, height=3.6)
    along, far = in_units(points["x"], "m", "si")
    if units == "workshop":
        along, far = along / 0.9144, "yd"
    up, unit = small(points["y"], units)
    right, _ = small(points["z"], units)
    ax.plot(along, up, color=NAVY, label="height")
    ax.plot(along, right, color=EMBER, linestyle=(0, (5, 2)), label="to the right")
    ax.axhline(0.0, color=STONE, linewidth=0.8)
    ax.legend(fontsize=8, frameon=False)
    return finish(ax, f"along the line of sight [{far}]", f"off it [{unit}]", "The way to the target")


def _rings(ax: Axes, face: float, units: UnitSystem) -> None:
    scale = float(small(1.0, units)[0])
    for ring in range(10, 0, -1):
        tone = GOLD if ring <= 2 else (PAPER if ring % 2 else LIGHT)
        ax.add_patch(Circle((0.0, 0.0), 0.05 * ring * face * scale, facecolor=tone, edgecolor=STONE, linewidth=0.6))


def _arrow(ax: Axes, middle: tuple[float, float], reach: npt.NDArray[np.float64], tone: str, label: str) -> None:
    for sign in (1.0, -1.0):
        tip = (middle[0] + sign * reach[0], middle[1] + sign * reach[1])
        ax.annotate(
            "",
            xy=tip,
            xytext=middle,
            arrowprops={"arrowstyle": "-|>", "color": tone, "linewidth": 2.2, "shrinkA": 0, "shrinkB": 0},
            zorder=5,
        )
    ax.plot([], [], color=tone, linewidth=2.2, label=label)
