"""Gathers the manual's sources and builds it as a site: .build/manual/html.

usage: .venv/bin/python .setup/manual.py

Pages of examples/manual, the notebooks (run anew when they or the package have changed), the documents that lie beside
the code, and references that are written from what they describe: parameters from the library's table, commands from
their parser, Python from the installed package, C++ from the public headers. A warning is an error.
"""

from __future__ import annotations

import argparse
import inspect
import os
import pathlib
import re
import shutil
import subprocess
import sys
from typing import Any

import nockwise
from nockwise.__main__ import parser

ROOT = pathlib.Path(__file__).resolve().parent.parent
BUILD = ROOT / ".build" / "manual"
SOURCE = BUILD / "source"
# Documents that lie beside the code, and their pages.
DOCUMENTS = {
    "lib/README.md": "theory.md",
    "lib/limits.md": "limits.md",
    "lib/trade.md": "trade.md",
    "tests/checks.md": "checks.md",
    "tests/reference/blind_recovery.md": "blind_recovery.md",
    "tests/reference/population.md": "population.md",
    "DEVELOPERS.md": "developers.md",
}


def write(name: str, text: str) -> None:
    """One page; a file that has not changed keeps its time, so that it is not built again."""
    path = SOURCE / name
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists() or path.read_text(encoding="utf-8") != text:
        path.write_text(text, encoding="utf-8")


def gathered(document: str) -> str:
    """A document of the project, with links to pages of the manual, or to nothing where there is no page."""
    folder = (ROOT / document).parent

    def link(match: re.Match[str]) -> str:
        target, _, anchor = match[2].partition("#")
        if match[2].startswith(("http", "#")):
            return match[0] if match[2].startswith("http") else match[1]
        path = (folder / target).resolve()
        page = DOCUMENTS.get(str(path.relative_to(ROOT)), "") if path.is_relative_to(ROOT) else ""
        return f"[{match[1]}]({page})" if page else match[1]

    text = (ROOT / document).read_text(encoding="utf-8")
    return re.sub(r"(?<!!)\[([^\]\n]+)\]\(([^)\s]+)\)", link, text)


def cell(text: str) -> str:
    """Text in a table."""
    return " ".join(text.split()).replace("|", "\\|").replace("<", "&lt;")


def parameters_page() -> str:
    """Every parameter, by its table in a setup file."""
    groups: dict[str, list[str]] = {}
    for p in nockwise.parameters():
        ends = [f"{float(nockwise.from_si(end, p.quantity, p.unit)):.6g}" for end in (p.minimum, p.maximum)]
        told = ("required; " if p.required else "") + f"{p.known.by}"
        row = f"| `{p.path}` | {cell(p.doc)} | {cell(p.unit)} | {ends[0]} to {ends[1]} | {told} |"
        groups.setdefault(p.path.split(".")[0], []).append(row)
    others: list[Any] = [*nockwise.choice_parameters(), *nockwise.text_parameters(), *nockwise.track_parameters()]
    for q in others:
        words = ", ".join(f"`{word}`" for word in getattr(q, "choices", ()))
        groups.setdefault(q.path.split(".")[0], []).append(f"| `{q.path}` | {cell(q.doc)} | | {words} | |")
    text = "# Parameters\n\nWritten from the library's own table; `nockwise paths WORD` searches it.\n"
    for name, rows in groups.items():
        text += (
            f"\n## {name}\n\n| path | what | unit | range | how it is known |\n|---|---|---|---|---|\n"
            + "\n".join(rows)
            + "\n"
        )
    return text


def commands_page() -> str:
    """Every command's help."""
    subparsers = next(action for action in parser()._actions if isinstance(action, argparse._SubParsersAction))
    text = "# Commands\n\nWhat `nockwise COMMAND --help` prints.\n"
    for name, command in subparsers.choices.items():
        text += f"\n## {name}\n\n```text\n{command.format_help().rstrip()}\n```\n"
    return text


def called(name: str, thing: object) -> str:
    """How a function or class is called, as code; empty where it has several ways, which its text then tells."""
    try:
        signature = str(inspect.signature(thing))  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return ""
    return f"```python\n{name}{signature}\n```\n\n"


def document(thing: object) -> str:
    """A docstring, which is Markdown; an overloaded function's has types of the binding that nobody writes."""
    text = (inspect.getdoc(thing) or "").replace("nockwise._core.", "").split("Overloaded function.")[-1].strip()
    return re.sub(r"^(\w+)\n-{3,}\n((?:.+\n?)+)", section, text, flags=re.MULTILINE)


