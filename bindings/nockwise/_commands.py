"""What the commands of the command line do."""

from __future__ import annotations

import argparse
import importlib
import json
import os
import pathlib
import sys
import time
from typing import Any

import numpy as np

from nockwise import _build, _core, _describe
from nockwise._errors import InputError, SolverError, input_error
from nockwise._sweep_file import parquet_library, read_plan, write_csv, write_parquet
from nockwise._sweep_plan import parse_quantity


def to_json(value: Any) -> Any:
    """A result as plain data in SI units."""
    match value:
        case None | bool() | int() | str():
            return str(value) if isinstance(value, str) else value
        case float():
            return value if np.isfinite(value) else None
        case np.ndarray():
            if value.dtype.names:
                return {name: to_json(value[name].tolist()) for name in value.dtype.names}
            return value.tolist()
        case tuple() if hasattr(value, "_fields"):
            return {"upper": to_json(value[0]), "lower": to_json(value[1])}
        case tuple() | list():
            return [to_json(item) for item in value]
        case _core.Setup():
            return to_json(value.values())
        case dict():
            return {key: to_json(item) for key, item in value.items()}
    names = _describe.fields_of(type(value).__name__)
    return {name: to_json(getattr(value, name)) for name in names if hasattr(value, name)}


def for_terminal(line: str) -> str:
    """One line without anything that a terminal obeys: names come from files."""
    return _core.terminal_text(line.encode("utf-8", "surrogatepass"))


def _print(options: argparse.Namespace, data: dict[str, Any], lines: list[str]) -> None:
    # JSON in ASCII, for the same reason.
    print(json.dumps(to_json(data)) if options.json else "\n".join(map(for_terminal, lines)))


def _rows(value: Any, names: str) -> list[str]:
    numbers = {name: (number, unit) for name, number, unit, _ in _describe.scalars(value)}
    return [f"  {name.replace('_', ' '):<22} {_describe.in_words(*numbers[name])}" for name in names.split()]


Assumed = dict[str, str]


def _setup(options: argparse.Namespace) -> tuple[_core.Setup, Assumed]:
    """The setup as changed, and what its file leaves to the defaults."""
    file = _core.read_setup_file(options.setup)
    setup = file.setup
    assumed = {value.path: value.value for value in file.assumed}
    for change in options.changes:
        path, equals, text = change.partition("=")
        if not equals:
            raise input_error("--set", change, "must read PATH=VALUE")
        path, text = path.strip(), text.strip()
        try:
            setup.set(path, float(text))
        except ValueError as error:
            if isinstance(error, InputError) and _is_number(text):
                raise
            setup.set(path, text)
        alias_of = next((p.alias_of for p in _core.parameters() if p.path == path), "")
        assumed.pop(alias_of or path, None)
    return setup, assumed


def _counted(assumed: Assumed) -> list[str]:
    """One line about what was assumed; `inspect` tells all of it."""
    return [f"assumed: {len(assumed)} values that the file does not give; `inspect` lists them"] if assumed else []


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def inspect(options: argparse.Namespace) -> int:
    """Check a setup, or build a sheet; tell how the bow braces, draws and shoots, and what was assumed."""
    if _build.is_sheet(options.setup):
        return inspect_sheet(options)
    setup, assumed = _setup(options)
    model = _core.Model(setup)
    lines = [f"{setup['name']}: the setup can be used"]
    lines += ["at brace:", *_rows(model.brace, "brace_height axle_to_axle string_tension arrow_square")]
    lines += ["the arrow:", *_rows(model.arrow, "mass front_of_center static_spine balance_point")]
    doubts = _core.handedness_doubts(setup)
    lines += [f"caution: {text}" for text in doubts]
    if assumed:
        lines += [
            "assumed, because the file does not say:",
            *(f"  {path} = {value}" for path, value in assumed.items()),
        ]
    data: dict[str, Any] = {"name": setup["name"], "brace": model.brace, "arrow": model.arrow}
    data |= {"assumed": assumed, "doubts": doubts}
    whole = True
    try:
        cycle = _core.draw_cycle(model, hold="draw_board")
        lines += ["the draw, by draw length:", *_build.curve_rows(cycle), *_rows(cycle, "stored_energy let_off")]
        data["draw_cycle"] = cycle
        shot = _core.launch(model)
        lines += ["the shot:", *_rows(shot, "exit_speed efficiency"), *(f"caution: {text}" for text in shot.cautions)]
        data |= {"exit_speed": shot.exit_speed, "efficiency": shot.efficiency}
    except (InputError, SolverError) as error:  # what is known of the bow at brace is told all the same
        whole = False
        lines += [f"{'the shot' if 'draw_cycle' in data else 'the draw'} cannot be computed: {error}"]
        data["error"] = str(error)
    if setup["provenance"]:
        lines += ["where its numbers come from:", f"  {setup['provenance']}"]
    _print(options, data, lines)
    return 0 if whole else 1


