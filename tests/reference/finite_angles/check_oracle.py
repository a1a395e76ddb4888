"""A check of the oracle itself: closed forms, invariances, conservation, the planar oracle, convergence, stored results.

Run: python -m pytest -q check_oracle.py
"""

from __future__ import annotations

import copy
import json
from functools import lru_cache
from typing import Any

import casadi as ca
import numpy as np
import pytest
from scipy.optimize import minimize

from bow import HERE, INCH, STANDARD_PULL, read_setup, yoke_triangle
from cases import yoke
from energies import Geometry, Statics, lines_of, places_of, rot_x, rot_y, rot_z
from flight import paper
from shot import Launcher, Motion, launch
from statics import Walker, bow_statics, detours, full_draw, reference_lengths

WHEELWRIGHT = HERE.parent / "wheelwright"


@lru_cache
def bow(name: str, legs: bool = False) -> tuple[dict[str, Any], Geometry, Launcher, np.ndarray, Walker]:
    """A demo bow, compiled."""
    setup = read_setup(name)
    geometry = Geometry(setup, legs_only_pull=legs)
    natural, walker = reference_lengths(geometry, setup)
    return setup, geometry, Launcher(geometry, setup), natural, walker


def shoot(
    name: str, changes: dict[str, float], setup: dict[str, Any] | None = None, *, legs: bool = False, **options: Any
) -> dict[str, Any]:
    """A changed demo bow (or `setup` in its stead), drawn, launched and through the paper."""
    _, geometry, launcher, natural, reference = bow(name, legs)
    changed = setup or read_setup(name, changes)
    walker = bow_statics(geometry, changed, natural)
    brace = walker.brace(reference.states[0])
    drawn = full_draw(walker, changed["hold"]["wall_pull"], changed["hold"]["grip_torque"])
    drawn["brace"] = brace
    shot = launch(launcher, changed, walker, drawn, **options)
    shot["drawn"], shot["walker"] = drawn, walker
    shot["tear"] = paper(changed, launcher.shaft, launcher.held.d.index, shot["free"])
    return shot


MIXED = {"cable_guard.offset": 0.036, "cams.upper.shim": 0.002, "cams.lower.shim": -0.001, "rest.center_shot": 0.0015}
MIXED_YOKES = {**MIXED, **yoke("upper", 0.5), **yoke("lower", 1.5), "hold.grip_torque": 0.3}


@pytest.mark.parametrize(
    ("name", "changes", "legs"), [("larkspur", MIXED_YOKES, False), ("larkspur", MIXED_YOKES, True), ("alder", MIXED, False)]
)
def test_energy_without_damping(name: str, changes: dict[str, float], legs: bool) -> None:
    """Nothing is lost where nothing dissipates, in both planes together; with legs that go slack neither."""
    shot = shoot(name, changes, legs=legs, undamped=True, watch_energy=True, tolerance=1e-11, longest=1e-5)
    stored = shot["drawn"]["full"].info["energy"] - shot["drawn"]["brace"].info["energy"]
    held = np.array([e for t, e in shot["energies"] if t <= shot["exit_time"]])
    freed = np.array([e for t, e in shot["energies"] if t > shot["exit_time"]])
    assert np.max(np.abs(held - shot["start_energy"])) < 1e-8 * stored
    assert np.ptp(freed) < 1e-8 * stored  # the string alone, the arrow with the rest
    assert abs(freed[0] - held[-1]) < 1e-8 * stored


