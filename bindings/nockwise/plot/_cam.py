"""One cam: its grooves and its stop, the levers that they give over the draw, and how the stop comes to its touch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.axes import Axes

from nockwise._core import CamTable, CompiledTrack, DrawCycle, Model, Setup, draw_cycle, draw_length_allowance
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._bow import HALVES, SIGN, FloatArray, _groove, _halves, _outline, _Run, _run
from nockwise.plot._style import EMBER, JADE, NAVY, STONE, STRAW, axes_list, axes_or_new, finish, in_units, small

GROOVES = (
    ("string_track", NAVY, "-", "string"),
    ("take_up_track", JADE, (0, (6, 1.5)), "own cable, taken up"),
    ("let_out_track", STRAW, (0, (2, 1.2)), "other cable, let out"),
)


MOST_CURVES = 8


class _Levers(NamedTuple):
    """What one cam's lines do at one place of the draw."""

    string: _Run
    take_up: _Run
    let_out: tuple[float, float] | None  # normal [rad] and lever [m] of the other cam's cable, where it ends here


def _levers(setup: Setup, cycle: DrawCycle, h: int, index: int) -> _Levers:
    halves = _halves(setup, cycle, float(index))
    own, beyond = halves[h], halves[1 - h]
    half, other = HALVES[h], HALVES[1 - h]
    mirror = np.array([1.0, SIGN[h]])
    nock = np.array([float(cycle.points["nock_x"][index]), float(cycle.points["nock_y"][index])]) * mirror
    string = _run(CompiledTrack(setup[f"cams.{half}.string_track"]), own.cam_angle, nock - own.axle, lets_out=True)
    flip = np.array([1.0, -1.0])

    def cable(name: str, beyond_name: str, near_at: int) -> _Run:
        near, far = halves[near_at], halves[1 - near_at]
        ends = _groove(setup, beyond_name, "let_out_track") if setup[f"cables.{name}.end"] == "let_out" else None
        return _run(
            CompiledTrack(setup[f"cams.{name}.take_up_track"]),
            near.cam_angle,
            far.axle * flip - near.axle,
            lets_out=False,
            far=None if ends is None else (ends, far.cam_angle),
        )

    let_out = None
    if setup[f"cables.{other}.end"] == "let_out":
        run = cable(other, half, 1 - h)
        u = run.normal - 0.5 * np.pi + beyond.cam_angle
        let_out = (0.5 * np.pi - u - own.cam_angle, run.far_lever)
    return _Levers(string, cable(half, other, h), let_out)


def _point(track: CompiledTrack, normal: float) -> FloatArray:
    at = track.evaluate(normal)
    direction = np.array([np.cos(normal), np.sin(normal)])
    return np.asarray(at.distance * direction + at.slope * np.array([-direction[1], direction[0]]))


def _peg(setup: Setup, half: str) -> tuple[FloatArray, float] | None:
    """Middle of a stop's peg in the cam's frame, and its radius: of a limb stop where it meets the limb's line."""
    kind = setup[f"cams.{half}.stop.kind"]
    if kind == "none":
        return None
    radius, angle = setup[f"cams.{half}.stop.radius"], setup[f"cams.{half}.stop.angle"]
    at = angle if kind == "cable" else -0.5 * np.pi - angle
    return radius * np.array([np.cos(at), np.sin(at)]), setup[f"cams.{half}.stop.peg_size"]


