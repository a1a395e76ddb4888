"""Bow builder, adjustments and the tear matrix."""

import copy
import pickle
from typing import Any

import nockwise
import pytest

from conftest import SETUPS


def test_measurements_round_trip() -> None:
    measured = nockwise.read_measurements(SETUPS / "larkspur-measured.toml")
    assert nockwise.parse_measurements(nockwise.format_measurements(measured)) == measured
    assert pickle.loads(pickle.dumps(measured)) == measured
    assert copy.deepcopy(measured) == measured
    changed = measured.replace(brace_height=0.18)
    assert changed.brace_height == 0.18
    assert changed != measured


def test_build_a_bow() -> None:
    measured = nockwise.BowMeasurements(name="Bench bow", peak_force=250.0, let_off=0.75)
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
        ({"cabling": "knot"}, "must be one of yoke, let_out"),
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
    assert nockwise.shoot(setup).value == matrix.base.value
    assert pickle.loads(pickle.dumps(matrix)) == matrix
    with pytest.raises(nockwise.InputError, match="at least 1"):
        nockwise.tear_matrix(setup, threads=0)
    with pytest.raises(nockwise.InputError, match="step_fraction"):
        nockwise.tear_matrix(setup, step_fraction=99.0)