def section(found: re.Match[str]) -> str:
    """A section of numpydoc as a list: its underline would be a heading of the page."""
    rows: list[str] = []
    for line in found[2].splitlines():
        if line.startswith(" "):
            rows[-1] += (" " if ": " in rows[-1] else ": ") + line.strip()
        else:
            rows.append(f"- `{line}`")
    return f"*{found[1]}*\n\n" + "\n".join(rows) + "\n"


def class_text(name: str, thing: type) -> str:
    """A class: what it is, its properties in a table, its methods."""
    text = f"### {name}\n\n{called(name, thing)}{document(thing)}\n"
    rows = [(n, m) for n, m in vars(thing).items() if not n.startswith("_")]
    properties = [f"| `{n}` | {cell(document(m))} |" for n, m in rows if isinstance(m, property)]
    if properties:
        text += "\n| property | what |\n|---|---|\n" + "\n".join(properties) + "\n"
    for n, method in rows:
        if callable(method):
            text += f"\n{called(f'{name}.{n}', method)}{document(method)}\n"
    return text


def python_page() -> str:
    """Every public name of the package."""
    text = "# Python\n\nWhat `import nockwise` gives, and `nockwise.plot`. Numbers are SI, angles in radians.\n"
    functions, classes = [], []
    for name in nockwise.__all__:
        thing = getattr(nockwise, name)
        if isinstance(thing, type):
            classes.append(class_text(name, thing))
        elif callable(thing):
            functions.append(f"### {name}\n\n{called(name, thing)}{document(thing)}\n")
    from nockwise import plot

    plots = [
        f"### plot.{n}\n\n{called('plot.' + n, getattr(plot, n))}{document(getattr(plot, n))}\n" for n in plot.__all__
    ]
    kinds = {"Functions": functions, "Classes": classes, "Plots": plots}
    return text + "".join(f"\n## {kind}\n\n" + "\n".join(entries) for kind, entries in kinds.items())


def cpp_page() -> str:
    """Every public class and function; which header it is in stands with it."""
    text = "# C++\n\n`#include <nockwise/nockwise.hpp>` brings all of it; namespace `nockwise`. SI, angles in radians.\n"
    return text + "\n```{doxygennamespace} nockwise\n:members:\n:undoc-members:\n:content-only:\n```\n"


def read_headers() -> None:
    """Doxygen's XML of the public headers."""
    folder = ROOT / "include" / "nockwise"
    settings = f"""
PROJECT_NAME = nockwise
INPUT = {folder}
OUTPUT_DIRECTORY = {BUILD / "doxygen"}
GENERATE_HTML = NO
GENERATE_LATEX = NO
GENERATE_XML = YES
XML_PROGRAMLISTING = NO
QUIET = YES
WARN_IF_UNDOCUMENTED = NO
WARN_IF_INCOMPLETE_DOC = NO
WARN_AS_ERROR = FAIL_ON_WARNINGS
EXTRACT_ALL = YES
INPUT_FILTER = "sed -e 's/@throws \\([A-Za-z]*\\), /@throws \\1 /'"
MACRO_EXPANSION = YES
EXPAND_ONLY_PREDEF = YES
PREDEFINED = NOCKWISE_EXPORT=
"""
    (BUILD / "doxygen").mkdir(parents=True, exist_ok=True)
    subprocess.run(["doxygen", "-"], input=settings, text=True, check=True)


def main() -> int:
    """Gather, then build."""
    pages = ROOT / "examples" / "manual"
    for file in pages.glob("*.md"):
        write(f"reference/{file.name}" if file.name == "files.md" else file.name, file.read_text(encoding="utf-8"))
    write("conf.py", (pages / "conf.py").read_text(encoding="utf-8"))
    for document, page in DOCUMENTS.items():
        write(page, gathered(document))
    for notebook in (ROOT / "examples" / "notebooks").glob("*.ipynb"):
        write(f"tutorials/{notebook.name}", notebook.read_text(encoding="utf-8"))
    shutil.copytree(
        ROOT / "examples" / "setups", SOURCE / "setups", dirs_exist_ok=True, ignore=shutil.ignore_patterns("*.md")
    )
    shutil.copytree(
        ROOT / "examples" / "cases", SOURCE / "cases", dirs_exist_ok=True, ignore=shutil.ignore_patterns("*.md")
    )
    write("reference/parameters.md", parameters_page())
    write("reference/commands.md", commands_page())
    write("reference/python.md", python_page())
    read_headers()
    write("reference/cpp.md", cpp_page())
    os.environ.setdefault("NOCKWISE_NOTEBOOK_SAMPLES", "16")
    xml = f"breathe_projects.nockwise={BUILD / 'doxygen' / 'xml'}"
    sphinx = [sys.executable, "-m", "sphinx", "-q", "-W", "--keep-going", "-j", "2", "-b", "html", "-D", xml]
    return subprocess.run([*sphinx, str(SOURCE), str(BUILD / "html")], check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
