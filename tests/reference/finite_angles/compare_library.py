"""The library against the stored cases, and in the plane, as a table in Markdown.

Run: python compare_library.py PATH_TO/nockwise_launch [--true-lengths]

With --true-lengths the library gets the cables' lengths along their true path, as a library whose lines know their lateral
detour should; without, the lengths of the setup files.
"""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import numpy as np

from bow import HERE, INCH, SETUPS, read_setup
from energies import Geometry
from flight import paper
from shot import Launcher, launch
from statics import bow_statics, full_draw

UNIT = {"twists": "twist", "torque": "N·m"}
PLANE = ("cable_guard.offset", "cable_guard.spacing", "cams.{}.take_up_offset", "cams.{}.let_out_offset")


def library(program: str, bow: str, changes: dict[str, float]) -> dict[str, Any] | str:
    """The library's shot, or why there is none."""
    command = [program, str(SETUPS / f"{bow}.toml"), "--json"]
    for path, value in changes.items():
        unit = next((u for key, u in UNIT.items() if path.endswith(key)), "m")
        command += ["--set", f"{path}={value!r} {unit}"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if not done.stdout:
        return done.stderr.strip().splitlines()[-1]
    result: dict[str, Any] = json.loads(done.stdout)
    return result


def in_the_plane(bow: str) -> tuple[dict[str, float], dict[str, Any]]:
    """The bow with every lateral place at zero, by the oracle: changes and a record like those of the cases."""
    changes = {p.format(h): 0.0 for p in PLANE for h in ("upper", "lower")}
    setup = read_setup(bow, changes)
    geometry = Geometry(setup)
    walker = bow_statics(geometry, setup)
    brace = walker.brace()
    drawn = full_draw(walker, setup["hold"]["wall_pull"])
    drawn["brace"] = brace
    launcher = Launcher(geometry, setup)
    shot = launch(launcher, setup, walker, drawn)
    tear = paper(setup, launcher.shaft, launcher.held.d.index, shot["free"])
    gaps = drawn["touch"].gaps
    record = {
        "statics": {
            "signed_gap_mm": 1e3 * float(gaps[0] - gaps[1]),
            "lean_full_draw_deg": np.degrees(drawn["full"].v[4:6]).tolist(),
        },
        "launch": {
            "exit_speed": float(shot["exit"][len(shot["exit"]) // 2 + 12]),
            "tear_up_in": tear["up"] / INCH,
            "tear_right_in": tear["right"] / INCH,
        },
    }
    return changes, record


def row(name: str, record: dict[str, Any], ours: dict[str, Any] | str) -> str:
    """A line of the table: oracle and library."""
    s, shot = record["statics"], record["launch"]
    text = f"| `{name}` | {s['signed_gap_mm']:+.3f} | "
    if isinstance(ours, str):
        return text + f"{ours} |"
    launched, tear = ours["launch"], ours["paper"]
    sign = 1 if ours["draw"]["first_stop"] == "lower" else -1
    lean, its = s["lean_full_draw_deg"], np.degrees(launched["lean_full_draw"])
    return (
        text + f"{1e3 * sign * ours['draw']['late_stop_gap']:+.3f} | {lean[0]:.2f}, {lean[1]:.2f} | {its[0]:.2f}, {its[1]:.2f} | "
        f"{shot['exit_speed']:.3f} | {launched['exit_speed']:.3f} | {shot['tear_up_in']:+.4f}, {shot['tear_right_in']:+.4f} | "
        f"{tear['up'] / INCH:+.4f}, {tear['right'] / INCH:+.4f} |"
    )


def main() -> None:
    """Print the tables."""
    program = sys.argv[1]
    for bow in ("larkspur", "alder"):
        document = json.loads((HERE / f"{bow}.json").read_text())
        lengths = {}
        if "--true-lengths" in sys.argv:
            lengths = {k: document["cables"][k] for k in ("cables.upper.length", "cables.lower.length")}
        print(f"\n{bow}\n\n| case | gap [mm] | library | leans [deg] | library | speed [m/s] | library ", end="")
        print("| tear up, right [in] | library |")
        print("|---|---|---|---|---|---|---|---|---|")
        changes, record = in_the_plane(bow)
        print(row("in the plane", record, library(program, bow, changes)))
        for name, record in document["cases"].items():
            if "launch" in record:
                print(row(name, record, library(program, bow, {**record["changes"], **lengths})))


if __name__ == "__main__":
    main()
