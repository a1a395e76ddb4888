"""Plots of the hole in the paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.collections import PatchCollection
from matplotlib.patches import Circle
from matplotlib.ticker import MaxNLocator

from nockwise._core import PaperTear, Setup, describe_tear, parameter, si_unit
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._style import EMBER, NAVY, PAPER, STONE, axes_or_new, finish, small

if TYPE_CHECKING:
    import xarray


# What is drawn for the arrow when no setup is given [m].
SHAFT_DIAMETER = 0.0066
VANES, VANE_HEIGHT = 3, 0.0125


def paper(
    tear: PaperTear, *, setup: Setup | None = None, ax: Axes | None = None, units: UnitSystem = "workshop"
) -> Axes:
    """The paper as the archer sees it: hole of the point, slit of the shaft, cuts of the vanes, all to scale.

    The axes count from the middle of the point's hole. Shaft and vanes are those of `setup`; without one, a shaft of
    6.6 mm with three vanes 12.5 mm high. One vane is drawn upward.
    """
    ax = axes_or_new(ax, width=4.6, height=4.6)
    vanes, fin, diameter = VANES, VANE_HEIGHT, SHAFT_DIAMETER
    if setup is not None:
        vanes, fin = round(setup["arrow.fletching.count"]), setup["arrow.fletching.height"]
        diameter = setup["arrow.diameter"]
    up, unit = small(tear.section_up, units)
    right, _ = small(tear.section_right, units)
    radius, reach = (float(small(size, units)[0]) for size in (0.5 * diameter, 0.5 * diameter + fin))
    ax.set_facecolor(PAPER)
    _slit(ax, right, up, radius)
    tail = (float(small(tear.right, units)[0]), float(small(tear.up, units)[0]))
    for index in range(vanes):
        angle = 0.5 * np.pi + 2 * np.pi * index / vanes
        ends = ([tail[0], tail[0] + reach * np.cos(angle)], [tail[1], tail[1] + reach * np.sin(angle)])
        ax.plot(*ends, color=NAVY, linewidth=1.6, label="cuts of the vanes" if index == 0 else None)
    ax.add_patch(Circle((0.0, 0.0), radius, color=EMBER, zorder=3, label="hole of the point"))
    size = 1.35 * max(2.0 * reach, *np.abs(up), *np.abs(right), abs(tail[0]) + reach, abs(tail[1]) + reach)
    ax.set_xlim(-size, size)
    ax.set_ylim(-size, size)
    ax.set_aspect("equal")
    ax.xaxis.set_major_locator(MaxNLocator(5))
    ax.yaxis.set_major_locator(MaxNLocator(5))
    ax.legend(frameon=False, fontsize=7, loc="lower right")
    words = describe_tear(tear)
    if units == "si":
        words += f" ({1e3 * tear.up:+.1f} mm up, {1e3 * tear.right:+.1f} mm right)"
    return finish(ax, f"right of the point's hole [{unit}]", f"above it [{unit}]", f"The paper: {words}")


def _slit(ax: Axes, right: npt.NDArray[np.float64], up: npt.NDArray[np.float64], radius: float) -> None:
    """The area that the shaft sweeps, from circles a small step apart."""
    along = np.append(0.0, np.cumsum(np.hypot(np.diff(right), np.diff(up))))
    fine = np.linspace(0.0, along[-1], 2 + int(along[-1] / (0.15 * radius)))
    circles = [Circle(at, radius) for at in zip(np.interp(fine, along, right), np.interp(fine, along, up), strict=True)]
    ax.add_collection(PatchCollection(circles, facecolor=NAVY, edgecolor="none"))
    ax.plot([], [], color=NAVY, linewidth=6, solid_capstyle="round", label="slit of the shaft")


def tear_map(
    dataset: xarray.Dataset, x: str, y: str, *, ax: Axes | None = None, units: UnitSystem = "workshop"
) -> Axes:
    """Tear over two parameters of a grid sweep: shade for its size, arrows for where the tail goes.

    The sweep must have the outputs "paper_tear.up" and "paper_tear.right". Samples that failed are left white with a
    cross.
    """
    ax = axes_or_new(ax, width=6.0, height=4.8)
    for name in ("paper_tear.up", "paper_tear.right"):
        if name not in dataset:
            raise input_error("dataset", list(map(str, dataset.data_vars)), f"must have the output {name}")
        if set(dataset[name].dims) != {x, y}:
            raise input_error(
                "dataset", dataset[name].dims, f"must have just the dimensions {x} and {y}; select the others first"
            )
    up, unit = small(dataset["paper_tear.up"].transpose(y, x).values, units)
    right, _ = small(dataset["paper_tear.right"].transpose(y, x).values, units)
    (xs, x_unit), (ys, y_unit) = (_axis_values(dataset, name, units) for name in (x, y))
    size = np.hypot(up, right)
    shade = ax.pcolormesh(xs, ys, size, cmap="cividis_r", shading="nearest", vmin=0.0)
    bar = ax.figure.colorbar(shade, ax=ax, label=f"size of the tear [{unit}]")
    bar.outline.set_visible(False)
    at_x, at_y = np.meshgrid(xs, ys)
    with np.errstate(invalid="ignore"):
        largest = float(np.nanmax(size, initial=0.0)) or 1.0
    dark = np.nan_to_num(size) > 0.55 * largest
    for chosen, color in ((dark, "white"), (~dark, NAVY)):
        shown = chosen & np.isfinite(size)
        if shown.any():
            ax.quiver(
                at_x[shown],
                at_y[shown],
                right[shown],
                up[shown],
                color=color,
                pivot="middle",
                scale=largest * max(len(xs), len(ys)) * 1.1,
                width=0.005,
            )
    failed = ~np.isfinite(size)
    ax.plot(at_x[failed], at_y[failed], marker="x", color=STONE, linestyle="none")
    finish(ax, f"{x} [{x_unit}]", f"{y} [{y_unit}]", "Tear map: arrows show where the tail goes")
    ax.grid(visible=False)
    return ax


def _axis_values(dataset: xarray.Dataset, name: str, units: UnitSystem) -> tuple[npt.NDArray[np.float64], str]:
    """Values of a swept parameter, in the parameter's own unit for the workshop."""
    from nockwise._core import from_si

    p = parameter(name)
    unit = p.unit if units == "workshop" else si_unit(p.quantity)
    return from_si(dataset[name].values, p.quantity, unit), unit or "1"
