#!/usr/bin/env python3
"""Integrate the exported equations of motion with SciPy's stiff solvers and store where the arrow leaves the string.

    python make_reference.py [--write]      # a minute; needs requirements.txt and the nockwise wheel

The solvers (BDF and Radau, implicit; LSODA, which switches) share nothing with the library but the right-hand side:
their own steps, their own error control, their own search for the event. Each bow is integrated from full draw to where
the axial force between string and nock falls through zero. `agreement` is the largest difference between the three, in
units of the state compared: the oracle's own error. ../stiff_solvers_test.cpp compares the library with Radau.
"""

from __future__ import annotations

import argparse
import json
import platform
from pathlib import Path
from typing import Any

import nockwise
import numpy as np
import scipy
from scipy.integrate import solve_ivp

HERE = Path(__file__).parent
SETUPS = HERE.parents[2] / "examples" / "setups"
SOLVERS = ("Radau", "BDF", "LSODA")
BOWS = ("larkspur", "alder", "wheelwright")
# Angles, metres and their rates; the arrow's modal amplitudes are scaled by the root of its mass.
WATCHED = ("riser.x", "riser.pitch", "limbs.upper[0]", "cams.upper", "cams.lower", "string.x", "string.y", "string.z")


def shot(equations: Any, method: str) -> dict[str, float] | None:
    """State as the nock leaves the string, or None when the solver gives up (BDF does where a contact chatters)."""

    def separation(_: float, y: np.ndarray) -> float:
        return equations.separation(y)

    separation.terminal = True  # type: ignore[attr-defined]
    separation.direction = -1.0  # type: ignore[attr-defined]
    solved = solve_ivp(
        lambda _, y: equations.derivative(y),
        (0.0, 0.05),
        equations.initial_state,
        method=method,
        events=separation,
        rtol=1e-8,
        atol=1e-10,
        max_step=2e-4,  # contacts are kinks; a longer step could pass one without noticing
    )
    if solved.status != 1:
        print(f"  {method} gives up: {solved.message}")
        return None
    names = list(equations.names)
    state = solved.y_events[0][0]
    result = {"time": float(solved.t_events[0][0])}
    for name in WATCHED:
        result[name] = float(state[names.index(name)])
        result[f"d/dt {name}"] = float(state[names.index(f"d/dt {name}")])
    print(f"  {method}: {result['time']:.9f} s, {result['d/dt string.x']:.7f} m/s, {solved.nfev} evaluations")
    return result


def main() -> None:
    """Integrate every bow with every solver, and write what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="write reference.json")
    arguments = parser.parse_args()
    bows = {}
    for bow in BOWS:
        print(bow)
        equations = nockwise.EquationsOfMotion(nockwise.Model(nockwise.read_setup(SETUPS / f"{bow}.toml")))
        tried = {method: shot(equations, method) for method in SOLVERS}
        shots = {method: result for method, result in tried.items() if result}
        if "Radau" not in shots or len(shots) < 2:
            raise SystemExit(f"{bow}: nothing to compare Radau with")
        reference = shots["Radau"]
        agreement = {
            key: max(abs(other[key] - reference[key]) for other in shots.values()) for key in reference
        }
        print("  they agree within", {key: f"{value:.1e}" for key, value in agreement.items()})
        bows[bow] = {"solvers": list(shots), "reference": reference, "agreement": agreement}
    document = {
        "made_by": "make_reference.py",
        "versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__},
        "bows": bows,
    }
    if arguments.write:
        (HERE / "reference.json").write_text(json.dumps(document, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
