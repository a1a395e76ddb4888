"""A check of the oracle itself: closed forms, conservation laws, symmetries, gradients, stored results.

Run: python check_oracle.py, or python -m pytest check_oracle.py
"""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import casadi as ca
import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from bow import HERE, Bow, parameters_hash, read_bow
from hinged_bow import HALF_STRING, TABLE, constrained_acceleration, hinged_model, launch_to_brace, stand
from lagrange_model import BETA_L, BETA_U, NOCK_X, NOCK_Y, THETA_L, THETA_U, Model, Vector, wrapped_length
from lagrange_oracle import acceleration, launch
from lagrange_statics import Draw

# Support function of an eccentric circle, worked out twice (differential geometry): R = 40 mm, e = 15 mm, fixed point
# 600 mm away, upper tangent
ECCENTRIC_CIRCLE = {
    0: (0.583630876, 86.079281, 0.041025641),
    30: (0.585693216, 85.361037, 0.048526051),
    90: (0.598853070, 84.746546, 0.054936991),
    180: (0.613697808, 86.270813, 0.039024390),
}


def swap_halves(q: Vector) -> Vector:
    """The mirror image (x, -y) of a coordinate vector."""
    out = q[[0, 1, 2, BETA_L, BETA_U, THETA_L, THETA_U, NOCK_X, NOCK_Y]].copy()
    out[[1, 2, NOCK_Y]] *= -1.0
    return out


def drawn(bow: Bow) -> tuple[Model, Vector]:
    """Model and its full draw."""
    model = Model(bow)
    draw = Draw(model)
    return model, draw.at(draw.first_touch() - bow.wall_pull).q


def random_state(seed: int) -> tuple[Model, Vector, Vector]:
    """A bow half drawn, shaken out of equilibrium, everything moving."""
    model = Model(read_bow("unlike"))
    rng = np.random.default_rng(seed)
    q = Draw(model).at(-0.45).q + rng.normal(size=9) * 2e-3
    return model, q, rng.normal(size=9) * np.array([1, 1, 3, 10, 10, 80, 80, 60, 5])


