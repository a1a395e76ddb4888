"""The launch seen: the whole bow in slow motion, from the side to scale and from above drawn larger across."""

from __future__ import annotations

from typing import Any

import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
from matplotlib.animation import FuncAnimation
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from nockwise._core import CompiledTrack, Launch, Setup, Trace
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._bow import HALVES, SIGN, _groove, _outline, _run
from nockwise.plot._film import FRAMES, frames_of
from nockwise.plot._style import EMBER, JADE, NAVY, STONE, STRAW, finish, in_units, small

FloatArray = npt.NDArray[np.float64]
Lines = dict[str, FloatArray]
LOOKS = {
    "riser": (STONE, 9.0, 0.35),
    "limb": (NAVY, 5.0, 1.0),
    "string_track": (NAVY, 1.6, 1.0),
    "take_up_track": (JADE, 1.0, 1.0),
    "let_out_track": (JADE, 1.0, 1.0),
    "string": (EMBER, 1.4, 1.0),
    "cable": (JADE, 1.0, 1.0),
    "arrow": (STRAW, 2.2, 1.0),
}


class _Side:
    """The bow at any sample of a launch's trace, from the archer's right, in the ground's frame [m]."""

    def __init__(self, setup: Setup, trace: Trace) -> None:
        self.setup = setup
        self.trace = trace
        self.string = [CompiledTrack(setup[f"cams.{half}.string_track"]) for half in HALVES]
        self.take_up = [CompiledTrack(setup[f"cams.{half}.take_up_track"]) for half in HALVES]
        self.let_out = [
            _groove(setup, HALVES[1 - h], "let_out_track") if setup[f"cables.{half}.end"] == "let_out" else None
            for h, half in enumerate(HALVES)
        ]

    def lines(self, i: int) -> Lines:
        """Every line to be drawn, by name; a point a row."""
        trace, setup = self.trace, self.setup
        pitch = float(trace.riser_pitch[i])
        grip = np.array([trace.riser_x[i], trace.riser_y[i]])
        nock = np.array([trace.string_x[i], trace.string_y[i]])
        across = [np.array([1.0, sign]) for sign in SIGN]
        axles = [
            np.array([trace.axle_x.upper[i], trace.axle_y.upper[i]]),
            np.array([trace.axle_x.lower[i], trace.axle_y.lower[i]]),
        ]
        angles = [float(trace.cam_angle.upper[i]), float(trace.cam_angle.lower[i])]
        # Of a cam in its side frame, in which the riser's pitch of the lower half has the other sign.
        turns = [angle + sign * pitch for angle, sign in zip(angles, SIGN, strict=True)]
        drawn: Lines = {}
        pivots = []
        for h, half in enumerate(HALVES):
            place = np.array([setup[f"limbs.{half}.pivot_x"], SIGN[h] * setup[f"limbs.{half}.pivot_y"]])
            turn = np.array([[np.cos(pitch), -np.sin(pitch)], [np.sin(pitch), np.cos(pitch)]])
            pivots.append(grip + turn @ place)
            drawn[f"limb {half}"] = np.stack([pivots[h], axles[h]])
            for name in ("string_track", "take_up_track", "let_out_track"):
                groove = _outline(setup, half, name, turns[h])
                if groove is not None:
                    drawn[f"{name} {half}"] = axles[h] + groove * across[h]
            string = _run(self.string[h], turns[h], (nock - axles[h]) * across[h], lets_out=True)
            drawn[f"string {half}"] = np.stack([axles[h] + string.start * across[h], nock])
            span = (axles[1 - h] - axles[h]) * across[h]
            far = self.let_out[h]
            cable = _run(
                self.take_up[h], turns[h], span, lets_out=False, far=None if far is None else (far, turns[1 - h])
            )
            drawn[f"cable {half}"] = np.stack(
                [axles[h] + cable.start * across[h], axles[h] + (span + cable.end) * across[h]]
            )
        drawn["riser"] = np.stack([pivots[0], grip, pivots[1]])
        shaft = np.linspace(0.0, setup["arrow.length"], trace.arrow_y.shape[1])
        drawn["arrow"] = np.stack([trace.nock_x[i] + shaft, trace.arrow_y[i]], axis=-1)
        return drawn


def _make_lines(ax: Axes, drawn: Lines, by: float) -> dict[str, Line2D]:
    made = {}
    for name, points in drawn.items():
        color, width, strength = LOOKS[name.split()[0]]
        (made[name],) = ax.plot(*(by * points).T, color=color, linewidth=width, alpha=strength, solid_capstyle="round")
    return made


