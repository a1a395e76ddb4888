"""What the files may hold: schemas, and every parameter."""

from __future__ import annotations

import argparse
import pathlib
from typing import Any

from nockwise import _core
from nockwise._commands import _print
from nockwise._schema import file_schema, write_schemas


def schema(options: argparse.Namespace) -> int:
    """JSON Schema of one kind of file, or of all into a folder."""
    if options.all:
        write_schemas(pathlib.Path(options.all))
        files = sorted(file.name for file in pathlib.Path(options.all).glob("*.json"))
        _print(options, {"folder": options.all, "files": files}, [f"in {options.all}: {', '.join(files)}"])
    else:
        print(file_schema(options.kind), end="")
    return 0


def _how_known(p: _core.Parameter) -> str:
    """Class, width and reason, as in "typical, ± 20 % (one standard deviation): seldom measured"."""
    width = p.known.width
    if p.known.by == "exact":
        return f"exact: {p.known.reason}"
    shown = (
        f"{100 * width.value:.3g} %"
        if width.relative
        else f"{float(_core.from_si(width.value, p.quantity, p.unit)):.3g} {p.unit}".strip()
    )
    return f"{p.known.by}, ± {shown} (one standard deviation): {p.known.reason}"


def paths(options: argparse.Namespace) -> int:
    """Every parameter."""
    found: list[dict[str, Any]] = []
    lines = []
    kinds: tuple[Any, ...] = (_core.parameters, _core.choice_parameters, _core.text_parameters, _core.track_parameters)
    for p in (parameter for kind in kinds for parameter in kind()):
        if options.word.lower() in f"{p.path} {p.doc}".lower():
            allowed = getattr(p, "allowed", "")
            found.append({"path": p.path, "doc": p.doc, "allowed": allowed, "unit": getattr(p, "unit", "")})
            needed = ", required" if getattr(p, "required", False) else ""
            lines += [f"{p.path}{needed}", f"    {p.doc}" + (f" ({allowed})" if allowed else "")]
            if isinstance(p, _core.Parameter):
                found[-1]["known"] = p.known
                lines.append(f"    {_how_known(p)}")
    for limit in _core.case_ranges():
        if options.word.lower() in f"{limit.path} {limit.doc}".lower():
            low, high = (
                _core.format_quantity(end, limit.quantity, limit.unit) for end in (limit.minimum, limit.maximum)
            )
            allowed = f"must be from {low} to {high}"
            found.append({"path": limit.path, "doc": limit.doc, "allowed": allowed, "unit": limit.unit})
            lines += [f"{limit.path} (in a case file)", f"    {limit.doc} ({allowed})"]
    _print(options, {"parameters": found}, lines or ["no parameter has this word"])
    return 0 if found else 1
