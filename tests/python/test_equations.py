"""The exported right-hand side, integrated by SciPy, meets the library's own trajectory."""

import nockwise
import numpy as np
import pytest
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]


def test_scipy_meets_the_trajectory(model: nockwise.Model) -> None:
    shot = nockwise.launch(model, integrator="dormand_prince", tolerance=1e-10, trace=True)
    equations = nockwise.EquationsOfMotion(model)
    # Up to just before the first event, so that both integrate the same smooth right-hand side.
    end = min(0.004, 0.99 * shot.events[0].time)
    times = shot.trace.time[shot.trace.time <= end]
    solved = solve_ivp(
        lambda _, y: equations.derivative(y),
        (0.0, float(times[-1])),
        equations.initial_state,
        method="DOP853",
        t_eval=times,
        rtol=1e-9,
        atol=1e-10,
    )
    assert solved.success
    energy = [equations.energy(y).total for y in solved.y.T]
    assert energy[0] == pytest.approx(shot.energy_start.total, rel=1e-9)
    assert np.all(np.diff(energy) < 1e-6)
    nock = equations.names.index("string.x") if "string.x" in equations.names else None
    assert nock is not None, equations.names
    assert np.abs(solved.y[nock] - shot.trace.nock_x[: times.size]).max() < 1e-6


def test_names_and_shapes(model: nockwise.Model) -> None:
    equations = nockwise.EquationsOfMotion(model)
    state = equations.initial_state
    assert state.shape == (equations.size,)
    assert len(equations.names) == equations.size
    half = equations.size // 2
    assert equations.names[half] == f"d/dt {equations.names[0]}"
    assert not state[half:].any()
    assert np.array_equal(equations.derivative(state)[:half], state[half:])
    assert equations.separation(state) > 0.0
    state[0] = 1.0
    assert equations.initial_state[0] != 1.0


def test_jacobian_meets_differences(model: nockwise.Model) -> None:
    equations = nockwise.EquationsOfMotion(model)
    half = equations.size // 2
    # Two milliseconds on, everything moves.
    state = solve_ivp(
        lambda _, y: equations.derivative(y),
        (0.0, 0.002),
        equations.initial_state,
        method="DOP853",
        rtol=1e-8,
        atol=1e-10,
    ).y[:, -1]
    jacobian = equations.jacobian(state)
    assert jacobian.shape == (equations.size, equations.size)
    assert np.array_equal(jacobian[:half, half:], np.eye(half))
    assert not jacobian[:half, :half].any()
    # Along the flow, J f is the rate of f: all columns at once, weighted by how fast each state moves.
    flow = equations.derivative(state)
    step = 1e-7
    ahead = [equations.derivative(state + k * step * flow) for k in (-2, -1, 1, 2)]
    slope = (8.0 * (ahead[2] - ahead[1]) - (ahead[3] - ahead[0])) / (12.0 * step)
    size = np.abs(jacobian) @ np.abs(flow)
    assert np.all(np.abs(jacobian @ flow - slope) <= 1e-6 * size + 1e-6)
    assert not np.array_equal(equations.jacobian(state, attached=False), jacobian)


def test_bad_states(model: nockwise.Model) -> None:
    equations = nockwise.EquationsOfMotion(model)
    state = equations.initial_state
    for wrong in (state[:-1], state.reshape(2, -1), ["a"] * equations.size, np.full_like(state, np.nan)):
        with pytest.raises(nockwise.InputError):
            equations.derivative(wrong)
        with pytest.raises(nockwise.InputError):
            equations.jacobian(wrong)
