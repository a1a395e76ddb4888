"""A bow from its spec sheet: ensembles, the command, its questions, its pictures."""

import json
import pathlib
from collections.abc import Iterator
from typing import Any

import matplotlib as mpl
import matplotlib.pyplot as plt
import nockwise
import numpy as np
import pytest
from nockwise import _build, plot
from nockwise.__main__ import main

from conftest import SETUPS

SHEET = SETUPS / "coppice-sheet.toml"


@pytest.fixture(scope="module")
def sheet() -> nockwise.BowMeasurements:
    return nockwise.BowMeasurements(
        name="bench bow",
        axle_to_axle=0.84,
        brace_height=0.17,
        draw_length=0.73,
        peak_force=265.0,
        let_off=0.78,
        cabling="crossed",
        stop="cable",
    )


@pytest.fixture(scope="module")
def ensemble(sheet: nockwise.BowMeasurements) -> nockwise.BowEnsemble:
    return nockwise.build_ensemble(sheet, members=6, threads=2)


def test_ensemble(sheet: nockwise.BowMeasurements, ensemble: nockwise.BowEnsemble) -> None:
    assert len(ensemble.members) == 6
    assert sum(member.weight for member in ensemble.members) == pytest.approx(1.0)
    again = nockwise.build_ensemble(sheet, members=6, threads=1)
    assert [member.setup for member in again.members] == [member.setup for member in ensemble.members]
    tears = nockwise.ensemble_tears(ensemble, ["cable.upper", "nocking_point"])
    assert [row.adjustment.name for row in tears.rows] == ["cable.upper", "nocking_point"]
    assert tears.rows[1].up.same_sign
    assert tears.rows[1].up.low <= tears.rows[1].up.median <= tears.rows[1].up.high
    tests = nockwise.settling_tests(ensemble, tears)
    assert tests[0].remaining <= tests[-1].remaining <= 1.0
    truth = tears.rows[0].up_of[2]
    reading = tests[0].reading.replace(kind="tear_up_change", adjustment="cable.upper", value=float(truth), error=0.002)
    narrow = nockwise.narrowed(ensemble, [reading])
    assert narrow.members[2].weight > ensemble.members[2].weight
    assert narrow.effective_members < 6.0
    with pytest.raises(nockwise.InputError, match="error"):
        nockwise.narrowed(ensemble, [reading.replace(error=0.0)])


def test_pictures(sheet: nockwise.BowMeasurements, ensemble: nockwise.BowEnsemble, tmp_path: pathlib.Path) -> None:
    mpl.use("Agg")
    setup = ensemble.central.setup
    cycle = nockwise.draw_cycle(nockwise.Model(setup))
    tears = nockwise.ensemble_tears(ensemble, ["cable.upper", "nocking_point", "center_shot"])
    for number, ax in enumerate(
        (
            plot.bow(setup, cycle),
            plot.bow(nockwise.read_setup(SETUPS / "larkspur.toml"), units="si"),
            plot.cams(setup)[0],
            plot.draw_against_sheet(cycle, sheet),
            plot.ensemble_tears(tears),
            plot.ensemble_tears(tears, side="right", units="si"),
        )
    ):
        figure = ax.get_figure(root=True)
        assert figure is not None
        figure.savefig(tmp_path / f"{number}.png")
        assert ax.get_title(loc="left")
    plt.close("all")
    with pytest.raises(nockwise.InputError, match="side"):
        plot.ensemble_tears(tears, side="down")


def test_build_command(capsys: Any, tmp_path: pathlib.Path) -> None:
    out = tmp_path / "bow.toml"
    assert main(["build", str(SHEET), "--members", "4", "--out", str(out), "--plot", str(tmp_path)]) == 0
    text = capsys.readouterr().out
    for words in ("draw curve", "virtual mass", "assumed:", "tear per step in 4 bows", "what would settle most"):
        assert words in text
    assert "Built from a sheet" in nockwise.read_setup(out)["provenance"]
    assert {"bow.png", "cams.png", "draw.png", "tears_up.png"} <= {file.name for file in tmp_path.iterdir()}
    assert main(["inspect", str(SHEET)]) == 0
    assert "the sheet can be built" in capsys.readouterr().out
    assert main(["inspect", str(out)]) == 0
    assert "Built from a sheet" in capsys.readouterr().out


