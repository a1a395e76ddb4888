"""The best design: optima found two ways agree, limits hold, steps are whole."""

from __future__ import annotations

import nockwise
import numpy as np
import pytest

pytest.importorskip("scipy")
GUARD = {"cable_guard.offset": ("5 mm", "40 mm"), "string.nocking_point": ("-6 mm", "6 mm")}


@pytest.fixture(scope="module")
def larkspur() -> nockwise.Setup:
    return nockwise.demo("larkspur")


def test_slopes_and_search_find_the_same_optimum(larkspur: nockwise.Setup) -> None:
    free = {"string.nocking_point": ("-8 mm", "8 mm"), "rest.center_shot": ("-6 mm", "6 mm")}
    down = nockwise.improve(larkspur, "tear_per_quarter_twist", free, starts=2)
    evolved = nockwise.improve(larkspur, "tear_per_quarter_twist", free, method="search")
    assert down.figures["tear_per_quarter_twist"] <= down.figures_before["tear_per_quarter_twist"]
    assert down.figures["tear_per_quarter_twist"] == pytest.approx(evolved.figures["tear_per_quarter_twist"], rel=0.02)
    # What it says of the design is what the design shoots.
    again = nockwise.improve(down.setup, "tear_per_quarter_twist", {"rest.center_shot": (-6e-3, 6e-3)}, starts=2)
    assert again.figures_before["tear_per_quarter_twist"] == pytest.approx(down.figures["tear_per_quarter_twist"])


def test_a_limit_holds_and_is_told(larkspur: nockwise.Setup) -> None:
    speed = nockwise.launch(nockwise.Model(larkspur)).exit_speed
    free = {"arrow.point_mass": ("80 gr", "200 gr"), "string.nocking_point": ("-6 mm", "6 mm")}
    found = nockwise.improve(
        larkspur, "launch.exit.bending_y", free, {"launch.exit_speed": (speed - 1.0, None)}, starts=2
    )
    assert found.figures["launch.exit_speed"] >= speed - 1.0 - 2e-4 * speed
    assert found.figures["launch.exit.bending_y"] <= found.figures_before["launch.exit.bending_y"]
    with pytest.raises(nockwise.Error, match=r"no design .* keeps launch\.exit_speed"):
        nockwise.improve(larkspur, "launch.exit.bending_y", free, {"launch.exit_speed": (speed + 40.0, None)}, starts=2)


def test_trade_steps_are_whole(larkspur: nockwise.Setup) -> None:
    sixteenth = 0.0254 / 16.0
    found = nockwise.improve(
        larkspur,
        "tear",
        {"string.nocking_point": (-8e-3, 8e-3), "rest.center_shot": (-6e-3, 8e-3)},
        steps={"string.nocking_point": "1/16 in", "rest.center_shot": sixteenth},
        starts=2,
    )
    for path, value in found.values.items():
        count = (value - found.before[path]) / sixteenth
        assert count == pytest.approx(round(count), abs=1e-6)
    best = nockwise.sweep(
        larkspur,
        {path: found.before[path] + sixteenth * np.arange(-3, 4) for path in found.values},
        outputs=["paper_tear.up", "paper_tear.right"],
    )
    holes = np.hypot(best["paper_tear.up"].values, best["paper_tear.right"].values)
    assert found.figures["tear"] <= np.nanmin(holes) + 1e-9


def test_the_front_is_unbeaten(larkspur: nockwise.Setup) -> None:
    free = {"arrow.point_mass": ("80 gr", "200 gr"), "string.nocking_point": ("-6 mm", "6 mm")}
    front = nockwise.tradeoff(
        larkspur, ("launch.exit_speed", "tear_per_quarter_twist"), free, most=(True, False), points=4, starts=2
    )
    shot = [nockwise.launch(nockwise.Model(each.setup)).exit_speed for each in front]
    answers = [
        nockwise.improve(
            each.setup, "tear_per_quarter_twist", {"rest.center_shot": (-8e-3, 8e-3)}, starts=1
        ).figures_before["tear_per_quarter_twist"]
        for each in front
    ]
    for each, speed, answer in zip(front, shot, answers, strict=True):
        assert each.figures["launch.exit_speed"] == pytest.approx(speed, rel=1e-9)
        assert each.figures["tear_per_quarter_twist"] == pytest.approx(answer, rel=1e-6)
    assert len(front) >= 2
    assert shot == sorted(shot, reverse=True)
    assert answers == sorted(answers, reverse=True)


def test_the_valley_is_read_off_the_draw(larkspur: nockwise.Setup) -> None:
    cycle = nockwise.draw_cycle(nockwise.Model(larkspur))
    width = nockwise.valley_of(larkspur)
    nock = np.asarray(cycle.points["nock_x"])[: cycle.touch_index + 1]
    force = np.asarray(cycle.points["draw_force"])[: cycle.touch_index + 1]
    inside = np.abs(nock - nock[-1]) < width * (1.0 - 1e-9)
    limit = cycle.holding_force + 0.05 * cycle.peak_force
    assert force[inside].max() <= limit + 1e-9
    assert 0.0 < width < 0.1


def test_what_cannot_be_asked_is_named(larkspur: nockwise.Setup) -> None:
    for arguments, words in (
        (("speed", GUARD), "nockwise.objectives"),
        (("tear", {}), "free"),
        (("tear", {"cable_guard.ofset": (0.0, 0.01)}), "cable_guard"),
        (("tear", {"cable_guard.offset": (0.5e-3, 1e-3)}), "must hold what the setup has"),
        (("tear", GUARD, {"tear": (1.0, 0.0)}), "the lower first"),
    ):
        with pytest.raises(nockwise.InputError, match=words):
            nockwise.improve(larkspur, *arguments)
    with pytest.raises(nockwise.InputError, match="gradient or search"):
        nockwise.improve(larkspur, "tear", GUARD, method="guess")
    with pytest.raises(nockwise.InputError, match="free numbers"):
        nockwise.improve(larkspur, "tear", GUARD, steps={"rest.height": "1/16 in"})
