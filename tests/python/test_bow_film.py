"""The launch as a film: what is drawn is what the trace says."""

from __future__ import annotations

import pathlib

import nockwise
import numpy as np
import pytest

plot = pytest.importorskip("nockwise.plot")
BOWS = nockwise.demo_names()


@pytest.mark.parametrize("name", BOWS)
def test_lines_meet_where_the_bow_holds_them_together(name: str) -> None:
    from nockwise.plot._bow_film import _Side

    setup = nockwise.demo(name)
    shot = nockwise.launch(nockwise.Model(setup), trace=True)
    side = _Side(setup, shot.trace)
    links = setup["limbs.upper.segments"]
    for i in range(0, shot.trace.time.size, 7):
        lines = side.lines(i)
        for half in ("upper", "lower"):
            limb = lines[f"limb {half}"]
            if links == 1:  # the line from pivot to axle is the limb
                length = setup[f"limbs.{half}.effective_length"]
                assert np.hypot(*(limb[1] - limb[0])) == pytest.approx(length, abs=1e-9)
            string, groove = lines[f"string {half}"], lines[f"string_track {half}"]
            gap = np.min(np.hypot(*(groove - string[0]).T))  # of points that are drawn along the groove
            assert gap < 1e-3
            assert string[1] == pytest.approx([shot.trace.string_x[i], shot.trace.string_y[i]], abs=0.0)
        on_string = shot.trace.time[i] < shot.exit_time
        if on_string:
            assert lines["arrow"][0] == pytest.approx(lines["string upper"][1], abs=1e-9)


def test_a_film_is_written_and_refuses_what_it_cannot_show(tmp_path: pathlib.Path) -> None:
    setup = nockwise.demo("larkspur")
    model = nockwise.Model(setup)
    shot = nockwise.launch(model, trace=True)
    film = plot.bow_film(setup, shot, frames=4)
    film.save(tmp_path / "launch.gif", writer="pillow")
    assert (tmp_path / "launch.gif").read_bytes().startswith(b"GIF8")
    with pytest.raises(nockwise.InputError, match="trace=True"):
        plot.bow_film(setup, nockwise.launch(model))
    with pytest.raises(nockwise.InputError, match="slow"):
        plot.bow_film(setup, shot, slow=0.0)
    with pytest.raises(nockwise.InputError, match="frames"):
        plot.bow_film(setup, shot, frames=1)
