"""Flights to a target, groups, forgiveness: as Python sees them."""

import copy
import json
import pathlib
import pickle
import re
from typing import Any

import matplotlib.pyplot as plt
import nockwise
import numpy as np
import pytest
from nockwise import plot
from nockwise.__main__ import main


@pytest.fixture(autouse=True)
def _close() -> Any:
    yield
    plt.close("all")


@pytest.fixture(scope="module")
def shot_group(setup_file: pathlib.Path) -> nockwise.Group:
    return nockwise.group(nockwise.read_setup(setup_file), distance=45.72, shots=60, face=0.8)


def test_a_flight_and_its_sight(model: nockwise.Model, shot: nockwise.Launch) -> None:
    sight = nockwise.sight_in(model, shot, 45.72)
    arrival = nockwise.fly_to(model, shot, 45.72, sight=sight)
    assert (arrival.up, arrival.right) == pytest.approx((0.0, 0.0), abs=1e-8)
    points = nockwise.flight_to(model, shot, 45.72, sight=sight)
    assert points["time"][-1] == arrival.time
    assert np.all(np.diff(points["x"]) > 0.0)
    assert np.allclose(points["nose_x"] ** 2 + points["nose_y"] ** 2 + points["nose_z"] ** 2, 1.0)
    calm = nockwise.FlightConditions()
    windy = calm.replace(wind_right=4.0)
    assert nockwise.fly_to(model, shot, 45.72, sight=sight, conditions=windy).right > 0.01
    canted = nockwise.fly_to(model, shot, 45.72, sight=sight, aim=nockwise.Aim(cant=0.05))
    assert canted.right > 0.01
    marks = nockwise.sight_marks(model, shot, [18.288, 36.576])
    assert marks[1].below_first > marks[0].below_first == 0.0
    assert plot.flight(points).get_xlabel().endswith("[yd]")


def test_numbers_of_a_flight_have_sources() -> None:
    names = [each.name for each in nockwise.flight_numbers()]
    assert "drag_turbulent" in names
    assert all(each.source and each.doc and each.minimum < each.maximum for each in nockwise.flight_numbers())
    assert nockwise.air_at(288.15, 0.0).density == pytest.approx(1.225, rel=1e-6)
    with pytest.raises(nockwise.InputError, match=r"conditions\.wind_right"):
        nockwise.validate(nockwise.FlightConditions(wind_right=100.0))


def test_a_group_is_a_value(shot_group: nockwise.Group) -> None:
    assert len(shot_group.up) == len(shot_group.right) == len(shot_group.arrow) == 60
    assert shot_group == pickle.loads(pickle.dumps(shot_group)) == copy.copy(shot_group)
    assert sum(each.share for each in shot_group.forgiveness.sources) == pytest.approx(1.0)
    assert shot_group.score is not None
    assert 0.0 < shot_group.score < 10.0
    assert repr(shot_group).startswith(f"<Group of 60 shots: {shot_group.pattern}; width_of_six_up ")


def test_scatter_by_name_or_by_value(setup: nockwise.Setup) -> None:
    club = nockwise.scatter_of("club")
    assert nockwise.Archer.club == club.name
    assert nockwise.group(setup, "club", shots=12) == nockwise.group(setup, club, shots=12)
    aim = nockwise.Scatter(name="aim", widths=[nockwise.ScatterWidth(source="aim_up", deviation=1e-3)])
    found = nockwise.forgiveness(setup, aim, distance=50.0)
    assert found.sources[0].up_per_unit == pytest.approx(50.0, rel=0.01)
    with pytest.raises(nockwise.InputError, match="scatter"):
        nockwise.group(setup, "somebody")  # type: ignore[arg-type]
    wide = nockwise.Scatter(widths=[nockwise.ScatterWidth(source="wall_pull", deviation=2.0)])
    with pytest.raises(nockwise.InputError, match="of 240 shots"):
        nockwise.group(setup, wide)


def test_a_forgiving_tune(setup: nockwise.Setup) -> None:
    tune = nockwise.forgiving(setup, "club", ["nocking_point", "center_shot"], most_steps=1, shots=60, distance=36.6)
    assert isinstance(tune.setup, nockwise.Setup)
    assert len(tune.steps) == 2
    assert tune.frontier[0].tear <= tune.frontier[-1].tear
    assert tune.cautions


def test_dataset_and_plots(shot_group: nockwise.Group, tmp_path: pathlib.Path) -> None:
    data = nockwise.group_dataset(shot_group)
    assert data.sizes["shot"] == 60
    assert float(data["up"].std(ddof=1)) == pytest.approx(shot_group.deviation_up)
    for units in ("si", "workshop"):
        drawn: list[Any] = [
            plot.group(shot_group, face=0.8, units=units),
            plot.forgiveness(shot_group.forgiveness, units=units),
        ]
        for index, ax in enumerate(drawn):
            file = tmp_path / f"{units}{index}.png"
            ax.figure.savefig(file, dpi=60)
            assert file.stat().st_size > 2000


def test_whose_the_spread_is(setup: nockwise.Setup) -> None:
    shares = nockwise.variance_shares(setup, "club", distance=45.72, shots=800)
    alone = sum(each.alone for each in shares.sources)
    assert shares.sum == pytest.approx(alone + shares.pairs_together + shares.rest)
    assert abs(shares.sum - 1.0) < 4.0 * shares.sum_error
    assert shares == pickle.loads(pickle.dumps(shares))
    with pytest.raises(nockwise.InputError, match="shots"):
        nockwise.variance_shares(setup, shots=20)


