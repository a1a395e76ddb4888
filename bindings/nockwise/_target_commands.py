"""What the commands of the command line do that shoot at a target."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

import numpy as np

from nockwise import _commands, _core
from nockwise._errors import input_error
from nockwise._sweep_plan import parse_quantity

if TYPE_CHECKING:
    from nockwise._core import AnyQuantity

MOST_MARKS = 200


def conditions_of(options: argparse.Namespace) -> _core.FlightConditions:
    """Wind, gusts and slope as the options have them."""
    changes: dict[str, Any] = {}
    quantities: dict[str, AnyQuantity] = {
        "wind_right": "speed",
        "wind_along": "speed",
        "gust": "speed",
        "slope": "angle",
    }
    for name, quantity in quantities.items():
        text = getattr(options, name)
        if text is not None:
            changes[name] = parse_quantity(f"--{name.replace('_', '-')}", quantity, text)
    return _core.FlightConditions(**changes)


def distance_of(options: argparse.Namespace) -> float | None:
    """Of the target [m]; none: the setup's."""
    return None if options.distance is None else parse_quantity("--distance", "length", options.distance)


def scatter_of(options: argparse.Namespace) -> _core.Scatter:
    """An archer's usual scatter, with what the options change of it."""
    usual = _core.scatter_of(options.archer)
    widths = {each.source: each.deviation for each in usual.widths}
    sources = {each.name: each for each in _core.scatter_sources()}
    for change in options.scatter:
        name, equals, text = (part.strip() for part in change.partition("="))
        if not equals:
            raise input_error("--scatter", change, "must read SOURCE=WIDTH")
        source = sources.get(name)
        widths[name] = 0.0 if source is None else parse_quantity(f"--scatter {name}", source.quantity, text)
    changed = [_core.ScatterWidth(source=name, deviation=width) for name, width in widths.items()]
    scatter = _core.Scatter(name=usual.name + (", changed" if options.scatter else ""), widths=changed)
    _core.validate(scatter)
    return scatter


def inches(value: float) -> str:
    """A small length in both systems."""
    return f"{_core.display(value, 'length', 'in', 2)} ({1e3 * value:.0f} mm)"


def _effects(found: _core.Forgiveness) -> list[str]:
    lines = ["what makes it, one standard deviation each (up and down, left and right):"]
    for each in found.sources:
        if each.share >= 0.002:
            moved = f"{1e3 * each.deviation_up:6.1f} {1e3 * each.deviation_right:6.1f} mm"
            lines.append(
                f"  {100 * each.share:3.0f} %  {moved}  {each.title}" + ("" if each.straight else ", not straight")
            )
    return lines


# In what people count an error, where one unit of its own is not it.
USUAL_AMOUNTS = {
    "wall_pull": (0.254e-3, "0.01 in"),
    "aim_up": (1e-3, "mrad"),
    "aim_right": (1e-3, "mrad"),
    "release_up": (0.1, "0.1 m/s"),
    "release_right": (0.1, "0.1 m/s"),
    "bend": (1e-4, "0.1 mm"),
}


def _answers(found: _core.Forgiveness, setup: _core.Setup) -> list[str]:
    lines = [f"how far the impact moves at {found.distance:.1f} m (up, right):"]
    sources = {each.name: each for each in _core.scatter_sources()}
    for each in found.sources:
        if each.name not in sources:
            continue  # gusts are no number
        source = sources[each.name]
        amount, unit = USUAL_AMOUNTS.get(each.name, (0.0, f"1 {source.unit}"))
        if not amount:
            amount = float(_core.to_si(1.0, source.quantity, source.unit))
        elif source.relative:
            amount /= setup[source.path]
        moved = f"{1e3 * amount * each.up_per_unit:8.2f} {1e3 * amount * each.right_per_unit:8.2f} mm"
        lines.append(f"  {moved} per {unit:<9} {each.title}" + ("" if each.straight else ", not straight"))
    return lines


def _shared_out(shares: _core.VarianceShares) -> list[str]:
    titles = {each.name: each.title for each in shares.sources}
    return [
        f"whose the spread is, from {shares.shots - shares.failed} shots with an arrow each (alone, with others):",
        *(
            f"  {100 * each.alone:5.1f} ± {100 * each.error:.1f} %  {100 * each.together:5.1f} %  {each.title}"
            for each in shares.sources
            if max(each.alone, each.together) >= 0.002
        ),
        *(
            f"  {100 * each.share:5.1f} ± {100 * each.error:.1f} %  {titles[each.first]}, with {titles[each.second]}"
            for each in shares.pairs
            if each.share >= 0.002
        ),
        f"  {100 * shares.pairs_together:5.1f} %  all pairs together",
        f"  {100 * shares.rest:5.1f} %  three at once, or a contact that comes and goes",
        f"  {100 * shares.sum:5.1f} ± {100 * shares.sum_error:.1f} %  sum",
    ]


