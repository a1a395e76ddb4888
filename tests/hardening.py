#!/usr/bin/env python3
"""What has been done to break nockwise, counted: fuzzed inputs, kills, sanitized tests, builds. Writes tests/hardening.md.

    hardening.py run [PART...]   does the parts (all by default), each recorded in .build/hardening/ as it ends
    hardening.py write           the page, from what is recorded; a part that was not done is said to be so
    hardening.py parts           their names and what each does

A part's record holds the commit and the day; the page tells them, so that an old figure is seen to be old. Nothing on the
page is written by hand.

    NOCKWISE_FUZZ_INPUTS=150000  inputs of each fuzz target
    NOCKWISE_KILLS=100           kill -9 of a sweep
"""

from __future__ import annotations

import datetime
import json
import os
import platform
import re
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parent.parent
RECORDS = ROOT / ".build" / "hardening"
PAGE = ROOT / "tests" / "hardening.md"
CORES = str(os.cpu_count() or 1)
Record = dict[str, Any]


def run(command: list[str], environment: dict[str, str] | None = None) -> tuple[int, str]:
    """A command's exit status and all it said; said again here, so that whoever waits sees it."""
    print("$", " ".join(command), flush=True)
    done = subprocess.run(
        command,
        cwd=ROOT,
        env={**os.environ, **(environment or {})},
        text=True,
        errors="replace",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    print(done.stdout[-2000:], flush=True)
    return done.returncode, done.stdout


def built(name: str, options: list[str], targets: list[str]) -> bool:
    build = f".build/{name}"
    if not (ROOT / build / "build.ninja").exists():
        if run(["cmake", "-G", "Ninja", "-S", ".", "-B", build, *options])[0] != 0:
            return False
    return run(["cmake", "--build", build, "-j", CORES, "--target", *targets])[0] == 0


def gtest_counts(text: str) -> tuple[int, int]:
    """Tests that ran, and those that failed, of all shards in one text."""
    ran = sum(int(n) for n in re.findall(r"\[==========\] (\d+) tests? from .* ran\.", text))
    failed = len(re.findall(r"^\[  FAILED  \] \S+ \(\d+ ms\)", text, re.MULTILINE))
    return ran, failed


def fuzz() -> Record:
    """Mutated inputs of every fuzz target, in a release build."""
    inputs = int(os.environ.get("NOCKWISE_FUZZ_INPUTS", "150000"))
    began = time.time()
    status, text = run(["sh", "tests/fuzz/run", f"{inputs}x"])
    rows: dict[str, int] = {}
    target = ""
    for line in text.splitlines():
        if begun := re.match(r"== (\w+) ", line):
            target = begun[1]
        if ran := re.match(r"stat::number_of_executed_units:\s+(\d+)", line):
            rows[target] = int(ran[1])
    # "bow_builder-timeout-<hash>": the target and what became of the input.
    files = (ROOT / ".build" / "fuzz-release" / "findings").glob("*-*-*")
    kinds = sorted({"-".join(file.name.split("-")[:2]) for file in files if file.stat().st_mtime >= began})
    return {"rows": rows, "total": sum(rows.values()), "findings": kinds, "ok": status == 0}


def kills() -> Record:
    """A sweep with a store killed by kill -9 again and again, a worker of a cluster, a full disk, damage: Python's tests."""
    count = os.environ.get("NOCKWISE_KILLS", "100")
    tests = ["tests/python/test_sweep_store.py", "tests/python/test_processes.py"]
    status, text = run([".venv/bin/pytest", "-q", *tests], {"NOCKWISE_KILLS": count})
    passed = re.search(r"(\d+) passed", text)
    return {"kills": int(count), "passed": int(passed[1]) if passed else 0, "ok": status == 0}


def asan() -> Record:
    """All C++ tests but packaging's under the address and undefined-behaviour sanitizers: `sh tests/run_sanitized asan`."""
    status, text = run(["sh", "tests/run_sanitized", "asan"])
    counted = re.search(r"(\d+) tests failed out of (\d+)", text)
    ran, failed = (int(counted[2]), int(counted[1])) if counted else (0, 0)
    return {"ran": ran, "failed": failed, "ok": status == 0}


def tsan() -> Record:
    """The C++ tests of lib under the thread sanitizer: `sh tests/run_sanitized tsan`."""
    status, text = run(["sh", "tests/run_sanitized", "tsan"])
    ran, failed = gtest_counts(text)
    return {"ran": ran, "failed": failed, "ok": status == 0}


class Build(NamedTuple):
    """A compiler, a standard library and a kind of build, with what is run of it."""

    name: str
    options: list[str]


QUICK = "Launch.*:Lanes*:Sweep*:SetupFile*:Track*:DrawCycle*:Parameters*"
BUILDS = [
    Build("gcc-release", ["-DCMAKE_CXX_COMPILER=g++", "-DCMAKE_BUILD_TYPE=Release"]),
    Build("gcc-debug", ["-DCMAKE_CXX_COMPILER=g++", "-DCMAKE_BUILD_TYPE=Debug"]),
    Build("clang-release", ["-DCMAKE_CXX_COMPILER=clang++", "-DCMAKE_BUILD_TYPE=Release"]),
    Build("clang-debug", ["-DCMAKE_CXX_COMPILER=clang++", "-DCMAKE_BUILD_TYPE=Debug"]),
]


def builds() -> Record:
    """Compilers and kinds of build, each with the tests of launches, lanes, sweeps and readers."""
    rows: dict[str, Record] = {}
    for each in BUILDS:
        began = time.monotonic()
        common = ["-DNOCKWISE_WARNINGS_AS_ERRORS=OFF", "-DNOCKWISE_BUILD_BENCH=OFF", "-DNOCKWISE_BUILD_EXAMPLES=OFF"]
        ok = built(f"matrix-{each.name}", [*each.options, *common], ["nockwise_tests"])
        ran = failed = 0
        if ok:
            status, text = run([f".build/matrix-{each.name}/tests/nockwise_tests", f"--gtest_filter={QUICK}"])
            ran, failed = gtest_counts(text)
            ok = status == 0
        rows[each.name] = {"ok": ok, "ran": ran, "failed": failed, "minutes": (time.monotonic() - began) / 60.0}
    return {"rows": rows, "ok": all(row["ok"] for row in rows.values())}


PARTS: dict[str, Callable[[], Record]] = {"fuzz": fuzz, "kills": kills, "asan": asan, "tsan": tsan, "builds": builds}


def do(parts: list[str]) -> int:
    RECORDS.mkdir(parents=True, exist_ok=True)
    worst = 0
    for part in parts:
        began = time.monotonic()
        dirty = run(["git", "status", "--porcelain", "--untracked-files=no"])[1].strip()
        commit = run(["git", "rev-parse", "--short", "HEAD"])[1].strip()  # of the tree that is built, before it changes
        record = PARTS[part]()
        record |= {
            "commit": commit + ("+" if dirty else ""),
            "day": datetime.date.today().isoformat(),
            "minutes": (time.monotonic() - began) / 60.0,
            "machine": f"{platform.machine()}, {CORES} cores",
        }
        (RECORDS / f"{part}.json").write_text(json.dumps(record, indent=1) + "\n")
        worst |= 0 if record["ok"] else 1
    return worst


def said(part: str, record: Record) -> list[str]:
    """The lines of one part."""
    if part == "fuzz":
        lines = ["| target | inputs |", "|---|---|"]
        lines += [f"| `{name}` | {count:,} |" for name, count in record["rows"].items()]
        found = ", ".join(record["findings"]) or "none"
        return [*lines, f"| all | {record['total']:,} |", "", f"Findings, by target and kind: {found}."]
    if part == "kills":
        return [f"{record['kills']} kills of one sweep; {record['passed']} tests passed."]
    if part in ("asan", "tsan"):
        return [f"{record['ran']} tests, {record['failed']} failed."]
    lines = ["| build | tests | failed | time |", "|---|---|---|---|"]
    for name, row in record["rows"].items():
        told = "did not build" if not row["ran"] and not row["ok"] else str(row["ran"])
        lines.append(f"| {name} | {told} | {row['failed']} | {row['minutes']:.0f} min |")
    return lines


def write() -> int:
    lines = ["# What has been done to break it", "", "Written by `python3 tests/hardening.py write`; not by hand.", ""]
    for part, does in PARTS.items():
        file = RECORDS / f"{part}.json"
        lines += [f"## {part}", "", (does.__doc__ or "").strip(), ""]
        if file.exists():
            record = json.loads(file.read_text())
            end = "no finding" if record["ok"] else "**not clean**"
            lines += [*said(part, record), ""]
            lines += [
                f"{end}; commit {record['commit']}, {record['day']}, {record['minutes']:.0f} min, {record['machine']}.",
                "",
            ]
        else:
            lines += ["Not done with this tree.", ""]
    PAGE.write_text("\n".join(lines).rstrip() + "\n")
    print(f"{PAGE.relative_to(ROOT)}: written")
    return 0


def main() -> int:
    if len(sys.argv) >= 2 and sys.argv[1] == "run" and set(sys.argv[2:]) <= set(PARTS):
        return do(sys.argv[2:] or list(PARTS))
    if sys.argv[1:] == ["write"]:
        return write()
    if sys.argv[1:] == ["parts"]:
        print("\n".join(f"{name:8} {(does.__doc__ or '').strip()}" for name, does in PARTS.items()))
        return 0
    print(__doc__, file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main())
