"""Results: views, lifetimes, copies, pickles, texts."""

import copy
import gc
import pathlib
import pickle
from typing import Any

import nockwise
import numpy as np
import pytest

PICKLES = pathlib.Path(__file__).parent / "pickles"


def address(array: Any) -> int:
    found: int = array.__array_interface__["data"][0]
    return found


def test_arrays_are_views_without_copies(shot: nockwise.Launch) -> None:
    assert address(shot.trace.time) == address(shot.trace.time)
    assert address(shot.trace.arrow_y) == address(shot.trace.arrow_y)


@pytest.mark.parametrize("name", ["time", "nock_x", "arrow_y"])
def test_views_are_read_only(shot: nockwise.Launch, name: str) -> None:
    view = getattr(shot.trace, name)
    with pytest.raises(ValueError, match="read-only"):
        view[0] = 1.0
    with pytest.raises(ValueError, match="WRITEABLE"):
        view.flags.writeable = True


def test_rows_are_read_only(cycle: nockwise.DrawCycle) -> None:
    with pytest.raises(ValueError, match="read-only"):
        cycle.points["draw_force"][0] = 1.0


def test_views_outlive_their_owner(model: nockwise.Model) -> None:
    shot = nockwise.launch(model, trace=True)
    expected = shot.trace.nock_x.copy()
    view = shot.trace.nock_x
    upper = shot.trace.cam_angle.upper
    points = nockwise.draw_cycle(model).points
    state = shot.exit
    speed = shot.exit.speed
    del shot
    gc.collect()
    _ = [np.full(expected.size, 7.0) for _ in range(50)]  # would land in freed memory
    assert np.array_equal(view, expected)
    assert np.isfinite(upper).all()
    assert np.isfinite(points["draw_force"]).all()
    assert state.speed == speed


def test_shapes(cycle: nockwise.DrawCycle, shot: nockwise.Launch) -> None:
    samples = shot.trace.time.size
    assert shot.trace.arrow_y.shape == (samples, shot.trace.nodes)
    assert shot.trace.cam_angle.lower.shape == (samples,)
    assert cycle.points["cam_angle"].shape == (cycle.points.size, 2)
    assert cycle.points["nock_x"].dtype == np.float64


def results(model: nockwise.Model, cycle: Any, shot: Any, tear: Any) -> list[Any]:
    impact = nockwise.target_impact(model, shot)
    return [
        cycle,
        shot,
        tear,
        impact,
        model.brace,
        model.arrow,
        shot.rest,
        shot.exit,
        shot.energy_start,
        shot.events[0],
    ]


def test_pickle_and_copy(model: nockwise.Model, cycle: Any, shot: Any, tear: Any) -> None:
    for result in results(model, cycle, shot, tear):
        for again in (pickle.loads(pickle.dumps(result)), copy.copy(result), copy.deepcopy(result)):
            assert again == result
            assert again is not result
        assert result != 1


def test_pickle_has_a_version(tear: nockwise.PaperTear) -> None:
    state = tear.__getstate__()
    assert state["format"] == 2
    other = nockwise.PaperTear.__new__(nockwise.PaperTear)
    with pytest.raises(nockwise.InputError, match="another version"):
        other.__setstate__({**state, "format": 99})
    with pytest.raises(nockwise.InputError, match="must be one of"):
        other.__setstate__({**state, "fields": {"sideways": 1.0}})


@pytest.mark.parametrize("file", sorted(PICKLES.glob("*.pickle")), ids=lambda file: file.stem)
def test_old_pickles_load(file: pathlib.Path) -> None:
    loaded = pickle.loads(file.read_bytes())
    assert isinstance(loaded["tear"], nockwise.PaperTear)
    assert isinstance(loaded["setup"], nockwise.Setup)
    assert loaded["launch"].exit_speed > 20.0


def test_pickles_of_format_1_say_none_as_it_is_said_today(setup: nockwise.Setup) -> None:
    setup["cams.lower.stop.kind"] = "none"
    setup["rest.kind"] = "blade"
    model = nockwise.Model(setup)
    cycle = nockwise.draw_cycle(model)
    shot = nockwise.launch(model, trace=True)
    assert cycle.late_stop_gap is None
    assert np.isnan(cycle.points["stop_gap"][:, 1]).all()
    assert np.isfinite(cycle.points["stop_gap"][:, 0]).all()
    assert shot.late_stop_gap is None
    assert shot.rest.drop_start is None
    assert shot.trace.stop_gap.lower.size == 0
    assert pickle.loads(pickle.dumps(cycle)) == cycle

    def read_again(result: Any, **old: Any) -> Any:
        fields = {**result.__getstate__()["fields"], **old}
        kind: Any = type(result)
        again = kind.__new__(kind)
        again.__setstate__({"format": 1, "fields": fields})
        return again

    points = cycle.points.copy()
    points["stop_gap"][:, 1] = 1.0
    assert read_again(cycle, points=points, late_stop_gap=0.0, cautions=()) == cycle
    assert read_again(shot.rest, drop_start=0.0, drop_end=0.0) == shot.rest
    pair = nockwise.UpperLower(shot.trace.stop_gap.upper, np.ones(shot.trace.time.size))
    assert read_again(shot.trace, stop_gap=pair) == shot.trace
    tear = nockwise.TearObservation(up=0.01)
    assert tear.distance is None
    assert read_again(tear, distance=-1.0) == tear


