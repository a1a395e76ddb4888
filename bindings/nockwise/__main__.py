"""Command line: `python -m nockwise COMMAND …`."""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import sys
import textwrap
import traceback
from collections.abc import Sequence
from typing import Any, get_args

from nockwise import (
    _bench_commands,
    _cam_commands,
    _choice_commands,
    _commands,
    _core,
    _demo_commands,
    _reference_commands,
    _target_commands,
)
from nockwise._errors import Error, InputError, SolverError
from nockwise._examples import epilog
from nockwise._schema import FileKind

EXIT_CODES = """\
exit codes:
  0  all is well
  1  the answer is no: samples of a sweep failed, or the arrow did not leave cleanly
  2  the input cannot be used (a setup file, a path, a value, the command itself)
  3  the physics or the numerics have no answer (no brace, no full draw, …)
  4  something else went wrong: a file cannot be written, a library is not installed
  70  a fault of nockwise itself: please report what is printed
  130  interrupted
"""


def parser() -> argparse.ArgumentParser:
    """All commands and their options."""
    top = argparse.ArgumentParser(
        prog="nockwise",
        description="The launch of a compound bow, from a setup file to the tear in the paper.",
        epilog=EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"nockwise {_core.__version__}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def command(name: str, run: Any, text: str, *, setup: bool = True) -> argparse.ArgumentParser:
        form = argparse.RawDescriptionHelpFormatter
        whole = textwrap.fill(text, 79)
        made = commands.add_parser(name, help=text, description=whole, epilog=epilog(name), formatter_class=form)
        made.set_defaults(run=run)
        if setup:
            made.add_argument("setup", help="setup file (TOML)")
            made.add_argument(
                "--set",
                action="append",
                default=[],
                metavar="PATH=VALUE",
                dest="changes",
                help='change a parameter first, as in --set "cables.upper.twists=0.5 twist"; may be repeated',
            )
        made.add_argument("--json", action="store_true", help="print JSON for machines, in SI units")
        return made

    command(
        "inspect",
        _commands.inspect,
        "Check a setup file (or a spec sheet), explain what is wrong, and say how the bow braces, draws and shoots.",
    )
    other = command("mirror", _commands.mirror, "Write the same bow for the other hand.")
    other.add_argument("file", help="setup file (TOML) to write; it must not be there yet")
    sheet = command(
        "build", _commands.build, "A bow from its spec sheet: from a file, or asked line by line.", setup=False
    )
    sheet.add_argument("sheet", nargs="?", help="sheet (TOML, a table [measurements]); without it, you are asked")
    sheet.add_argument("--out", metavar="FILE", help="write the bow as a setup file")
    sheet.add_argument("--base", metavar="SETUP", help="setup file with the riser, rest and arrow to put on the bow")
    sheet.add_argument(
        "--members", type=int, default=16, metavar="N", help="plausible bows of the sheet to compare; 0: none"
    )
    sheet.add_argument("--readings", metavar="FILE", help="what was read at the bow since (TOML, [[readings]])")
    sheet.add_argument("--tear-up", metavar="LENGTH", help='a tear to plan for, tail-high positive, as in "1/2 in"')
    sheet.add_argument("--tear-right", metavar="LENGTH", help="its sideways part, tail-right positive")
    sheet.add_argument("--plot", metavar="FOLDER", help="draw bow, cams, draw curve and tears into image files")
    sheet.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    draw = command("draw", _commands.draw, "Draw the bow: force, let-off, energy, stop timing, nock travel.")
    draw.add_argument("--board", action="store_true", help="hold it on a draw board instead of in a hand")
    draw.add_argument("--plot", metavar="FILE", help="draw the curve into an image file")
    shoot = command("shoot", _commands.shoot, "Shoot the arrow: launch, events, rest, and the tear in the paper.")
    shoot.add_argument("--paper", metavar="LENGTH", help='distance of the paper, as in "6 ft"')
    shoot.add_argument("--plot", metavar="FILE", help="draw the paper into an image file")
    known = command(
        "predict", _commands.predict, "What the bow will do as far as it is known: intervals, and what they come from."
    )
    known.add_argument(
        "--output",
        action="append",
        default=[],
        metavar="NAME",
        help="tear_up, exit_speed, …; may be repeated (default: the tear and the exit speed)",
    )
    known.add_argument("--bows", type=int, default=400, metavar="N", help="bows to draw (400)")
    known.add_argument("--seed", type=int, default=1, metavar="N", help="of the draws (1)")
    known.add_argument("--level", type=float, default=1.0, metavar="X", help="factor on all that is not known (1)")
    known.add_argument("--paper", metavar="LENGTH", help='distance of the paper, as in "6 ft"')
    known.add_argument("--plot", metavar="FILE", help="draw the first output's interval into an image file")
    known.add_argument("--report", metavar="FILE", help="write a page in Markdown")
    known.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    _bench_commands.add_to(command)
    _target_commands.add_to(command)
    _choice_commands.add_to(command)
    _cam_commands.add_to(command)
    table = command("sweep", _commands.sweep, "Many launches, as a sweep file (TOML) says.", setup=False)
    table.add_argument("plan", help="sweep file (TOML)")
    table.add_argument("--csv", metavar="FILE", help="write a table, one row per sample, in SI units")
    table.add_argument("--parquet", metavar="FILE", help="the same table in Parquet, with units as metadata")
    table.add_argument("--store", metavar="FOLDER", help="keep results in a folder, and go on from what is there")
    table.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    why = command("explain", _commands.explain, "Explain tears: causes, what to check next, a plan.", setup=False)
    why.add_argument("case", help="case file (TOML): the setup and the holes in the paper")
    why.add_argument("--report", metavar="FILE", help="write a page: .html, .md or .json")
    why.add_argument("--next", action="store_true", help="the one next thing to do, and what each outcome would mean")
    why.add_argument(
        "--ignorance",
        type=float,
        default=1.0,
        metavar="LEVEL",
        help="how little is known of the bow besides what is suspected: 1, the default, for a workshop's usual file; "
        "0 takes the file for the bow",
    )
    why.add_argument("--threads", type=int, metavar="N", help="threads (all cores by default)")
    form = command("schema", _reference_commands.schema, "JSON Schema of files (TOML), for editors.", setup=False)
    form.add_argument(
        "kind",
        nargs="?",
        default="setup",
        choices=get_args(FileKind),
        metavar="KIND",
        help="setup (default), case, calibration, measurements or sweep",
    )
    form.add_argument("--all", metavar="FOLDER", help="write the schemas of all kinds into a folder instead")
    paths = command(
        "paths", _reference_commands.paths, "Every parameter of a setup: path, unit, range, meaning.", setup=False
    )
    _demo_commands.add_to(command, parser)
    paths.add_argument("word", nargs="?", default="", help="only those with this word in path or meaning")
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; gives the exit code."""
    options = parser().parse_args(arguments)
    try:
        code: int = options.run(options)
        sys.stdout.flush()
    except InputError as error:
        return _fail(options, 2, error, _facts(error, ("path", "value", "allowed", "file", "line", "column")))
    except SolverError as error:
        return _fail(options, 3, error, _facts(error, ("where", "why")))
    except BrokenPipeError:  # whoever reads has enough, as in `nockwise paths | head`
        _close_output()
        return 0
    except (Error, OSError) as error:
        return _fail(options, 4, error, {})
    except KeyboardInterrupt as error:
        return _fail(options, 130, str(error) or "interrupted", {})
    except Exception:
        traceback.print_exc()
        return 70
    return code


def _facts(error: Error, names: tuple[str, ...]) -> dict[str, Any]:
    return {name: getattr(error, name) for name in names if getattr(error, name) not in (None, "")}


def _fail(options: argparse.Namespace, code: int, error: object, facts: dict[str, Any]) -> int:
    if options.json:
        with contextlib.suppress(OSError):  # a full disk cannot be told where it is full
            print(json.dumps({"error": {"message": str(error), **facts}, "exit_code": code}))  # in ASCII
            sys.stdout.flush()
            return code
        _close_output()
    print(f"nockwise: {_commands.for_terminal(str(error))}", file=sys.stderr)
    return code


def _close_output() -> None:
    """Drop what could not be written, so that Python does not try again as it ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