@pytest.mark.parametrize("degrees", ECCENTRIC_CIRCLE)
def test_line_round_eccentric_circle(degrees: int) -> None:
    """Free length, contact and lever arm of the published table (its x axis is our straight down)."""
    turn = ca.SX.sym("turn")
    centre = 0.015 * ca.vertcat(ca.cos(turn - np.pi / 2), ca.sin(turn - np.pi / 2))
    length, contact = wrapped_length(centre, 0.040, ca.DM([0.0, -0.6]), turn, 0.0, 1)
    normal = contact + turn
    free = length + 0.040 * contact
    value = ca.Function("f", [turn], [free, normal + np.pi / 2, ca.jacobian(length, turn)])(np.radians(degrees))
    expected = ECCENTRIC_CIRCLE[degrees]
    assert float(value[0]) == pytest.approx(expected[0], abs=1e-9)
    assert np.degrees(float(value[1])) == pytest.approx(expected[1], abs=1e-6)
    assert float(value[2]) == pytest.approx(expected[2], abs=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_gradient_by_differences(seed: int) -> None:
    """The differentiated energy agrees with central differences."""
    model, q, _ = random_state(seed)
    step = 1e-6
    for i in range(9):
        e = np.eye(9)[i] * step
        slope = (model.energy(q + e) - model.energy(q - e)) / (2 * step)
        assert model.gradient(q)[i] == pytest.approx(slope, rel=1e-6, abs=1e-4)


@pytest.mark.parametrize("seed", range(3))
def test_power_balance(seed: int) -> None:
    """The total energy does not change along the accelerations, in any state of motion: tests the velocity terms."""
    model, q, qd = random_state(seed)
    preload = np.array([30.0, -20.0, 4.0])
    qdd = acceleration(model, np.concatenate([q, qd]), preload)
    step = 1e-7
    after, before = (sum(model.energies(q + s * qd + 0.5 * s**2 * qdd, qd + s * qdd, preload)) for s in (step, -step))
    kinetic = model.energies(q, qd, preload)[0]
    assert abs(after - before) / (2 * step) < 1e-6 * kinetic / 1e-3  # against a change within a millisecond


def test_mass_matrix() -> None:
    """Entries that can be read off: wheel about its axle, lump on the limb, all of the bow's mass, string with arrow."""
    model, q, _ = random_state(0)
    bow = model.bow
    mass, _ = model.mass_and_force(q, np.zeros(9), np.zeros(3))
    lumps = [half.limb_mass + half.cam_mass for half in (bow.upper, bow.lower)]
    assert mass[THETA_U, THETA_U] == pytest.approx(bow.upper.cam_inertia, rel=1e-12)
    assert mass[BETA_L, BETA_L] == pytest.approx(lumps[1] * bow.lower.limb_length**2, rel=1e-12)
    assert mass[0, 0] == pytest.approx(bow.riser_mass + sum(lumps), rel=1e-12)
    assert mass[NOCK_X, NOCK_X] == pytest.approx(bow.string_mass + bow.arrow_mass, rel=1e-12)


@pytest.mark.parametrize("variant", ["symmetric", "sync_error", "unlike"])
def test_lever_arms(variant: str) -> None:
    """dV/dtheta is the tensions times the tracks' support functions (lib/README.md, "Tracks")."""
    model = Model(read_bow(variant))
    draw = Draw(model)
    for x in (-0.25, -0.45, -0.65):
        q = draw.at(x).q + 1e-3
        _, tension, contact, _ = model.lines(q)
        for i, half in enumerate((model.bow.upper, model.bow.lower)):
            string_arm = half.string_radius + half.string_offset * np.cos(contact[i] - half.string_offset_angle)
            cable_arm = half.cable_radius + half.cable_offset * np.cos(contact[2 + i] - half.cable_offset_angle)
            moment = tension[2 + i] * cable_arm - tension[i] * string_arm
            assert model.gradient(q)[THETA_U + i] == pytest.approx(moment, abs=1e-9)


@pytest.mark.parametrize("variant", ["symmetric", "sync_error", "unlike"])
def test_work_is_energy(variant: str) -> None:
    """The work of the archer, by quadrature along the draw, is the energy stored (the nock also moves in y)."""
    model = Model(read_bow(variant))
    draw = Draw(model)
    start, end = float(draw.brace[NOCK_X]), -0.68

    def power(x: float) -> float:
        held = draw.at(x)
        slope = (draw.at(x + 1e-5).q[NOCK_Y] - draw.at(x - 1e-5).q[NOCK_Y]) / 2e-5
        return held.force_x + held.force_y * float(slope)

    inset = 2e-5
    draw.at(end - inset)
    work = quad(power, start - inset, end, epsabs=1e-7, limit=60)[0]
    stored = model.energy(draw.at(end).q) - model.energy(draw.at(start - inset).q)
    assert work == pytest.approx(stored, abs=2e-6)


def test_momentum_without_hand() -> None:
    """A bow thrown about with nobody holding it keeps its linear and angular momentum."""
    bow = replace(read_bow("unlike"), hand_stiffness_x=0.0, hand_stiffness_y=0.0, hand_stiffness_pitch=0.0)
    model, q = drawn(bow)
    qd = np.array([0.3, -0.2, 1.5, 0.0, 0.0, 2.0, -3.0, 0.1, 0.4])
    none = np.zeros(3)

    def momenta(state: Vector) -> Vector:
        mass, _ = model.mass_and_force(state[:9], state[9:], none)
        p = mass @ state[9:]
        spin = p[2] + state[0] * p[1] - state[1] * p[0] + state[NOCK_X] * p[NOCK_Y] - state[NOCK_Y] * p[NOCK_X]
        return np.array([p[0] + p[NOCK_X], p[1] + p[NOCK_Y], spin])

    def slope(_: float, s: Vector) -> Vector:
        return np.concatenate([s[9:], acceleration(model, s, none)])

    start = np.concatenate([q, qd])
    flight = solve_ivp(slope, (0.0, 0.015), start, method="DOP853", rtol=1e-10, atol=1e-12)
    drift = np.array([momenta(s) - momenta(start) for s in flight.y.T[::20]])
    assert flight.y[NOCK_X, -1] > q[NOCK_X] + 0.15  # it did launch
    assert np.max(np.abs(drift)) < 1e-7


def test_free_limb_is_a_pendulum() -> None:
    """Without lines, riser immovable: beta swings as a cosine with omega^2 = k / (m l^2), and the wheel does not turn."""
    half = replace(read_bow("symmetric").upper, string_ea=1e-9, string_length=9.0, cable_ea=1e-9, cable_length=9.0)
    half = replace(half, stop_angle=1e3)
    model = Model(replace(read_bow("symmetric"), upper=half, lower=half, riser_mass=1e9, riser_inertia=1e9))
    omega = np.sqrt(half.limb_stiffness / ((half.limb_mass + half.cam_mass) * half.limb_length**2))
    q = np.zeros(9)
    q[[BETA_U, BETA_L, NOCK_X]] = half.limb_free_angle + 0.3, half.limb_free_angle, -0.3
    none = np.zeros(3)
    swing = solve_ivp(
        lambda _, s: np.concatenate([s[9:], acceleration(model, s, none)]),
        (0.0, 0.1),
        np.concatenate([q, np.zeros(9)]),
        method="DOP853",
        rtol=1e-11,
        atol=1e-13,
    )
    assert swing.y[BETA_U, -1] == pytest.approx(half.limb_free_angle + 0.3 * np.cos(omega * 0.1), abs=1e-7)
    assert abs(swing.y[THETA_U, -1]) < 1e-7


def test_mirror() -> None:
    """A bow turned upside down shoots the mirror image; a symmetric one with a symmetric riser shoots level."""
    bow = read_bow("unlike")
    model, q = drawn(bow)
    other, p = drawn(replace(bow, upper=bow.lower, lower=bow.upper, riser_cm_y=-bow.riser_cm_y))
    assert np.max(np.abs(swap_halves(q) - p)) < 1e-9
    a, b = launch(model, q, 3), launch(other, p, 3)
    assert a.exit_time == pytest.approx(b.exit_time, abs=1e-11)
    assert np.max(np.abs(swap_halves(a.exit_state[9:]) - b.exit_state[9:])) < 1e-8
    level = launch(*drawn(replace(read_bow("symmetric"), riser_cm_y=0.0)), 3)
    assert abs(level.exit_state[9 + NOCK_Y]) < 1e-9


def test_hinged_bow_statics() -> None:
    """The ideal bow of hinged_bow.py: tips instead of wheels, a string a million times stiffer than life."""
    model = hinged_model(string_ea=1e10, limb_inertia=0.003)
    brace = stand(model, 0.18)
    start_energy = model.energy(brace) - 0.5 * (1e10 / HALF_STRING) * sum((model.lines(brace)[0][:2] - HALF_STRING) ** 2)
    assert np.degrees(brace[BETA_U]) == pytest.approx(23.57817848, abs=1e-3)
    assert model.lines(brace)[1][0] == pytest.approx(274.344564, rel=1e-5)
    for x, theta, force, tension, energy in TABLE:
        q = stand(model, x)
        assert q[BETA_U] == pytest.approx(theta, abs=2e-6)
        assert -model.gradient(q)[NOCK_X] == pytest.approx(force, rel=2e-5)
        assert model.lines(q)[1][0] == pytest.approx(tension, rel=2e-5)
        assert model.energy(q) - start_energy == pytest.approx(energy, abs=1e-4)


def test_hinged_bow_launch() -> None:
    """The ideal bow of hinged_bow.py: efficiency one; initial acceleration with and without limb inertia; time to brace."""
    for inertia, expected in ((0.0, 10067.31), (0.003, 7184.78)):
        assert constrained_acceleration(hinged_model(1e10, inertia)) == pytest.approx(expected, abs=0.02)
    errors = []
    for ea in (1e7, 1e8):
        time, speed = launch_to_brace(hinged_model(ea, 0.003))
        errors.append((abs(time - 0.0121461), abs(speed / 68.4818236 - 1.0)))
    assert errors[1][0] < 1e-7
    assert errors[1][1] < 5e-5
    assert errors[1][1] == pytest.approx(0.1 * errors[0][1], rel=0.2)  # tends to the inextensible limit as 1 / EA
    light, lighter = (launch_to_brace(hinged_model(1e7, inertia))[0] for inertia in (3e-4, 1e-4))
    assert 1.5 * lighter - 0.5 * light == pytest.approx(0.0108711, abs=2e-6)  # extrapolated to massless limbs


def test_stored_results() -> None:
    """The JSON files belong to the parameters, conserve energy, and agree with each other and with a fresh run."""
    lagrange: dict[str, Any] = json.loads((HERE / "lagrange.json").read_text())
    engine: dict[str, Any] = json.loads((HERE / "mujoco.json").read_text())
    assert lagrange["parameters_sha256"] == engine["parameters_sha256"] == parameters_hash()
    for name, record in lagrange["variants"].items():
        assert record["launch"]["energy_balance_error_relative"] < 1e-10
        assert max(row["residual"] for row in record["draw_curve"]) < 1e-6
        assert engine["variants"][name]["within_limits"]
    fresh = launch(*drawn(read_bow("sync_error")), 3)
    stored = lagrange["variants"]["sync_error"]["launch"]
    assert fresh.exit_state[9 + NOCK_X] == pytest.approx(stored["exit_velocity_x"], rel=1e-8)
    assert fresh.exit_state[9 + NOCK_Y] == pytest.approx(stored["exit_velocity_y"], rel=1e-4)


if __name__ == "__main__":
    raise SystemExit(pytest.main(["-q", "-p", "no:cacheprovider", __file__]))
