"""Runs a plan block by block: on this machine's threads, or on a Dask cluster."""

from __future__ import annotations

import contextlib
import importlib
import os
import pickle
import time
import uuid
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from nockwise import _core
from nockwise._errors import Error, SolverError, input_error
from nockwise._sweep_plan import FloatArray, Plan
from nockwise._sweep_store import Status, Store

Progress = Callable[[int], object]
Block = tuple[FloatArray, Status, dict[int, str]]

# How long a cluster may be without any worker before the sweep gives up [s].
PATIENCE = 30.0
# How long the result of one block may take from a worker to here before it counts as lost for now [s].
TRANSFER = 10.0


def available_cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)


def blocks(store: Store, size: int) -> Iterator[npt.NDArray[np.int64]]:
    """Indices of the samples that are still to be run, `size` at a time."""
    for start in range(0, store.status.size, size):
        due = np.flatnonzero(store.status[start : start + size] == 0)
        if due.size:
            yield due.astype(np.int64) + start


def run_here(plan: Plan, store: Store, *, threads: int | None, block: int, progress: Progress | None) -> None:
    """Run all pending samples on threads of this process."""
    batch = plan.batch()
    threads = available_cores() if threads is None else threads
    for indices in blocks(store, block):
        values = np.full((indices.size, len(plan.outputs)), np.nan)
        status = np.zeros(indices.size, np.uint8)
        messages: dict[int, str] = {}
        try:
            batch.run(plan.samples(indices), values, status, messages, threads=threads, progress=progress)
        finally:  # whatever ended it, finished samples are kept
            store.write(indices, values, status, {int(indices[i]): text for i, text in messages.items()})


@lru_cache(maxsize=4)
def _batch_of(head: bytes) -> tuple[_core._Batch, int]:
    plan: Plan = pickle.loads(head)
    return plan.batch(), len(plan.outputs)


def run_block(head: bytes, samples: FloatArray) -> Block:
    """One block on a worker elsewhere. `head` is a pickled Plan.head(); one thread, because Dask has its own."""
    batch, outputs = _batch_of(head)
    values = np.full((samples.shape[0], outputs), np.nan)
    status = np.zeros(samples.shape[0], np.uint8)
    messages: dict[int, str] = {}
    batch.run(np.ascontiguousarray(samples), values, status, messages, threads=1)
    return values, status, messages


def run_on_dask(plan: Plan, store: Store, client: Any, *, block: int, progress: Progress | None) -> None:
    """Run all pending samples on a `dask.distributed` cluster.

    Only this process writes results, each block once, so that a block that a dying worker leaves to another is neither
    lost nor doubled.
    """
    if not hasattr(client, "nthreads") or not hasattr(client, "submit"):
        raise input_error("client", client, "must be a dask.distributed.Client")
    threads = client.nthreads()
    if not threads:
        raise input_error("client", client.scheduler.address, "must have workers; this cluster has none")
    head = pickle.dumps(plan.head())
    name = uuid.uuid4().hex
    waiting = blocks(store, block)
    running: dict[Any, npt.NDArray[np.int64]] = {}
    last_worker = time.monotonic()
    try:
        while True:
            while len(running) < 2 * sum(threads.values()) + 2 and (indices := next(waiting, None)) is not None:
                key = f"nockwise-{name}-{indices[0]}"
                future = client.submit(run_block, head, plan.samples(indices), key=key, retries=2, pure=False)
                running[future] = indices
            if not running:
                return
            for future in [future for future in running if future.done()]:
                if _collect(future, running[future], store, progress):
                    del running[future]
            _wait(running)
            threads = client.nthreads()
            if threads:
                last_worker = time.monotonic()
            elif time.monotonic() - last_worker > PATIENCE:
                raise Error(f"sweep: the cluster has had no worker for {PATIENCE:.0f} s; finished samples are kept")
    finally:
        if running:
            client.cancel(list(running), force=True)


def _wait(running: dict[Any, Any]) -> None:
    """Wait a moment for any block to be done."""
    wait: Any = importlib.import_module("dask.distributed").wait

    with contextlib.suppress(TimeoutError):
        if running:
            wait(list(running), timeout=0.5, return_when="FIRST_COMPLETED")


def _collect(future: Any, indices: npt.NDArray[np.int64], store: Store, progress: Progress | None) -> bool:
    """Keep a block that is done; False if its worker took the result with it, so that it is to be computed again."""
    try:
        error = future.exception(timeout=TRANSFER)
        block: Block | None = None if error is not None else future.result(timeout=TRANSFER)
    except TimeoutError:
        return False
    if block is None:
        raise SolverError(
            f"sweep on Dask: samples {indices[0]} to {indices[-1]}: {error!r}", "sweep on Dask", repr(error)
        ) from error
    values, status, messages = block
    store.write(indices, values, status, {int(indices[i]): text for i, text in messages.items()})
    if progress is not None:
        progress(indices.size)
    return True