def test_the_least_sensitive_setting(setup: nockwise.Setup) -> None:
    answers = nockwise.answers_of_lines(setup, ["cable.upper", "cable.lower"])
    assert [each.adjustment for each in answers] == ["cable.upper", "cable.lower"]
    design = nockwise.least_sensitive(
        setup, {"cable_guard.offset": 2e-3}, lines=["cable.upper", "cable.lower"], within=0.03, most_steps=1
    )
    assert design.lines_before == answers
    assert design.sensitivity <= design.sensitivity_before
    assert design.values[0] == pytest.approx(setup["cable_guard.offset"] + design.steps[0] * 2e-3)
    with pytest.raises(nockwise.InputError, match="cable_guard"):
        nockwise.least_sensitive(setup, {"cable_guard.ofset": 2e-3})


def test_films(model: nockwise.Model, shot: nockwise.Launch, tmp_path: pathlib.Path) -> None:
    points = nockwise.flight_to(model, shot, 36.576)
    traced = nockwise.launch(model, trace=True)
    for name, film in (("flight", plot.flight_film(points, frames=4)), ("launch", plot.launch_film(traced, frames=4))):
        file = tmp_path / f"{name}.gif"
        film.save(file, dpi=50, writer="pillow")
        assert file.read_bytes()[:3] == b"GIF"
    with pytest.raises(nockwise.InputError, match="trace=True"):
        plot.launch_film(nockwise.launch(model))
    with pytest.raises(nockwise.InputError, match="frames"):
        plot.flight_film(points, frames=1)


def test_which_arrow_to_buy(setup: nockwise.Setup, tmp_path: pathlib.Path) -> None:
    choices = nockwise.arrow_choices([0.00762, 0.01016], point_masses=[0.00648])
    table = nockwise.compare_arrows(setup, "club", choices, bows=10, shots=60)
    assert [each.choice for each in table.rows] == list(choices)
    assert table.rows[0].tear_up_low < table.rows[0].tear_up_high
    assert any(each.as_good for each in table.rows)
    assert table.rows[0].near_mark == 0.0 < table.rows[0].far_mark < table.rows[1].far_mark + 0.01
    file = tmp_path / "arrows.png"
    figure: Any = plot.arrow_table(table)[0].figure
    figure.savefig(file, dpi=60, bbox_inches="tight")
    assert file.stat().st_size > 2000


def test_commands(setup_file: pathlib.Path, tmp_path: pathlib.Path, capsys: Any) -> None:
    picture = tmp_path / "group.png"
    options = ["--distance", "40 yd", "--shots", "60", "--scatter", "grip_torque=0.2 N·m", "--wind-right", "2 m/s"]
    assert main(["group", str(setup_file), *options, "--face", "80 cm", "--plot", str(picture)]) == 0
    told = capsys.readouterr().out
    assert "width of six" in told
    assert "torque of the hand" in told
    assert picture.stat().st_size > 2000
    assert main(["group", str(setup_file), *options, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["group"]["distance"] == pytest.approx(36.576)
    assert main(["group", str(setup_file), "--shots", "60", "--shares"]) == 0
    told = capsys.readouterr().out
    assert "all pairs together" in told
    assert "sum" in told
    assert main(["group", str(setup_file), "--distance", "20 m", "--shots", "60", "--per-unit"]) == 0
    assert re.search(r"20\.00 mm per mrad +aim, left and right", capsys.readouterr().out)
    assert main(["sight", str(setup_file), "--farthest", "40 yd"]) == 0
    assert len(capsys.readouterr().out.splitlines()) >= 5
    assert main(["group", str(setup_file), "--scatter", "grip_torqe=1"]) == 2
    assert main(["group", str(setup_file), "--archer", "nobody"]) == 2
    assert main(["sight", str(setup_file), "--every", "0 yd"]) == 2


def test_commands_that_choose(setup_file: pathlib.Path, tmp_path: pathlib.Path, capsys: Any) -> None:
    tune = ["forgiving", str(setup_file), "--distance", "30 yd", "--free", "nocking_point", "--most-steps", "1"]
    assert main([*tune, "--within", "1 in"]) == 0
    assert "smaller than that of the smallest hole" in capsys.readouterr().out
    assert main([*tune[:-4], "--free", "nocking_pont"]) == 2
    picture = tmp_path / "arrows.png"
    buy = ["arrows", str(setup_file), "--spine", "300 spine", "--spine", "400 spine", "--bows", "4", "--shots", "60"]
    assert main([*buy, "--plot", str(picture)]) == 0
    told = capsys.readouterr().out
    assert "the smallest group is of" in told
    assert re.search(r"\+0\.0, \+\d+\.\d ", told)  # the pin for the first arrow, near and far
    assert picture.stat().st_size > 2000
    design = ["least-sensitive", str(setup_file), "--line", "cable.upper", "--within", "2 in", "--most-steps", "1"]
    assert main([*design, "--free", "cable_guard.offset=2 mm", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["least_sensitive"]["paths"] == ["cable_guard.offset"]
    assert main([*design, "--free", "cable_guard.offset=2 mm"]) == 0
    assert "cable_guard.offset = " in capsys.readouterr().out
    assert main([*design, "--free", "cable_guard.offset"]) == 2
    assert main([*design, "--free", "cable_guard.ofset=2 mm"]) == 2