def bow_film(
    setup: Setup, shot: Launch, *, frames: int = FRAMES, slow: float = 200.0, units: UnitSystem = "workshop"
) -> FuncAnimation:
    """The launch in slow motion, until the nock has left the string and the tail has passed the rest.

    Above, the bow from the archer's right, to scale: limbs as the rigid links that stand for them, cams, string,
    cables and arrow. Below, the shaft and the string's point from above; what they move aside is drawn larger than
    its length, as the axis says.

    Parameters
    ----------
    setup
        The bow that was shot.
    shot
        Its launch with a trace, ``launch(model, trace=True)``.
    frames
        How many pictures at most, 2 to 5000, even in time.
    slow
        How many times slower than the launch the film runs, 1 to 100,000.
    units
        Of the axes, ``"workshop"`` or ``"si"``.

    Returns
    -------
    matplotlib.animation.FuncAnimation
        Keep it, show it in a notebook (``HTML(film.to_jshtml())``), or save it: ``film.save("launch.gif")``; an MP4
        needs a writer such as FFmpeg on the machine.

    Raises
    ------
    InputError
        For a launch without its trace, and for values outside these ranges.

    """
    trace = shot.trace
    if trace.time.size < 2:
        raise input_error("shot", "a launch without its trace", "must be launched with trace=True")
    if not 1.0 <= slow <= 1e5:
        raise input_error("slow", str(slow), "must be from 1 to 100000")
    even = np.linspace(0.0, float(trace.time[-1]), len(frames_of(frames, trace.time.size)))
    chosen = np.minimum(np.searchsorted(trace.time, even), trace.time.size - 1)
    side = _Side(setup, trace)
    by, length = in_units(1.0, "m", units)
    scale = float(by)
    figure, (bow, top) = plt.subplots(2, 1, figsize=(7.2, 8.4), layout="constrained", height_ratios=(3.2, 1.0))
    every = [np.concatenate(list(side.lines(int(i)).values())) for i in (0, int(chosen[len(chosen) // 2]), chosen[-1])]
    reach = scale * np.concatenate(every)
    made = _make_lines(bow, side.lines(0), scale)
    bow.set_xlim(float(reach[:, 0].min()) - 0.05 * scale, float(reach[:, 0].max()) + 0.05 * scale)
    bow.set_ylim(float(reach[:, 1].min()) - 0.05 * scale, float(reach[:, 1].max()) + 0.05 * scale)
    bow.set_aspect("equal")
    finish(bow, f"toward the target [{length}]", f"up [{length}]")
    aside, unit = small(trace.arrow_z, units)
    point = small(trace.string_z, units)[0]
    shaft = np.linspace(0.0, setup["arrow.length"], trace.arrow_z.shape[1])
    (seen,) = top.plot(scale * (trace.nock_x[0] + shaft), aside[0], color=STRAW, linewidth=2.2, label="shaft")
    (held,) = top.plot(
        [], [], marker="o", linestyle="none", color=EMBER, markersize=5, label="string where it is nocked"
    )
    aside_at_string = point[trace.time <= shot.exit_time] if shot.exit_time > 0.0 else point
    every_aside = np.concatenate([np.ravel(aside), aside_at_string])
    spread = max(float(np.ptp(every_aside)), 1e-9)
    top.set_xlim(bow.get_xlim())
    top.set_ylim(float(np.min(every_aside)) - 0.12 * spread, float(np.max(every_aside)) + 0.12 * spread)
    finish(top, f"toward the target [{length}]", f"right [{unit}], drawn larger")
    top.legend(frameon=False, fontsize=8, loc="upper right")
    title = bow.set_title("", loc="left", fontsize=10, color=NAVY)

    def show(frame: int) -> list[Any]:
        i = int(chosen[frame])
        for name, points in side.lines(i).items():
            made[name].set_data(*(scale * points).T)
        seen.set_data(scale * (trace.nock_x[i] + shaft), aside[i])
        held.set_data([scale * trace.string_x[i]], [point[i]])
        left = trace.time[i] > shot.exit_time > 0.0
        where = "the arrow is free" if left else "on the string"
        title.set_text(
            f"{setup['name']}: {1e3 * trace.time[i]:.1f} ms, {trace.speed[i]:.0f} m/s, {where}; {slow:g} times slower"
        )
        return [title, seen, held, *made.values()]

    show(0)
    interval = slow * 1e3 * float(trace.time[-1]) / max(1, len(chosen) - 1)
    return FuncAnimation(figure, show, frames=len(chosen), interval=interval, blit=False)
