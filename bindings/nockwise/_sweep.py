"""Many launches at once, as an xarray Dataset."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from nockwise import _core
from nockwise._errors import input_error, needs_extra
from nockwise._sweep_plan import Options, Plan, make_plan
from nockwise._sweep_run import run_here, run_on_dask
from nockwise._sweep_store import FolderStore, MemoryStore, open_store

if TYPE_CHECKING:
    import xarray

    from nockwise._core import AnyDrawHold, AnyIntegrator

STATUS = ("not run", "done", "failed")


class SweepInterrupted(KeyboardInterrupt):
    """Ctrl-C during a sweep. `dataset` holds what was finished; other samples have the status "not run"."""

    def __init__(self, dataset: xarray.Dataset) -> None:
        done = int((dataset["status"] != 0).sum())
        super().__init__(f"sweep interrupted; {done} of {dataset['status'].size} samples are finished")
        self.dataset = dataset


def sweep(
    setup: _core.Setup,
    values: Mapping[str, Any] | Sequence[Mapping[str, Any]] | Any,
    *,
    outputs: Sequence[str],
    paths: Sequence[str] | None = None,
    threads: int | None = None,
    client: Any = None,
    store: str | os.PathLike[str] | None = None,
    block: int | None = None,
    progress: bool | None = None,
    hold: AnyDrawHold = "archer",
    positions: int = 120,
    integrator: AnyIntegrator = "nystrom",
    step: float = 2.25e-4,
    tolerance: float = 1e-7,
    time_limit: float = 0.15,
) -> xarray.Dataset:
    """Launch many bows that differ in some parameters.

    Every sample is computed on its own: the numbers have the same bits for any number of `threads`, processes and any
    `block`. A sample that cannot be braced, drawn or shot does not disturb the others.

    Parameters
    ----------
    setup
        The bow.
    values
        A mapping from paths to lists: every combination, a grid with one dimension per path. Or a list of mappings from
        paths to values: one sample each. Or a matrix of shape (samples, parameters), as SciPy and SALib make them, with
        `paths` for its columns. Values are numbers in SI, text with a unit ("0.5 twist") or words of a choice.
    outputs
        Names from `sweep_outputs()`, such as "paper_tear.up" or "launch.exit_speed".
    paths
        Parameters of the columns of a matrix.
    threads
        How many; all cores by default.
    client
        A `dask.distributed.Client`: blocks go to its cluster.
    store
        A folder to which results go while they come; the same call goes on where an earlier one was broken off, or a
        longer one from its end: a table with more rows, a grid with more values of its first parameter. The Dataset
        then reads from that folder.
    block
        Samples per piece of work.
    progress
        Whether to show a bar; by default on a terminal or in a notebook.
    hold, positions
        As for `draw_cycle`.
    integrator, step, tolerance, time_limit
        As for `launch`; `step` and `time_limit` in s.

    Returns
    -------
    xarray.Dataset
        One variable per output, with units and comments as attributes by the CF conventions, and the whole setup as a
        text (`repeat_sweep` launches all of it again, also from a file). A sample that failed is NaN, has the `status`
        2 and its `message`.

    Raises
    ------
    InputError
        Arguments that cannot be used, before anything is computed.
    SweepInterrupted
        Ctrl-C; it keeps what is finished.
    Error
        The store cannot be written (a full disk), the cluster has lost its workers, or xarray is not installed.

    """
    _need_xarray()
    options = Options(hold, positions, integrator, step, tolerance, time_limit)
    plan = make_plan(setup, values, paths, outputs, options)
    if threads is not None and (isinstance(threads, bool) or threads < 1):
        raise input_error("threads", threads, "must be at least 1")
    if block is not None and block < 1:
        raise input_error("block", block, "must be at least 1")
    results = open_store(store, plan)
    bar = _bar(progress, plan.size, int(np.count_nonzero(results.status)))
    update = None if bar is None else bar.update
    try:
        if client is None:
            run_here(plan, results, threads=threads, block=block or 1000, progress=update)
        else:
            run_on_dask(plan, results, client, block=block or 100, progress=update)
    except KeyboardInterrupt:
        raise SweepInterrupted(_dataset(plan, results)) from None
    finally:
        results.close()
        if bar is not None:
            bar.close()
    return _dataset(plan, results)


def repeat_sweep(data: xarray.Dataset, *, outputs: Sequence[str] | None = None, **options: Any) -> xarray.Dataset:
    """Launch a sweep again from its Dataset alone, which holds the whole setup, the values and the options.

    Parameters
    ----------
    data
        What `sweep` gave, or what was read of a file that it was saved to (`data.to_netcdf(...)`).
    outputs
        Names from `sweep_outputs()`; by default those of `data`.
    **options
        Options of `sweep`, such as `threads` or `store`, or others than the Dataset's, such as `step`.

    Returns
    -------
    xarray.Dataset
        The same bits as in `data`, if it was made by this build of nockwise.

    Raises
    ------
    InputError
        `data` is no Dataset of a sweep, or a part of it was cut off.

    """
    if "setup" not in data.attrs or "status" not in data:
        raise input_error(
            "data", data.attrs.get("title", ""), 'must be a Dataset of sweep(), with its attribute "setup"'
        )
    setup = _core.parse_setup(str(data.attrs["setup"]))
    kept = {name: type(value)(data.attrs[f"option_{name}"]) for name, value in vars(Options()).items()}
    dims = data["status"].dims
    grid = dims != ("sample",)
    columns = [str(name) for name in (dims if grid else data.attrs["parameters"].split())]
    if missing := [name for name in columns if name not in data.coords]:
        raise input_error("data", missing[0], "must have the values of every parameter as a coordinate")
    values = {name: data[name].values.tolist() for name in columns}
    samples: Any = (
        values if grid else [dict(zip(columns, row, strict=True)) for row in zip(*values.values(), strict=True)]
    )
    names = [str(name) for name in data.data_vars if name not in ("status", "message")]
    return sweep(setup, samples, outputs=names if outputs is None else outputs, **{**kept, **options})


def _need_xarray() -> None:
    try:
        importlib.import_module("xarray")
    except ImportError:
        raise needs_extra("xarray", "sweep") from None


def _bar(wanted: bool | None, total: int, done: int) -> Any:
    """A tqdm bar, if one is wanted and tqdm is there."""
    in_notebook = "ipykernel" in sys.modules
    if wanted is False or (wanted is None and not (in_notebook or sys.stderr.isatty())):
        return None
    try:
        tqdm: Any = importlib.import_module("tqdm.auto").tqdm
    except ImportError:
        if wanted:
            raise needs_extra("tqdm", "sweep") from None
        return None
    return tqdm(total=total, initial=done, unit="launch", desc="sweep", leave=wanted is True)


def _coordinate(column: Any) -> dict[str, str]:
    """Unit and comment of a parameter."""
    if column.words:
        doc = next(p.doc for p in _core.choice_parameters() if p.path == column.path)
        return {"long_name": doc}
    parameter = _core.parameter(column.path)
    return {"units": _core.si_unit(parameter.quantity) or "1", "long_name": parameter.doc}


def _messages(store: MemoryStore | FolderStore, shape: tuple[int, ...]) -> Any:
    """Messages of failed samples; those in a folder stay there until they are looked at."""
    if isinstance(store, MemoryStore):
        return store.messages().reshape(shape)
    return importlib.import_module("nockwise._sweep_messages").stored_messages(store.folder, shape)


def _dataset(plan: Plan, store: MemoryStore | FolderStore) -> xarray.Dataset:
    import xarray

    dims = tuple(column.path for column in plan.columns) if plan.grid else ("sample",)
    coords: dict[str, Any] = {
        column.path: ((column.path,) if plan.grid else dims, column.shown(), _coordinate(column))
        for column in plan.columns
    }
    if not plan.grid:
        coords["sample"] = (dims, np.arange(plan.size), {"long_name": "index of the sample"})
    about = {name: (unit, text, words) for name, unit, text, words in _core._batch_outputs()}
    data: dict[str, Any] = {}
    for index, name in enumerate(plan.outputs):
        unit, text, words = about[name]
        attributes: dict[str, Any] = {"units": "1" if unit in ("", "fraction") else unit, "long_name": text}
        if words:
            attributes |= {"flag_values": np.arange(len(words), dtype=float), "flag_meanings": " ".join(words)}
        data[name] = (dims, store.output(index).reshape(plan.shape), attributes)
    flags = {
        "flag_values": np.arange(3, dtype=np.uint8),
        "flag_meanings": " ".join(word.replace(" ", "_") for word in STATUS),
    }
    data["status"] = (dims, store.status.reshape(plan.shape), {"long_name": "what became of the sample", **flags})
    data["message"] = (dims, _messages(store, plan.shape), {"long_name": "why the sample failed"})
    attrs = {
        "Conventions": "CF-1.11",
        "title": f"nockwise sweep of {plan.setup['name']}",
        "source": f"nockwise {_core.__version__}",
        "provenance": plan.setup["provenance"],
        "setup": _core.format_setup(plan.setup),
        "parameters": " ".join(column.path for column in plan.columns),
        **{f"option_{name}": value for name, value in vars(plan.options).items()},
    }
    return xarray.Dataset(data, coords, attrs)
