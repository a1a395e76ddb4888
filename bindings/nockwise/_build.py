"""`nockwise build`: a bow from its spec sheet, from a file or asked line by line."""

from __future__ import annotations

import argparse
import pathlib
import sys
import tomllib
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import numpy as np

from nockwise import _core, _describe
from nockwise._errors import InputError, input_error

if TYPE_CHECKING:
    from nockwise._core import AnyQuantity


class _Line(NamedTuple):
    """One line of a sheet: what is asked, in the order of what matters most for the shot."""

    field: str
    quantity: AnyQuantity | Literal[""]  # empty for a choice
    question: str
    otherwise: str  # what an ordinary bow has, said aloud when taken; empty: must be given


LINES = (
    _Line("draw_length", "length", "draw length at the wall, grip to nock plus 1 3/4 in", ""),
    _Line("peak_force", "force", "peak draw force", ""),
    _Line("axle_to_axle", "length", "axle to axle at brace", ""),
    _Line("brace_height", "length", "brace height, grip to string", ""),
    _Line("let_off", "percent", "let-off", "80 %"),
    _Line(
        "cabling",
        "",
        "cables: yoke (two yokes), hybrid (one yoke, one cable let out) or crossed (both let out)",
        "crossed",
    ),
    _Line("stop", "", "stops: limb, cable or both", "limb"),
    _Line("rated_speed", "speed", "rated speed (350 gr, 70 lbf, 30 in); empty if there is none", ""),
)
OPTIONAL = "rated_speed"


def _table(file: str) -> dict[str, Any]:
    """The file's measurements, through the library's own checks, behind which Python's parser is safe."""
    text = _core.read_text_file(file)
    _core.check_file_kind(text, "measurements", file)
    try:
        table = tomllib.loads(text.decode("utf-8")).get("measurements", {})
    except ValueError:
        return {}  # read_measurements() says what is wrong
    return table if isinstance(table, dict) else {}


def given(file: str) -> set[str]:
    """Names of the lines that a sheet's file has."""
    names = set(_table(file))
    if "draw_curve" in names:
        names |= {"peak_force", "let_off"}
    if "chronograph" in names:
        names |= {OPTIONAL}
    return names


def is_sheet(file: str) -> bool:
    """Whether a file holds measurements and not a setup."""
    try:
        return bool(_table(file))
    except InputError:
        return False  # whoever reads it as a setup says what is wrong


def read_sheet(file: str) -> _core.BowMeasurements:
    """A sheet from a file; what is missing is refused, what matters most first."""
    names = given(file)
    missing = [line for line in LINES if line.field not in names and line.field != OPTIONAL]
    own = set(_describe.fields_of("BowMeasurements"))
    if names and missing and own.issuperset(names):  # the reader tells of a name that it does not know, and where
        rest = ", ".join(line.field for line in missing[1:])
        more = f"; then {rest}" if rest else ""
        path, allowed = f"measurements.{missing[0].field}", f"must be given: {missing[0].question}{more}"
        raise InputError(f"{file}: {path}: {allowed}", path, "", allowed, file)
    return _core.read_measurements(file)


# Stand for the lines that are not asked yet while one is checked.
ORDINARY = {
    "draw_length": "29 in",
    "peak_force": "62 lbf",
    "axle_to_axle": "33 in",
    "brace_height": "6.75 in",
    "let_off": "80 %",
}


def _check(line: _Line, text: str, known: dict[str, Any]) -> Any:
    """The value of a line, if it can be one beside those that are known."""
    if not text:
        raise input_error(f"measurements.{line.field}", "", "must be given: it cannot be guessed")
    value = _core.parse_quantity(text, line.quantity) if line.quantity else text
    others = {name: _core.parse_quantity(ORDINARY[name], _quantity(name)) for name in ORDINARY}
    _core.format_measurements(_core.BowMeasurements(**others | known | {line.field: value}))
    return value


def _quantity(field: str) -> AnyQuantity:
    return next(line.quantity for line in LINES if line.field == field and line.quantity)


def ask(read: Callable[[str], str] = input) -> _core.BowMeasurements:
    """A sheet, asked line by line; a line that cannot be meant is asked again."""
    fields: dict[str, Any] = {"name": read("name of the bow: ").strip() or "unnamed"}
    for line in LINES:
        while line.field not in fields:
            usual = f" [{line.otherwise}]" if line.otherwise else ""
            text = read(f"{line.question}{usual}: ").strip() or line.otherwise
            if not text and line.field == OPTIONAL:
                break
            try:
                fields[line.field] = _check(line, text, fields)
            except InputError as error:
                print(f"  {error}", file=sys.stderr)
    return _core.BowMeasurements(**fields)


