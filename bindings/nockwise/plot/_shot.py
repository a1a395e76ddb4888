"""Plots of the launch. All need a trace: `launch(model, trace=True)`."""

from __future__ import annotations

from collections.abc import Sequence

import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes

from nockwise._core import DrawCycle, Launch, Model, Trace
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._style import (
    EMBER,
    JADE,
    NAVY,
    STONE,
    STRAW,
    UPPER_LOWER,
    axes_list,
    axes_or_new,
    finish,
    in_units,
    small,
)


def _trace(launch: Launch) -> Trace:
    if launch.trace.time.size == 0:
        raise input_error("launch.trace", "empty", "must be kept for this plot: launch(model, trace=True)")
    return launch.trace


def nock_path(
    launch: Launch,
    *,
    cycle: DrawCycle | None = None,
    axes: Sequence[Axes] | None = None,
    units: UnitSystem = "workshop",
) -> list[Axes]:
    """Height and side of the nock while it is on the string, over its way; with a draw cycle, its path when drawn too.

    Two axes: height above, side below.
    """
    height, side = made = axes_list(axes, 2, height=5.0)
    trace = _trace(launch)
    on = trace.time <= launch.exit_time
    way, length = in_units(trace.nock_x[on], "m", units)
    for ax, values, label in ((height, trace.nock_y[on], "launch"), (side, trace.nock_z[on], "launch")):
        shown, unit = small(values, units)
        ax.plot(way, shown, color=NAVY, linewidth=2, label=label)
        ax.plot(way[-1], shown[-1], marker="o", color=EMBER, linestyle="none", label="nock leaves the string")
    if cycle is not None:
        drawn = cycle.points[: cycle.touch_index + 1]
        height.plot(
            in_units(drawn["nock_x"], "m", units)[0],
            small(drawn["nock_y"], units)[0],
            color=JADE,
            linestyle=(0, (5, 2)),
            linewidth=1.6,
            label="drawn slowly",
        )
    height.legend(frameon=False, fontsize=8)
    finish(height, y=f"height, up + [{unit}]", title="Nock path from full draw to the end of the string")
    finish(side, f"nock ahead of the grip [{length}]", f"side, right + [{unit}]")
    return made


def launch_strip(launch: Launch, *, axes: Sequence[Axes] | None = None, units: UnitSystem = "workshop") -> list[Axes]:
    """The launch over time: speed and acceleration, line tensions, draw stops, rest; events as vertical lines.

    Four axes, one below the other.
    """
    speed, tension, lean, rest = made = axes_list(axes, 4, height=8.4)
    trace = _trace(launch)
    time = 1e3 * trace.time
    values, unit = in_units(trace.speed, "m/s", units)
    speed.plot(time, values, color=NAVY, linewidth=2, label="speed")
    finish(speed, y=f"arrow speed [{unit}]", title=f"Launch: {str(launch.ended_by).replace('_', ' ')}")
    push, strength = in_units(trace.axial_push, "N", units)
    tension.plot(time, push, color=JADE, linewidth=1.8, linestyle=(0, (1, 1)), label="push on the arrow")
    for half, (name, (color, dashes)) in enumerate(zip(("upper", "lower"), UPPER_LOWER, strict=True)):
        string = in_units(trace.string_tension[half], "N", units)[0]
        tension.plot(time, string, color=color, linestyle=dashes, linewidth=1.5, label=f"string, {name} end")
        lean.plot(time, np.degrees(trace.lean[half]), color=color, linestyle=dashes, linewidth=1.5, label=f"{name} cam")
    finish(tension, y=f"force [{strength}]")
    finish(lean, y="cam lean, right + [deg]")
    rest.plot(time, in_units(trace.rest_force, "N", units)[0], color=NAVY, linewidth=1.5, label="force on the shaft")
    finish(rest, "time since release [ms]", f"rest force [{strength}]")
    _rest_gap(rest, time, trace, units)
    for ax in made:
        for event in launch.events:
            if event.kind in ("nock_left_string", "tail_passed_rest", "drop_started"):
                ax.axvline(1e3 * event.time, color=STONE, linewidth=0.8, linestyle=(0, (2, 2)))
        if ax is not rest and ax.get_legend_handles_labels()[0]:
            ax.legend(frameon=False, fontsize=7, ncols=3)
    for event in launch.events:
        if event.kind in ("nock_left_string", "tail_passed_rest", "drop_started"):
            text = event.kind.replace("_", " ")
            speed.annotate(
                text,
                (1e3 * event.time, 0.03),
                xycoords=("data", "axes fraction"),
                rotation=90,
                fontsize=7,
                color=STONE,
                ha="right",
                va="bottom",
            )
    return made


