"""The bow itself, to scale: side view at brace and at full draw, and its cams."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes

from nockwise._core import CompiledTrack, DrawCycle, Model, Setup, draw_cycle, draw_length_allowance
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._style import EMBER, JADE, LIGHT, NAVY, STONE, STRAW, axes_list, axes_or_new, finish, in_units

FloatArray = npt.NDArray[np.float64]
HALVES = ("upper", "lower")
SIGN = (1.0, -1.0)  # of a side frame's y


class _Half(NamedTuple):
    """One half at one position of the draw, in its own side frame (y away from the grip)."""

    pivot: FloatArray
    axle: FloatArray
    cam_angle: float


def _between(values: FloatArray, place: float) -> FloatArray:
    """A value between two points of a draw; whole places are the points themselves."""
    low = min(int(place), len(values) - 1)
    high = min(low + 1, len(values) - 1)
    return np.asarray(values[low] + (place - low) * (values[high] - values[low]), dtype=np.float64)


def _place_of(cycle: DrawCycle, draw_length: float) -> float:
    """Where in the points of a draw it has come to this draw length."""
    reached = draw_length_allowance - cycle.points["nock_x"][: cycle.touch_index + 1]
    if not reached[0] <= draw_length <= reached[-1]:
        allowed = f"must be from {reached[0]:.4f} m, at brace, to {reached[-1]:.4f} m, at the wall"
        raise input_error("draw_length", f"{draw_length} m", allowed)
    return float(np.interp(draw_length, reached, np.arange(len(reached))))


def _halves(setup: Setup, cycle: DrawCycle, place: float) -> list[_Half]:
    made = []
    for h, half in enumerate(HALVES):
        angle = float(_between(cycle.points["limb_angle"][:, h], place))
        pivot = np.array([setup[f"limbs.{half}.pivot_x"], setup[f"limbs.{half}.pivot_y"]])
        limb = setup[f"limbs.{half}.effective_length"] * np.array([-np.sin(angle), np.cos(angle)])
        made.append(_Half(pivot, pivot + limb, float(_between(cycle.points["cam_angle"][:, h], place))))
    return made


def _tangents(track: CompiledTrack, normals: FloatArray, turn: float) -> FloatArray:
    """Points of a groove with these normals in the cam's frame, in the side frame about the axle: p n + p′ n′."""
    rows = track.evaluate(normals)
    at = normals + turn
    normal = np.stack([np.cos(at), np.sin(at)], axis=-1)
    across = np.stack([-np.sin(at), np.cos(at)], axis=-1)
    return np.asarray(rows["distance"][:, None] * normal + rows["slope"][:, None] * across)


class _Run(NamedTuple):
    """A taut run: its ends from the two axles, and where it leaves which groove with which lever."""

    start: FloatArray
    end: FloatArray
    normal: float
    lever: float
    far_lever: float


def _run(
    near: CompiledTrack,
    turn: float,
    span: FloatArray,
    *,
    lets_out: bool,
    far: tuple[CompiledTrack, float] | None = None,
) -> _Run:
    """A taut run from a groove to a point, an axle or the other cam's groove.

    Tangency as in lib/README.md, section "Taut runs".
    """
    sigma, shift = (1.0, 1.5 * np.pi) if lets_out else (-1.0, 0.5 * np.pi)
    u = float(np.arctan2(span[1], span[0]))
    u -= 2.0 * np.pi if u > 0.5 * np.pi else 0.0
    for _ in range(40):
        along = np.cos(u) * span[0] + np.sin(u) * span[1]
        across = np.cos(u) * span[1] - np.sin(u) * span[0]
        a = near.evaluate(u + shift - turn)
        p_b, slope_b = 0.0, 0.0
        if far is not None:
            b = far[0].evaluate(0.5 * np.pi - u - far[1])
            p_b, slope_b = b.distance, b.slope
        step = (across + sigma * a.distance - p_b) / (along - sigma * a.slope - slope_b)
        u += float(np.clip(step, -0.3, 0.3))
        if abs(step) < 1e-12:
            break
    direction = np.array([np.cos(u), np.sin(u)])
    turned = np.array([-np.sin(u), np.cos(u)])
    a = near.evaluate(u + shift - turn)
    start = sigma * (-a.distance * turned + a.slope * direction)
    end = np.zeros(2) if far is None else -p_b * turned - slope_b * direction
    return _Run(start, end, u + shift - turn, a.distance, p_b)


