"""The commands `compare`, `matrix` and `calibrate`."""

from __future__ import annotations

import json
import pathlib
from typing import Any

import nockwise
import pytest
from nockwise.__main__ import main

EXAMPLES = pathlib.Path(__file__).resolve().parents[2] / "examples"
SETUPS = EXAMPLES / "setups"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(arguments)
    out, err = capsys.readouterr()
    return code, out, err


def test_compare_says_what_the_library_says(capsys: Any) -> None:
    files = [str(SETUPS / f"{name}.toml") for name in ("larkspur", "coppice")]
    code, out, _ = run(capsys, "compare", *files, "--json")
    assert code == 0
    for file, told in zip(files, json.loads(out)["bows"], strict=True):
        setup = nockwise.read_setup(file)
        assert told["name"] == setup["name"]
        assert told["shot"]["value"]["exit_speed"] == nockwise.shoot(setup).value["exit_speed"]
        matrix = nockwise.tear_matrix(setup, ["nocking_point"])
        assert told["per_step"]["nocking_point"]["tear_up"] == matrix.rows[0].per_step["tear_up"]


def test_compare_prints_a_column_for_each_bow(capsys: Any) -> None:
    _, out, _ = run(capsys, "compare", str(SETUPS / "alder.toml"), str(SETUPS / "withy.toml"), "--paper", "6 ft")
    lines = out.splitlines()
    assert lines[0].split("  ")[-1].strip() == "Withy 35"
    assert "Alder" in lines[0]
    assert any(line.startswith("nocking point, 1/16 in") and line.count(" in") >= 5 for line in lines)


def test_compare_names_a_bow_that_cannot_be_shot(capsys: Any, tmp_path: pathlib.Path) -> None:
    setup = nockwise.read_setup(SETUPS / "larkspur.toml")
    setup.set("arrow.length", "15 in")
    nockwise.write_setup(setup, tmp_path / "short.toml")
    code, out, _ = run(capsys, "compare", str(tmp_path / "short.toml"), str(SETUPS / "withy.toml"))
    assert code == 1
    assert "Larkspur 33 cannot be shot: arrow.length" in out
    assert "Withy 35" in out


def test_matrix_has_every_adjustment_largest_first(capsys: Any) -> None:
    code, out, _ = run(capsys, "matrix", str(SETUPS / "withy.toml"))
    assert code == 0
    setup = nockwise.read_setup(SETUPS / "withy.toml")
    found = nockwise.tear_matrix(setup)
    rows = [line for line in out.splitlines() if " in  " in line and not line.startswith(("note", "caution"))]
    assert len(rows) == len(found.rows)
    largest = max(found.rows, key=lambda row: max(abs(row.per_step["tear_up"]), abs(row.per_step["tear_right"])))
    assert rows[0].startswith(largest.adjustment.title)


def test_matrix_of_one_adjustment_at_a_change(capsys: Any) -> None:
    bow = str(SETUPS / "withy.toml")
    code, out, _ = run(capsys, "matrix", bow, "--only", "rest.height", "--set", "rest.center_shot=1 mm", "--json")
    assert code == 0
    rows = json.loads(out)["matrix"]["rows"]
    assert [row["adjustment"]["name"] for row in rows] == ["rest.height"]
    code, _, err = run(capsys, "matrix", bow, "--only", "rest.heigth")
    assert code == 2
    assert "rest.height" in err


def test_calibrate_writes_the_fitted_bow(capsys: Any, tmp_path: pathlib.Path) -> None:
    case = str(EXAMPLES / "cases/larkspur-calibration.toml")
    fitted, page = tmp_path / "fitted.toml", tmp_path / "fit.md"
    code, out, _ = run(capsys, "calibrate", case, "--out", str(fitted), "--report", str(page))
    assert code == 0
    assert "# Calibration of Larkspur 33" in out
    assert page.read_text().startswith("# Calibration of Larkspur 33")
    twists = nockwise.read_setup(fitted)["cables.upper.twists"] - nockwise.read_setup(fitted)["cables.lower.twists"]
    assert twists == pytest.approx(0.5, abs=0.1)  # half a twist, which the file's measurements were taken with
    code, _, err = run(capsys, "calibrate", case, "--out", str(fitted))
    assert code == 2
    assert "nothing is written over" in err