def mirror(options: argparse.Namespace) -> int:
    """Write the same bow for the other hand."""
    setup, _ = _setup(options)
    if pathlib.Path(options.file).exists():
        raise input_error("file", options.file, "must not be there yet: nothing is written over")
    other = _core.mirrored(setup)
    _core.write_setup(other, options.file)
    lines = [f"{other['name']}: {other['handedness']}-handed now, every lateral value with the other sign"]
    lines += [f"caution: {text}" for text in _core.handedness_doubts(other)]
    _print(options, {"name": other["name"], "handedness": other["handedness"], "file": options.file}, lines)
    return 0


def inspect_sheet(options: argparse.Namespace) -> int:
    """The same for a spec sheet: the bow that is built from it."""
    if options.changes:
        raise input_error("--set", options.changes[0], "must not be given for a spec sheet: change its file")
    sheet = _build.read_sheet(options.setup)
    built = _core.build_bow(sheet)
    cycle = _core.draw_cycle(_core.Model(built.setup), hold="draw_board")
    lines = [f"{sheet.name}: the sheet can be built", *_build.report_rows(built, cycle)]
    _print(options, {"name": sheet.name, "report": built.report, "draw_cycle": cycle}, lines)
    return 0


def build(options: argparse.Namespace) -> int:
    """A bow from its spec sheet."""
    _print(options, *_build.build(options))
    return 0


def draw(options: argparse.Namespace) -> int:
    """Draw the bow."""
    if options.plot:
        _check_plot(options.plot)
    setup, assumed = _setup(options)
    cycle = _core.draw_cycle(_core.Model(setup), hold="draw_board" if options.board else "archer")
    names = "peak_force holding_force let_off draw_length brace_height power_stroke stored_energy"
    names += " static_nock_travel late_stop_gap"
    lines = [f"{setup['name']}: draw cycle", *_rows(cycle, names), f"  {'first stop':<22} {cycle.first_stop}"]
    lines += [*_counted(assumed), *(f"caution: {text}" for text in cycle.cautions)]
    if options.plot:
        _save(options.plot, lambda plot: plot.draw_curve(cycle))
    _print(options, {"name": setup["name"], "draw_cycle": cycle, "assumed": assumed}, lines)
    return 0


def shoot(options: argparse.Namespace) -> int:
    """Shoot the arrow through paper."""
    distance = None if options.paper is None else parse_quantity("--paper", "length", options.paper)
    if options.plot:
        _check_plot(options.plot)
    setup, assumed = _setup(options)
    model = _core.Model(setup)
    shot = _core.launch(model)
    data: dict[str, Any] = {"name": setup["name"], "launch": shot, "assumed": assumed}
    lines = [f"{setup['name']}: {shot.ended_by.replace('_', ' ')}"]
    lines += _rows(shot, "exit_speed efficiency exit_time full_draw_force nock_travel_y nock_travel_z cable_clearance")
    lines += ["events:", *(f"  {_describe.in_words(e.time, 's'):<24} {e.kind.replace('_', ' ')}" for e in shot.events)]
    lines += ["rest:", *_rows(shot.rest, "last_contact largest_force shaft_clearance fletching_clearance")]
    if shot.rest.vane_strike is not None:
        lines += [
            "vanes strike the rest:",
            *_rows(shot.rest.vane_strike, "time largest_force impulse_up impulse_right depth"),
        ]
    clean = shot.ended_by == "arrow_clear"
    if clean:
        tear = _core.paper_tear(model, shot, distance=distance)
        data |= {"paper_tear": tear, "tear_in_words": _core.describe_tear(tear)}
        lines += [f"paper: {data['tear_in_words']}", *_rows(tear, "up right speed")]
        if options.plot:
            _save(options.plot, lambda plot: plot.paper(tear, setup=setup))
    lines += [*_counted(assumed), *(f"caution: {text}" for text in shot.cautions)]
    _print(options, data, lines)
    return 0 if clean else 1


