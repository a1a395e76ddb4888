"""Threads, spawned and forked processes, and a Dask cluster that loses a worker: the same bits everywhere."""

import concurrent.futures
import multiprocessing
import os
import pathlib
import signal
import threading
import time
from typing import Any

import nockwise
import numpy as np
import pytest
import xarray
from nockwise import _sweep_run

OUTPUTS = ["launch.exit_speed", "paper_tear.up"]


def shoot(setup: nockwise.Setup) -> tuple[float, float]:
    model = nockwise.Model(setup)
    shot = nockwise.launch(model)
    return shot.exit_speed, nockwise.paper_tear(model, shot).up


def sweep_here(setup: nockwise.Setup) -> list[float]:
    data = nockwise.sweep(setup, {"arrow.length": [0.72, 0.73]}, outputs=OUTPUTS, threads=2, progress=False)
    values: list[float] = data["paper_tear.up"].values.tolist()
    return values


@pytest.mark.parametrize("method", ["spawn", "fork"])
def test_processes(setup: nockwise.Setup, method: str) -> None:
    expected = (shoot(setup), sweep_here(setup))  # threads have run before the fork
    with concurrent.futures.ProcessPoolExecutor(2, multiprocessing.get_context(method)) as pool:
        assert pool.submit(shoot, setup).result(60) == expected[0]
        assert pool.submit(sweep_here, setup).result(60) == expected[1]


def test_threads_share_a_model(model: nockwise.Model, shot: nockwise.Launch) -> None:
    with concurrent.futures.ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda _: nockwise.launch(model).exit_speed, range(12)))
    assert found == [shot.exit_speed] * 12


def test_a_setup_may_change_while_models_are_made(setup: nockwise.Setup) -> None:
    stop = threading.Event()

    def change() -> None:
        while not stop.is_set():
            for length in (0.72, 0.73):
                setup["arrow.length"] = length

    thread = threading.Thread(target=change)
    thread.start()
    try:
        for _ in range(20):
            assert nockwise.Model(setup).setup["arrow.length"] in (0.72, 0.73)
    finally:
        stop.set()
        thread.join()


def test_the_lock_is_released(model: nockwise.Model) -> None:
    """Other Python threads go on while C++ works."""
    ticks: list[float] = []
    stop = threading.Event()

    def tick() -> None:
        while not stop.is_set():
            ticks.append(time.monotonic())
            time.sleep(0.0005)

    thread = threading.Thread(target=tick)
    thread.start()
    start = time.monotonic()
    nockwise.launch(model, step=1e-6)
    end = time.monotonic()
    stop.set()
    thread.join()
    assert end - start > 0.02
    assert sum(start < at < end for at in ticks) > 3


@pytest.fixture(scope="module")
def cluster() -> Any:
    distributed = pytest.importorskip("dask.distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0", host="127.0.0.1"
        ) as made,
        distributed.Client(made) as client,
    ):
        yield client


def test_dask_gives_the_same_bits(setup: nockwise.Setup, cluster: Any) -> None:
    values: dict[str, Any] = {
        "arrow.length": np.linspace(0.71, 0.74, 12),
        "string.length": [0.5, setup["string.length"]],
    }
    here = nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False)
    there = nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False, client=cluster, block=5)
    xarray.testing.assert_identical(here, there)
    assert (there["status"] == 2).sum() == 12


def test_a_killed_worker_loses_and_doubles_nothing(
    setup: nockwise.Setup, cluster: Any, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from nockwise._sweep_store import FolderStore

    written: list[Any] = []
    kept = FolderStore.write

    def write(self: Any, indices: Any, *rest: Any) -> None:
        if len(written) == 2:
            pid = next(iter(cluster.run(os.getpid).values()))
            os.kill(pid, signal.SIGKILL)
        written.append(indices)
        kept(self, indices, *rest)

    monkeypatch.setattr(FolderStore, "write", write)
    values = {"arrow.length": np.linspace(0.71, 0.74, 120)}
    there = nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False, client=cluster, block=6, store=tmp_path)
    assert sorted(np.concatenate(written).tolist()) == list(range(120))
    monkeypatch.undo()
    here = nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False)
    xarray.testing.assert_identical(here, there.load())


def interrupted_on(cluster: Any, setup: nockwise.Setup) -> tuple[xarray.Dataset, float]:
    """What a sweep keeps when it is interrupted, and how long it takes to stop [s]."""
    sent = [0.0]

    def send() -> None:
        sent[0] = time.monotonic()
        os.kill(os.getpid(), signal.SIGINT)

    threading.Timer(3.0, send).start()
    values = {"arrow.length": np.linspace(0.70, 0.74, 20_000)}
    with pytest.raises(nockwise.SweepInterrupted) as caught:
        nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False, client=cluster, block=4)
    return caught.value.dataset, time.monotonic() - sent[0]


def test_an_interruption_on_dask_keeps_what_is_finished(setup: nockwise.Setup, cluster: Any) -> None:
    for _ in range(3):  # another program may have had the cores
        data, delay = interrupted_on(cluster, setup)
        if delay < 1.0:
            break
    assert delay < 1.0
    done = data["status"].values == 1
    assert 0 < done.sum() < 20_000
    assert np.isfinite(data["launch.exit_speed"].values[done]).all()


def test_a_client_without_workers(setup: nockwise.Setup) -> None:
    distributed = pytest.importorskip("dask.distributed")
    with (
        distributed.LocalCluster(n_workers=0, processes=False, dashboard_address=":0") as none,
        distributed.Client(none) as client,
        pytest.raises(nockwise.InputError, match="must have workers"),
    ):
        nockwise.sweep(setup, {"arrow.length": [0.72]}, outputs=OUTPUTS, client=client, progress=False)


def test_a_cluster_that_loses_all_its_workers(setup: nockwise.Setup, monkeypatch: pytest.MonkeyPatch) -> None:
    distributed = pytest.importorskip("dask.distributed")
    monkeypatch.setattr(_sweep_run, "PATIENCE", 1.0)
    with (
        distributed.LocalCluster(n_workers=1, processes=False, dashboard_address=":0") as made,
        distributed.Client(made) as client,
    ):
        threading.Timer(0.3, lambda: made.scale(0)).start()
        with pytest.raises(nockwise.Error, match="no worker"):
            nockwise.sweep(
                setup,
                {"arrow.length": np.linspace(0.71, 0.74, 20_000)},
                outputs=OUTPUTS,
                client=client,
                block=20,
                progress=False,
            )