def test_cautions_have_a_kind_and_words(setup: nockwise.Setup) -> None:
    setup["arrow.linear_density"] = 2e-3
    shot = nockwise.launch(nockwise.Model(setup))
    assert [caution.kind for caution in shot.cautions] == [nockwise.CautionKind.light_arrow]
    assert str(shot.cautions[0]) == shot.cautions[0].words
    assert "5 grains" in shot.cautions[0].words
    old = {**shot.__getstate__()["fields"], "cautions": ("Take care.",), "holding_force": shot.full_draw_force}
    del old["full_draw_force"]
    again = nockwise.Launch.__new__(nockwise.Launch)
    again.__setstate__({"format": 1, "fields": old})
    assert again.cautions[0].words == "Take care."
    assert again.full_draw_force == shot.full_draw_force


def test_model_flight_and_equations_pickle(model: nockwise.Model, shot: nockwise.Launch) -> None:
    again = pickle.loads(pickle.dumps(model))
    assert again.setup == model.setup
    assert nockwise.launch(again).exit_speed == shot.exit_speed
    flight = nockwise.FreeFlight(model, shot, 5.0)
    assert np.array_equal(pickle.loads(pickle.dumps(flight)).points, flight.points)
    equations = nockwise.EquationsOfMotion(model)
    assert np.array_equal(pickle.loads(pickle.dumps(equations)).initial_state, equations.initial_state)


def test_texts(model: nockwise.Model, cycle: Any, shot: Any, tear: Any) -> None:
    for result in [*results(model, cycle, shot, tear), model, model.setup, shot.trace]:
        assert type(result).__name__ in repr(result)
        assert "\n" not in repr(result)
        html = result._repr_html_()
        assert html.startswith("<div")
        assert html.count("<table>") == html.count("</table>")
    assert "lbf" in repr(cycle)


def test_html_escapes_what_a_person_wrote(setup: nockwise.Setup) -> None:
    setup["name"] = "<script>alert(1)</script>"
    assert "<script>" not in setup._repr_html_()


def test_numbers_equal_an_independent_call(model: nockwise.Model, shot: nockwise.Launch) -> None:
    assert nockwise.launch(model).exit == shot.exit


def test_sections_of_a_tear(model: nockwise.Model, shot: nockwise.Launch, tear: nockwise.PaperTear) -> None:
    ends = nockwise.paper_tear(model, shot, sections=2)
    assert (ends.up, ends.right, ends.section.size) == (tear.up, tear.right, 2)
    with pytest.raises(nockwise.InputError, match="sections"):
        nockwise.paper_tear(model, shot, sections=1)


def test_pairs(model: nockwise.Model) -> None:
    upper, lower = model.brace.cam_angle
    assert model.brace.cam_angle.upper == upper
    assert model.brace.cam_angle[1] == lower


def test_flight_at_many_times(model: nockwise.Model, shot: nockwise.Launch) -> None:
    flight = nockwise.FreeFlight(model, shot, 5.0)
    times = flight.points["time"][[0, 3, 5]]
    many = flight.at(times)
    assert many["x"].tolist() == [flight.at(float(time)).x for time in times]


def test_enumerations_are_text(shot: nockwise.Launch) -> None:
    assert shot.ended_by == "arrow_clear"
    assert shot.ended_by is nockwise.LaunchEnd.arrow_clear


def test_no_leak(model: nockwise.Model) -> None:
    def resident() -> int:
        text = pathlib.Path("/proc/self/statm").read_text()
        return int(text.split()[1]) * 4096

    def work() -> None:
        cycle = nockwise.draw_cycle(model, positions=20)
        pickle.loads(pickle.dumps(cycle))
        _ = cycle.points["draw_force"], cycle.cautions, repr(cycle), cycle._repr_html_()
        shot = nockwise.launch(model, trace=True)
        _ = shot.trace.nock_x, shot.trace.cam_angle.upper, shot.events, shot._repr_html_()
        setup = model.setup
        nockwise.sweep(setup, {"arrow.length": [0.72]}, outputs=["launch.exit_speed"], threads=1, progress=False)
        with pytest.raises(nockwise.InputError):
            setup.set("no.such.path", 1.0)
        _ = setup.values(), setup["cams.upper.take_up_track"]

    for _ in range(20):
        work()
    gc.collect()
    before = resident()
    for _ in range(150):
        work()
    gc.collect()
    assert resident() - before < 4_000_000
