"""Own cams: grooves from CSV, bows fitted to them, cams and layouts side by side, pictures, and their commands."""

import importlib.util
import json
import pathlib
from typing import Any

import matplotlib.pyplot as plt
import nockwise
import numpy as np
import pytest
from nockwise import plot
from nockwise.__main__ import main

from conftest import ROOT, SETUPS

CAMS = ROOT / "examples" / "cams"


@pytest.fixture(autouse=True)
def _close() -> Any:
    yield
    plt.close("all")


@pytest.fixture(scope="module")
def larkspur() -> nockwise.Setup:
    return nockwise.read_setup(SETUPS / "larkspur.toml")


@pytest.fixture(scope="module")
def table(larkspur: nockwise.Setup) -> nockwise.CamTable:
    cams: dict[str, dict[str, Any]] = {"own": {}, "none": {"take_up_track": nockwise.CircleTrack(radius=0.0)}}
    cams |= {file.stem: {"string_track": nockwise.read_groove(file)} for file in sorted(CAMS.glob("*.csv"))}
    return nockwise.compare_cams(larkspur, cams, brace_by="move_pockets", threads=1)


def test_files_are_those_that_the_example_writes(tmp_path: pathlib.Path) -> None:
    spec = importlib.util.spec_from_file_location("cams", ROOT / "examples" / "cams.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    made.main(tmp_path)
    files = sorted(tmp_path.glob("*.csv"))
    assert [file.name for file in files] == [file.name for file in sorted(CAMS.glob("*.csv"))]
    for file in files:
        assert file.read_text() == (CAMS / file.name).read_text()


def test_grooves() -> None:
    groove = nockwise.read_groove(CAMS / "ash.csv")
    fit = nockwise.fit_groove(groove)
    assert fit.scatter == pytest.approx(2e-5, rel=0.2)  # what the file's points are scattered by
    assert fit.points_in_hollows == 0
    track = nockwise.CompiledTrack(nockwise.spline_from_groove(groove))
    normals = np.linspace(-6.0, 6.0, 50)
    distance = track.evaluate(normals)["distance"]
    assert np.abs(distance - (0.051 + 0.016 * np.cos(normals))).max() < 3e-5
    assert nockwise.spline_from_groove(groove) == fit.spline
    part = nockwise.spline_from_groove(groove, first_angle=-1.0, last_angle=2.0)
    assert part.distance.size < 130
    assert nockwise.parse_groove("1,2\n3,4", unit="mm").points == pytest.approx(np.array([[1e-3, 2e-3], [3e-3, 4e-3]]))
    with pytest.raises(nockwise.InputError, match=r"cam\.csv:2:5") as caught:
        nockwise.parse_groove("x [mm], y [mm]\n12, a", "cam.csv")
    assert caught.value.column == 5


def test_fit_to_cam(larkspur: nockwise.Setup) -> None:
    before = nockwise.draw_cycle(nockwise.Model(larkspur), hold="draw_board")
    cam = {"string_track": nockwise.read_groove(CAMS / "ash.csv")}
    with pytest.raises(nockwise.InputError, match="from here") as caught:
        nockwise.fit_to_cam(larkspur, cam, brace_height=0.25)
    assert caught.value.path == "brace_height"
    fit = nockwise.fit_to_cam(larkspur, cam, brace_by="move_pockets", peak_force=280.0)
    after = nockwise.draw_cycle(nockwise.Model(fit.setup), hold="draw_board")
    assert after.brace_height == pytest.approx(before.brace_height, abs=1e-5)
    assert after.draw_length == pytest.approx(before.draw_length, abs=1e-5)
    assert after.peak_force == pytest.approx(280.0, rel=3e-4)
    assert all(check.met for check in fit.checks)
    assert {"limbs.upper.pivot_x", "string.length"} <= {moved.path for moved in fit.moved}
    with pytest.raises(nockwise.InputError, match="must be string_track, take_up_track or let_out_track"):
        nockwise.fit_to_cam(larkspur, {"track": nockwise.CircleTrack()})
    with pytest.raises(nockwise.InputError, match="turn_cams"):
        nockwise.fit_to_cam(larkspur, {}, brace_by="magic")  # type: ignore[call-overload]
    same = nockwise.fit_to_cam(larkspur, {}, {})
    assert same.brace_cam_angle.upper == pytest.approx(0.0, abs=1e-6)
    assert abs(nockwise.signed_nock_travel(after)) <= after.static_nock_travel


def test_compare_cams(table: nockwise.CamTable) -> None:
    assert [row.name for row in table.rows] == ["own", "none", "ash", "elm", "rowan"]
    assert table.rows[1].failure
    good = [row for row in table.rows if not row.failure]
    assert len(good) >= 3
    assert len({round(row.draw_length, 5) for row in good}) == 1
    assert len({round(row.peak_force, 1) for row in good}) == len(good)
    data = nockwise.cam_dataset(table)
    assert list(data.cam.values) == [row.name for row in table.rows]
    assert np.isnan(data.peak_force[1])
    assert float(data.peak_force[0]) == table.rows[0].peak_force
    assert float(data.quarter_stop_gap[0]) == table.rows[0].chain.stop_gap
    assert data.peak_force.attrs["units"] == "N"
    assert float(data.curve_force[0].max()) == pytest.approx(table.rows[0].peak_force, rel=2e-3)
    again = nockwise.compare_bows([table.rows[0].setup], threads=1).rows[0]
    assert again.name == "Larkspur 33"
    assert (again.peak_force, again.chain) == (table.rows[0].peak_force, table.rows[0].chain)


def test_nock_travel_has_a_sign_in_sweeps() -> None:
    bow = nockwise.read_setup(SETUPS / "withy.toml")
    names = ["nock_travel", "stop_gap", "draw_cycle.static_nock_travel"]
    data = nockwise.sweep(bow, {"cables.upper.twists": [-0.5, 0.0, 0.5]}, outputs=names, progress=False)
    travel = data["nock_travel"].values
    assert np.all(np.diff(travel) < 0.0)  # a shorter upper cable makes its cam late, and the nock run low
    assert np.all(np.diff(data["stop_gap"].values) > 0.0)
    assert np.all(np.abs(travel) <= data["draw_cycle.static_nock_travel"].values)


def test_pictures(larkspur: nockwise.Setup, table: nockwise.CamTable, tmp_path: pathlib.Path) -> None:
    alder = nockwise.read_setup(SETUPS / "alder.toml")
    cycle = nockwise.draw_cycle(nockwise.Model(alder))
    grooves, arms, gap = plot.cam(alder, cycle, half="lower")
    assert len(arms.lines) == 4
    assert gap.get_ylabel() == "stop gap [mm]"
    assert gap.get_title(loc="left").endswith("and the limb")
    assert len(grooves.patches) == 1  # the peg
    assert "other cable, let out" in [line.get_label() for line in arms.lines]
    for units in ("si", "workshop"):
        plot.cam(larkspur, units=units)
        ax = plot.bow(larkspur, draw_length=0.6, units=units)
        plt.gcf().savefig(tmp_path / f"{units}.png", dpi=50)
        assert ax.get_title(loc="left").endswith("of draw")
    with pytest.raises(nockwise.InputError, match="at the wall"):
        plot.bow(larkspur, draw_length=0.9)
    with pytest.raises(nockwise.InputError, match="upper or lower"):
        plot.cam(larkspur, half="left")
    ax = plot.cam_curves(table)
    assert len(ax.lines) == sum(not row.failure for row in table.rows)
    bars = plot.sync_chain(table)
    assert len(bars) == 5
    gaps = [f"{1e3 * row.chain.stop_gap:+.2f}" for row in table.rows if not row.failure]
    assert [text.get_text() for text in bars[2].texts] == gaps
    assert repr(table) == "<CamTable of 5 bows>"
    many = nockwise.compare_bows([larkspur] * 9, threads=1)
    with pytest.raises(nockwise.InputError, match="at most 8"):
        plot.cam_curves(many)


def test_lever_arms_are_virtual_work(larkspur: nockwise.Setup) -> None:
    """Balance of a yoked cam: the string's tension times its lever is the cable's times its own."""
    cycle = nockwise.draw_cycle(nockwise.Model(larkspur))
    _, arms, _ = plot.cam(larkspur, cycle, units="si")
    upto = cycle.touch_index + 1
    string, cable = (np.asarray(line.get_ydata(), float) for line in arms.lines[:2])
    turning = string * cycle.points["string_tension"][:upto, 0]
    held = cable * cycle.points["cable_tension"][:upto, 0]
    assert np.abs(turning - held).max() < 0.01 * np.abs(turning).max()


def test_commands(tmp_path: pathlib.Path, capsys: Any) -> None:
    out = tmp_path / "ash.toml"
    words = ["fit-cam", str(SETUPS / "larkspur.toml"), "--string-track", str(CAMS / "ash.csv"), "--move-pockets"]
    assert main([*words, "--out", str(out), "--plot", str(tmp_path / "cam.png")]) == 0
    text = capsys.readouterr().out
    assert "180 points" in text
    assert "NOT MET" not in text
    assert nockwise.read_setup(out)["cams.upper.string_track"] == nockwise.read_groove(CAMS / "ash.csv")
    assert main([*words, "--out", str(out)]) == 2
    assert main([*words, "--json"]) == 0
    capsys.readouterr()
    assert main(["compare", str(SETUPS / "larkspur.toml"), str(out)]) == 0
    capsys.readouterr()
    assert main(["layouts", str(SETUPS / "larkspur-measured.toml"), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["table"]["rows"]
    assert [row["name"] for row in rows] == ["yoke", "hybrid", "crossed"]
    strings = [str(CAMS / "ash.csv"), str(CAMS / "rowan.csv")]
    assert main(["cams", str(SETUPS / "larkspur.toml"), "--move-pockets", "--string", *strings]) == 0
    text = capsys.readouterr().out
    assert "rowan" in text
    assert "a quarter of a twist" in text
