"""Commands for who compares bows, adjusts one, or measures one: `compare`, `matrix` and `calibrate`."""

from __future__ import annotations

import argparse
import pathlib
from typing import Any

from nockwise import _commands, _core
from nockwise._errors import input_error
from nockwise._sweep_plan import parse_quantity

# What a caller reads first of a bow, in the order of the shot.
COMPARED = (
    "axle_to_axle",
    "brace_height",
    "draw_length",
    "peak_force",
    "let_off",
    "stop_gap",
    "exit_speed",
    "tear_up",
    "tear_right",
    "lean_upper",
    "lean_lower",
    "cable_clearance",
    "fletching_clearance",
)
FITS = 2.0  # mean square of the residuals in standard deviations; above, measurements and bow do not fit

# What is done to every bow that is compared, by the names of adjustments(); a bow without one has a blank.
TRIED = ("cable.upper", "cable.lower", "nocking_point", "rest.height", "center_shot")


def _distance(options: argparse.Namespace) -> float | None:
    return None if options.paper is None else parse_quantity("--paper", "length", options.paper)


def _described(name: str) -> _core.OutputDescription:
    return next(each for each in _core.output_descriptions() if each.name == name)


def _shown(name: str, value: float) -> str:
    """A value of an output as tables show it, with its sign where positive and negative mean two things."""
    described = _described(name)
    decimals = {"length": 3, "angle": 2, "percent": 1, "fraction": 1}.get(described.quantity, 1)
    text = _core.display(value, described.quantity, described.unit, decimals)
    signed = name.startswith(("tear", "stop_gap", "nock_travel", "lean"))
    return f"+{text}" if signed and value > 0.0 and not text.startswith("0.000 ") else text


