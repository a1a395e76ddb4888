"""Sweeps: forms of input, datasets, failures, threads, blocks, stores, interruption."""

import copy
import json
import os
import pathlib
import pickle
import resource
import signal
import subprocess
import sys
import threading
import time
import tracemalloc
from typing import Any

import nockwise
import numpy as np
import pytest
import xarray
from nockwise import _sweep_plan, _sweep_store
from scipy.stats import qmc  # type: ignore[import-untyped]

OUTPUTS = ["launch.exit_speed", "paper_tear.up", "paper_tear.right"]
GRID: dict[str, Any] = {"cables.upper.twists": ["-0.5 twist", "0 twist", "0.5 twist"], "rest.center_shot": [0.0, 0.001]}


@pytest.fixture(scope="module")
def grid(setup_file: pathlib.Path) -> xarray.Dataset:
    return nockwise.sweep(nockwise.read_setup(setup_file), GRID, outputs=OUTPUTS, progress=False)


def test_grid_has_units_and_docs(grid: xarray.Dataset) -> None:
    assert grid["paper_tear.up"].dims == ("cables.upper.twists", "rest.center_shot")
    assert grid["cables.upper.twists"].values.tolist() == [-0.5, 0.0, 0.5]
    assert grid["paper_tear.up"].attrs["units"] == "m"
    assert grid["rest.center_shot"].attrs["units"] == "m"
    assert grid["launch.exit_speed"].attrs["units"] == "m/s"
    assert grid["paper_tear.up"].attrs["long_name"]
    assert (grid["status"] == 1).all()
    assert (grid["message"] == "").all()


def test_numbers_are_those_of_single_launches(grid: xarray.Dataset, setup: nockwise.Setup) -> None:
    setup["cables.upper.twists"] = 0.5
    setup["rest.center_shot"] = 0.001
    model = nockwise.Model(setup)
    shot = nockwise.launch(model)
    tear = nockwise.paper_tear(model, shot)
    at = grid.sel({"cables.upper.twists": 0.5, "rest.center_shot": 0.001})
    assert float(at["launch.exit_speed"]) == shot.exit_speed
    assert float(at["paper_tear.up"]) == tear.up
    assert float(at["paper_tear.right"]) == tear.right


@pytest.mark.parametrize(("threads", "block"), [(1, 1), (1, 1000), (3, 2), (5, 4)])
def test_same_bits_however_it_is_cut(grid: xarray.Dataset, setup: nockwise.Setup, threads: int, block: int) -> None:
    again = nockwise.sweep(setup, GRID, outputs=OUTPUTS, threads=threads, block=block, progress=False)
    xarray.testing.assert_identical(again, grid)


def test_list_and_matrix_agree(setup: nockwise.Setup) -> None:
    samples = [{"arrow.length": "28 in", "rest.height": 0.036}, {"arrow.length": "29 in", "rest.height": 0.037}]
    listed = nockwise.sweep(setup, samples, outputs=OUTPUTS, progress=False)
    matrix = np.column_stack([nockwise.to_si([28, 29], "length", "in"), [0.036, 0.037]])
    given = nockwise.sweep(setup, matrix, paths=["arrow.length", "rest.height"], outputs=OUTPUTS, progress=False)
    assert listed["arrow.length"].dims == ("sample",)
    assert np.array_equal(listed["paper_tear.up"], given["paper_tear.up"])


def test_a_sample_matrix_of_scipy(setup: nockwise.Setup) -> None:
    drawn = qmc.scale(qmc.LatinHypercube(2, seed=7).random(5), [0.71, -0.001], [0.73, 0.001])
    data = nockwise.sweep(
        setup, drawn, paths=["arrow.length", "rest.center_shot"], outputs=["launch.exit_speed"], progress=False
    )
    assert data["launch.exit_speed"].dims == ("sample",)
    assert np.array_equal(data["rest.center_shot"], drawn[:, 1])
    single = setup.replace({"arrow.length": float(drawn[3, 0]), "rest.center_shot": float(drawn[3, 1])})
    assert float(data["launch.exit_speed"][3]) == nockwise.launch(nockwise.Model(single)).exit_speed


def test_outputs_that_need_no_launch(setup: nockwise.Setup) -> None:
    values: dict[str, Any] = {"string.length": [0.5, setup["string.length"]]}
    outputs = ["brace.brace_height", "arrow.mass", "draw_cycle.peak_force"]
    data = nockwise.sweep(setup, values, outputs=outputs, threads=3, progress=False)
    assert data["status"].values.tolist() == [2, 1]
    model = nockwise.Model(setup)
    cycle = nockwise.draw_cycle(model)
    expected = (model.brace.brace_height, model.arrow.mass, cycle.peak_force)
    assert tuple(float(data[name][1]) for name in outputs) == expected
    both = nockwise.sweep(setup, values, outputs=[*outputs, "launch.exit_speed"], progress=False)
    for name in outputs:
        assert np.array_equal(both[name], data[name], equal_nan=True)


