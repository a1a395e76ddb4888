"""What the commands of the command line do that choose: a tune that groups, an arrow to buy, a bow that minds less."""

from __future__ import annotations

import argparse
from typing import Any

from nockwise import _commands, _core
from nockwise._errors import input_error
from nockwise._sweep_plan import parse_quantity
from nockwise._target_commands import conditions_of, distance_of, inches, scatter_of, who_shoots


def _length(options: argparse.Namespace, name: str) -> float:
    return parse_quantity(f"--{name.replace('_', '-')}", "length", getattr(options, name))


def forgiving(options: argparse.Namespace) -> int:
    """The tune with the smallest group."""
    setup, assumed = _commands._setup(options)
    tune = _core.forgiving(
        setup,
        scatter_of(options),
        options.free,
        within=_length(options, "within"),
        most_steps=options.most_steps,
        distance=distance_of(options),
        seed=options.seed,
        conditions=conditions_of(options),
        threads=options.threads,
    )
    hole = max(abs(tune.group.forgiveness.tear_up), abs(tune.group.forgiveness.tear_right))
    lines = [
        f"{setup['name']}, {tune.group.scatter}, {tune.group.distance:.1f} m: {tune.tried} tunes tried",
        *(f"  {text}" for text in tune.instructions or ["leave all as it is"]),
        f"  hole                 {inches(hole)}",
        f"  width of six         {inches(tune.group.width_of_six_right)}, height {inches(tune.group.width_of_six_up)}",
        f"  the group is {100 * tune.gain:.1f} ± {100 * tune.gain_error:.1f} % smaller than that of the smallest hole",
        "the smallest group for each hole (hole, one standard deviation):",
        *(f"  {inches(each.tear)}  {inches(each.deviation)}" for each in tune.frontier),
        *(f"caution: {each.words}" for each in tune.cautions),
        *_commands._counted(assumed),
    ]
    _commands._print(options, {"forgiving": tune, "assumed": assumed}, lines)
    return 0


def arrows(options: argparse.Namespace) -> int:
    """Which arrow to buy."""
    if options.plot:
        _commands._check_plot(options.plot)
    setup, assumed = _commands._setup(options)
    choices = _core.arrow_choices(
        [parse_quantity("--spine", "spine", text) for text in options.spine],
        point_masses=[parse_quantity("--point", "mass", text) for text in options.point],
        lengths=[parse_quantity("--length", "length", text) for text in options.length],
    )
    table = _core.compare_arrows(
        setup,
        scatter_of(options),
        choices,
        near_distance=_length(options, "near"),
        far_distance=_length(options, "far"),
        bows=options.bows,
        shots=options.shots,
        seed=options.seed,
        conditions=conditions_of(options),
        threads=options.threads,
    )
    lines = [
        f"{table.name}, {table.scatter}: groups at {table.near_distance:.0f} and {table.far_distance:.0f} m "
        "(one standard deviation), hole before tuning, sight pin below the first arrow's near mark",
        f"  {'spine, point, length':<28} {'mass':>7} {'near':>8} {'far':>8}  {'larger by':<15}  "
        f"{'hole up, right [in]':<19}  {'pin near, far [mm]':<18}  touch, vanes clear [mm]",
    ]
    for row in table.rows:
        if row.failure:
            lines.append(f"  {row.title:<28} cannot be shot: {row.failure}")
            continue
        near, far = (_core.display(size, "length", "in", 2) for size in (row.near_size, row.far_size))
        tears = ", ".join(f"{each / 0.0254:+.2f}" for each in (row.tear_up, row.tear_right))
        mass = _core.display(row.mass, "mass", "gr", 0)
        larger = f"{100 * row.larger:4.1f} ± {100 * row.larger_error:.1f} %"
        marks = ("" if row.as_good else "  worse") + ("  TOO LIGHT for this bow" if row.light else "")
        sizes = f"{mass:>7} {near:>8} {far:>8}  {larger:<15}"
        clear = "" if row.vane_clearance is None else f", {1e3 * row.vane_clearance:+.1f}"
        pins = f"{1e3 * row.near_mark:+.1f}, {1e3 * row.far_mark:+.1f}"
        lines.append(f"  {row.title:<28} {sizes}  {tears:<19}  {pins:<18}  {100 * row.touches:3.0f} %{clear}{marks}")
    lines += [table.advice, *(f"note: {text}" for text in table.notes), *_commands._counted(assumed)]
    if options.plot:
        _commands._save(options.plot, lambda plot: plot.arrow_table(table)[0])
    _commands._print(options, {"arrows": table, "assumed": assumed}, lines)
    return 0