@pytest.mark.parametrize(("name", "changes"), [("larkspur", MIXED_YOKES), ("alder", MIXED)])
def test_mirror(name: str, changes: dict[str, float]) -> None:
    """The bow for the other hand shoots the mirror image."""
    setup = read_setup(name, changes)
    other = copy.deepcopy(setup)
    for half in ("upper", "lower"):
        for key in ("shim", "string_track_offset", "take_up_offset", "let_out_offset"):
            other["cams"][half][key] *= -1
        legs = other["cables"][half]["yoke"]
        legs["left_twists"], legs["right_twists"] = legs["right_twists"], legs["left_twists"]
    for part, key in (("cable_guard", "offset"), ("cable_guard", "spacing"), ("rest", "center_shot"), ("hold", "grip_torque")):
        other[part][key] *= -1
    a, b = (shoot(name, {}, s, tolerance=1e-11, longest=1e-5) for s in (setup, other))
    assert a["tear"]["up"] == pytest.approx(b["tear"]["up"], abs=1e-9)
    assert a["tear"]["right"] == pytest.approx(-b["tear"]["right"], abs=1e-9)
    n = len(a["exit"]) // 2
    assert a["exit"][n + 12] == pytest.approx(b["exit"][n + 12], rel=1e-9)
    assert np.max(np.abs(a["drawn"]["full"].v[[4, 5, 8]] + b["drawn"]["full"].v[[4, 5, 8]])) < 1e-9


def euler(turn: np.ndarray) -> np.ndarray:
    """Pitch, yaw, roll of Ry(yaw) Rx(roll) Rz(pitch)."""
    roll = -np.arcsin(turn[1, 2])
    return np.array([np.arctan2(turn[1, 0], turn[1, 1]), np.arctan2(turn[0, 2], turn[2, 2]), roll])


def test_rotation() -> None:
    """A bow without hand, gravity and arrow, turned as a whole by finite angles, moves the same in its own frame.

    The string's point is then a free mass; the arrow, whose small slopes know the x axis, is far away.
    """
    setup, _, _, natural, walker = bow("larkspur")
    loose = copy.deepcopy(setup)
    loose["grip"] = dict.fromkeys(setup["grip"], 0.0)
    loose["surroundings"]["gravity"] = 0.0
    launcher = Launcher(Geometry(loose), loose)
    motion = Motion(launcher.free, loose)
    motion.laws.set_natural(natural)
    state = walker.at(-0.5)
    m = motion.d.size
    base = np.zeros(2 * m)
    base[6:12], base[12], base[-m - 3 : -m] = state.v[:6], 5.0, state.v[6:9]
    base[m - 3 : m] = state.v[6:9]
    rng = np.random.default_rng(7)
    base[m : m + 12] = rng.normal(size=12) * [1, 1, 1, 2, 2, 2, 10, 10, 60, 60, 5, 5]
    base[2 * m - 3 :] = [60.0, 3.0, -4.0]
    angles = ca.SX.sym("a", 3)  # pitch, yaw, roll
    turn_f = ca.Function("R", [angles], [rot_y(angles[1]) @ rot_x(angles[2]) @ rot_z(angles[0])])

    def turned(q: np.ndarray, by: np.ndarray) -> np.ndarray:
        out = q.copy()
        out[:3] = by @ q[:3]
        out[3:6] = euler(by @ np.asarray(turn_f(q[3:6])))
        out[m - 3 : m] = by @ q[m - 3 : m]
        return out

    by = np.asarray(turn_f([0.3, -0.5, 0.4]))
    step = 1e-6

    def turned_state(y: np.ndarray) -> np.ndarray:
        q, qd = y[:m], y[m:]
        rate = (turned(q + step * qd, by) - turned(q - step * qd, by)) / (2 * step)
        rate[12 : m - 3] = qd[12 : m - 3]
        return np.concatenate([turned(q, by), rate])

    motion.w[:] = state.w
    motion.evaluate(base)
    first, forces = motion.acceleration.copy(), motion.forces.copy()
    motion.evaluate(turned_state(base))
    second = motion.acceleration.copy()
    scale = np.max(np.abs(first[6:12]))
    assert np.allclose(motion.forces, forces, rtol=1e-6, atol=1e-6)
    assert np.max(np.abs(second[6:12] - first[6:12])) < 1e-6 * scale
    assert np.max(np.abs(second[m - 3 : m] - by @ first[m - 3 : m])) < 1e-6 * np.max(np.abs(first[m - 3 : m]))
    assert np.max(np.abs(second[:3] - by @ first[:3])) < 1e-6 * np.max(np.abs(first[:3]))