def test_choices_are_words(setup: nockwise.Setup) -> None:
    data = nockwise.sweep(
        setup,
        {"rest.kind": ["blade", "limb_driven", "blade"]},
        outputs=["paper_tear.up", "launch.ended_by"],
        progress=False,
    )
    assert data["rest.kind"].values.tolist() == ["blade", "limb_driven", "blade"]
    assert data["paper_tear.up"].values[0] == data["paper_tear.up"].values[2]
    assert data["launch.ended_by"].attrs["flag_meanings"].startswith("arrow_clear")


def test_failed_samples_have_their_message(setup: nockwise.Setup) -> None:
    data = nockwise.sweep(setup, {"string.length": [0.5, setup["string.length"]]}, outputs=OUTPUTS, progress=False)
    assert data["status"].values.tolist() == [2, 1]
    assert np.isnan(data["paper_tear.up"].values[0])
    assert np.isfinite(data["paper_tear.up"].values[1])
    assert data["message"].values[0]
    with pytest.raises(nockwise.Error) as caught:
        nockwise.launch(nockwise.Model(setup.replace({"string.length": 0.5})))
    assert data["message"].values[0] == str(caught.value)


def test_every_output_has_a_comment() -> None:
    outputs = nockwise.sweep_outputs()
    assert len(outputs) > 60
    assert [name for name, text in outputs.items() if not text] == []