def _asked() -> _core.BowMeasurements:
    try:
        return ask()
    except EOFError:
        raise input_error("sheet", "", "is asked for line by line, and answers ended: name a file instead") from None


def _row(name: str, text: str, width: int = 22) -> str:
    return f"  {name:<{width}} {text}"


def curve_rows(cycle: _core.DrawCycle) -> list[str]:
    """Draw force at every inch of draw length up to the wall."""
    inch = 0.0254
    upto = cycle.touch_index + 1
    length = -cycle.points["nock_x"][:upto] + _core.draw_length_allowance
    force = cycle.points["draw_force"][:upto]
    marks = np.arange(np.ceil(length[0] / inch), np.floor(length[-1] / inch + 1e-6) + 1)
    shown = np.interp(marks * inch, length, force)
    top = float(np.max(force))
    return [
        f"  {mark:4.0f} in {float(_core.from_si(newton, 'force', 'lbf')):6.1f} lbf  {'#' * round(40 * newton / top)}"
        for mark, newton in zip(marks, shown, strict=True)
    ]


def report_rows(built: _core.BuiltBow, cycle: _core.DrawCycle) -> list[str]:
    """What was asked and what the bow does, what it stores and loses, what was assumed."""
    report = built.report
    lines = ["met:"]
    units = {"let_off": "fraction", "peak_force": "N"}
    for check in report.checks:
        name = check.path.removeprefix("measurements.")
        unit = units.get(name, "m/s" if name.endswith("speed") else "m")
        asked = _describe.in_words(check.wanted, unit)
        lines.append(_row(name.replace("_", " "), f"{_describe.in_words(check.achieved, unit)}, asked {asked}"))
    lines += ["draw curve, by draw length:", *curve_rows(cycle), "energy:"]
    lines.append(_row("stored", _describe.in_words(report.stored_energy, "J")))
    lines.append(_row("of peak times stroke", f"{100 * report.fullness:.1f} %"))
    if report.virtual_mass is not None and report.efficiency is not None and report.rated_speed is not None:
        lines.append(_row("virtual mass", f"{1000 * report.virtual_mass:.1f} g"))
        lines.append(_row("efficiency", f"{100 * report.efficiency:.1f} %"))
        lines.append(_row("rated speed", _describe.in_words(report.rated_speed, "m/s")))
    lines += ["assumed:", *(f"  {text}" for text in report.assumptions)]
    return lines + [f"caution: {caution.words}" for caution in report.cautions]


INCH = 0.0254
LEAST_SEEN = 0.03 * INCH  # a change of the hole that nobody would see [m]


def _known(band: _core.EnsembleRange) -> str:
    """What nine tenths of the bows agree on."""
    if band.same_size:
        return ""
    return "  (how much is open)" if band.same_sign else "  (sign open)"


def ensemble_rows(ensemble: _core.BowEnsemble, tears: _core.EnsembleTears) -> list[str]:
    """Which answers hold in all bows of the sheet, and what settles the others."""
    lines = [f"tear per step in {len(ensemble.members)} bows of this sheet (nine tenths of their weight):"]
    for row in tears.rows:
        for band, word in ((row.up, "high"), (row.right, "right")):
            if max(abs(band.low), abs(band.high)) < LEAST_SEEN:
                continue
            text = f"{band.low / INCH:+.2f} to {band.high / INCH:+.2f} in tail-{word}"
            lines.append(_row(row.adjustment.title, text + _known(band), width=30))
    tests = _core.settling_tests(ensemble, tears)[:3]
    lines.append("what would settle most:")
    return lines + [f"  {test.instruction} (leaves {100 * test.remaining:.0f} % of the spread)" for test in tests]


def narrowed_rows(ensemble: _core.BowEnsemble, readings: int) -> list[str]:
    """How far readings narrowed the bows of a sheet."""
    counting, all_bows = ensemble.effective_members, len(ensemble.members)
    lines = [
        f"of {all_bows} bows, new ones near the readings among them, {counting:.0f} count after {readings} readings"
    ]
    if ensemble.widening > 1.01:
        lines[0] += f"; errors were taken {ensemble.widening:.1f} times as large, so that three do: try more --members"
    return lines


MOST_OPEN = 4  # moves of which not even the way is known, that are shown