def _draw_grooves(ax: Axes, setup: Setup, half: str, scale: float, levers: Sequence[_Levers]) -> None:
    """Grooves and peg in the side frame at brace, and where the lines leave: dots at brace, squares at the wall."""
    for name, color, dashes, label in GROOVES:
        outline = _outline(setup, half, name, 0.0)
        if outline is None or (name == "let_out_track" and levers[0].let_out is None):
            continue
        ax.plot(*(scale * outline).T, color=color, linewidth=2.2, linestyle=dashes, label=label)
        track = CompiledTrack(setup[f"cams.{half}.{name}"])
        for seen, marker in ((levers[0], "o"), (levers[-1], "s")):
            normal = {
                "string_track": seen.string.normal,
                "take_up_track": seen.take_up.normal,
                "let_out_track": seen.let_out[0] if seen.let_out else 0.0,
            }[name]
            ax.plot(*(scale * _point(track, normal)), marker=marker, color=color, markersize=6, linestyle="none")
    peg = _peg(setup, half)
    if peg is not None:
        middle, size = peg
        turn = np.linspace(0.0, 2.0 * np.pi, 61)
        rim = middle[:, None] + size * np.stack([np.cos(turn), np.sin(turn)])
        ax.fill(*(scale * rim), color=EMBER, linewidth=0)
        ax.plot(*(scale * np.stack([np.zeros(2), middle]).T), color=EMBER, linewidth=0.8, linestyle=(0, (2, 2)))
    ax.plot(0.0, 0.0, marker="+", color=STONE, markersize=12, markeredgewidth=1.6, linestyle="none")
    ax.set_aspect("equal")


def cam(
    setup: Setup,
    cycle: DrawCycle | None = None,
    *,
    half: str = "upper",
    axes: Sequence[Axes] | None = None,
    units: UnitSystem = "workshop",
) -> list[Axes]:
    """One cam: grooves and stop as at brace, lever arms over the draw, and the stop's gap near the wall.

    Three axes. In the first, in the half's own side frame (the lower half mirrored), lines leave at the dots at
    brace and at the squares at the wall; the peg of a limb stop stands where it meets the limb's line. The lever arm
    of a line is the distance of its run from the axle, the support function of its groove. The gap is that of the stop
    under the hand that draws; negative: pressed.
    """
    if half not in HALVES:
        raise input_error("half", half, "must be upper or lower")
    if axes is None:
        _, made = plt.subplot_mosaic([["cam", "levers"], ["cam", "gap"]], figsize=(9.6, 5.4), layout="constrained")
        grooves, arms, gap = (made[name] for name in ("cam", "levers", "gap"))
    else:
        grooves, arms, gap = axes_list(axes, 3, height=5.4)
    cycle = draw_cycle(Model(setup)) if cycle is None else cycle
    h = HALVES.index(half)
    last = cycle.touch_index
    levers = [_levers(setup, cycle, h, index) for index in range(last + 1)]
    scale = float(small(1.0, units)[0])
    length = small(1.0, units)[1]
    _draw_grooves(grooves, setup, half, scale, levers)
    turned = float(np.degrees(cycle.points["cam_angle"][last, h] - cycle.points["cam_angle"][0, h]))
    finish(grooves, f"[{length}]", f"[{length}]", f"{half} cam, turns {turned:.0f}° in the draw")
    draw, unit = in_units(draw_length_allowance - cycle.points["nock_x"], "m", units)
    rows = [("string_track", [each.string.lever for each in levers])]
    rows.append(("take_up_track", [each.take_up.lever for each in levers]))
    if levers[0].let_out is not None:
        rows.append(("let_out_track", [each.let_out[1] if each.let_out else np.nan for each in levers]))
    for name, arm in rows:
        _, color, dashes, label = next(each for each in GROOVES if each[0] == name)
        arms.plot(draw[: last + 1], scale * np.array(arm), color=color, linestyle=dashes, linewidth=2, label=label)
    arms.axhline(0.0, color=STONE, linewidth=0.8)
    arms.legend(frameon=False, fontsize=8)
    finish(arms, "", f"lever arm [{length}]", "Lever arms over the draw")
    gaps = 1e3 * cycle.points["stop_gap"][:, h]
    if np.isfinite(gaps[0]):
        gap.plot(draw, gaps, color=EMBER, linewidth=2)
        near = np.flatnonzero(gaps > 10.0)
        gap.set_xlim(float(draw[near[-1]]) if near.size else None, float(draw[-1]))
        gap.set_ylim(-1.0, 10.0 if near.size else None)
        gap.axhline(0.0, color=STONE, linewidth=0.8)
        gap.axvline(float(draw[last]), color=STONE, linewidth=0.8, linestyle=(0, (2, 2)))
    kind = setup[f"cams.{half}.stop.kind"]
    finish(
        gap,
        f"draw length [{unit}]",
        "stop gap [mm]",
        "No stop" if kind == "none" else f"Stop: the peg (left, same colour) and the {kind}",
    )
    return [grooves, arms, gap]


