"""Bow builder, adjustments and the tear matrix."""

import copy
import os
import pickle
import signal
import threading
from collections.abc import Callable
from typing import Any

import nockwise
import pytest

from conftest import SETUPS

CASES = SETUPS.parent / "cases"


def test_measurements_round_trip() -> None:
    measured = nockwise.read_measurements(SETUPS / "larkspur-measured.toml")
    assert nockwise.parse_measurements(nockwise.format_measurements(measured)) == measured
    assert pickle.loads(pickle.dumps(measured)) == measured
    assert copy.deepcopy(measured) == measured
    changed = measured.replace(brace_height=0.18)
    assert changed.brace_height == 0.18
    assert changed != measured


def test_build_a_bow() -> None:
    measured = nockwise.BowMeasurements(
        name="Bench bow", axle_to_axle=0.8382, brace_height=0.17145, draw_length=0.7366, peak_force=250.0, let_off=0.75
    )
    built = nockwise.build_bow(measured)
    cycle = nockwise.draw_cycle(nockwise.Model(built.setup), hold="draw_board")
    assert cycle.peak_force == pytest.approx(250.0, rel=2e-3)
    assert all(check.path.startswith("measurements.") for check in built.report.checks)
    assert isinstance(built.report.checks[0].met, bool)
    assert pickle.loads(pickle.dumps(built)) == built
    assert "Bench bow" in repr(built)


def test_readings_may_be_rows() -> None:
    pairs = [(0.3, 50.0), (0.4, 120.0)]
    measured = nockwise.BowMeasurements(draw_curve=pairs)
    assert measured.draw_curve["force"].tolist() == [50.0, 120.0]
    readings = [nockwise.DrawForceReading(draw_length=x, force=f) for x, f in pairs]
    assert nockwise.BowMeasurements(draw_curve=readings) == measured
    with pytest.raises(ValueError, match="read-only"):
        measured.draw_curve["force"][0] = 1.0


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"brace_hight": 0.2}, "brace_height"),
        ({"brace_height": "low"}, "must be a number"),
        ({"cabling": "knot"}, "must be one of yoke, hybrid, crossed"),
        ({"draw_curve": [1.0, 2.0]}, r"draw_curve\[0\]"),
        ({"draw_curve": [(1.0, 2.0, 3.0)]}, "DrawForceReading"),
        ({"limb": 3}, "must be a LimbGuess"),
    ],
)
def test_bad_measurements(fields: Any, words: str) -> None:
    with pytest.raises(nockwise.InputError, match=words):
        nockwise.BowMeasurements(**fields)


def test_adjustments(setup: nockwise.Setup) -> None:
    found = nockwise.adjustments(setup)
    assert found[0].name
    one = next(a for a in found if a.name == "cable.upper")
    assert nockwise.adjusted(setup, one, 1.0) == nockwise.adjusted(setup, "cable.upper", 1.0)
    assert nockwise.adjusted(setup, one, 1.0)["cables.upper.twists"] != setup["cables.upper.twists"]
    assert "twist" in nockwise.describe_steps(one, 1.0)
    assert pickle.loads(pickle.dumps(one)) == one
    with pytest.raises(nockwise.InputError, match="cable"):
        nockwise.adjusted(setup, "cable.uper", 1.0)


def test_tear_matrix(setup: nockwise.Setup) -> None:
    matrix = nockwise.tear_matrix(setup, ["cable.upper", "nocking_point"], threads=2)
    assert [row.adjustment.name for row in matrix.rows] == ["cable.upper", "nocking_point"]
    assert set(matrix.rows[0].per_step) == {output.value for output in nockwise.Output}
    assert matrix.base.flew
    shot = nockwise.launch(nockwise.Model(setup))
    assert matrix.base.value["impact_up"] == nockwise.target_impact(nockwise.Model(setup), shot).y
    assert matrix.rows[1].per_step["impact_up"] != 0.0
    assert nockwise.shoot(setup).value == matrix.base.value
    assert pickle.loads(pickle.dumps(matrix)) == matrix
    with pytest.raises(nockwise.InputError, match="at least 1"):
        nockwise.tear_matrix(setup, threads=0)
    with pytest.raises(nockwise.InputError, match="step_fraction"):
        nockwise.tear_matrix(setup, step_fraction=99.0)


