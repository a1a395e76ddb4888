"""Every notebook runs from top to bottom, and its outputs are not in the tree."""

import pathlib
from typing import Any

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "examples" / "notebooks").glob("*.ipynb"))


@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda file: file.stem)
def test_notebook(file: pathlib.Path, monkeypatch: pytest.MonkeyPatch, tmp_path: pathlib.Path) -> None:
    nbclient: Any = pytest.importorskip("nbclient")
    nbformat: Any = pytest.importorskip("nbformat")
    monkeypatch.setenv("NOCKWISE_NOTEBOOK_SAMPLES", "16")
    monkeypatch.setenv("PYDEVD_DISABLE_FILE_VALIDATION", "1")
    notebook = nbformat.read(file, as_version=4)
    assert all(not cell.get("outputs") for cell in notebook.cells)
    folder = {"metadata": {"path": str(file.parent)}}
    nbclient.NotebookClient(notebook, timeout=900, kernel_name="python3", resources=folder).execute()
    nbformat.write(notebook, tmp_path / file.name)


def test_there_are_six() -> None:
    assert len(NOTEBOOKS) >= 6
