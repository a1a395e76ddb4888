"""The demonstration's files in a folder of one's own, and completion for shells."""

from __future__ import annotations

import argparse
import json
import pathlib
import shutil
from collections.abc import Callable

from nockwise._commands import _print
from nockwise._demo import demo_folder
from nockwise._errors import Error, input_error
from nockwise._schema import write_schemas


def copy_demo(options: argparse.Namespace) -> int:
    """Copy bows, cases, sweeps and cams into a folder that is not there yet."""
    folder = pathlib.Path(options.folder)
    if folder.exists():
        raise input_error("FOLDER", options.folder, "must not be there yet")
    for kind in ("setups", "cases", "sweeps", "cams"):
        shutil.copytree(demo_folder() / kind, folder / kind, ignore=shutil.ignore_patterns("*.md"))
    write_schemas(folder / "schemas")  # which the files name in their first lines, for editors
    files = sorted(str(file.relative_to(folder)) for file in folder.rglob("*") if file.suffix in (".toml", ".csv"))
    lines = [
        f"{len(files)} files in {folder}: {', '.join(files)}",
        f"All of it is invented. Begin with: cd {folder}; nockwise explain cases/came-in.toml",
    ]
    _print(options, {"folder": str(folder), "files": files, "invented": True}, lines)
    return 0


def print_completion(options: argparse.Namespace) -> int:
    """Print the script that completes commands, options and files."""
    try:
        import shtab
    except ImportError:
        message = "completion needs the library shtab: pip install 'nockwise[completion]'"
        raise Error(message) from None
    script = shtab.complete(options.parser(), shell=options.shell)
    if options.json:
        print(json.dumps({"shell": options.shell, "script": script}))
    else:  # as it is: a shell reads it
        print(script)
    return 0


def add_to(command: Callable[..., argparse.ArgumentParser], parser: Callable[[], argparse.ArgumentParser]) -> None:
    """Both commands; `parser` makes the whole command line anew."""
    copied = command("demo", copy_demo, "Copy the invented bows, cases, sweeps and cams into a folder.", setup=False)
    copied.add_argument("folder", metavar="FOLDER", help="must not be there yet")
    words = "Print a script that completes commands and options in a shell."
    shell = command("completion", print_completion, words, setup=False)
    shell.set_defaults(parser=parser)
    shell.add_argument("shell", choices=("bash", "zsh"))
