"""Setups: paths, units, files, copies."""

import copy
import json
import math
import pathlib
import pickle
from typing import Any

import hypothesis
import nockwise
import numpy as np
import pytest
from hypothesis import strategies as st

NUMBERS = [p for p in nockwise.parameters() if not p.alias_of]


def test_set_and_get(setup: nockwise.Setup) -> None:
    setup.set("cables.upper.twists", 0.5)
    assert setup.get("cables.upper.twists") == 0.5
    setup["string.nocking_point"] = "0.25 in"
    assert setup["string.nocking_point"] == 0.00635
    setup["rest.kind"] = "blade"
    assert setup["rest.kind"] == nockwise.RestKind.blade
    setup["name"] = "Larkspur, evening"
    assert setup["name"] == "Larkspur, evening"


def test_text_means_the_same_as_its_number(setup: nockwise.Setup) -> None:
    other = copy.copy(setup)
    setup["surroundings.paper_distance"] = "6 ft"
    other["surroundings.paper_distance"] = 1.8288
    assert setup == other


def test_tracks(setup: nockwise.Setup) -> None:
    circle = nockwise.CircleTrack(radius=0.04, eccentricity=0.01)
    setup["cams.upper.string_track"] = circle
    assert setup["cams.upper.string_track"] == circle
    setup["cams.upper.let_out_track"] = None
    assert setup["cams.upper.let_out_track"] is None
    with pytest.raises(nockwise.InputError, match="take_up_track"):
        setup["cams.upper.take_up_track"] = None
    with pytest.raises(nockwise.InputError, match="must be a CircleTrack"):
        setup["cams.upper.take_up_track"] = 3.0
    angle = np.linspace(0.0, 3.0, 7)
    points = nockwise.CompiledTrack(circle).evaluate(angle)
    assert np.allclose(points["distance"], 0.04 + 0.01 * np.cos(angle), rtol=1e-15)


def test_replace_leaves_the_first_alone(setup: nockwise.Setup) -> None:
    changed = setup.replace({"arrow.length": "28 in", "rest.kind": "blade"})
    assert changed != setup
    assert changed["arrow.length"] == pytest.approx(0.7112)
    assert nockwise.Setup({"arrow.length": "28 in"})["arrow.length"] == changed["arrow.length"]