def least_sensitive(options: argparse.Namespace) -> int:
    """The setting whose tear answers least to a line that is off."""
    setup, assumed = _commands._setup(options)
    free: dict[str, float] = {}
    for text in options.free:
        path, equals, step = (part.strip() for part in text.partition("="))
        if not equals:
            raise input_error("--free", text, "must read PATH=STEP")
        free[path] = parse_quantity(f"--free {path}", _core.parameter(path).quantity, step)
    found = _core.least_sensitive(
        setup,
        free,
        lines=options.line,
        twists=options.twists,
        within=_length(options, "within"),
        most_steps=options.most_steps,
        threads=options.threads,
    )
    lines = [
        f"{setup['name']}: {found.tried} settings tried",
        f"  {options.twists:g} twist in every line by itself moves the tear by "
        f"{1e3 * found.sensitivity_before:.2f} mm as given, {1e3 * found.sensitivity:.2f} mm with",
    ]
    for path, steps, value in zip(found.paths, found.steps, found.values, strict=True):
        number = _core.parameter(path)
        shown = _core.display(value, number.quantity, number.unit, 3)
        lines.append(f"    {path} = {shown} ({steps:+.0f} steps)")
    lines.append(f"  hole there: {inches(found.tear_up)} up, {inches(found.tear_right)} right")
    for before, after in zip(found.lines_before, found.lines, strict=True):
        lines.append(
            f"  {after.adjustment:<20} {1e3 * before.up:+6.2f}, {1e3 * before.right:+6.2f} mm (up, right) before, "
            f"{1e3 * after.up:+6.2f}, {1e3 * after.right:+6.2f} mm after"
        )
    lines += [*(f"caution: {each.words}" for each in found.cautions), *_commands._counted(assumed)]
    _commands._print(options, {"least_sensitive": found, "assumed": assumed}, lines)
    return 0


def add_to(command: Any) -> None:
    """Add these commands and their options to the parser; `command` is its way to make one."""
    tune = who_shoots(command("forgiving", forgiving, "The tune that groups best among those that tear clean."))
    tune.add_argument("--distance", metavar="LENGTH", help='of the target, as in "50 yd" (default: the setup\'s)')
    tune.add_argument(
        "--free", action="append", required=True, metavar="NAME", help="an adjustment that is free; may be repeated"
    )
    buy = who_shoots(command("arrows", arrows, "Which spine, point and length to buy for this bow."))
    for name, text in (("spine", '"340 spine"'), ("point", '"100 gr"'), ("length", '"28.5 in"')):
        buy.add_argument(f"--{name}", action="append", default=[], metavar="VALUE", help=f"as in {text}; repeat it")
    buy.add_argument("--near", default="20 yd", metavar="LENGTH", help="nearer target (20 yd)")
    buy.add_argument("--far", default="40 yd", metavar="LENGTH", help="farther target (40 yd)")
    buy.add_argument("--bows", type=int, default=40, metavar="N", help="that this one may be, for its holes (40)")
    buy.add_argument("--shots", type=int, default=240, metavar="N", help="of each arrow (240)")
    buy.add_argument("--plot", metavar="FILE", help="draw groups and holes into an image file")
    design = command(
        "least-sensitive", least_sensitive, "The setting whose tear answers least to a quarter twist in a line."
    )
    design.add_argument(
        "--free",
        action="append",
        required=True,
        metavar="PATH=STEP",
        help='a number that is free and its step, as in "cable_guard.offset=2 mm"; may be repeated',
    )
    design.add_argument(
        "--line", action="append", default=[], metavar="NAME", help="an adjustment that turns a line (all single ones)"
    )
    design.add_argument("--twists", type=float, default=0.25, metavar="N", help="by which a line is off (0.25)")
    design.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    for made in (tune, design):
        made.add_argument("--within", default="0.25 in", metavar="LENGTH", help="largest hole allowed (0.25 in)")
        made.add_argument("--most-steps", type=float, default=4.0, metavar="N", help="farthest from the setup (4)")
