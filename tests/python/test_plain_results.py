"""Results as dictionaries and tables, and sweeps that are launched again from what was saved of them."""

import pathlib
from typing import Any

import nockwise
import numpy as np
import pytest
import xarray

pandas: Any = pytest.importorskip("pandas")


def test_a_draw_is_a_table(cycle: nockwise.DrawCycle) -> None:
    table = pandas.DataFrame(nockwise.columns(cycle.points))
    assert len(table) == len(cycle.points)
    np.testing.assert_array_equal(table["draw_force"], cycle.points["draw_force"])
    np.testing.assert_array_equal(table["cam_angle.upper"], cycle.points["cam_angle"][:, 0])
    np.testing.assert_array_equal(table["cam_angle.lower"], cycle.points["cam_angle"][:, 1])
    with pytest.raises(nockwise.InputError, match="structured array"):
        nockwise.columns(np.zeros(3))  # type: ignore[arg-type]


def test_asdict_has_all_fields(shot: nockwise.Launch, setup: nockwise.Setup) -> None:
    found = nockwise.asdict(shot)
    assert found["exit_speed"] == shot.exit_speed
    assert found["events"][0] == nockwise.asdict(shot.events[0])
    assert found["trace"]["cam_angle"]["upper"] is not None
    np.testing.assert_array_equal(found["trace"]["cam_angle"]["upper"], shot.trace.cam_angle.upper)
    assert found["rest"]["shaft_clearance"] == shot.rest.shaft_clearance
    assert nockwise.asdict(setup) == setup.values()
    for wrong in (3.0, "a text", {"up": 1.0}, [shot]):
        with pytest.raises(nockwise.InputError, match="must be a result"):
            nockwise.asdict(wrong)


OUTPUTS = ["paper_tear.up", "launch.ended_by"]
TABLE = [{"cables.upper.twists": twists, "rest.kind": kind} for twists, kind in ((0.1, "blade"), (-0.3, "limb_driven"))]


@pytest.mark.parametrize(
    "values",
    [{"cables.upper.twists": [0.1, -0.3], "rest.kind": ["blade", "limb_driven"]}, TABLE],
    ids=["grid", "table"],
)
def test_a_saved_sweep_is_launched_again(setup: nockwise.Setup, values: Any, tmp_path: pathlib.Path) -> None:
    setup["arrow.length"] = 0.7123456789012345
    data = nockwise.sweep(setup, values, outputs=OUTPUTS, step=2e-4, hold="draw_board", progress=False)
    assert data.attrs["Conventions"].startswith("CF-")
    data.to_netcdf(tmp_path / "sweep.nc", engine="scipy")
    with xarray.open_dataset(tmp_path / "sweep.nc", engine="scipy") as saved:
        again = nockwise.repeat_sweep(saved, threads=1, progress=False)
        part = nockwise.repeat_sweep(saved, outputs=OUTPUTS[:1], step=1e-4, progress=False)
    xarray.testing.assert_identical(again, data)
    assert part.attrs["option_step"] == 1e-4
    assert part.attrs["option_hold"] == "draw_board"
    assert "launch.ended_by" not in part


def test_variables_have_units(setup: nockwise.Setup) -> None:
    outputs = list(nockwise.sweep_outputs())
    data = nockwise.sweep(setup, {"arrow.length": ["28 in"]}, outputs=outputs, progress=False)
    for name in [*outputs, "arrow.length"]:
        assert data[name].attrs["units"], name
        assert data[name].attrs["long_name"], name


def test_a_part_of_a_sweep_is_no_sweep(setup: nockwise.Setup) -> None:
    data = nockwise.sweep(setup, {"arrow.length": [0.71, 0.72]}, outputs=["paper_tear.up"], progress=False)
    with pytest.raises(nockwise.InputError, match="must be a Dataset of sweep"):
        nockwise.repeat_sweep(data.drop_attrs())
    with pytest.raises(nockwise.InputError, match=r"arrow\.length.*as a coordinate"):
        nockwise.repeat_sweep(data.drop_vars("arrow.length"))