def _rest_gap(rest: Axes, time: npt.NDArray[np.float64], trace: Trace, units: UnitSystem) -> None:
    """The gap at the rest, on a scale of its own at the right."""
    beside = rest.twinx()
    gap, unit = small(trace.rest_gap, units)
    beside.plot(time, gap, color=EMBER, linestyle=(0, (5, 2)), linewidth=1.5, label="gap (right)")
    beside.set_ylabel(f"gap [{unit}]", color=EMBER)
    beside.tick_params(axis="y", colors=EMBER)
    beside.spines[["top", "left"]].set_visible(False)
    lines = [*rest.get_lines(), *beside.get_lines()]
    rest.legend(lines, [str(line.get_label()) for line in lines], frameon=False, fontsize=7, loc="upper left", ncols=2)


def arrow_shapes(
    launch: Launch,
    *,
    count: int = 12,
    axes: Sequence[Axes] | None = None,
    scale: float = 1.0,
    units: UnitSystem = "workshop",
) -> list[Axes]:
    """How the shaft bends through the shot: its distance from the line from nock to point, one curve per moment.

    Time runs upward; `scale` stretches the bending. Two axes: seen from the side (up is up), and from above (up is to
    the archer's right).
    """
    trace = _trace(launch)
    if axes is None:
        made = list(plt.subplots(1, 2, figsize=(7.6, 5.2), sharey=True, layout="constrained")[1])
    else:
        made = axes_list(axes, 2, height=5.0)
    if count < 2:
        raise input_error("count", count, "must be at least 2")
    moments = np.linspace(trace.time[0], trace.time[-1], count)
    picked = np.unique(np.searchsorted(trace.time, moments).clip(0, trace.time.size - 1))
    along = np.linspace(0.0, 1.0, trace.nodes)
    colors = plt.get_cmap("cividis")(np.linspace(0.0, 0.85, picked.size))
    step = 1e3 * (trace.time[-1] - trace.time[0]) / max(count - 1, 1)
    shapes = []
    for nodes in (trace.arrow_y, trace.arrow_z):
        rows = nodes[picked]
        shapes.append(rows - rows[:, :1] * (1 - along) - rows[:, -1:] * along)
    largest = max(float(np.abs(shape).max(initial=0.0)) for shape in shapes) or 1.0
    for ax, shape, title in zip(made, shapes, ("From the side (up)", "From above (right)"), strict=True):
        for color, bend, time in zip(colors, shape, 1e3 * trace.time[picked], strict=True):
            ax.axhline(time, color=STONE, linewidth=0.4)
            ax.plot(along, time + scale * 0.8 * step * bend / largest, color=color, linewidth=2)
        ax.axhline(1e3 * launch.exit_time, color=EMBER, linewidth=1.0, linestyle=(0, (5, 2)))
        finish(ax, title=title)
        ax.set_xticks([0.0, 1.0], ["nock", "point"])
        ax.grid(visible=False)
    bend, unit = small(largest, units)
    made[0].set_ylabel("time since release [ms]")
    made[0].annotate(
        "nock leaves",
        (0.02, 1e3 * launch.exit_time),
        textcoords="offset points",
        xytext=(0, 3),
        fontsize=7,
        color=EMBER,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 0.5},
    )
    made[1].annotate(
        f"largest bend {float(bend):.3g} {unit}",
        (0.98, 0.01),
        xycoords="axes fraction",
        ha="right",
        fontsize=8,
        color=STONE,
    )
    return made


def clearance(model: Model, launch: Launch, *, ax: Axes | None = None, units: UnitSystem = "workshop") -> Axes:
    """Gap between launcher and shaft over the part of the arrow that is passing the rest, with the vanes.

    Where the curve enters the vanes' area, a vane that points at the launcher strikes it.
    """
    ax = axes_or_new(ax)
    trace = _trace(launch)
    setup = model.setup
    over = setup["rest.position_x"] + trace.riser_x - trace.nock_x
    gap, unit = small(trace.rest_gap, units)
    passed, length = in_units(over, "m", units)
    ax.plot(passed, gap, color=NAVY, linewidth=2, label="gap, launcher to shaft")
    ax.axhline(0.0, color=STONE, linewidth=0.8)
    if setup["arrow.fletching.count"] > 0:
        middle, half = setup["arrow.fletching.distance"], 0.5 * setup["arrow.fletching.length"]
        front, back = (in_units(middle + sign * half, "m", units)[0] for sign in (1, -1))
        height = small(setup["arrow.fletching.height"], units)[0]
        ax.fill(
            [front, back, back], [0.0, 0.0, height], color=STRAW, alpha=0.8, linewidth=0, label="vane that points at it"
        )
    left = np.searchsorted(trace.time, launch.exit_time).clip(0, trace.time.size - 1)
    ax.plot(passed[left], gap[left], marker="o", color=EMBER, linestyle="none", label="nock leaves the string")
    ax.set_xlim(float(passed.max()), min(0.0, float(passed.min())))
    ax.legend(frameon=False, fontsize=8)
    touches = "vanes strike" if launch.rest.fletching_contact else "vanes clear"
    return finish(
        ax,
        f"part of the arrow over the rest, from the nock [{length}]",
        f"gap [{unit}]",
        f"Rest and fletching: {touches}",
    )
