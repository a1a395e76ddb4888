"""Commands for who draws cams: `fit-cam`, `cams` and `layouts`."""

from __future__ import annotations

import argparse
import pathlib
from typing import TYPE_CHECKING, Any

from nockwise import _bench_commands, _build, _commands, _core
from nockwise._errors import input_error
from nockwise._sweep_plan import parse_quantity

if TYPE_CHECKING:
    from nockwise._core import AnyQuantity

AIMS: tuple[tuple[str, AnyQuantity, str], ...] = (
    ("axle_to_axle", "length", "axle-to-axle length at brace"),
    ("brace_height", "length", "brace height"),
    ("draw_length", "length", "the trade's draw length at the wall"),
    ("peak_force", "force", "peak draw force; the limbs' stiffness is scaled"),
)
GROOVES = ("string_track", "take_up_track", "let_out_track")


def _option(name: str) -> str:
    return f"--{name.replace('_', '-')}"


def _aims(options: argparse.Namespace) -> dict[str, Any]:
    aims: dict[str, Any] = {
        name: parse_quantity(_option(name), quantity, text)
        for name, quantity, _ in AIMS
        if (text := getattr(options, name)) is not None
    }
    aims["brace_by"] = "move_pockets" if options.move_pockets else "turn_cams"
    return aims


def _cam(options: argparse.Namespace) -> dict[str, Any]:
    """The grooves that are named on the command line."""
    given = {name: getattr(options, name) for name in GROOVES if getattr(options, name) is not None}
    return {name: _core.read_groove(file, unit=options.unit) for name, file in given.items()}


def _shown(value: float, quantity: AnyQuantity) -> str:
    unit, decimals = {"length": ("in", 4), "force": ("lbf", 2)}[quantity]
    return _core.display(value, quantity, unit, decimals)


def _groove_rows(cam: dict[str, Any]) -> list[str]:
    """How well each groove was fitted."""
    rows = []
    for name, groove in cam.items():
        fit = _core.fit_groove(groove)
        text = f"  {name}: {len(groove.points)} points, {1e3 * fit.scatter:.3f} mm scatter, "
        text += f"farthest {1e3 * fit.farthest:.3f} mm, smallest radius {1e3 * fit.smallest_radius:.1f} mm"
        if fit.points_in_hollows:
            text += f"; {fit.points_in_hollows} points in hollows up to {1e3 * fit.deepest:.2f} mm deep are spanned"
        rows.append(text)
    return rows


def fit_cam(options: argparse.Namespace) -> int:
    """Put own cams on a bow: lines, posts and stops to suit."""
    if options.out and pathlib.Path(options.out).exists():
        raise input_error("--out", options.out, "must not be there yet: nothing is written over")
    if options.plot:
        _commands._check_plot(options.plot)
    setup, assumed = _commands._setup(options)
    cam = _cam(options)
    fit = _core.fit_to_cam(setup, cam, **_aims(options))
    lines = [f"{setup['name']}, fitted to its cams", *_groove_rows(cam)]
    for check in fit.checks:
        quantity: AnyQuantity = "force" if check.path == "peak_force" else "length"
        mark = "" if check.met else "  NOT MET"
        lines.append(
            f"  {check.path:<14} {_shown(check.achieved, quantity):>12}, asked {_shown(check.wanted, quantity)}{mark}"
        )
    lines += [
        f"  peak {_shown(fit.peak_force, 'force')}, let-off {100 * fit.let_off:.1f} %, "
        f"{_core.display(fit.stored_energy, 'energy', 'ft·lbf', 1)} stored",
        f"  cams stand turned at brace by {_core.display(fit.brace_cam_angle.upper, 'angle', 'deg', 2)}",
        "moved:",
    ]
    for moved in fit.moved:
        number = _core.parameter(moved.path)
        before, after = (_core.display(x, number.quantity, number.unit, 3) for x in (moved.before, moved.after))
        lines.append(f"  {moved.path:<32} {before:>14} -> {after}")
    lines += [f"caution: {text}" for text in (*fit.cautions, *_core.general_cautions())]
    if options.out:
        _core.write_setup(fit.setup, options.out)
        lines.append(f"written: {options.out}")
    if options.plot:
        _commands._save(options.plot, lambda plot: plot.cam(fit.setup)[0])
    _commands._print(options, {"name": setup["name"], "fit": fit, "assumed": assumed}, lines)
    return 0 if all(check.met for check in fit.checks) else 1