def test_file_round_trip(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "again.toml"
    nockwise.write_setup(setup, file)
    assert nockwise.read_setup(file) == setup
    assert nockwise.read_setup(str(file)) == setup
    assert nockwise.parse_setup(nockwise.format_setup(setup)) == setup


def test_pickle_and_copy(setup: nockwise.Setup) -> None:
    setup["string.length"] = 0.5  # cannot be braced, but must survive
    for again in (pickle.loads(pickle.dumps(setup)), copy.copy(setup), copy.deepcopy(setup)):
        assert again == setup


def test_mirrored_and_swapped(setup: nockwise.Setup) -> None:
    assert nockwise.mirrored(nockwise.mirrored(setup)) == setup
    assert nockwise.swapped(nockwise.swapped(setup)) == setup


def test_schema_is_json() -> None:
    assert json.loads(nockwise.json_schema())["$schema"].endswith("2020-12/schema")


def test_parameters_tell_everything() -> None:
    for p in nockwise.parameters():
        assert p.doc
        assert p.minimum <= p.default_value <= p.maximum
        assert p.unit in nockwise.units_of(p.quantity)
    assert nockwise.parameter("arrow.length").quantity == "length"


@hypothesis.given(st.data())
def test_units_round_trip_to_the_bit(data: Any) -> None:
    quantity = data.draw(st.sampled_from(list(nockwise.Quantity)))
    unit = data.draw(st.sampled_from(nockwise.units_of(quantity)))
    si = data.draw(st.floats(min_value=-1e9, max_value=1e9, allow_subnormal=False))
    hypothesis.assume(si == 0.0 or abs(si) > 1e-12)
    text = nockwise.format_quantity(si, quantity, unit)
    assert nockwise.parse_quantity(text, quantity) == si
    assert nockwise.to_si(nockwise.from_si(si, quantity, unit), quantity, unit) == pytest.approx(si, rel=1e-15)


@hypothesis.settings(deadline=None, max_examples=60)
@hypothesis.given(st.data())
def test_overrides_round_trip(data: Any) -> None:
    setup = nockwise.Setup()
    chosen = data.draw(st.lists(st.sampled_from(NUMBERS), min_size=1, max_size=6, unique_by=lambda p: p.path))
    for p in chosen:
        value = data.draw(st.floats(p.minimum, p.maximum, allow_subnormal=False))
        if p.whole:
            value = float(round(value))
        setup[p.path] = value
        assert setup[p.path] == value
        setup[p.path] = nockwise.format_quantity(value, p.quantity, p.unit)
        assert setup[p.path] == value
    assert pickle.loads(pickle.dumps(setup)) == setup
    try:
        text = nockwise.format_setup(setup)
    except nockwise.InputError:
        return  # parameters that do not go together
    assert nockwise.parse_setup(text) == setup


@hypothesis.settings(deadline=None)
@hypothesis.given(
    st.sampled_from(NUMBERS), st.one_of(st.floats(allow_nan=True, allow_infinity=True), st.text(max_size=8))
)
def test_bad_values_leave_the_setup_unchanged(p: nockwise.Parameter, value: float | str) -> None:
    setup = nockwise.Setup()
    try:
        setup[p.path] = value
    except nockwise.InputError as error:
        assert error.path == p.path
        assert error.allowed
        assert setup == nockwise.Setup()
    else:
        assert p.minimum <= setup[p.path] <= p.maximum


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("cables.uper.twists", 0.5, "cables.upper.twists"),
        ("arrow.length", "28 lbf", "in"),
        ("arrow.length", "28", "in"),
        ("arrow.length", math.nan, "must"),
        ("arrow.length", -1.0, "must be"),
        ("arrow.length", [1.0, 2.0], "must be a number"),
        ("arrow.length", True, "must be a number"),
        ("arrow.length", None, "must be a number"),
        ("arrow.length", np.array([0.7, 0.8]), "must be one number"),
        ("rest.kind", "hammock", "limb_driven"),
        ("arrow.nodes", 7.5, "whole"),
    ],
)
def test_bad_input(setup: nockwise.Setup, path: str, value: Any, words: str) -> None:
    before = copy.copy(setup)
    with pytest.raises(nockwise.InputError, match=words) as caught:
        setup[path] = value
    assert isinstance(caught.value, ValueError)
    assert setup == before


def test_what_a_file_leaves_out_is_listed(setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    assert nockwise.read_setup_file(setup_file).assumed == ()
    less = tmp_path / "less.toml"
    less.write_text(setup_file.read_text().replace("center_of_mass_x", "#").replace("nodes = 24", ""))
    file = nockwise.read_setup_file(less)
    paths = [each.path for each in file.assumed]
    assert "riser.center_of_mass_x" in paths
    assert nockwise.AssumedValue(path="arrow.nodes", value="24") in file.assumed
    assert file.setup["arrow.nodes"] == 24
    assert pickle.loads(pickle.dumps(file)) == file
    assert nockwise.parameter("rest.height").required
    less.write_text(setup_file.read_text().replace("height =", "#"))
    with pytest.raises(nockwise.InputError, match=r"rest\.height: must be given"):
        nockwise.read_setup(less)


def test_file_errors_know_their_place(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text('format = 1\n[arrow]\nlenght = "28 in"\n')
    with pytest.raises(nockwise.InputError, match=r"arrow\.lenght.*nearest is length") as caught:
        nockwise.read_setup(file)
    assert (caught.value.line, caught.value.column) == (3, 1)
    assert caught.value.file == str(file)
    again = pickle.loads(pickle.dumps(caught.value))
    assert (again.path, again.line, str(again)) == (caught.value.path, 3, str(caught.value))


def test_missing_file(tmp_path: pathlib.Path) -> None:
    with pytest.raises(nockwise.Error, match="nowhere"):
        nockwise.read_setup(tmp_path / "nowhere.toml")