@pytest.mark.parametrize("name", ["larkspur", "alder"])
def test_gradient_by_differences(name: str) -> None:
    """The gradient with stationary inner variables is that of the energy with them solved anew."""
    walker = bow(name)[4]
    statics: Statics = walker.statics
    rng = np.random.default_rng(3)
    state = walker.at(-0.5)
    v = state.v + rng.normal(size=9) * 1e-3
    w = statics.solve_inner(v, state.w)
    gradient = statics.at(v, w)["gradient"]
    step = 1e-6
    for i in range(9):
        e = step * np.eye(9)[i]
        up, down = (statics.at(v + s * e, statics.solve_inner(v + s * e, w))["energy"] for s in (1, -1))
        assert gradient[i] == pytest.approx((up - down) / (2 * step), rel=1e-6, abs=2e-4)


def test_detour_against_triangles() -> None:
    """What the guard adds is, to the fourth order in the slope, the sum of two triangles' excess."""
    _, geometry, _, _, walker = bow("larkspur")
    state, setup = walker.states[0], bow("larkspur")[0]
    planar = Statics(geometry, setup, planar=True)
    extra = detours(state, planar)[2:]
    limbs = [setup["limbs"][h] for h in ("upper", "lower")]
    heights = [limb["pivot_y"] + limb["effective_length"] * np.cos(b) for limb, b in zip(limbs, state.v[:2], strict=True)]
    guard, places = setup["cable_guard"]["height"], places_of(setup)
    leg = np.sqrt(0.15**2 - 0.02**2)
    for i, sign in ((0, 1), (1, -1)):
        near, far = heights[i] - sign * guard, heights[1 - i] + sign * guard - leg
        rough = (places[i] - places[4 + i]) ** 2 / (2 * near) + places[i] ** 2 / (2 * far)
        assert extra[i] == pytest.approx(rough, rel=0.06)  # upright lines, no lean


@pytest.mark.parametrize(("name", "lever"), [("larkspur", 8.8), ("alder", 0.92)])
def test_lengths_and_timing(name: str, lever: float) -> None:
    """The gap that a cable's length makes, and how little two ways to add the detour to a length differ."""
    setup, geometry, _, natural, reference = bow(name)

    def gap(lengths: np.ndarray) -> float:
        walker = bow_statics(geometry, setup, lengths)
        walker.brace(reference.states[0])
        gaps = full_draw(walker, setup["hold"]["wall_pull"])["touch"].gaps
        return float(gaps[0] - gaps[1])

    base, step = gap(natural), 1e-5
    assert (gap(natural - [step, 0]) - base) / step == pytest.approx(lever, rel=0.02)
    assert (gap(natural + np.array([0.0, step])) - base) / step == pytest.approx(lever, rel=0.02)
    added = np.array([line.length for line in lines_of(setup)[2:]])
    added += detours(reference.states[0], Statics(geometry, setup, planar=True))[2:]
    assert np.max(np.abs(added - natural)) < 4.1e-6
    assert abs(gap(added) - base) < 7e-6


def test_slack_legs() -> None:
    """The way from guard to axle over two legs is the shortest that their lengths allow, found by brute force."""
    setup = read_setup("larkspur", yoke("upper", 1.0))
    geometry = Geometry(setup, legs_only_pull=True)
    triangle, b = yoke_triangle(setup["cables"]["upper"]), setup["cables"]["upper"]["yoke"]["half_width"]
    assert triangle is not None
    guard = ca.SX.sym("guard", 3)
    function = ca.Function("legs", [guard, geometry.places], [geometry._legs("upper", guard)])
    legs = [np.hypot(triangle.height, triangle.aside - side * b) for side in (-1, 1)]
    for aside in (-0.08, -0.05, 0.0, 0.03, 0.05, 0.08):
        point = np.array([0.02, -0.35, aside])

        def way(junction: np.ndarray, to: np.ndarray = point) -> float:
            return float(np.linalg.norm(to - junction))

        limits = [
            {"type": "ineq", "fun": lambda j, k=k, side=side: legs[k] ** 2 - np.sum((j - [0, 0, side * b]) ** 2)}
            for k, side in ((0, -1), (1, 1))
        ]
        found = minimize(way, [0.0, -0.1, 0.0], constraints=limits, method="SLSQP", options={"ftol": 1e-14, "maxiter": 500})
        value = float(function(point, places_of(setup))) - triangle.height
        assert value == pytest.approx(float(found.fun), abs=1e-7)