# Name, heading, quantity, unit and decimals of what the tables show.
COLUMNS: tuple[tuple[str, str, AnyQuantity, str, int], ...] = (
    ("peak_force", "peak", "force", "lbf", 1),
    ("let_off", "let-off", "percent", "%", 1),
    ("stored_energy", "energy", "energy", "ft·lbf", 1),
    ("fullness", "fullness", "percent", "%", 1),
    ("cam_turn", "cams turn", "angle", "deg", 0),
    ("largest_lead", "upper ahead", "angle", "deg", 2),
    ("nock_travel", "nock travel", "length", "in", 3),
    ("exit_speed", "speed", "speed", "ft/s", 1),
    ("tear_up", "tear up", "length", "in", 3),
    ("tear_right", "tear right", "length", "in", 3),
)
CHAIN: tuple[tuple[str, str, AnyQuantity, str, int], ...] = (
    ("cable_length", "cable", "length", "mm", 2),
    ("cam_angle", "upper ahead", "angle", "deg", 3),
    ("stop_gap", "stop gap", "length", "mm", 2),
    ("nock_travel", "nock travel", "length", "mm", 2),
    ("tear_up", "tear up", "length", "in", 3),
    ("tear_right", "tear right", "length", "in", 3),
)
SIGNED = ("largest_lead", "nock_travel", "tear_up", "tear_right")


def _cell(value: float, column: tuple[str, str, AnyQuantity, str, int], *, signed: bool) -> str:
    text = _core.display(value, column[2], column[3], column[4])
    return f"+{text}" if signed and value > 0.0 else text


def table_rows(table: _core.CamTable) -> list[str]:
    """A comparison as two tables and the reasons of those that failed."""
    good = [row for row in table.rows if not row.failure]
    lines: list[str] = []
    if good:
        body = [
            [row.name, *(_cell(getattr(row, each[0]), each, signed=each[0] in SIGNED) for each in COLUMNS)]
            for row in good
        ]
        lines += _bench_commands._table(["", *(each[1] for each in COLUMNS)], body)
        lines += ["", "what a quarter of a twist more in the upper cam's cable does:"]
        body = [[row.name, *(_cell(getattr(row.chain, each[0]), each, signed=True) for each in CHAIN)] for row in good]
        lines += _bench_commands._table(["", *(each[1] for each in CHAIN)], body)
    return lines + [f"{row.name}: {row.failure}" for row in table.rows if row.failure]


def _result(options: argparse.Namespace, table: _core.CamTable, lines: list[str]) -> int:
    _commands._print(options, {"table": table}, lines + table_rows(table))
    return 1 if any(row.failure for row in table.rows) else 0


def cams(options: argparse.Namespace) -> int:
    """String grooves tried on one bow, side by side."""
    setup, _ = _commands._setup(options)
    tried: dict[str, dict[str, Any]] = {"as it is": {}}
    for file in options.string:
        tried[pathlib.Path(file).stem] = {"string_track": _core.read_groove(file, unit=options.unit)}
    for file in options.take_up:
        tried[pathlib.Path(file).stem] = {"take_up_track": _core.read_groove(file, unit=options.unit)}
    table = _core.compare_cams(setup, tried, **_aims(options), threads=options.threads)
    return _result(options, table, [f"{setup['name']}: {len(tried)} cams at the same lengths"])


def layouts(options: argparse.Namespace) -> int:
    """One sheet with yokes, as a hybrid and crossed."""
    sheet = _build.read_sheet(options.sheet)
    table = _core.compare_layouts(sheet, threads=options.threads)
    return _result(options, table, [f"{sheet.name}: the same draw, laid three ways"])


def _add_aims(command: argparse.ArgumentParser) -> None:
    for name, _, text in AIMS:
        command.add_argument(_option(name), metavar="QUANTITY", help=f"{text} (as the bow has it)")
    command.add_argument(
        "--move-pockets", action="store_true", help="move the limb pockets for the brace height, not turn the cams"
    )
    command.add_argument("--unit", default="", metavar="UNIT", help="of lengths in files whose headings have none")


def add_to(command: Any) -> None:
    """Add these commands and their options to the parser; `command` is its way to make one."""
    fit = command("fit-cam", fit_cam, "Put own cams on a bow: lines, posts and stops so that its lengths come out.")
    for name in GROOVES:
        fit.add_argument(_option(name), metavar="FILE", help=f"groove points (CSV) of the {name.replace('_', ' ')}")
    _add_aims(fit)
    fit.add_argument("--out", metavar="FILE", help="write the bow as a setup file; it must not be there yet")
    fit.add_argument("--plot", metavar="FILE", help="draw the upper cam into an image file")
    many = command("cams", cams, "Own cams tried on one bow, side by side.")
    many.add_argument("--string", nargs="+", default=[], metavar="FILE", help="string grooves (CSV), each one cam")
    many.add_argument("--take-up", nargs="+", default=[], metavar="FILE", help="take-up grooves (CSV), each one cam")
    _add_aims(many)
    many.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    three = command(
        "layouts", layouts, "One sheet with yokes, as a hybrid and crossed: what the same error does.", setup=False
    )
    three.add_argument("sheet", help="sheet (TOML, a table [measurements])")
    three.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