def _wrapped(track: CompiledTrack, turn: float, first: float, last: float) -> FloatArray:
    inside = np.clip([first, last], track.first_angle, track.last_angle)
    return _tangents(track, np.linspace(inside[0], inside[1], 181), turn)


def _groove(setup: Setup, half: str, name: str) -> CompiledTrack | None:
    track = setup[f"cams.{half}.{name}"]
    return None if track is None else CompiledTrack(track)


def _outline(setup: Setup, half: str, name: str, turn: float) -> FloatArray | None:
    """A whole groove as far as it is used, about the axle in the side frame."""
    track = _groove(setup, half, name)
    if track is None:
        return None
    closed = track.last_angle - track.first_angle > 3.0 * np.pi  # a fitted groove, laid out over several turns
    if track.is_circle or closed:
        return _wrapped(track, turn, 0.0, 2.0 * np.pi)
    return _wrapped(track, turn, track.first_angle, track.last_angle)


def _draw_half(
    ax: Axes, setup: Setup, halves: list[_Half], h: int, nock: FloatArray, look: tuple[str, float], by: float
) -> None:
    """Limb, cam, string and cable of one half."""
    color, strength = look
    half, other = HALVES[h], HALVES[1 - h]
    own, beyond = halves[h], halves[1 - h]
    mirror = np.array([1.0, SIGN[h]])

    def line(points: FloatArray, width: float, shade: str = color, dashes: str = "-") -> None:
        shown = by * points * mirror
        ax.plot(
            shown[:, 0],
            shown[:, 1],
            color=shade,
            linewidth=width,
            alpha=strength,
            linestyle=dashes,
            solid_capstyle="round",
        )

    line(np.stack([own.pivot, own.axle]), 5.0)
    string = CompiledTrack(setup[f"cams.{half}.string_track"])
    take_up = CompiledTrack(setup[f"cams.{half}.take_up_track"])
    for name, width in (("string_track", 1.6), ("take_up_track", 1.0), ("let_out_track", 1.0)):
        groove = _outline(setup, half, name, own.cam_angle)
        if groove is not None:
            line(own.axle + groove, width, NAVY if name == "string_track" else JADE)
    start = _run(string, own.cam_angle, nock * mirror - own.axle, lets_out=True).start
    line(np.stack([own.axle + start, nock * mirror]), 1.4, EMBER)
    span = beyond.axle * np.array([1.0, -1.0]) - own.axle
    let_out = _groove(setup, other, "let_out_track") if setup[f"cables.{half}.end"] == "let_out" else None
    run = _run(
        take_up, own.cam_angle, span, lets_out=False, far=None if let_out is None else (let_out, beyond.cam_angle)
    )
    line(np.stack([own.axle + run.start, own.axle + span + run.end]), 1.0, JADE)
    axle = by * own.axle * mirror
    ax.plot(*axle, marker="o", markersize=3, color=color, alpha=strength)


