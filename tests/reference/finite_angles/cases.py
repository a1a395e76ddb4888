"""What is changed on the two bows, case by case, as paths of the setup with values in SI."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

LEAN = np.radians(3.0)  # asked of both cams at full draw in the lean cases
GROOVES = "the cable grooves of each cam (take-up, and let-out where there is one) moved along its axle, each by its own amount"
YOKES = "three twists out of the left leg of each yoke and into the right one, for the rest "
KNOB_STEP = 3e-3  # m


def lean_means(bow: str, sign: int) -> str:
    """How a bow is made to lean."""
    return YOKES + GROOVES if bow == "larkspur" and sign < 0 else GROOVES


def yoke(half: str, twists: float) -> dict[str, float]:
    """`twists` into the left leg of a cable's yoke and out of the right one."""
    return {f"cables.{half}.yoke.left_twists": twists, f"cables.{half}.yoke.right_twists": -twists}


def lean_changes(bow: str, setup: dict[str, Any], sign: int, knobs: np.ndarray) -> dict[str, float]:
    """The setup with the knobs for the upper and the lower cam's lean turned."""
    out = {}
    if bow == "larkspur" and sign < 0:
        out = {**yoke("lower", -3.0), **yoke("upper", -3.0)}
    for half, move in zip(("upper", "lower"), knobs, strict=True):
        for groove in ("take_up_offset", "let_out_offset") if bow == "alder" else ("take_up_offset",):
            out[f"cams.{half}.{groove}"] = setup["cams"][half][groove] + float(move)
    return out


def simple_cases(bow: str, setup: dict[str, Any]) -> dict[str, dict[str, float]]:
    """Every case that needs no search."""
    guard = setup["cable_guard"]["offset"]
    cases: dict[str, dict[str, float]] = {
        "reference": {},
        "guard_plus_10mm": {"cable_guard.offset": guard + 0.010},
        "guard_minus_10mm": {"cable_guard.offset": guard - 0.010},
    }
    for sign, word in ((1, "plus"), (-1, "minus")):
        cases[f"shims_both_{word}_3mm"] = {f"cams.{h}.shim": sign * 0.003 for h in ("upper", "lower")}
        for half in ("upper", "lower"):
            cases[f"shim_{half}_{word}_3mm"] = {f"cams.{half}.shim": sign * 0.003}
    if bow == "larkspur":
        for sign, word in ((1, "plus"), (-1, "minus")):
            cases[f"yokes_both_{word}_3"] = {**yoke("upper", sign * 3.0), **yoke("lower", sign * 3.0)}
            for half in ("upper", "lower"):
                cases[f"yoke_{half}_cable_{word}_3"] = yoke(half, sign * 3.0)
    for sign, word in ((1, "plus"), (-1, "minus")):
        cases[f"grip_torque_{word}_1Nm"] = {"hold.grip_torque": sign * 1.0}
        cases[f"grip_torque_{word}_1Nm_at_touch"] = {"hold.grip_torque": sign * 1.0}
    return cases


def find_lean(bow: str, setup: dict[str, Any], sign: int, leans: Callable[[dict[str, float]], np.ndarray]) -> dict[str, float]:
    """Turn the knobs until both cams lean by LEAN with a sign at full draw: secant steps on a matrix of differences."""
    target, scale = sign * LEAN, KNOB_STEP
    knobs = np.zeros(2)
    value = leans(lean_changes(bow, setup, sign, knobs))
    slope = np.zeros((2, 2))
    for i in range(2):
        probe = knobs.copy()
        probe[i] += 0.3 * scale
        slope[:, i] = (leans(lean_changes(bow, setup, sign, probe)) - value) / (0.3 * scale)
    for _ in range(12):
        error = value - target
        if np.max(np.abs(error)) < 1e-7:
            break
        step = -np.linalg.solve(slope, error)
        step *= min(1.0, 1.0 / float(np.max(np.abs(step) / scale)))
        knobs = knobs + step
        new = leans(lean_changes(bow, setup, sign, knobs))
        slope += np.outer(new - value - slope @ step, step) / float(step @ step)  # Broyden
        value = new
    return lean_changes(bow, setup, sign, knobs)
