"""Every case on both bows, written to larkspur.json and alder.json.

Run: python finite_oracle.py [larkspur] [alder] [--statics]

With --second-order the lines' lengths are taken to the second order in their slope out of the plane, and nothing is
written: it shows what such a truncation costs.
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Iterator
from typing import Any

import casadi as ca
import numpy as np

from bow import HERE, STANDARD_PULL, read_setup
from cases import find_lean, lean_means, simple_cases
from energies import LINES, SIGN, Geometry, Statics, lines_of
from shot import Launcher, launch_record
from statics import NoEquilibriumError, State, Walker, bow_statics, detours, full_draw, planar_walker, reference_lengths

INCH = 0.0254


def leg_shares(walker: Walker, state: State) -> dict[str, dict[str, float]] | None:
    """Share of a cable's pull that each yoke leg carries; a leg that would have to push has a negative one."""
    g, statics = walker.statics.geometry, walker.statics
    out: dict[str, dict[str, float]] = {}
    for i, half in enumerate(("upper", "lower")):
        triangle = statics.yokes[half]
        if triangle is None:
            return None
        other = g.halves["lower" if half == "upper" else "upper"]
        guard = ca.vertcat(float(state.w[3 + 3 * i]), -SIGN[half] * g.setup["cable_guard"]["height"], statics.places[i])
        seen = ca.Function("s", [g.beta, g.theta, g.lean], [other.seen(guard)])(state.v[0:2], state.v[2:4], state.v[4:6])
        along = math.hypot(float(seen[0]), float(seen[1])) - triangle.height
        slope = (float(seen[2]) - triangle.aside) / along
        right = 0.5 + 0.5 * (triangle.aside - triangle.height * slope) / triangle.half_width
        out[f"{half}_cable"] = {"left": 1.0 - right, "right": right}
    return out


def state_record(walker: Walker, planar: Statics, state: State) -> dict[str, Any]:
    """One equilibrium. Index 0 upper, 1 lower."""
    v, info = state.v, state.info
    record = {
        "nock": [float(x) for x in v[6:9]],
        "limb_angle": v[0:2].tolist(),
        "cam_angle": v[2:4].tolist(),
        "lean_deg": np.degrees(v[4:6]).tolist(),
        "stop_gap_mm": (1e3 * state.gaps).tolist(),
        "draw_force": float(np.linalg.norm(info["gradient"][6:9])),
        "force": (info["gradient"][6:9]).tolist(),
        "tension": dict(zip(LINES, info["tension"][:4].tolist(), strict=True)),
        "detour_mm": dict(zip(LINES, (1e3 * detours(state, planar)).tolist(), strict=True)),
        "residual": state.residual,
    }
    shares = leg_shares(walker, state)
    if shares is not None:
        record["share_of_yoke_legs"] = shares
        record["yoke_legs_pull"] = min(min(legs.values()) for legs in shares.values()) > 0
    return record


def statics_record(
    geometry: Geometry, setup: dict[str, Any], natural: np.ndarray, guess: State, *, touch_under_torque: bool
) -> tuple[dict[str, Any], Walker, dict[str, Any]]:
    """Brace, touch and full draw of one setup."""
    walker = bow_statics(geometry, setup, natural)
    planar = Statics(geometry, setup, planar=True)
    brace = walker.brace(guess)
    hold = setup["hold"]
    drawn = full_draw(walker, hold["wall_pull"], hold["grip_torque"], touch_under_torque=touch_under_torque)
    touch, full = drawn["touch"], drawn["full"]
    late = int(np.argmax(touch.gaps))
    record = {
        "late_stop_gap_mm": 1e3 * float(touch.gaps[late]),
        "late_stop": ("upper", "lower")[late],
        "signed_gap_mm": 1e3 * float(touch.gaps[0] - touch.gaps[1]),
        "lean_full_draw_deg": np.degrees(full.v[4:6]).tolist(),
        "nock_z_full_draw_mm": 1e3 * float(full.v[8]),
        "stored_energy": float(full.info["energy"] - brace.info["energy"]),
        "brace": state_record(walker, planar, brace),
        "first_touch": state_record(walker, planar, touch),
        "full_draw": state_record(walker, planar, full),
    }
    drawn["brace"] = brace
    return record, walker, drawn


def planar_record(geometry: Geometry, setup: dict[str, Any]) -> dict[str, Any]:
    """The same bow with every lateral place at zero and the lengths of the file."""
    walker = planar_walker(geometry, setup)
    brace = walker.brace()
    drawn = full_draw(walker, setup["hold"]["wall_pull"])
    touch, full = drawn["touch"], drawn["full"]
    return {
        "brace_cam_angle": brace.v[2:4].tolist(),
        "brace_nock": brace.v[6:8].tolist(),
        "late_stop_gap_mm": 1e3 * float(np.max(touch.gaps)),
        "touch_nock": touch.v[6:8].tolist(),
        "full_draw_nock": full.v[6:8].tolist(),
        "draw_force": float(np.linalg.norm(full.info["gradient"][6:9])),
        "stored_energy": float(full.info["energy"] - brace.info["energy"]),
    }


def kept_lengths(setup: dict[str, Any], changed: dict[str, Any], natural: np.ndarray) -> np.ndarray:
    """Natural lengths of the reference's cables on a changed bow; what yoke twists do to a length by themselves stays."""
    before, after = (np.array([line.length for line in lines_of(s)[2:]]) for s in (setup, changed))
    return np.asarray(natural + (after - before))