def _table(head: list[str], rows: list[list[str]]) -> list[str]:
    widths = [max(len(row[i]) for row in [head, *rows]) for i in range(len(head))]
    return [
        "  ".join(
            cell.ljust(width) if i == 0 else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        for row in [head, *rows]
    ]


def compare(options: argparse.Namespace) -> int:
    """Bows side by side: what they measure, what they shoot, and what an ordinary step does to each."""
    distance = _distance(options)
    bows = [_core.read_setup(file) for file in options.setups]
    shots = [_core.shoot(bow, distance=distance, threads=options.threads) for bow in bows]
    data: dict[str, Any] = {"bows": []}
    answers: list[dict[str, _core.TearMatrixRow]] = []
    for file, bow, shot in zip(options.setups, bows, shots, strict=True):
        adjustments = [each.name for each in _core.adjustments(bow)]
        rows = (
            _core.tear_matrix(
                bow, [name for name in TRIED if name in adjustments], distance=distance, threads=options.threads
            ).rows
            if shot.flew
            else ()
        )
        answers.append({row.adjustment.name: row for row in rows})
        per_step = {row.adjustment.name: dict(row.per_step) for row in rows}
        data["bows"].append({"file": file, "name": bow["name"], "shot": shot, "per_step": per_step})
    heads = [str(bow["name"]) for bow in bows]
    body = [
        [_described(name).title, *(_shown(name, shot.value[name]) if shot.flew else "–" for shot in shots)]
        for name in COMPARED
    ]
    lines = _table(["", *heads], body)
    lines += ["", "tear by one step, up and right:"]
    steps = [
        [
            next(row[name].adjustment.title for row in answers if name in row)
            + ", "
            + next(_core.describe_amount(row[name].adjustment, 1.0) for row in answers if name in row),
            *(
                ", ".join(_shown(part, row[name].per_step[part]) for part in ("tear_up", "tear_right"))
                if name in row
                else "–"
                for row in answers
            ),
        ]
        for name in TRIED
        if any(name in row for row in answers)
    ]
    lines += _table(["", *heads], steps) if steps else ["  none of the bows can be shot"]
    lines += [
        f"{bow['name']} cannot be shot: {shot.failure}" for bow, shot in zip(bows, shots, strict=True) if not shot.flew
    ]
    lines += [
        f"caution, {bow['name']}: {text}" for bow, shot in zip(bows, shots, strict=True) for text in shot.cautions
    ]
    _commands._print(options, data, lines)
    return 0 if all(shot.flew for shot in shots) else 1


def matrix(options: argparse.Namespace) -> int:
    """What one step of every adjustment does to the hole, the stops and the sight."""
    setup, assumed = _commands._setup(options)
    found = _core.tear_matrix(
        setup,
        options.only or None,
        distance=_distance(options),
        step_fraction=options.fraction,
        threads=options.threads,
    )
    names = ("tear_up", "tear_right", "stop_gap", "nock_travel", "draw_length", "impact_up", "impact_right")
    rows = [
        [
            f"{row.adjustment.title}, {_core.describe_amount(row.adjustment, 1.0)}",
            *(_shown(name, row.per_step[name]) for name in names),
        ]
        for row in sorted(
            found.rows, key=lambda row: -max(abs(row.per_step["tear_up"]), abs(row.per_step["tear_right"]))
        )
    ]
    at = _core.display(found.distance, "length", "ft", 1)
    lines = [f"{setup['name']}: change per step, at {at}; tail-high and tail-right are positive"]
    lines += _table(["", *(_described(name).title for name in names)], rows)
    lines += [f"note, {row.adjustment.title}: {text}" for row in found.rows for text in row.warnings]
    lines += [f"caution: {text}" for text in found.base.cautions]
    _commands._print(options, {"name": setup["name"], "matrix": found, "assumed": assumed}, lines)
    return 0


def calibrate(options: argparse.Namespace) -> int:
    """Fit what is uncertain of a bow to what was measured on it."""
    case = _core.read_calibration_case(options.case)
    for file in (options.out, options.report):
        if file:
            _core.check_writable(file)
    if options.out and pathlib.Path(options.out).exists():
        raise input_error("--out", options.out, "must not be there yet: nothing is written over")
    found = _core.calibrate(case.setup, case.measurements, threads=options.threads)
    text = _core.calibration_markdown(found, case.assumed)
    if options.report:
        pathlib.Path(options.report).write_text(text, encoding="utf-8")
    lines = text.rstrip().splitlines()
    if options.out:
        _core.write_setup(found.setup, options.out)
        lines += ["", f"written: {options.out}"]
    _commands._print(options, {"calibration": found}, lines)
    return 0 if found.misfit <= FITS else 1


def add_to(command: Any) -> None:
    """Add these commands and their options to the parser; `command` is its way to make one."""
    side = command("compare", compare, "Bows side by side, and what an ordinary step does to each.", setup=False)
    side.add_argument("setups", nargs="+", metavar="SETUP", help="setup files (TOML)")
    side.add_argument("--paper", metavar="LENGTH", help='distance of the paper, as in "6 ft"')
    side.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    steps = command("matrix", matrix, "What one step of every adjustment does to hole, stops and sight.")
    steps.add_argument(
        "--only",
        action="append",
        metavar="NAME",
        help="an adjustment, as in rest.height; may be repeated (default: all)",
    )
    steps.add_argument("--fraction", type=float, default=1.0, metavar="X", help="of a step, either way (1)")
    steps.add_argument("--paper", metavar="LENGTH", help='distance of the paper, as in "6 ft"')
    steps.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    fit = command(
        "calibrate",
        calibrate,
        "Fit what is uncertain of a bow to what was measured on it.",
        setup=False,
    )
    fit.add_argument("case", help="measurements (TOML): the setup, draw forces, speeds, holes, checks")
    fit.add_argument("--out", metavar="FILE", help="write the fitted bow as a setup file; it must not be there yet")
    fit.add_argument("--report", metavar="FILE", help="write a page in Markdown")
    fit.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