def wheelwright_setup(variant: str) -> tuple[dict[str, Any], np.ndarray]:
    """The planar oracle's bow in the form of a setup, all lateral places zero, and its cable lengths."""
    document = json.loads((WHEELWRIGHT / "wheelwright.json").read_text())
    shared = {k: e["value"] for k, e in document["shared"].items()}
    shared |= document["variants"][variant].get("shared", {})
    setup = read_setup("larkspur")
    natural = []
    for half in ("upper", "lower"):
        h = {k: e["value"] for k, e in document["half"].items()} | document["variants"][variant].get(half, {})
        limb, cam, cable = setup["limbs"][half], setup["cams"][half], setup["cables"][half]
        limb |= {
            "pivot_x": h["pivot_x"], "pivot_y": h["pivot_y"], "effective_length": h["limb_length"],
            "torsion_stiffness": h["limb_stiffness"], "free_angle": h["limb_free_angle"], "bolt_turns": 0.0,
            "effective_mass": h["limb_mass"], "damping": 0.0, "twist_damping": 0.0,
        }  # fmt: skip
        cm2 = h["cam_cm_x"] ** 2 + h["cam_cm_y"] ** 2
        cam |= {
            "mass": h["cam_mass"], "inertia": h["cam_inertia"] - h["cam_mass"] * cm2, "center_of_mass_x": h["cam_cm_x"],
            "center_of_mass_y": h["cam_cm_y"], "take_up_offset": 0.0, "let_out_offset": 0.0, "shim": 0.0,
            "string_track": circle(h, "string"), "take_up_track": circle(h, "cable"),
            "string_anchor_angle": h["string_anchor_angle"], "take_up_anchor_angle": h["cable_anchor_angle"],
        }  # fmt: skip
        cam["stop"] |= {"radius": h["stop_radius"], "angle": h["stop_angle"], "stiffness": h["stop_stiffness"], "damping": 0.0}
        cable |= {"axial_rigidity": h["cable_ea"], "damping": 0.0, "lay_twists": 0.0}
        cable["length"] = h["cable_length"] * (1 + STANDARD_PULL / h["cable_ea"])
        natural.append(h["cable_length"])
        setup["string"] |= {
            "length": 2 * h["string_length"] * (1 + STANDARD_PULL / h["string_ea"]), "axial_rigidity": h["string_ea"],
            "damping": 0.0, "lay_twists": 0.0, "mass": 0.0, "serving_and_loop_mass": shared["string_mass"],
        }  # fmt: skip
    setup["cable_guard"] |= {"offset": 0.0, "spacing": 0.0}
    setup["riser"] |= {
        "mass": shared["riser_mass"], "center_of_mass_x": shared["riser_cm_x"], "center_of_mass_y": shared["riser_cm_y"],
        "pitch_inertia": shared["riser_inertia"],
    }  # fmt: skip
    setup["grip"] = dict.fromkeys(setup["grip"], 0.0) | {
        "stiffness_x": shared["hand_stiffness_x"], "stiffness_y": shared["hand_stiffness_y"],
        "pitch_stiffness": shared["hand_stiffness_pitch"],
    }  # fmt: skip
    setup["arrow"] |= {
        "linear_density": 1e-9, "nock_mass": shared["arrow_mass"], "point_mass": 0.0, "insert_mass": 0.0, "modes": 0,
        "nock_hold": shared["nock_hold"],
    }  # fmt: skip
    setup["arrow"]["fletching"]["count"] = 0
    setup["rest"]["kind"] = "none"
    setup["surroundings"]["gravity"] = 0.0
    setup["hold"]["wall_pull"] = shared["wall_pull"]
    return setup, np.array(natural)


