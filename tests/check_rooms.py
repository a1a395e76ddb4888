#!/usr/bin/python3
"""Hold the includes of lib/ and include/ against the order of the rooms: a room includes only rooms below it.

usage: check_rooms.py            fails on an include that goes upward, and on a file that stands in no room
       check_rooms.py --picture  also prints which rooms each room includes

Runs with the system's Python, no packages. DEVELOPERS.md says what each room is for.
"""

from __future__ import annotations

import collections
import pathlib
import re
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent

# Lowest first; the public headers behind each room, whose sources are in lib/<room>/.
ROOMS: dict[str, list[str]] = {
    "base": ["caution", "error", "export", "files", "kinds", "text", "units", "upper_lower", "version"],
    "numerics": [],
    "kernel": [],
    "setup": ["groove", "parameters", "setup", "track"],
    "setup_file": ["setup_file"],
    "compile": [],
    "statics": ["draw", "model"],
    "launch": ["launch"],
    "flight": ["flight", "paper"],
    "target": ["target"],
    "lanes": [],
    "sweep": ["sweep"],
    "bow_builder": ["bow_builder", "cam_fit"],
    "shots": ["adjustment", "cam_table", "outputs", "tear_matrix"],
    "ensemble": ["ensemble"],
    "ignorance": ["ignorance", "prediction"],
    "groups": ["group", "arrow_table", "least_sensitive", "variance"],
    "causes": ["explanation"],
    "plan": [],
    "explain": [],
    "calibration": ["calibration"],
    "report": ["report"],
}
UMBRELLA = "include/nockwise/nockwise.hpp"


def room_of(path: str) -> str | None:
    """The room of a file, by its path from the root; None if it stands in none."""
    parts = pathlib.PurePosixPath(path).parts
    if parts[0] == "include":
        stem = pathlib.PurePosixPath(path).stem
        return next((room for room, headers in ROOMS.items() if stem in headers), None)
    return parts[1] if len(parts) == 3 and parts[1] in ROOMS else None


def included(path: str) -> list[str]:
    """The project's files that a file includes."""
    found = []
    for name in re.findall(r'^\s*#\s*include\s+"([^"]+)"', (ROOT / path).read_text(), re.M):
        target = next((f"{root}/{name}" for root in ("lib", "include") if (ROOT / root / name).is_file()), None)
        if target is None:
            raise SystemExit(f'{path}: "{name}" is neither in lib/ nor in include/')
        found.append(target)
    return found


def main() -> int:
    files = sorted(
        path.relative_to(ROOT).as_posix()
        for folder in ("lib", "include")
        for path in (ROOT / folder).rglob("*")
        if path.suffix in (".hpp", ".cpp")
    )
    files.remove(UMBRELLA)
    rank = {room: place for place, room in enumerate(ROOMS)}
    faults = [f"{path} stands in no room (tests/check_rooms.py)" for path in files if room_of(path) is None]
    arrows: dict[str, collections.Counter[str]] = {room: collections.Counter() for room in ROOMS}
    if not faults:
        for path in files:
            own = room_of(path)
            for target in included(path):
                other = room_of(target)
                assert own is not None and other is not None, target
                if rank[other] > rank[own]:
                    faults.append(f"{path} ({own}) includes {target} ({other}), a room above it")
                elif other != own:
                    arrows[own][other] += 1
    if "--picture" in sys.argv[1:]:
        for room, below in arrows.items():
            print(f"{room:12} -> {' '.join(sorted(below, key=lambda name: rank[name]))}")
    print("\n".join(faults) if faults else f"rooms: {len(files)} files, every include goes down")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
