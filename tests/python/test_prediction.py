"""What is not known of a bow: widths in setups, directions, narrowing, predictions."""

import copy
import json
import pathlib
import pickle
from typing import Any

import matplotlib.pyplot as plt
import nockwise
import numpy as np
import pytest
from nockwise import plot
from nockwise.__main__ import main


@pytest.fixture(scope="module")
def ignorance(setup_file: pathlib.Path) -> nockwise.Ignorance:
    return nockwise.ignorance_of(nockwise.read_setup(setup_file))


def tears_of(setup: nockwise.Setup) -> list[nockwise.WatchedShot]:
    readings = [nockwise.ShotReading(output="tear_up"), nockwise.ShotReading(output="exit_speed")]
    return [nockwise.WatchedShot(setup=setup, readings=readings)]


def test_every_parameter_says_how_well_it_is_known(setup: nockwise.Setup) -> None:
    for each in nockwise.parameters():
        assert each.known.reason
        assert (each.known.by == "exact") == (each.known.width.value == 0.0)
    mass = nockwise.parameter("riser.mass").known
    assert (mass.by, mass.width.relative) == (nockwise.KnownBy.typical, True)
    assert nockwise.standard_deviation(setup, "riser.mass") == pytest.approx(mass.width.value * setup["riser.mass"])
    assert "brace_height" in [each.name for each in nockwise.bow_measures()]


def test_known_goes_through_files_copies_and_pickles(setup: nockwise.Setup) -> None:
    width = nockwise.Width(value=0.05, relative=True)
    setup.known = [
        nockwise.KnownValue(path="riser.mass", by="measured"),
        nockwise.KnownValue(path="string.axial_rigidity", width=width),
    ]
    assert nockwise.width_of(setup, "string.axial_rigidity") == width
    for same in (
        copy.copy(setup),
        pickle.loads(pickle.dumps(setup)),
        setup.replace({}),
        nockwise.parse_setup(nockwise.format_setup(setup)),
    ):
        assert same == setup
        assert same.known == setup.known
    setup.known = [nockwise.KnownValue(path="riser.mass", width=nockwise.Width(value=-1.0))]
    with pytest.raises(nockwise.InputError, match=r"known\.riser\.mass"):
        nockwise.validate(setup)
    with pytest.raises(nockwise.InputError, match="must be a KnownValue"):
        setup.known = ["riser.mass"]  # type: ignore[list-item]


def test_moved_bows_keep_their_brace_height(setup: nockwise.Setup, ignorance: nockwise.Ignorance) -> None:
    count = len(ignorance.directions)
    places = nockwise.drawn_places(ignorance, 3, seed=5)
    assert places.shape == (3, count)
    assert ignorance.covariance.shape == (count * count,)
    brace = nockwise.Model(setup).brace.brace_height
    for place in places:
        bow = nockwise.moved(ignorance, setup, place)
        assert bow["string.axial_rigidity"] != setup["string.axial_rigidity"]
        assert nockwise.Model(bow).brace.brace_height == pytest.approx(brace, abs=0.004)


def test_a_chronograph_narrows_the_speed(setup: nockwise.Setup, ignorance: nockwise.Ignorance) -> None:
    shots = tears_of(setup)
    before = nockwise.sensitivity_of(ignorance, shots)
    assert before.slope.size == 2 * len(ignorance.directions)
    wide = np.sqrt(np.diag(nockwise.reading_covariance(ignorance, before)))
    speed = [nockwise.WatchedShot(setup=setup, readings=[nockwise.ShotReading(output="exit_speed")])]
    read = [nockwise.MeasuredReading(value=before.value[1] + 0.5, error=0.3)]
    after = nockwise.narrowed(ignorance, speed, read)
    there = nockwise.sensitivity_of(after, shots)
    assert there.value[1] == pytest.approx(before.value[1] + 0.5, abs=0.1)
    narrow = np.sqrt(np.diag(nockwise.reading_covariance(after, there)))
    assert narrow[1] < 0.25 * wide[1]
    drawn = nockwise.shoot_drawn(after, shots, nockwise.drawn_places(after, 60))
    values = np.array([each.value for each in drawn])
    assert values[:, 1].std() == pytest.approx(narrow[1], rel=0.35)
    few = nockwise.reduced(ignorance, before, 0.05)
    assert len(few.directions) < len(ignorance.directions) / 2
    with pytest.raises(nockwise.InputError, match="above 0"):
        nockwise.narrowed(ignorance, speed, [nockwise.MeasuredReading(value=1.0, error=0.0)])


def test_predict(setup: nockwise.Setup, ignorance: nockwise.Ignorance) -> None:
    found = nockwise.predict(setup, ["tear_up", "exit_speed"], bows=100)
    assert [each.output for each in found.outputs] == ["tear_up", "exit_speed"]
    for one in found.outputs:
        assert one.low < one.median < one.high
        assert sum(share.share for share in one.shares) == pytest.approx(1.0)
    assert nockwise.predict(ignorance, ["tear_up", "exit_speed"], bows=100) == found
    assert "# What Larkspur" in nockwise.prediction_markdown(found)
    with pytest.raises(nockwise.InputError, match="outputs"):
        nockwise.predict(setup, ["tear"])
    with pytest.raises(nockwise.InputError, match="bows"):
        nockwise.predict(setup, bows=2)


def test_as_a_dataset_and_a_plot(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    found = nockwise.predict(setup, ["tear_up", "tear_right"], bows=40)
    data = nockwise.prediction_dataset(found)
    assert data["share"].dims == ("output", "direction")
    assert data["share"].sum("direction").values == pytest.approx([1.0, 1.0])
    assert float(data["low"].sel(output="tear_right")) == found.outputs[1].low
    assert str(data["unit"].sel(output="tear_up").item()) == "m"
    choices: tuple[Any, ...] = ("si", "workshop")
    for units in choices:
        ax: Any = plot.prediction(found, "tear_right", units=units)
        ax.figure.savefig(tmp_path / "a.png")
    with pytest.raises(nockwise.InputError, match="must be one of tear_up, tear_right"):
        plot.prediction(found, "let_off")
    plt.close("all")


def test_command(capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    report, picture = tmp_path / "a.md", tmp_path / "a.png"
    options = ["--output", "exit_speed", "--output", "stop_gap", "--bows", "40", "--paper", "6 ft"]
    assert main(["predict", str(setup_file), *options, "--report", str(report), "--plot", str(picture)]) == 0
    text = capsys.readouterr().out
    assert "as far as it is known" in text
    assert "leaves" in text
    assert report.read_text(encoding="utf-8").startswith("# What Larkspur")
    assert picture.stat().st_size > 2000
    assert main(["predict", str(setup_file), *options, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["prediction"]
    assert told["outputs"][0]["output"] == "exit_speed"
    assert told["outputs"][0]["low"] < told["outputs"][0]["high"]
    assert main(["predict", str(setup_file), "--output", "speed"]) == 2
    assert "tear_up" in capsys.readouterr().err
    assert main(["paths", "riser.mass"]) == 0
    assert "typical" in capsys.readouterr().out