def cam_curves(table: CamTable, *, ax: Axes | None = None, units: UnitSystem = "workshop") -> Axes:
    """Draw curves of a comparison over one another, those of cams that failed left out.

    At most eight, told apart by colour and dashes; pick some of a larger table.
    """
    ax = axes_or_new(ax, width=6.8, height=4.2)
    rows = [row for row in table.rows if not row.failure and len(row.draw_curve)]
    if len(rows) > MOST_CURVES:
        raise input_error("table", f"{len(rows)} curves", f"must be at most {MOST_CURVES} to be told apart")
    strength = ""
    unit = ""
    for i, row in enumerate(rows):
        draw, unit = in_units(row.draw_curve["draw_length"], "m", units)
        force, strength = in_units(row.draw_curve["force"], "N", units)
        color = (NAVY, EMBER, JADE, STRAW)[i % 4]
        ax.plot(draw, force, color=color, linestyle="-" if i < 4 else (0, (4, 1.5)), linewidth=2, label=row.name)
    ax.set_ylim(0.0, None)
    ax.legend(frameon=False, fontsize=8)
    return finish(ax, f"draw length [{unit}]", f"draw force [{strength}]", "Draw curves side by side")


LINKS = (
    ("cable_length", 1e3, "cable [mm]"),
    ("cam_angle", 180.0 / np.pi, "upper cam ahead [°]"),
    ("stop_gap", 1e3, "upper stop late [mm]"),
    ("nock_travel", 1e3, "nock above its line [mm]"),
    ("tear_up", 1e3, "tail-high tear [mm]"),
)


def sync_chain(table: CamTable, *, axes: Sequence[Axes] | None = None) -> list[Axes]:
    """How a quarter of a twist more in the upper cam's cable travels to the hole, a bar for each bow of a comparison.

    Five axes side by side: what it does to cable, cams, stops, nock and tear; failed rows are left out. Each has a
    scale of its own.
    """
    rows = [row for row in table.rows if not row.failure]
    if axes is None:
        height = 1.2 + 0.42 * len(rows)
        _, new = plt.subplots(1, len(LINKS), figsize=(11.0, height), sharey=True, layout="constrained", squeeze=False)
        made: list[Axes] = list(new[0])
    else:
        made = axes_list(axes, len(LINKS), height=3.0)
    places = np.arange(len(rows))[::-1]
    for ax, (name, by, title) in zip(made, LINKS, strict=True):
        values = np.array([by * getattr(row.chain, name) for row in rows])
        ax.barh(places, values, height=0.6, color=[EMBER if value < 0.0 else NAVY for value in values])
        most = float(np.abs(values).max()) if len(rows) else 1.0
        for place, value in zip(places, values, strict=True):
            ax.annotate(
                f"{value:+.2f}",
                (value, place),
                (4 if value >= 0.0 else -4, 0),
                textcoords="offset points",
                ha="left" if value >= 0.0 else "right",
                va="center",
                fontsize=8,
            )
        ax.set_xlim(-1.8 * most, 1.8 * most)
        ax.axvline(0.0, color=STONE, linewidth=0.8)
        ax.set_yticks(places, [row.name for row in rows])
        finish(ax, title)
    made[0].set_title("A quarter of a twist more in the upper cam's cable", loc="left", fontsize=10, color=NAVY)
    return made