def bow(
    setup: Setup,
    cycle: DrawCycle | None = None,
    *,
    draw_length: float | None = None,
    ax: Axes | None = None,
    units: UnitSystem = "workshop",
) -> Axes:
    """The bow from the archer's right, to scale: at full draw, or drawn to `draw_length` [m], and paler at brace.

    Limbs are the rigid links that stand for them, the riser a line between their pivots through the grip.
    """
    ax = axes_or_new(ax, width=6.4, height=6.4)
    cycle = draw_cycle(Model(setup)) if cycle is None else cycle
    by, length = in_units(1.0, "m", units)
    scale = float(by)
    arrow = setup["arrow.length"]
    drawn = float(cycle.touch_index) if draw_length is None else _place_of(cycle, draw_length)
    for place, color, strength in ((0.0, STONE, 0.45), (drawn, NAVY, 1.0)):
        halves = _halves(setup, cycle, place)
        nock = np.array([float(_between(cycle.points[name], place)) for name in ("nock_x", "nock_y")])
        for h in (0, 1):
            _draw_half(ax, setup, halves, h, nock, (color, strength), scale)
        if strength == 1.0:
            ends = scale * np.array([nock, nock + np.array([arrow, 0.0])])
            ax.plot(ends[:, 0], ends[:, 1], color=STRAW, linewidth=2.2)
            riser = scale * np.array([halves[0].pivot, [0.0, 0.0], halves[1].pivot * np.array([1.0, -1.0])])
            ax.plot(riser[:, 0], riser[:, 1], color=STONE, linewidth=9, alpha=0.35, solid_capstyle="round", zorder=0)
            ax.plot(0.0, 0.0, marker="P", color=NAVY, markersize=7, linestyle="none")
            ax.annotate("grip", (0.0, 0.0), (8, -12), textcoords="offset points", fontsize=8, color=NAVY)
    ax.set_aspect("equal")
    braced, now = scale * cycle.brace_axle_to_axle, scale * float(_between(cycle.points["axle_to_axle"], drawn))
    told = "full draw" if draw_length is None else f"{scale * draw_length:.4g} {length} of draw"
    title = f"{setup['name']}: {braced:.4g} {length} axle to axle, {now:.4g} {length} at {told}"
    return finish(ax, f"toward the target [{length}]", f"up [{length}]", title)


def cams(setup: Setup, *, axes: list[Axes] | None = None, units: UnitSystem = "workshop") -> list[Axes]:
    """Grooves of both cams as they stand at brace, and where string and cables leave them at brace and at the wall.

    Two axes, one below the other: upper cam above. Dots stand at brace, squares at the wall.
    """
    made = axes_list(axes, 2, height=7.6, width=5.2)
    cycle = draw_cycle(Model(setup))
    by, length = in_units(1.0, "m", units)
    scale = float(by)
    for h, (ax, half) in enumerate(zip(made, HALVES, strict=True)):
        mirror = scale * np.array([1.0, SIGN[h]])
        turned = float(np.degrees(cycle.points["cam_angle"][cycle.touch_index, h]))
        for name, color, dashes, label in (
            ("string_track", NAVY, "-", "string"),
            ("take_up_track", JADE, "-", "takes its cable up"),
            ("let_out_track", STRAW, (0, (4, 1.5)), "lets the other out"),
        ):
            groove = _outline(setup, half, name, 0.0)
            if groove is not None:
                ax.plot(*(groove * mirror).T, color=color, linewidth=2, linestyle=dashes, label=label)
        for index, marker in ((0, "o"), (cycle.touch_index, "s")):
            own = _halves(setup, cycle, index)[h]
            beyond = _halves(setup, cycle, index)[1 - h]
            nock = np.array([float(cycle.points["nock_x"][index]), SIGN[h] * float(cycle.points["nock_y"][index])])
            back = np.array(
                [[np.cos(own.cam_angle), np.sin(own.cam_angle)], [-np.sin(own.cam_angle), np.cos(own.cam_angle)]]
            )
            string = CompiledTrack(setup[f"cams.{half}.string_track"])
            take_up = CompiledTrack(setup[f"cams.{half}.take_up_track"])
            other = _groove(setup, HALVES[1 - h], "let_out_track") if setup[f"cables.{half}.end"] == "let_out" else None
            far = None if other is None else (other, beyond.cam_angle)
            span = beyond.axle * np.array([1.0, -1.0]) - own.axle
            for point, color in (
                (_run(string, own.cam_angle, nock - own.axle, lets_out=True).start, EMBER),
                (_run(take_up, own.cam_angle, span, lets_out=False, far=far).start, EMBER),
            ):
                ax.plot(*(back @ point * mirror), marker=marker, color=color, markersize=6, linestyle="none")
        ax.plot(0.0, 0.0, marker="+", color=STONE, markersize=12, markeredgewidth=1.6)
        ax.set_aspect("equal")
        ax.legend(frameon=False, fontsize=8, loc="center left", bbox_to_anchor=(1.0, 0.5))
        finish(ax, f"[{length}]" if h else "", f"[{length}]", f"{half} cam, turns {turned:.0f}° in the draw")
        ax.grid(visible=True, color=LIGHT)
    return made