def circle(half: dict[str, float], name: str) -> dict[str, Any]:
    """A track of the planar oracle."""
    return {
        "kind": "circle", "radius": half[f"{name}_radius"], "eccentricity": half[f"{name}_offset"],
        "angle": half[f"{name}_offset_angle"],
    }  # fmt: skip


@pytest.mark.parametrize("variant", ["symmetric", "sync_error", "unlike"])
def test_planar_oracle(variant: str) -> None:
    """With every lateral place at zero this is the planar oracle of the Wheelwright, which was written separately."""
    expected = json.loads((WHEELWRIGHT / "lagrange.json").read_text())["variants"][variant]
    setup, natural = wheelwright_setup(variant)
    geometry = Geometry(setup)
    walker = bow_statics(geometry, setup, natural)
    brace = walker.brace()
    drawn = full_draw(walker, setup["hold"]["wall_pull"])
    drawn["brace"] = brace
    touch, full = drawn["touch"], drawn["full"]
    assert brace.v[6] == pytest.approx(expected["brace"]["q"]["x"], abs=1e-9)
    assert touch.v[6] == pytest.approx(expected["first_touch"]["x"], abs=1e-8)
    assert touch.gaps[0] == pytest.approx(expected["first_touch"]["stop_gap_u"], abs=1e-7)
    assert touch.gaps[1] == pytest.approx(expected["first_touch"]["stop_gap_l"], abs=1e-7)
    assert full.v[7] == pytest.approx(expected["full_draw"]["y"], abs=1e-7)
    assert full.info["gradient"][6] == pytest.approx(expected["full_draw"]["force_x"], abs=1e-4)
    assert np.max(np.abs(full.v[[4, 5, 8]])) < 1e-12
    shot = launch(Launcher(geometry, setup), setup, walker, drawn)
    n = len(shot["exit"]) // 2
    assert shot["exit_time"] == pytest.approx(expected["launch"]["exit_time"], rel=1e-6)
    assert shot["exit"][n + 12] == pytest.approx(expected["launch"]["exit_velocity_x"], rel=1e-6)


@pytest.mark.parametrize("name", ["larkspur", "alder"])
def test_convergence(name: str) -> None:
    """The launch does not hang on its step."""
    coarse, fine = shoot(name, {}), shoot(name, {}, tolerance=1e-11, longest=1e-5)
    assert coarse["tear"]["up"] == pytest.approx(fine["tear"]["up"], abs=1e-5 * INCH)
    assert coarse["tear"]["right"] == pytest.approx(fine["tear"]["right"], abs=1e-5 * INCH)
    n = len(coarse["exit"]) // 2
    assert coarse["exit"][n + 12] == pytest.approx(fine["exit"][n + 12], rel=1e-7)


@pytest.mark.parametrize("name", ["larkspur", "alder"])
def test_starts_at_rest(name: str) -> None:
    """Held at full draw by hand and preload, limbs, cams, leans and riser do not accelerate when the string is let go."""
    shot = shoot(name, {})
    assert shot["start_acceleration"] < 1e-3


@pytest.mark.parametrize("name", ["larkspur", "alder"])
def test_stored_results(name: str) -> None:
    """The file holds what the code computes."""
    stored = json.loads((HERE / f"{name}.json").read_text())["cases"]["guard_plus_10mm"]
    shot = shoot(name, stored["changes"])
    assert shot["tear"]["up"] / INCH == pytest.approx(stored["launch"]["tear_up_in"], abs=1e-5)
    assert shot["tear"]["right"] / INCH == pytest.approx(stored["launch"]["tear_right_in"], abs=1e-5)
    assert 1e3 * np.max(shot["drawn"]["touch"].gaps) == pytest.approx(stored["statics"]["late_stop_gap_mm"], abs=1e-5)