def test_store_resumes_with_the_same_bits(
    grid: xarray.Dataset, setup: nockwise.Setup, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = tmp_path / "store"
    kept = _sweep_store.FolderStore.write
    blocks: list[Any] = []

    def broken(self: Any, indices: Any, *rest: Any) -> None:
        if len(blocks) == 2:
            raise OSError(28, "No space left on device")
        blocks.append(indices)
        kept(self, indices, *rest)

    monkeypatch.setattr(_sweep_store.FolderStore, "write", broken)
    with pytest.raises(OSError, match="No space"):
        nockwise.sweep(setup, GRID, outputs=OUTPUTS, store=store, block=2, progress=False)
    resumed: list[Any] = []

    def counted(self: Any, indices: Any, *rest: Any) -> None:
        resumed.append(indices)
        kept(self, indices, *rest)

    monkeypatch.setattr(_sweep_store.FolderStore, "write", counted)
    data = nockwise.sweep(setup, GRID, outputs=OUTPUTS, store=store, block=3, progress=False)
    assert np.concatenate(resumed).tolist() == [4, 5]
    xarray.testing.assert_identical(data.load(), grid)


def test_store_of_another_sweep_is_refused(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    nockwise.sweep(setup, {"arrow.length": [0.72]}, outputs=OUTPUTS, store=tmp_path, progress=False)
    with pytest.raises(nockwise.InputError, match="holds another sweep: columns"):
        nockwise.sweep(setup, {"arrow.length": [0.73]}, outputs=OUTPUTS, store=tmp_path, progress=False)
    setup["rest.height"] = setup["rest.height"] + 1e-6
    with pytest.raises(nockwise.InputError, match="holds another sweep: setup"):
        nockwise.sweep(setup, {"arrow.length": [0.72]}, outputs=OUTPUTS, store=tmp_path, progress=False)


def test_store_is_read_from_the_disk(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    data = nockwise.sweep(setup, {"string.length": [0.5]}, outputs=OUTPUTS, store=tmp_path, progress=False)
    assert "string" in data["message"].values[0] or data["message"].values[0]
    assert isinstance(data["paper_tear.up"].variable._data, np.memmap) or np.isnan(data["paper_tear.up"].values).all()
    lines = (tmp_path / "messages.jsonl").read_text().splitlines()
    assert json.loads(lines[0])["index"] == 0
    again = nockwise.sweep(setup, {"string.length": [0.5]}, outputs=OUTPUTS, store=tmp_path, progress=False)
    assert again["message"].values[0] == data["message"].values[0]


class EveryOtherFails:
    """Stands for the kernel where it is not what is looked at."""

    def run(self, samples: Any, values: Any, status: Any, messages: Any, **_: Any) -> None:
        status[:] = 1
        status[::2] = 2
        values[:] = np.where(status == 2, np.nan, samples[:, 0])[:, None]
        messages.update(
            {i: f"{samples[i, 0]!r} is too short to reach from one cam to the other" for i in range(0, len(status), 2)}
        )


def test_a_stored_sweep_takes_no_memory(setup: nockwise.Setup, tmp_path: pathlib.Path, monkeypatch: Any) -> None:
    """Matrix, values and messages stay on the disk: what is held is the index of the samples and a byte for each."""
    monkeypatch.setattr(_sweep_plan.Plan, "batch", lambda _: EveryOtherFails())
    count = 60_000
    np.save(tmp_path / "matrix.npy", np.linspace(0.70, 0.74, 3 * count).reshape(count, 3))
    matrix = np.load(tmp_path / "matrix.npy", mmap_mode="r")
    paths = ["arrow.length", "rest.height", "rest.center_shot"]
    nockwise.sweep(setup, matrix[:4], paths=paths, outputs=OUTPUTS, progress=False)  # imports xarray
    tracemalloc.start()
    data = nockwise.sweep(setup, matrix, paths=paths, outputs=OUTPUTS, store=tmp_path / "store", progress=False)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 24 * count + 600_000
    assert data["message"][count - 2].item().startswith(repr(matrix[count - 2, 0]))
    assert data["message"][count - 1].item() == ""
    assert data["message"][[5, 4]].values.tolist()[0] == ""
    assert np.array_equal(data["launch.exit_speed"][1::2], matrix[1::2, 0])


def test_stored_messages_are_an_ordinary_variable(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    values: dict[str, Any] = {"string.length": [0.5, setup["string.length"]], "rest.center_shot": [0.0, 0.001, 0.002]}
    here = nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False)
    data = nockwise.sweep(setup, values, outputs=OUTPUTS, store=tmp_path, progress=False)
    xarray.testing.assert_identical(data, here)
    for at in ((0, 1), (slice(None), 2), (slice(None, None, -1), [2, 0]), (1, slice(1, None))):
        assert np.array_equal(data["message"][at].values, here["message"][at].values)
    assert np.array_equal(data["message"].T.values, here["message"].T.values)
    rows = xarray.DataArray([0, 1, 0], dims="row")
    some = {"string.length": rows, "rest.center_shot": rows}
    assert data["message"].isel(some).values.tolist() == here["message"].isel(some).values.tolist()
    xarray.testing.assert_identical(pickle.loads(pickle.dumps(data)), here)
    xarray.testing.assert_identical(copy.deepcopy(data), here)


def test_a_line_cut_off_by_a_crash_is_dropped(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    values: dict[str, Any] = {"string.length": [0.5, 0.51, 0.52]}
    here = nockwise.sweep(setup, values, outputs=OUTPUTS, store=tmp_path, progress=False).load()
    status = np.load(tmp_path / "status.npy")
    status[1:] = 0
    np.save(tmp_path / "status.npy", status)
    with (tmp_path / "messages.jsonl").open("a") as file:
        file.write('{"index": 2, "mess')
    again = nockwise.sweep(setup, values, outputs=OUTPUTS, store=tmp_path, progress=False)
    xarray.testing.assert_identical(again, here)
    for line in (tmp_path / "messages.jsonl").read_text().splitlines():
        json.loads(line)


def test_full_disk(setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    """A file that may not grow stands for a disk that is full."""
    program = (
        "import nockwise, sys\n"
        "try:\n"
        f"    nockwise.sweep(nockwise.read_setup({str(setup_file)!r}), {{'arrow.length': [0.7] * 100000}},"
        f" outputs=['launch.exit_speed'], store={str(tmp_path / 'store')!r}, progress=False)\n"
        "except nockwise.Error as error:\n"
        "    print(error); sys.exit(7)\n"
    )

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

    run = subprocess.run([sys.executable, "-c", program], preexec_fn=limit, capture_output=True, text=True, check=False)
    assert run.returncode == 7, run.stderr
    assert "File too large" in run.stdout


def test_two_sweeps_in_one_store(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    from nockwise._sweep_plan import Options, make_plan

    plan = make_plan(setup, {"arrow.length": [0.72]}, None, OUTPUTS, Options())
    first = _sweep_store.FolderStore(tmp_path, plan)
    with pytest.raises(nockwise.Error, match="another sweep is writing"):
        _sweep_store.FolderStore(tmp_path, plan)
    first.close()


def interrupted(setup: nockwise.Setup, **options: Any) -> tuple[xarray.Dataset, float]:
    sent = [0.0]

    def send() -> None:
        sent[0] = time.monotonic()
        os.kill(os.getpid(), signal.SIGINT)

    timer = threading.Timer(1.0, send)
    timer.start()
    values = {"arrow.length": np.linspace(0.70, 0.74, 100_000)}  # several seconds' worth
    with pytest.raises(nockwise.SweepInterrupted) as caught:
        nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False, **options)
    return caught.value.dataset, time.monotonic() - sent[0]


def test_interruption_keeps_what_is_finished(setup: nockwise.Setup) -> None:
    data, delay = interrupted(setup)
    assert delay < 1.0
    done = data["status"].values == 1
    assert 0 < done.sum() < 100_000
    assert np.isfinite(data["launch.exit_speed"].values[done]).all()
    assert np.isnan(data["launch.exit_speed"].values[~done]).all()


def test_interrupted_store_goes_on(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    data, _ = interrupted(setup, store=tmp_path)
    assert (np.load(tmp_path / "status.npy") == data["status"].values).all()


@pytest.mark.parametrize(
    ("values", "options", "words"),
    [
        ({"arow.length": [0.7]}, {}, r"arrow\.length"),
        ({"arrow.length": ["28 lbf"]}, {}, "in"),
        ({"arrow.length": [0.7, np.nan]}, {}, "nan at index 1"),
        ({"arrow.length": [[0.7, 0.71]]}, {}, "list of at least one"),
        ({"arrow.length": []}, {}, "at least one"),
        ({"rest.kind": ["hammock"]}, {}, "limb_driven"),
        ({"name": ["a"]}, {}, "cannot be swept"),
        ({}, {}, "at least one parameter"),
        (np.zeros((3, 2)), {"paths": ["arrow.length"]}, r"shape \(n, 1\)"),
        (np.zeros(3), {"paths": ["arrow.length"]}, "shape"),
        (np.zeros((2, 2)), {"paths": ["arrow.length", "arrow.length"]}, "twice"),
        (3.0, {"paths": ["arrow.length"]}, "shape"),
        ([{"arrow.length": 0.7}, {"arrow.mass": 0.7}], {}, "same paths"),
        ({"arrow.length": [0.7]}, {"outputs": ["paper_tear.upp"]}, r"nearest is paper_tear\.up"),
        ({"arrow.length": [0.7]}, {"outputs": []}, "at least one output"),
        ({"arrow.length": [0.7]}, {"threads": 0}, "at least 1"),
        ({"arrow.length": [0.7]}, {"block": 0}, "at least 1"),
        ({"arrow.length": [0.7]}, {"integrator": "euler"}, "dormand_prince"),
        ({"arrow.length": [0.7]}, {"integrator": 4}, "must be a word"),
        ({"arrow.length": [0.7]}, {"step": "0.1 ms"}, "number above 0"),
        ({"arrow.length": [0.7]}, {"step": np.nan}, "number above 0"),
        ({"arrow.length": [0.7]}, {"tolerance": -1e-7}, "number above 0"),
        ({"arrow.length": [0.7]}, {"positions": 7}, "at least 8"),
        ({"arrow.length": [0.7]}, {"client": "tcp://localhost"}, "dask.distributed.Client"),
    ],
)
def test_bad_input(setup: nockwise.Setup, values: Any, options: Any, words: str) -> None:
    with pytest.raises(nockwise.InputError, match=words):
        nockwise.sweep(setup, values, **{"outputs": OUTPUTS, "progress": False, **options})


def test_progress_bar(setup: nockwise.Setup, capsys: pytest.CaptureFixture[str]) -> None:
    nockwise.sweep(setup, {"arrow.length": [0.72, 0.73]}, outputs=OUTPUTS, progress=True)
    assert "2/2" in capsys.readouterr().err


def test_sensitivity(setup: nockwise.Setup) -> None:
    ranges = {"string.nocking_point": ("-1 mm", "1 mm"), "rest.center_shot": ("-1 mm", "1 mm")}
    for method, index in (("sobol", "ST"), ("morris", "mu_star")):
        found = nockwise.sensitivity(
            setup, ranges, outputs=["paper_tear.up", "paper_tear.right"], method=method, samples=8, progress=False
        )
        assert found[index].dims == ("output", "parameter")
        height = found[index].sel(output="paper_tear.up")
        assert height.sel(parameter="string.nocking_point") > height.sel(parameter="rest.center_shot")
    with pytest.raises(nockwise.InputError, match="power of two"):
        nockwise.sensitivity(setup, ranges, outputs=["paper_tear.up"], samples=9)
    with pytest.raises(nockwise.InputError, match="lower first"):
        nockwise.salib_problem(setup, {"rest.center_shot": (0.001, 0.0)})
