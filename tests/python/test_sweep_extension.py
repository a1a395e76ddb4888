"""A stored sweep that goes on with more samples."""

import pathlib
from typing import Any

import nockwise
import numpy as np
import pytest
import xarray
from nockwise import _sweep_store

OUTPUTS = ["launch.exit_speed", "paper_tear.up"]
ROWS: list[dict[str, Any]] = [
    {"arrow.length": "28 in", "rest.kind": "blade"},
    {"arrow.length": "5 in", "rest.kind": "blade"},  # too short to be shot: its message stays with it
    {"arrow.length": "29 in", "rest.kind": "limb_driven"},
    {"arrow.length": "28.5 in", "rest.kind": "blade"},
]
GRID: dict[str, Any] = {"cables.upper.twists": [0.0, 0.5, -0.5], "arrow.length": ["28 in", "29 in"]}
SHORT: list[Any] = [ROWS[:2], {**GRID, "cables.upper.twists": [0.0, 0.5]}]
LONG: list[Any] = [ROWS, GRID]


def run(setup: nockwise.Setup, values: Any, **options: Any) -> xarray.Dataset:
    return nockwise.sweep(setup, values, outputs=OUTPUTS, progress=False, **options)


def launched(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Indices of the samples that are shot from now on."""
    shot: list[int] = []
    write = _sweep_store.FolderStore.write

    def watched(self: Any, indices: Any, *rest: Any) -> None:
        shot.extend(int(i) for i in indices)
        write(self, indices, *rest)

    monkeypatch.setattr(_sweep_store.FolderStore, "write", watched)
    return shot


@pytest.mark.parametrize(("short", "long"), list(zip(SHORT, LONG, strict=True)), ids=["table", "grid"])
def test_only_the_new_samples_are_shot(
    setup: nockwise.Setup, short: Any, long: Any, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = run(setup, short, store=tmp_path / "kept").load()
    shot = launched(monkeypatch)
    whole = run(setup, long, store=tmp_path / "kept")
    assert shot == list(range(first["status"].size, whole["status"].size))
    xarray.testing.assert_identical(whole.load(), run(setup, long))
    shot.clear()
    run(setup, long, store=tmp_path / "kept")
    assert shot == []


@pytest.mark.parametrize("name", ["values.npy", "checksum.npy", "message_at.npy", "status.npy"])
def test_stopped_while_room_was_made(
    setup: nockwise.Setup, name: str, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run(setup, ROWS[:2], store=tmp_path / "kept")
    replace = pathlib.Path.replace

    def stops(self: pathlib.Path, target: Any) -> pathlib.Path:
        if pathlib.Path(target).name == name:
            raise KeyboardInterrupt
        return replace(self, target)

    with monkeypatch.context() as broken:
        broken.setattr(pathlib.Path, "replace", stops)
        with pytest.raises(KeyboardInterrupt):
            run(setup, ROWS, store=tmp_path / "kept")
    shot = launched(monkeypatch)
    whole = run(setup, ROWS, store=tmp_path / "kept")
    assert shot == [2, 3]
    assert whole["status"].values.tolist() == [1, 2, 1, 1]
    xarray.testing.assert_identical(whole.load(), run(setup, ROWS))


def test_what_does_not_begin_with_it_is_refused(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    run(setup, ROWS[:3], store=tmp_path / "kept")
    before = np.load(tmp_path / "kept" / "values.npy")
    others = [ROWS[:2], [ROWS[0], ROWS[2], ROWS[1], ROWS[3]], [*ROWS[1:], ROWS[0]]]
    for other in others:
        with pytest.raises(nockwise.InputError, match="holds another sweep: columns differ"):
            run(setup, other, store=tmp_path / "kept")
    run(setup, GRID, store=tmp_path / "grid")
    wider = {**GRID, "arrow.length": ["28 in", "29 in", "30 in"]}  # gives the samples other indices
    with pytest.raises(nockwise.InputError, match="holds another sweep: columns differ"):
        run(setup, wider, store=tmp_path / "grid")
    np.testing.assert_array_equal(np.load(tmp_path / "kept" / "values.npy"), before)
