"""Sweep files, and tables of what a sweep gave."""

from __future__ import annotations

import csv
import dataclasses
import importlib
import pathlib
import tomllib
from collections.abc import Iterator
from typing import Any

import numpy as np

from nockwise import _core
from nockwise._errors import InputError, input_error, needs_extra
from nockwise._sweep_plan import Options, make_column, make_plan

# What a sweep file may hold, and what of it goes to sweep() as it stands.
PLAN = {"setup": str, "outputs": list, "changes": dict, "grid": dict, "samples": list, "options": dict}
OPTIONS = {field.name for field in dataclasses.fields(Options)}


def read_plan(file: str) -> dict[str, Any]:
    """Arguments of sweep() from a file.

    The file has `setup` (a file beside it), `outputs`, optionally `changes`, and either `[grid]` (path = list, or a
    table with `from`, `to` and `count`) or `[[samples]]`; `[options]` are keyword arguments of sweep().
    """
    given = _read_toml(file)
    words = {str: "text", list: "a list", dict: "a table"}
    for key, value in given.items():
        if key not in PLAN:
            raise input_error(f"{file}: {key}", "", f"must be one of {', '.join(sorted(PLAN))}")
        if not isinstance(value, PLAN[key]):
            raise input_error(f"{file}: {key}", value, f"must be {words[PLAN[key]]}")
    if "setup" not in given or ("grid" in given) == ("samples" in given):
        raise input_error(file, "", "must give setup, outputs, and either grid or samples")
    options = given.get("options", {})
    for name in options:
        if name not in OPTIONS:
            raise input_error(f"{file}: options.{name}", options[name], "is no option of a sweep")
    bow = _core.read_setup(_beside(file, given["setup"]))
    try:
        setup = bow.replace(given.get("changes", {}))
        values = given.get("samples") or {path: _axis(path, axis) for path, axis in given.get("grid", {}).items()}
        outputs = given.get("outputs", [])
        make_plan(setup, values, None, outputs, Options(**options))
    except InputError as error:  # which of a person's files it stands in
        raise InputError(f"{file}: {error}", error.path, error.value, error.allowed, file) from None
    return {"setup": setup, "values": values, "outputs": outputs, **options}


def _beside(file: str, setup: str) -> pathlib.Path:
    folder = pathlib.Path(file).parent
    if not (folder / setup).exists():
        words = f"must name a setup file; there is none of this name in {folder.resolve()}"
        raise input_error(f"{file}: setup", setup, words)
    return folder / setup


def _read_toml(file: str) -> dict[str, Any]:
    """Through the library's own checks of size, nesting and kind, behind which Python's parser is safe."""
    text = _core.read_text_file(file)
    _core.check_file_kind(text, "sweep", file)
    try:
        return tomllib.loads(text.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{file}: this is not TOML: {error}", "", "", "must be TOML", file) from None


def _axis(path: str, axis: Any) -> Any:
    if not isinstance(axis, dict):
        return axis
    if set(axis) != {"from", "to", "count"}:
        raise input_error(path, axis, "must be a list, or a table with from, to and count")
    count = axis["count"]
    if not isinstance(count, int) or isinstance(count, bool) or count < 1:
        raise input_error(f"{path}: count", count, "must be a whole number, at least 1")
    ends = make_column(_core.Setup(), path, [axis["from"], axis["to"]]).values
    return np.linspace(ends[0], ends[1], count)


def _blocks(data: Any, names: list[str], rows: int) -> Iterator[list[Any]]:
    """The columns of some rows at a time, so that a sweep larger than the memory can be written."""
    import xarray

    shape, dims = data["status"].shape, data["status"].dims
    for start in range(0, data["status"].size, rows):
        flat = np.arange(start, min(start + rows, data["status"].size))
        at = {dim: xarray.Variable("row", i) for dim, i in zip(dims, np.unravel_index(flat, shape), strict=True)}
        variables = [data[name].variable for name in names]
        yield [variable.isel({dim: at[dim] for dim in variable.dims}).values for variable in variables]


def write_csv(file: str, data: Any, names: list[str], rows: int = 10_000) -> None:
    """A table with one row per sample."""
    with pathlib.Path(file).open("w", newline="", encoding="utf-8") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(names)
        for block in _blocks(data, names, rows):
            columns = (column.tolist() for column in block)
            parts = [["" if value != value else value for value in column] for column in columns]  # no number: empty
            table.writerows(zip(*parts, strict=True))


def parquet_library() -> tuple[Any, Any]:
    """PyArrow and its part that writes Parquet; raises Error where it is not installed."""
    try:
        return importlib.import_module("pyarrow"), importlib.import_module("pyarrow.parquet")
    except ImportError:
        raise needs_extra("pyarrow", "parquet") from None


def write_parquet(file: str, data: Any, names: list[str], rows: int = 100_000) -> None:
    """The same in Parquet: each column with its unit and comment, the table with the Dataset's attributes."""
    arrow, parquet = parquet_library()

    def kind(name: str) -> Any:
        dtype = data[name].dtype
        return arrow.string() if dtype.kind in "OU" else arrow.from_numpy_dtype(dtype)

    def told(attributes: dict[Any, Any]) -> dict[str, str]:
        return {str(key): str(value) for key, value in attributes.items() if key in ("units", "long_name")}

    fields = [arrow.field(name, kind(name), metadata=told(data[name].attrs)) for name in names]
    schema = arrow.schema(fields, metadata={str(key): str(value) for key, value in data.attrs.items()})
    with parquet.ParquetWriter(file, schema) as out:
        for block in _blocks(data, names, rows):
            arrays = [arrow.array(column, field.type) for column, field in zip(block, schema, strict=True)]
            out.write_table(arrow.Table.from_arrays(arrays, schema=schema))