def predict(options: argparse.Namespace) -> int:
    """Tell what the bow will do, as far as it is known."""
    distance = None if options.paper is None else parse_quantity("--paper", "length", options.paper)
    for file in (options.report, options.plot):
        if file:
            _core.check_writable(file)
    if options.plot:
        _check_plot(options.plot)
    setup, assumed = _setup(options)
    found = _core.predict(
        setup,
        options.output,
        bows=options.bows,
        seed=options.seed,
        level=options.level,
        distance=distance,
        threads=options.threads,
    )
    lines = [f"{setup['name']}: as far as it is known, by {found.bows - found.failed} bows drawn from what is not"]
    for one in found.outputs:
        lines += _predicted_rows(one)
    lines += [*(f"note: {text}" for text in found.notes), *_counted(assumed)]
    if options.report:
        pathlib.Path(options.report).write_text(_core.prediction_markdown(found), encoding="utf-8")
    if options.plot:
        _save(options.plot, lambda plot: plot.prediction(found))
    _print(options, {"prediction": found, "assumed": assumed}, lines)
    return 0


def _predicted_rows(one: Any, most: int = 5) -> list[str]:
    described = next(each for each in _core.output_descriptions() if each.output == one.output)

    def shown(value: float) -> str:
        return _core.display(value, described.quantity, described.unit, 2 if described.quantity == "length" else 1)

    lines = [
        f"{described.title}: {shown(one.value)} as the setup stands; 90 %: {shown(one.low)} to {shown(one.high)}",
    ]
    if not one.linear:
        lines.append(f"  (straight lines would say ± {shown(1.644854 * one.linear_deviation)}: shares tell the order)")
    shares = [share for share in one.shares if share.share >= 0.02][:most]
    lines += [f"  {100 * share.share:3.0f} %  {share.title} ({share.by})" for share in shares]
    best = [each for each in one.narrowing[:2] if each.remaining < 0.97]
    lines += [f"  {each.instruction}: leaves {100 * each.remaining:.0f} % of the interval" for each in best]
    return lines


def explain(options: argparse.Namespace) -> int:
    """Explain the tears of a case file."""
    case = _core.read_case(options.case)
    if options.report:
        _core.check_report_file(options.report)  # rather than after all the work
    found = _explained(case, options.threads, options.ignorance)
    if options.next:
        lines = [found.summary, "", *_core.next_step_markdown(found.next).replace("**", "").rstrip().splitlines()]
        if options.report:
            _core.write_report(found, options.report)
        _print(options, {"verdict": found.verdict, "next": found.next}, lines)
        return 1 if found.next.kind in ("nothing", "look_at_setup") else 0
    lines = [found.summary, *(f"  {text}" for text in found.findings)]
    if found.next.instruction:
        lines += ["next:", f"  {found.next.instruction}"]
    if found.plan.first:
        lines += ["first:", *(f"  {text}" for text in found.plan.first)]
    steps = found.plan.steps
    lines += [
        ("what takes this tear away, which is not its cause:" if found.plan.remedy else "plan:")
        if steps
        else "no plan",
        *(f"  {i}. {step.instruction}" for i, step in enumerate(steps, 1)),
    ]
    lines += [text for text in (found.plan.sight, found.plan.stop_rule, found.plan.refusal) if text]
    causes = [cause for cause in found.causes if cause.probability >= 0.005]
    if causes:
        lines += ["causes:", *(f"  {100 * cause.probability:3.0f} %  {cause.words}" for cause in causes[:6])]
    if found.next_checks:
        lines += ["next checks:", *(f"  {check.instruction}" for check in found.next_checks[:3])]
    lines += [f"assumed: {each.path} = {each.value}" for each in found.observed.assumed]
    lines += [f"caution: {text}" for text in found.cautions]
    if options.report:
        _core.write_report(found, options.report)
    _print(options, {"explanation": found}, lines)
    return 0 if found.verdict in ("explained", "unusual", "clean") else 1