def plan_rows(plan: _core.EnsemblePlan) -> list[str]:
    """What to do about a tear, and what to find out first."""
    lines = ["what would take the tear away:"]
    words = {"sign_and_size": "holds in all bows of the sheet", "sign": "which way holds, how far is open"}
    still_open = [move for move in plan.moves if move.agreement == "nothing"]
    for move in plan.moves:
        if move in still_open[MOST_OPEN:]:
            continue
        left = f"leaves {move.left.low / INCH:+.2f} to {move.left.high / INCH:+.2f} in"
        lines.append(f"  {move.instruction} ({words.get(move.agreement, 'open')}; {left})")
        if move.settled_by is not None:
            settled = f"{move.settled_by.instruction} (leaves {100 * move.settled_by.remaining:.0f} % of what is open)"
            lines.append(f"      what would tell: {settled}")
    return lines if plan.moves else ["no single move takes this tear away"]


def assumed(built: _core.BuiltBow) -> _core.Setup:
    """The setup with what was assumed in its provenance, so that a file of it tells."""
    said = " ".join(built.report.assumptions)
    return built.setup.replace({"provenance": f"{built.setup['provenance']} Built from a sheet. {said}".strip()})


def save_pictures(
    folder: str, built: _core.BuiltBow, cycle: _core.DrawCycle, sheet: _core.BowMeasurements, tears: Any
) -> None:
    """The bow, its cams, its draw against the sheet, and the tears of the sheet's bows."""
    import matplotlib

    matplotlib.use("Agg")
    from nockwise import plot

    where = pathlib.Path(folder)
    where.mkdir(parents=True, exist_ok=True)
    pictures = {
        "bow.png": plot.bow(built.setup, cycle),
        "cams.png": plot.cams(built.setup)[0],
        "draw.png": plot.draw_against_sheet(cycle, sheet),
    }
    if tears is not None:
        pictures["tears_up.png"] = plot.ensemble_tears(tears)
        pictures["tears_right.png"] = plot.ensemble_tears(tears, side="right")
    for name, ax in pictures.items():
        figure = ax.get_figure(root=True)
        if figure is not None:
            figure.savefig(where / name, dpi=130)


def _length(option: str, text: str) -> float:
    try:
        return float(_core.parse_quantity(text, "length"))
    except InputError as error:
        raise input_error(option, text, error.allowed) from None


def _compare(options: argparse.Namespace, sheet: _core.BowMeasurements, base: Any) -> tuple[dict[str, Any], list[str]]:
    """The bows of the sheet: what they agree on, narrowed by readings, and a plan for a tear."""
    ensemble = _core.build_ensemble(sheet, base=base, members=options.members, threads=options.threads)
    lines = []
    if options.readings:
        readings = _core.read_readings(options.readings)
        ensemble = _core.refined(ensemble, readings, members=options.members, threads=options.threads)
        lines = narrowed_rows(ensemble, len(readings))
    tears = _core.ensemble_tears(ensemble, threads=options.threads)
    lines += ensemble_rows(ensemble, tears)
    data: dict[str, Any] = {"members": len(ensemble.members), "tears": tears}
    data["effective_members"] = ensemble.effective_members
    data["settling"] = _core.settling_tests(ensemble, tears)[:3]
    if options.tear_up is not None or options.tear_right is not None:
        up = _length("--tear-up", options.tear_up or "0 in")
        right = _length("--tear-right", options.tear_right or "0 in")
        data["plan"] = _core.ensemble_plan(ensemble, tears, up=up, right=right)
        lines += plan_rows(data["plan"])
    return data, lines


def build(options: argparse.Namespace) -> tuple[dict[str, Any], list[str]]:
    """Data and lines of the command."""
    asks = options.readings or options.tear_up is not None or options.tear_right is not None
    if asks and not options.members:
        raise input_error("--members", "0", "must be at least 2 for readings or a tear: they compare bows")
    sheet = _asked() if options.sheet is None else read_sheet(options.sheet)
    base = None if options.base is None else _core.read_setup(options.base)
    built = _core.build_bow(sheet, base=base)
    cycle = _core.draw_cycle(_core.Model(built.setup), hold="draw_board")
    lines = [f"{sheet.name}: built from its sheet", *report_rows(built, cycle)]
    data: dict[str, Any] = {"name": sheet.name, "report": built.report, "draw_cycle": cycle}
    if options.members:
        more, rows = _compare(options, sheet, base)
        data |= more
        lines += rows
    if options.out:
        _core.write_setup(assumed(built), options.out)
        lines.append(f"written: {options.out}")
    if options.plot:
        save_pictures(options.plot, built, cycle, sheet, data.get("tears"))
        lines.append(f"pictures: {options.plot}")
    lines += [f"caution: {text}" for text in _core.general_cautions()]
    return data, lines