def group(options: argparse.Namespace) -> int:
    """Shoot a group."""
    if options.plot:
        _commands._check_plot(options.plot)
    face = None if options.face is None else parse_quantity("--face", "length", options.face)
    setup, assumed = _commands._setup(options)
    found = _core.group(
        setup,
        scatter_of(options),
        distance=distance_of(options),
        shots=options.shots,
        arrows=options.arrows,
        seed=options.seed,
        conditions=conditions_of(options),
        face=face,
        threads=options.threads,
    )
    arrived = found.shots - found.failed
    lines = [
        f"{setup['name']}, {found.scatter}, {found.distance:.1f} m: {arrived} shots",
        f"  {found.pattern}",
        f"  height of six          {inches(found.width_of_six_up)}",
        f"  width of six           {inches(found.width_of_six_right)}",
        f"  spread of six          {inches(found.spread_of_six)}",
        f"  mean radius            {inches(found.mean_radius)}",
        f"  one standard deviation {inches(found.deviation_up)} up and down, {inches(found.deviation_right)} across",
        f"  from so many shots, sizes are known to {100 * found.relative_error:.0f} %",
    ]
    if found.least_clearance is not None:
        lines.append(f"  vanes clear the launcher by {1e3 * found.least_clearance:.1f} mm at least")
    if found.score is not None:
        lines.append(f"  an arrow scores {found.score:.2f} ± {found.score_error:.2f}")
    lines += _effects(found.forgiveness)
    if options.per_unit:
        lines += _answers(found.forgiveness, setup)
    shares = None
    if options.shares:
        shares = _core.variance_shares(
            setup,
            scatter_of(options),
            distance=distance_of(options),
            seed=options.seed,
            conditions=conditions_of(options),
            threads=options.threads,
        )
        lines += _shared_out(shares)
    lines += [*(f"note: {text}" for text in found.notes), *_commands._counted(assumed)]
    if options.plot:
        _commands._save(options.plot, lambda plot: plot.group(found, face=face))
    _commands._print(options, {"group": found, "shares": shares, "assumed": assumed}, lines)
    return 0


def sight(options: argparse.Namespace) -> int:
    """Marks of the sight."""
    first, last, every = (
        parse_quantity(f"--{name}", "length", getattr(options, name)) for name in ("nearest", "farthest", "every")
    )
    if not (every > 0.0 and last >= first and (last - first) / every < MOST_MARKS):
        raise input_error("--every", options.every, f"must make 1 to {MOST_MARKS} marks from --nearest to --farthest")
    setup, assumed = _commands._setup(options)
    model = _core.Model(setup)
    distances = first + every * np.arange(round((last - first) / every + 1e-9) + 1)
    marks = _core.sight_marks(
        model, _core.launch(model), distances[distances <= last + 1e-9], conditions=conditions_of(options)
    )
    lines = [f"{setup['name']}: marks of the sight", "  distance        pin below the first    flight    speed"]
    for each in marks:
        yards = _core.display(each.distance, "length", "yd", 0)
        shown: dict[str, Any] = {
            "pin": f"{1e3 * each.below_first:.1f} mm",
            "time": f"{each.arrival.time:.2f} s",
            "speed": _core.display(each.arrival.speed, "speed", "ft/s", 0),
        }
        lines.append(f"  {yards:>6} {each.distance:6.1f} m {shown['pin']:>16} {shown['time']:>12} {shown['speed']:>10}")
    lines += _commands._counted(assumed)
    _commands._print(options, {"marks": marks, "assumed": assumed}, lines)
    return 0


def place(made: argparse.ArgumentParser) -> argparse.ArgumentParser:
    """Add the options of the place."""
    made.add_argument("--wind-right", metavar="SPEED", help='wind to the archer\'s right, as in "3 m/s"')
    made.add_argument("--wind-along", metavar="SPEED", help="wind toward the target")
    made.add_argument("--gust", metavar="SPEED", help="standard deviation of the gusts")
    made.add_argument("--slope", metavar="ANGLE", help='of the line of sight, uphill positive, as in "10 deg"')
    return made


def who_shoots(made: argparse.ArgumentParser) -> argparse.ArgumentParser:
    """Add the options of the place and of the archer."""
    place(made)
    made.add_argument("--archer", default="club", metavar="WHO", help="beginner, club, expert or machine (club)")
    made.add_argument(
        "--scatter",
        action="append",
        default=[],
        metavar="SOURCE=WIDTH",
        help='one standard deviation of a source, as in "grip_torque=0.2 N·m"; may be repeated',
    )
    made.add_argument("--seed", type=int, default=1, metavar="N", help="of the shots (1)")
    made.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    return made


def add_to(command: Any) -> None:
    """Add these commands and their options to the parser; `command` is its way to make one."""
    shot = who_shoots(command("group", group, "Shoot a group at a target: its size and shape, and what makes it so."))
    shot.add_argument("--distance", metavar="LENGTH", help='of the target, as in "50 yd" (default: the setup\'s)')
    shot.add_argument("--shots", type=int, default=240, metavar="N", help="shots (240)")
    shot.add_argument("--arrows", type=int, default=6, metavar="N", help="arrows in the quiver, shot in turn (6)")
    shot.add_argument("--face", metavar="LENGTH", help='diameter of a face of ten rings to score on, as in "80 cm"')
    shot.add_argument("--per-unit", action="store_true", help="tell how far the impact moves per unit of each error")
    shot.add_argument(
        "--shares", action="store_true", help="share the variance out exactly, interactions too (3,000 more shots)"
    )
    shot.add_argument("--plot", metavar="FILE", help="draw the target into an image file")
    marks = place(command("sight", sight, "Marks of the sight for a row of distances."))
    marks.add_argument("--nearest", default="20 yd", metavar="LENGTH", help="first distance (20 yd)")
    marks.add_argument("--farthest", default="100 yd", metavar="LENGTH", help="last distance (100 yd)")
    marks.add_argument("--every", default="10 yd", metavar="LENGTH", help="from one to the next (10 yd)")
