"""A sweep's store after damage, kills and other versions: nothing lost that was kept, nothing invented."""

from __future__ import annotations

import json
import os
import pathlib
import random
import shutil
import signal
import subprocess
import sys
import time
import warnings
from typing import Any

import nockwise
import numpy as np
import pytest

xarray = pytest.importorskip("xarray")
OUTPUTS = ["paper_tear.up", "launch.exit_speed"]
Kept = tuple[pathlib.Path, Any, dict[str, Any]]
FILES = ("values.npy", "checksum.npy", "message_at.npy", "status.npy", "messages.jsonl")


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory, setup_file: pathlib.Path) -> Kept:
    """A finished store, its Dataset and the sweep's values; each test works on a copy."""
    # One in three cannot be braced, so that there are messages too.
    setup = nockwise.read_setup(setup_file)
    length = setup["string.length"]
    values = {"arrow.length": [0.72, 0.73, 0.74], "string.length": [0.5, length, length + 1e-4]}
    folder = tmp_path_factory.mktemp("sweep") / "store"
    data = nockwise.sweep(setup, values, outputs=OUTPUTS, store=folder, progress=False).load()
    # Both kinds are there.
    assert set(np.unique(data["status"])) == {1, 2}
    return folder, data, values


def again(folder: pathlib.Path, setup_file: pathlib.Path, values: dict[str, Any]) -> tuple[Any, list[str]]:
    """The same sweep on this folder, and what it warned of."""
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        data = nockwise.sweep(
            nockwise.read_setup(setup_file), values, outputs=OUTPUTS, store=folder, progress=False
        ).load()
    return data, [str(each.message) for each in caught if "damaged" in str(each.message)]


def test_an_unharmed_store_is_taken_as_it_is(kept: Kept, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    folder, whole, values = kept
    shutil.copytree(folder, tmp_path / "s")
    before = {name: (tmp_path / "s" / name).read_bytes() for name in FILES}
    data, told = again(tmp_path / "s", setup_file, values)
    assert told == []
    xarray.testing.assert_identical(data, whole)
    assert before == {name: (tmp_path / "s" / name).read_bytes() for name in FILES}


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("harm", ["truncated", "longer", "a byte", "zeros", "gone", "empty", "text", "other type"])
def test_damage_is_named_and_shot_again(
    kept: Kept, setup_file: pathlib.Path, tmp_path: pathlib.Path, name: str, harm: str
) -> None:
    folder, whole, values = kept
    shutil.copytree(folder, tmp_path / "s")
    path = tmp_path / "s" / name
    content = path.read_bytes()
    start = 128 if name.endswith(".npy") else 0
    if harm == "truncated":
        path.write_bytes(content[: start + (len(content) - start) // 2])
    elif harm == "longer":
        path.write_bytes(content + bytes(17))
    elif harm == "a byte":
        middle = start + (len(content) - start) // 3
        path.write_bytes(content[:middle] + bytes([content[middle] ^ 0x40]) + content[middle + 1 :])
    elif harm == "zeros":
        path.write_bytes(content[:start] + bytes(len(content) - start))
    elif harm == "gone":
        path.unlink()
    elif harm == "empty":
        path.write_bytes(b"")
    elif harm == "text":
        path.write_bytes(b"no such thing\n" * 20)
    else:
        with path.open("wb") as file:
            np.save(file, np.zeros(3, np.float32))
    data, told = again(tmp_path / "s", setup_file, values)
    xarray.testing.assert_identical(data, whole)
    # A longer file of messages ends in an unfinished line, as after a crash; a status of zeros says "not run".
    harmless = (name, harm) in {("messages.jsonl", "longer"), ("status.npy", "zeros")}
    assert bool(told) != harmless, told
    assert again(tmp_path / "s", setup_file, values)[1] == []


def test_random_bytes_anywhere(kept: Kept, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    """Any single bit of the arrays: whatever was hit, the results are those of an unharmed sweep."""
    folder, whole, values = kept
    draw = random.Random(20261130)
    for case in range(25):
        store = tmp_path / str(case)
        shutil.copytree(folder, store)
        path = store / draw.choice(FILES)
        content = bytearray(path.read_bytes())
        content[draw.randrange(len(content))] ^= 1 << draw.randrange(8)
        path.write_bytes(content)
        data, _ = again(store, setup_file, values)
        xarray.testing.assert_identical(data, whole)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"no such thing", "cannot be read"),
        (b"[1, 2]", "no plan of a sweep"),
        (b"null", "no plan of a sweep"),
        (json.dumps({"format": 2}).encode(), "format 2, this nockwise writes 3"),
        (json.dumps({"format": 3}).encode(), "another sweep"),
    ],
)
def test_a_damaged_plan_is_refused(
    kept: Kept, setup_file: pathlib.Path, tmp_path: pathlib.Path, content: bytes, words: str
) -> None:
    folder, _, values = kept
    shutil.copytree(folder, tmp_path / "s")
    (tmp_path / "s" / "plan.json").write_bytes(content)
    for _ in range(2):  # a failed call has let go of the folder
        with pytest.raises(nockwise.InputError, match=words):
            again(tmp_path / "s", setup_file, values)


def test_killed_at_random_moments(setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    """kill -9, again and again, until the sweep ends: the results are those of one that was left alone."""
    count = 3000
    kills = int(os.environ.get("NOCKWISE_KILLS", "8"))
    program = (
        "import sys, numpy, nockwise\n"
        "print('begins', flush=True)\n"
        f"nockwise.sweep(nockwise.read_setup({str(setup_file)!r}),"
        f" {{'arrow.length': numpy.linspace(0.60, 0.80, {count})}}, outputs={OUTPUTS!r}, store=sys.argv[1], block=50,"
        " progress=False)\n"
    )
    draw = random.Random(11)
    setup = nockwise.read_setup(setup_file)
    values = {"arrow.length": np.linspace(0.60, 0.80, count)}
    whole = nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False)
    folder = tmp_path / "store"
    for _ in range(kills):
        run = subprocess.Popen([sys.executable, "-c", program, str(folder)], stdout=subprocess.PIPE)
        assert run.stdout is not None
        run.stdout.readline()
        time.sleep(draw.uniform(0.0, 0.25))
        run.send_signal(signal.SIGKILL)
        run.wait()
        run.stdout.close()
        if (folder / "plan.json").exists():
            status = np.load(folder / "status.npy")
            stored = np.load(folder / "values.npy")
            assert np.array_equal(stored[1][status == 1], whole["launch.exit_speed"].values[status == 1])
            assert np.isnan(stored[:, status == 0]).mean() > 0.9  # the block that was cut off has no status yet
        if (folder / "status.npy").exists() and (np.load(folder / "status.npy") > 0).all():
            shutil.rmtree(folder)
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # a kill damages nothing
        data = nockwise.sweep(setup, values, outputs=OUTPUTS, store=folder, progress=False).load()
    xarray.testing.assert_identical(data, whole)


def test_what_was_not_run_is_not_a_number(setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    from nockwise import _sweep_store
    from nockwise._sweep_plan import Options, make_plan

    plan = make_plan(nockwise.read_setup(setup_file), {"arrow.length": [0.72, 0.73]}, None, OUTPUTS, Options())
    store = _sweep_store.FolderStore(tmp_path, plan)
    store.write(np.array([1]), np.array([[1.0, 2.0]]), np.array([1], np.uint8), {})
    assert np.isnan(store.output(0)[0])
    assert store.output(1)[1] == 2.0
    store.close()