def test_what_matters_most_is_asked_first(capsys: Any, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "sheet.toml"
    file.write_text('format = 1\n[measurements]\naxle_to_axle = "33 in"\nlet_off = "80 %"\n')
    assert main(["build", str(file)]) == 2
    error = capsys.readouterr().err
    assert "measurements.draw_length: must be given" in error
    assert "then peak_force, brace_height" in error


def test_questions(capsys: Any) -> None:
    answers: Iterator[str] = iter(
        ["bench bow", "29", "29 in", "60 lbf", "33 in", "28 in", "6.5 in", "", "hybird", "hybrid", "", ""]
    )
    asked = _build.ask(lambda question: next(answers))
    assert asked.cabling == "hybrid"
    assert asked.stop == "limb"
    assert asked.let_off == pytest.approx(0.8)
    assert asked.rated_speed is None
    assert np.isclose(asked.brace_height, 0.1651)
    errors = capsys.readouterr().err
    assert "the unit is missing" in errors
    assert "brace_height" in errors
    assert "must be one of yoke, hybrid, crossed" in errors


def test_a_tear_is_planned_for_and_readings_narrow(capsys: Any, tmp_path: pathlib.Path) -> None:
    readings = tmp_path / "readings.toml"
    readings.write_text(
        """format = 1
[[readings]]
kind = "full_axle_to_axle"
value = "30.9 in"
error = "1/4 in"
"""
    )
    command = ["build", str(SHEET), "--members", "6", "--tear-up", "1/2 in", "--readings", str(readings)]
    assert main(command) == 0
    text = capsys.readouterr().out
    assert "count after 1 readings" in text
    assert "what would take the tear away:" in text
    assert "holds in all bows of the sheet" in text
    assert "what would tell: " in text
    assert main([*command, "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)["plan"]
    assert plan["moves"][0]["agreement"] == "sign_and_size"
    assert main(["build", str(SHEET), "--members", "0", "--tear-up", "1/2 in"]) == 2
    assert main(["build", str(SHEET), "--members", "4", "--tear-up", "1/2"]) == 2
    assert "the unit is missing" in capsys.readouterr().err
    readings.write_text('format = 1\n[[readings]]\nkind = "tear_up"\n')
    assert main(command) == 2
    assert "readings[0].value: must be given" in capsys.readouterr().err


def test_plan_and_calibration_from_python(ensemble: nockwise.BowEnsemble) -> None:
    tears = nockwise.ensemble_tears(ensemble)
    plan = nockwise.ensemble_plan(ensemble, tears, up=0.0127, right=0.0)
    assert plan.moves[0].agreement == "sign_and_size"
    assert plan.moves[0].instruction
    assert all(caution.words for caution in plan.cautions)
    test = nockwise.settling_tests(ensemble, tears, "cable.upper")[0]
    assert test.remaining < 1.0
    cycle = nockwise.draw_cycle(nockwise.Model(ensemble.members[1].setup), hold="draw_board")
    point = cycle.points[cycle.touch_index // 2]
    force = nockwise.DrawForceMeasurement(
        draw_length=nockwise.draw_length_allowance - float(point["nock_x"]), force=float(point["draw_force"])
    )
    found = nockwise.calibrate_within(ensemble, nockwise.Measurements(draw_forces=[force]))
    assert found.findings[0].startswith("Tracks and limb geometry are those of")
    assert found.misfit < 1.0


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('draw_length = "29\'2\\""', "feet and inches: write all of it in inches"),
        ('brace_height = "5\'6\\""', "feet and inches"),
        ('brace_height = "30 in"', "must be from"),
        ('let_off = "0.8"', 'write "80 %"'),
        ("brace_height = 6.25", 'write "6.25 in"'),
        ('peak_force = "65 in"', "in is a unit of length"),
    ],
)
def test_bad_lines_are_told_in_words_of_the_trade(line: str, words: str, capsys: Any, tmp_path: pathlib.Path) -> None:
    name = line.split(" = ")[0]
    text = SHEET.read_text(encoding="utf-8")
    kept = [row for row in text.splitlines() if not row.startswith(name)]
    file = tmp_path / "sheet.toml"
    file.write_text("\n".join([*kept, line]) + "\n", encoding="utf-8")
    assert main(["build", str(file), "--members", "0"]) == 2
    error = capsys.readouterr().err
    assert words in error
    assert f"measurements.{name}" in error


def test_inches_may_be_written_as_inches(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "sheet.toml"
    text = SHEET.read_text(encoding="utf-8").replace('"29 in"', "'29\"'").replace('"6.25 in"', "'6 1/4\"'")
    file.write_text(text, encoding="utf-8")
    assert nockwise.read_measurements(file) == nockwise.read_measurements(SHEET)


def test_a_brace_above_the_draw_is_told(capsys: Any, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "sheet.toml"
    text = SHEET.read_text(encoding="utf-8").replace('"29 in"', '"18 in"').replace('"6.25 in"', '"13 in"')
    file.write_text(text, encoding="utf-8")
    assert main(["build", str(file), "--members", "0"]) == 2
    assert "power stroke" in capsys.readouterr().err


def test_answers_that_end_are_told(monkeypatch: Any, capsys: Any) -> None:
    import io

    from nockwise.__main__ import main

    monkeypatch.setattr("sys.stdin", io.StringIO("Alder bow\n"))
    assert main(["build"]) == 2
    assert "name a file instead" in capsys.readouterr().err
