"""Films of the launch and of the flight, as Matplotlib animations."""

from __future__ import annotations

from typing import Any

import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
from matplotlib.animation import FuncAnimation

from nockwise._core import Launch
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._style import EMBER, JADE, NAVY, STONE, finish, small

FRAMES = 120


def frames_of(wanted: int, there: int) -> npt.NDArray[np.int64]:
    if not 2 <= wanted <= 5000:
        raise input_error("frames", str(wanted), "must be from 2 to 5000")
    return np.unique(np.linspace(0, there - 1, min(wanted, there)).round().astype(np.int64))


def launch_film(shot: Launch, *, frames: int = FRAMES, units: UnitSystem = "workshop") -> FuncAnimation:
    """The shaft on its way out of the bow, from the side and from above; what it bends is drawn larger than its length.

    `shot` must have its trace: launch(model, trace=True). Keep the animation, or save it: `film.save("launch.gif")`.
    """
    trace = shot.trace
    if trace.time.size < 2:
        raise input_error("shot", "a launch without its trace", "must be launched with trace=True")
    chosen = frames_of(frames, trace.time.size)
    figure, axes = plt.subplots(2, 1, figsize=(7.2, 4.6), sharex=True, layout="constrained")
    lines = []
    along = np.linspace(0.0, 1.0, trace.arrow_y.shape[1])
    for ax, shape, label, tone in (
        (axes[0], trace.arrow_y, "up", NAVY),
        (axes[1], trace.arrow_z, "right", EMBER),
    ):
        values, unit = small(shape, units)
        (line,) = ax.plot(along, values[0], color=tone, linewidth=2.0)
        reach = float(np.max(values) - np.min(values))
        ax.set_ylim(float(np.min(values)) - 0.1 * reach - 1e-9, float(np.max(values)) + 0.1 * reach + 1e-9)
        finish(ax, "", f"{label} [{unit}]")
        lines.append((line, values))
    axes[1].set_xlabel("along the shaft, nock to point")
    title = axes[0].set_title("", loc="left", fontsize=10, color=NAVY)

    def show(frame: int) -> list[Any]:
        index = chosen[frame]
        for line, values in lines:
            line.set_ydata(values[index])
        title.set_text(f"{1e3 * trace.time[index]:.1f} ms, {trace.speed[index]:.0f} m/s")
        return [title, *(line for line, _ in lines)]

    show(0)
    return FuncAnimation(figure, show, frames=len(chosen), interval=50, blit=False)


def flight_film(points: npt.NDArray[Any], *, frames: int = FRAMES, units: UnitSystem = "workshop") -> FuncAnimation:
    """The arrow on its way to the target: its height along the way, and how it points against its path.

    `points` is what flight_to() gives. Keep the animation, or save it: `film.save("flight.gif")`.
    """
    chosen = frames_of(frames, len(points))
    along = points["x"] if units == "si" else points["x"] / 0.9144
    up, unit = small(points["y"], units)
    figure, (way, pose) = plt.subplots(2, 1, figsize=(7.2, 5.4), layout="constrained", height_ratios=(1, 1.2))
    way.plot(along, up, color=STONE, linewidth=1.0)
    (place,) = way.plot(along[:1], up[:1], marker="o", color=EMBER, markersize=6)
    finish(way, f"along the line of sight [{'m' if units == 'si' else 'yd'}]", f"height [{unit}]")
    pitch = np.degrees(points["nose_y"] / points["nose_x"] - points["velocity_y"] / points["velocity_x"])
    yaw = np.degrees(points["nose_z"] / points["nose_x"] - points["velocity_z"] / points["velocity_x"])
    reach = max(0.1, 1.15 * float(np.max(np.hypot(pitch, yaw))))
    (trail,) = pose.plot([], [], color=JADE, linewidth=1.0)
    (nose,) = pose.plot([], [], marker="o", color=NAVY, markersize=8)
    pose.axhline(0.0, color=STONE, linewidth=0.6)
    pose.axvline(0.0, color=STONE, linewidth=0.6)
    pose.set_xlim(-reach, reach)
    pose.set_ylim(-reach, reach)
    pose.set_aspect("equal")
    finish(pose, "nose right of its path [deg]", "nose above it [deg]")
    title = way.set_title("", loc="left", fontsize=10, color=NAVY)

    def show(frame: int) -> list[Any]:
        index = int(chosen[frame])
        place.set_data([along[index]], [up[index]])
        trail.set_data(yaw[: index + 1], pitch[: index + 1])
        nose.set_data([yaw[index]], [pitch[index]])
        title.set_text(f"{points['time'][index]:.3f} s, {points['velocity_x'][index]:.0f} m/s")
        return [place, trail, nose, title]

    show(0)
    return FuncAnimation(figure, show, frames=len(chosen), interval=50, blit=False)
