"""Plots: each draws, into given axes too, in both unit systems; bad input has one clear error."""

from typing import Any

import matplotlib.pyplot as plt
import nockwise
import numpy as np
import pytest
from nockwise import plot


@pytest.fixture(autouse=True)
def _close() -> Any:
    yield
    plt.close("all")


@pytest.mark.parametrize("units", ["si", "workshop"])
def test_every_plot(model: nockwise.Model, cycle: Any, shot: Any, tear: Any, units: Any, tmp_path: Any) -> None:
    made: list[Any] = [
        plot.draw_curve(cycle, units=units),
        plot.cam_sync(cycle, units=units)[0],
        plot.nock_path(shot, cycle=cycle, units=units)[0],
        plot.launch_strip(shot, units=units)[0],
        plot.arrow_shapes(shot, units=units)[0],
        plot.clearance(model, shot, units=units),
        plot.paper(tear, units=units),
    ]
    for index, ax in enumerate(made):
        file = tmp_path / f"{index}.png"
        ax.figure.savefig(file, dpi=60)
        assert file.stat().st_size > 2000
    assert ("N]" in made[0].get_ylabel()) == (units == "si")


def test_axes_in_and_out(cycle: nockwise.DrawCycle, shot: nockwise.Launch) -> None:
    _, ax = plt.subplots()
    assert plot.draw_curve(cycle, ax=ax) is ax
    plot.draw_curve(cycle, ax=ax, label="again")
    _, axes = plt.subplots(2)
    assert plot.nock_path(shot, axes=axes) == list(axes)
    with pytest.raises(nockwise.InputError, match="4 axes"):
        plot.launch_strip(shot, axes=axes)


def test_tear_map(setup: nockwise.Setup) -> None:
    values: dict[str, Any] = {"string.nocking_point": ["-2 mm", "0 mm", "2 mm"], "rest.center_shot": ["-1 mm", "1 mm"]}
    outputs = ["paper_tear.up", "paper_tear.right"]
    data = nockwise.sweep(setup, values, outputs=outputs, progress=False)
    ax = plot.tear_map(data, "string.nocking_point", "rest.center_shot")
    assert ax.get_xlabel().startswith("string.nocking_point [")
    data["paper_tear.up"][0, 0] = np.nan
    plot.tear_map(data, "rest.center_shot", "string.nocking_point", units="si")
    with pytest.raises(nockwise.InputError, match="must have the output"):
        plot.tear_map(data[["paper_tear.up"]], "string.nocking_point", "rest.center_shot")
    with pytest.raises(nockwise.InputError, match="just the dimensions"):
        plot.tear_map(data, "string.nocking_point", "arrow.length")


def test_bad_input(model: nockwise.Model, cycle: Any) -> None:
    with pytest.raises(nockwise.InputError, match="trace=True"):
        plot.launch_strip(nockwise.launch(model))
    with pytest.raises(nockwise.InputError, match="si or workshop"):
        plot.draw_curve(cycle, units="imperial")  # type: ignore[arg-type]
