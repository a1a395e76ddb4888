"""A sweep's table in Parquet."""

import json
import pathlib
import sys
from typing import Any

import nockwise
import numpy as np
import pytest
from nockwise.__main__ import main

PLAN = """
setup = "{setup}"
outputs = ["paper_tear.up", "launch.exit_speed"]
[grid]
"arrow.length" = ["5 in", "28 in", "29 in"]
"rest.kind" = ["blade", "limb_driven"]
"""


@pytest.fixture
def plan(setup_file: pathlib.Path, tmp_path: pathlib.Path) -> pathlib.Path:
    file = tmp_path / "plan.toml"
    (tmp_path / "bow.toml").write_bytes(setup_file.read_bytes())
    file.write_text(PLAN.format(setup="bow.toml"), encoding="utf-8")
    return file


def test_the_table_has_numbers_units_and_the_setup(plan: pathlib.Path, tmp_path: pathlib.Path, capsys: Any) -> None:
    parquet: Any = pytest.importorskip("pyarrow.parquet")
    file = tmp_path / "table.parquet"
    assert main(["sweep", str(plan), "--parquet", str(file), "--json"]) == 1  # an arrow of five inches fails
    data = json.loads(capsys.readouterr().out)["data"]
    table = parquet.read_table(file)
    assert table.num_rows == 6
    assert table["rest.kind"].to_pylist() == ["blade", "limb_driven"] * 3
    up = np.array(table["paper_tear.up"].to_pylist())
    np.testing.assert_array_equal(up, np.array(data["paper_tear.up"], float).ravel())
    assert np.isnan(up[:2]).all()
    assert np.isfinite(up[2:]).all()
    assert table["status"].to_pylist() == [2, 2, 1, 1, 1, 1]
    assert table["message"].to_pylist()[0]
    assert table.schema.field("paper_tear.up").metadata[b"units"] == b"m"
    assert nockwise.parse_setup(table.schema.metadata[b"setup"].decode())["name"] == "Larkspur 33"


def test_without_the_library_it_says_what_to_install(
    plan: pathlib.Path, tmp_path: pathlib.Path, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    monkeypatch.setattr("nockwise._sweep.run_here", None)  # told before anything is shot
    assert main(["sweep", str(plan), "--parquet", str(tmp_path / "table.parquet")]) == 4
    assert "nockwise[parquet]" in capsys.readouterr().err