def _explained(case: _core.Case, threads: int | None, ignorance: float) -> _core.Explanation:
    """Tell how long it will take, and show a bar, where that is more than two seconds."""
    launches = _core.expected_launches(case)
    start = time.perf_counter()
    if launches:
        _core.shoot(case.setup)
    lanes = 2.0  # what launches side by side in a processor's vectors gain
    seconds = launches * (time.perf_counter() - start) / (lanes * (threads or os.cpu_count() or 1))
    if seconds < 2.0:
        return _core.explain(case, threads=threads, ignorance=ignorance)
    print(f"about {launches} launches, {seconds:.0f} s within a factor of two", file=sys.stderr)
    try:
        tqdm: Any = importlib.import_module("tqdm").tqdm
    except ModuleNotFoundError:
        return _core.explain(case, threads=threads, ignorance=ignorance)
    with tqdm(total=launches, unit="launch", desc="explain", leave=False, disable=None) as bar:  # none into a file

        def show(done: int) -> None:
            bar.total = max(launches, done)
            bar.update(done - bar.n)

        return _core.explain(case, threads=threads, ignorance=ignorance, progress=show)


def _check_plot(file: str) -> str:
    """The format of a picture by its name, looked at before there is anything to draw."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    formats = FigureCanvasAgg.get_supported_filetypes()
    if (suffix := pathlib.Path(file).suffix.removeprefix(".").lower()) not in formats:
        raise input_error("--plot", file, f"must end in one of .{', .'.join(sorted(formats))}")
    _core.check_writable(file)
    return suffix


def _save(file: str, draw_into: Any) -> None:
    import matplotlib as mpl

    mpl.use("Agg")
    from nockwise import plot

    draw_into(plot).figure.savefig(file, dpi=150, format=_check_plot(file))


def sweep(options: argparse.Namespace) -> int:
    """Run a sweep file."""
    from nockwise._sweep import sweep as run

    arguments = read_plan(options.plan)
    if options.parquet:
        parquet_library()
    for file in (options.csv, options.parquet):
        if file:
            _core.check_writable(file)  # rather than after the sweep
    data = run(
        arguments.pop("setup"), arguments.pop("values"), store=options.store, threads=options.threads, **arguments
    )
    names = [str(name) for name in data.data_vars]
    columns = [str(name) for name in data.coords if name != "sample"]
    if options.csv:
        write_csv(options.csv, data, [*columns, *names])
    if options.parquet:
        write_parquet(options.parquet, data, [*columns, *names])
    failed = int((data["status"] == 2).sum())
    lines = [f"{data.attrs['title']}: {data['status'].size} samples, {failed} failed"]
    summary: dict[str, Any] = {}
    for name in names[:-2]:
        values = data[name].values
        if np.isfinite(values).any():
            least, most = float(np.nanmin(values)), float(np.nanmax(values))
            summary[name] = {"least": least, "most": most, "units": data[name].attrs["units"]}
            unit = data[name].attrs["units"]
            lines.append(f"  {name:<28} {_describe.in_words(least, unit)} to {_describe.in_words(most, unit)}")
    if failed:
        at = np.unravel_index(int(np.argmax(data["status"].values == 2)), data["status"].shape)
        lines.append(f"  first failure: {data['message'][tuple(map(int, at))].item()}")
    everything = {name: to_json(data[name].values) for name in [*columns, *names]} if options.json else {}
    _print(
        options, {"samples": int(data["status"].size), "failed": failed, "summary": summary, "data": everything}, lines
    )
    return 1 if failed else 0