def all_cases(bow: str, geometry: Geometry, natural: np.ndarray, guess: State) -> Iterator[tuple[str, dict[str, float]]]:
    """Cases with their changes; the leans are found last."""
    setup = read_setup(bow)
    yield from simple_cases(bow, setup).items()

    def leans(changes: dict[str, float]) -> np.ndarray:
        changed = read_setup(bow, changes)
        walker = bow_statics(geometry, changed, kept_lengths(setup, changed, natural))
        walker.brace(guess)
        return np.asarray(full_draw(walker, changed["hold"]["wall_pull"])["full"].v[4:6])

    for sign, word in ((1, "plus"), (-1, "minus")):
        yield f"lean_{word}_3deg", find_lean(bow, setup, sign, leans)


class Bench:
    """One bow with one idea of its lines, compiled; solves and shoots its cases with the reference's cables."""

    def __init__(self, setup: dict[str, Any], natural: np.ndarray, guess: State, *, launches: bool, **ideas: bool) -> None:
        self.setup, self.natural, self.guess = setup, natural, guess
        self.geometry = Geometry(setup, **ideas)
        self.launcher = Launcher(self.geometry, setup) if launches else None

    def record(self, name: str, changed: dict[str, Any]) -> dict[str, Any]:
        """Statics and launch of a case, or why there is none."""
        out: dict[str, Any] = {}
        kept = kept_lengths(self.setup, changed, self.natural)
        try:
            out["statics"], walker, drawn = statics_record(
                self.geometry, changed, kept, self.guess, touch_under_torque=name.endswith("_at_touch")
            )
            if self.launcher is not None:
                out["launch"] = launch_record(self.launcher, changed, walker, drawn)
        except (NoEquilibriumError, RuntimeError) as error:
            out["error"] = str(error)
        return out


def header(bow: str, geometry: Geometry, setup: dict[str, Any], natural: np.ndarray, reference: Walker) -> dict[str, Any]:
    """What the cases of a bow have in common."""
    lines = reference.statics.lines[2:]
    base = detours(reference.states[0], Statics(geometry, setup, planar=True))
    loaded = [float(n) * (1 + STANDARD_PULL / line.axial_rigidity) for n, line in zip(natural, lines, strict=True)]
    return {
        "oracle": "energies at finite angles in three dimensions, derivatives by CasADi; see README.md",
        "units": "SI unless a name says otherwise; pairs are [upper, lower]; signs and frames as lib/README.md",
        "setup": f"examples/setups/{bow}.toml",
        "cables": {
            "meaning": "natural lengths along the true path; lengths under 100 lbf as a setup would state them (yokes untwisted)",
            "planar_natural": [line.length for line in lines],
            "natural": natural.tolist(),
            "cables.upper.length": loaded[0],
            "cables.lower.length": loaded[1],
            "reference_detour_at_brace_mm": (1e3 * base[2:]).tolist(),
        },
        "lean_cases": {f"lean_{word}_3deg": lean_means(bow, sign) for sign, word in ((1, "plus"), (-1, "minus"))},
        "planar_with_the_lengths_of_the_file": planar_record(geometry, setup),
        "cases": {},
    }


def run(bow: str, *, launches: bool, second_order: bool) -> None:
    """All of one bow; the file is written anew after every case."""
    setup = read_setup(bow)
    geometry = Geometry(setup, second_order=second_order)
    natural, reference = reference_lengths(geometry, setup)
    guess = reference.states[0]
    rigid = Bench(setup, natural, guess, launches=launches, second_order=second_order)
    pulling: Bench | None = None
    document = header(bow, geometry, setup, natural, reference)
    for name, changes in all_cases(bow, geometry, natural, guess):
        began = time.perf_counter()
        changed = read_setup(bow, changes)
        record: dict[str, Any] = {"changes": changes, **rigid.record(name, changed)}
        if setup["cables"]["upper"]["end"] == "yoke":
            if pulling is None:
                pulling = Bench(setup, natural, guess, launches=launches, second_order=second_order, legs_only_pull=True)
            record["with_legs_that_only_pull"] = pulling.record(name, changed)
        record["seconds"] = round(time.perf_counter() - began, 1)
        document["cases"][name] = record
        if not second_order:
            (HERE / f"{bow}.json").write_text(json.dumps(document, indent=1) + "\n")
        print(line_of(name, record), flush=True)
        if "with_legs_that_only_pull" in record:
            print(line_of("  (legs that only pull)", record["with_legs_that_only_pull"]), flush=True)


def line_of(name: str, record: dict[str, Any]) -> str:
    """One case in a line."""
    if "error" in record:
        return f"{name}: {record['error']}"
    s = record["statics"]
    lean = s["lean_full_draw_deg"]
    text = f"{name:26s} gap {s['late_stop_gap_mm']:7.4f} mm {s['late_stop']:5s} lean {lean[0]:7.4f} {lean[1]:7.4f} deg "
    text += f"z {s['nock_z_full_draw_mm']:8.4f} mm"
    if "launch" in record:
        shot = record["launch"]
        text += f" speed {shot['exit_speed']:9.5f} m/s tear {shot['tear_up_in']:8.4f} {shot['tear_right_in']:8.4f} in"
    return text + (f"  ({record['seconds']} s)" if "seconds" in record else "")


if __name__ == "__main__":
    bows = [a for a in sys.argv[1:] if not a.startswith("-")] or ["larkspur", "alder"]
    for one in bows:
        run(one, launches="--statics" not in sys.argv, second_order="--second-order" in sys.argv)