def test_explain(setup: nockwise.Setup, tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    off = nockwise.shoot(nockwise.adjusted(setup, "cable.upper", -2.0))
    hole = nockwise.TearObservation(up=off.value["tear_up"], right=off.value["tear_right"])
    case = nockwise.Case(setup=setup, tears=[hole])
    assert case.tears[0] == hole
    assert pickle.loads(pickle.dumps(case)) == case
    found = nockwise.explain(case, threads=2, next_checks=False)
    assert found.verdict in ("explained", "clean")
    assert found.observed == case
    assert found.causes[0].words
    assert abs(sum(cause.probability for cause in found.causes) - 1.0) < 1e-9
    assert pickle.loads(pickle.dumps(found)) == found
    assert "Explanation" in repr(found)
    assert "<table>" in found._repr_html_()
    with pytest.raises(nockwise.InputError):
        nockwise.explain(nockwise.Case(setup=setup, tears=[hole.replace(reading_error=0.0)]))
    with pytest.raises(nockwise.InputError, match=r"tears\[0\]"):
        nockwise.Case(setup=setup, tears=[1.0])
    assert nockwise.check_quantity("stop_gap") == "length"
    assert nockwise.bare_shaft().path


def test_next_step(setup: nockwise.Setup) -> None:
    hole = nockwise.TearObservation(up=0.5 * 0.0254, right=0.0)
    case = nockwise.Case(setup=setup, tears=[hole])
    following = nockwise.next_step(case, threads=2)
    assert following.kind in list(nockwise.NextKind)
    assert following.instruction
    assert following.outcomes
    assert all(outcome.seen and outcome.means for outcome in following.outcomes)
    assert pickle.loads(pickle.dumps(following)) == following
    assert following.instruction[1:] in nockwise.next_step_markdown(following)
    assert nockwise.explain(case, threads=2).next == following
    known = nockwise.next_step(case, threads=2, ignorance=0.0)
    assert known.kind in list(nockwise.NextKind)
    with pytest.raises(nockwise.InputError, match="from 0 to 4"):
        nockwise.next_step(case, ignorance=9.0)


def test_next_on_the_command_line(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    import json

    from nockwise.__main__ import main

    file = tmp_path / "case.toml"
    lines = f'format = 1\nsetup = "{SETUPS / "larkspur.toml"}"\n[[tears]]\nhigh = "0.6 in"\n'
    file.write_text(lines)
    assert main(["explain", str(file), "--next"]) == 0
    text = capsys.readouterr().out
    assert "What it may show:" in text
    assert "Then add to the case file" in text
    file.write_text(lines + '[[work]]\nnocking_point = -2\n[[tears]]\nhigh = "1.5 in"\nafter = 1\n')
    assert main(["explain", str(file), "--next", "--json"]) == 1  # it went up, where it should have gone down
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"] == "not_this_bow"
    assert told["next"]["kind"] == "look_at_setup"


def test_explain_on_the_command_line(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    import json

    from nockwise.__main__ import main

    file = tmp_path / "case.toml"
    file.write_text(f'format = 1\nsetup = "{SETUPS / "larkspur.toml"}"\n[[tears]]\nhigh = "1 in"\n')
    code = main(["explain", str(file)])
    text = capsys.readouterr().out
    assert code == 0, text
    assert "causes:" in text
    page = tmp_path / "page.html"
    assert main(["explain", str(file), "--json", "--report", str(page)]) == 0
    assert page.read_text().lstrip().lower().startswith("<!doctype html>")
    assert json.loads(capsys.readouterr().out)["explanation"]["verdict"] == "explained"


def test_mirror_on_the_command_line(setup: nockwise.Setup, tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    from nockwise.__main__ import main

    left = tmp_path / "left.toml"
    assert main(["mirror", str(SETUPS / "larkspur.toml"), str(left)]) == 0
    other = nockwise.read_setup(left)
    assert other["handedness"] == "left"
    assert other == nockwise.mirrored(nockwise.read_setup(SETUPS / "larkspur.toml"))
    assert nockwise.handedness_doubts(other) == []
    assert main(["mirror", str(SETUPS / "larkspur.toml"), str(left)]) == 2  # nothing is written over
    capsys.readouterr()
    assert main(["inspect", str(SETUPS / "larkspur.toml"), "--set", "handedness=left"]) == 0
    assert "cable_guard.offset" in capsys.readouterr().out


def test_calibrate(setup: nockwise.Setup) -> None:
    model = nockwise.Model(setup.replace({"string.nocking_point": setup["string.nocking_point"] + 0.001}))
    shot = nockwise.launch(model)
    tear = nockwise.paper_tear(model, shot)
    measured = nockwise.Measurements(
        speeds=[nockwise.SpeedMeasurement(speed=nockwise.chronograph_speed(model, shot))],
        tears=[nockwise.TearObservation(up=tear.up, right=tear.right, reading_error=0.0005)],
    )
    nock = nockwise.CalibrationParameter(title="nocking point", paths=["string.nocking_point"], width=0.002)
    found = nockwise.calibrate(setup, measured, parameters=[nock], threads=2)
    assert found.parameters[0].change == pytest.approx(0.001, abs=2e-4)
    assert found.setup["string.nocking_point"] != setup["string.nocking_point"]
    assert pickle.loads(pickle.dumps(found)) == found
    assert all(parameter.width > 0 for parameter in nockwise.calibration_parameters(setup))
    with pytest.raises(nockwise.InputError):
        nockwise.calibrate(setup, nockwise.Measurements())


@pytest.fixture(scope="module")
def calibrated() -> nockwise.Calibration:
    case = nockwise.read_calibration_case(CASES / "larkspur-calibration.toml")
    nock = nockwise.CalibrationParameter(title="nocking point", paths=["string.nocking_point"], width=0.003)
    lean = nockwise.CalibrationParameter(title="yaw of the grip", paths=["grip.yaw_damping"], width=1e-6)
    return nockwise.calibrate(case.setup, case.measurements, parameters=[nock, lean])


def test_calibration_case() -> None:
    case = nockwise.read_calibration_case(CASES / "larkspur-calibration.toml")
    assert case.setup == nockwise.read_setup(SETUPS / "larkspur.toml")
    assert len(case.measurements.draw_forces) == 10
    assert case.measurements.speeds[1].changes[0].path == "arrow.point_mass"
    assert case.measurements.tears[0].up == pytest.approx(0.0625 * 0.0254)
    assert pickle.loads(pickle.dumps(case)) == case
    made = nockwise.CalibrationCase(setup=case.setup, measurements=case.measurements)
    assert made == case
    assert case.replace(measurements=nockwise.Measurements()) != case
    text = (CASES / "larkspur-calibration.toml").read_text()
    assert nockwise.parse_calibration_case(text, CASES) == case


def test_bad_calibration_case_tells_the_place(tmp_path: Any) -> None:
    file = tmp_path / "bench.toml"
    file.write_text(f'format = 1\nsetup = "{SETUPS / "larkspur.toml"}"\n\n[[speeds]]\n  speed = 252\n')
    with pytest.raises(nockwise.InputError, match="252 ft/s") as caught:
        nockwise.read_calibration_case(file)
    assert (caught.value.file, caught.value.line, caught.value.column) == (str(file), 5, 3)
    assert str(caught.value).startswith(f"{file}:5:3: speeds")
    with pytest.raises(nockwise.InputError, match="speed") as caught:
        nockwise.parse_calibration_case(file.read_text().replace("speed =", "sped ="), tmp_path, source_name="mine")
    assert (caught.value.file, caught.value.line) == ("mine", 5)
    with pytest.raises(nockwise.Error, match="nowhere"):
        nockwise.read_calibration_case(tmp_path / "nowhere.toml")


def test_calibration_markdown(calibrated: nockwise.Calibration) -> None:
    text = nockwise.calibration_markdown(calibrated)
    assert "| nocking point |" in text
    assert all(residual.what in text for residual in calibrated.residuals)
    assert "Not determined by these measurements: yaw of the grip" in text
    assert all(finding in text for finding in calibrated.findings)


def long_case(setup: nockwise.Setup) -> nockwise.Case:
    """As many differently changed bows as a case may have: each is launched for every suspected cause."""
    setup = setup.replace({"string.pieces": 4})  # not in lanes, and slower by itself
    steps = [nockwise.ParameterChange(path="string.nocking_point", value=1e-4 * i, relative=True) for i in range(1, 10)]
    return nockwise.Case(setup=setup, tears=[nockwise.TearObservation(up=0.01, changes=[step]) for step in steps])


@pytest.mark.parametrize(
    "call",
    [
        lambda setup: nockwise.tear_matrix(setup, ["rest.height"] * 4000),
        lambda setup: nockwise.explain(long_case(setup)),
        lambda setup: nockwise.calibrate(long_case(setup).setup, nockwise.Measurements(tears=long_case(setup).tears)),
    ],
    ids=["tear_matrix", "explain", "calibrate"],
)
def test_an_interruption_ends_a_long_call(setup: nockwise.Setup, call: Callable[[nockwise.Setup], object]) -> None:
    """Each would go on for minutes; the handler runs inside the call, which then has no result."""
    timer = threading.Timer(0.5, os.kill, (os.getpid(), signal.SIGINT))
    timer.start()
    with pytest.raises(KeyboardInterrupt):
        call(setup)
    timer.join()
