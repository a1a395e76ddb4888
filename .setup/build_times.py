#!/usr/bin/env python3
"""What a build costs, source by source and part by part.

    build_times.py show BUILD              wall time of the last build of every output (.ninja_log), and
                                           processor time where a measured build recorded it
    build_times.py measure BUILD [ARG...]  configure BUILD afresh without a compiler cache, with these
                                           arguments to CMake, and build the library (TARGET=all for all);
                                           then show
    build_times.py touch BUILD HEADER...   what changing these headers makes ninja compile again, by the
                                           times of the last measured build

Processor time (user and system) is what to compare: wall time is that of a busy machine too.
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import time
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LOG = "processor_times.tsv"


def part_of(output: str) -> str:
    """The room of the library, or the target, that an object belongs to."""
    pieces = Path(output).parts
    if "nockwise_objects.dir" in pieces:
        return "/".join(pieces[pieces.index("nockwise_objects.dir") + 1 :][:2])
    targets = [piece for piece in pieces if piece.endswith(".dir")]
    return targets[0].removesuffix(".dir") if targets else "linking and the rest"


def wall_times(build: Path) -> dict[str, float]:
    times: dict[str, float] = {}
    for line in (build / ".ninja_log").read_text().splitlines():
        if not line.startswith("#"):
            start, end, _, output, _ = line.split("\t")
            times[output] = (int(end) - int(start)) / 1000.0
    return times


def processor_times(build: Path) -> dict[str, float]:
    log = build / LOG
    times: dict[str, float] = {}
    if log.exists():
        for line in log.read_text().splitlines():
            output, seconds = line.split("\t")
            times[output] = float(seconds)
    return times


def show(build: Path) -> None:
    wall = wall_times(build)
    processor = processor_times(build)
    kind, times = ("processor", processor) if processor else ("wall", wall)
    parts: dict[str, float] = defaultdict(float)
    for output, seconds in times.items():
        parts[part_of(output)] += seconds
    print(f"{kind} time [s] by part; {sum(times.values()):.0f} in all")
    for part, seconds in sorted(parts.items(), key=lambda each: -each[1]):
        print(f"{seconds:8.1f}  {part}")
    print(f"\n{kind} time [s] of the slowest")
    for output, seconds in sorted(times.items(), key=lambda each: -each[1])[:25]:
        print(f"{seconds:8.1f}  {output}")


def measure(build: Path, arguments: list[str]) -> None:
    shutil.rmtree(build, ignore_errors=True)
    launcher = f"{sys.executable};{Path(__file__).resolve()};compile;{build.resolve() / LOG}"
    configure = ["cmake", "-S", str(ROOT), "-B", str(build), f"-DCMAKE_CXX_COMPILER_LAUNCHER={launcher}"]
    if not any(argument == "-C" for argument in arguments):
        configure += ["-C", str(ROOT / ".cmake" / "release.cmake")]
    subprocess.run([*configure, *arguments], check=True, stdout=subprocess.DEVNULL)
    start = time.monotonic()
    subprocess.run(["ninja", "-C", str(build), "-k0", "-j", os.environ.get("JOBS", "2"), os.environ.get("TARGET", "nockwise")], check=True)
    print(f"{time.monotonic() - start:.0f} s of wall time")
    show(build)


def compile_and_record(log: Path, command: list[str]) -> int:
    """Stand before the compiler: run it, and append what processor time it took."""
    status = subprocess.run(command).returncode
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    with log.open("a") as lines:
        lines.write(f"{command[command.index('-o') + 1]}\t{used.ru_utime + used.ru_stime:.2f}\n")
    return status


def touch(build: Path, headers: list[str]) -> None:
    times = processor_times(build) or wall_times(build)
    names = [str(Path(header).resolve()) for header in headers]
    dependencies = subprocess.run(["ninja", "-C", str(build), "-t", "deps"], check=True, capture_output=True, text=True)
    again: list[str] = []
    output = ""
    for line in dependencies.stdout.splitlines():
        if line and not line.startswith(" "):
            output = line.split(":")[0]
        elif str((build / line.strip()).resolve()) in names and output not in again:
            again.append(output)
    for each in sorted(again, key=lambda name: -times.get(name, 0.0)):
        print(f"{times.get(each, 0.0):8.1f}  {each}")
    print(f"{sum(times.get(each, 0.0) for each in again):8.1f}  in all, {len(again)} sources")


def main(arguments: list[str]) -> int:
    if len(arguments) > 2 and arguments[0] == "compile":
        return compile_and_record(Path(arguments[1]), arguments[2:])
    if len(arguments) == 2 and arguments[0] == "show":
        show(Path(arguments[1]))
    elif len(arguments) > 1 and arguments[0] == "measure":
        measure(Path(arguments[1]), arguments[2:])
    elif len(arguments) > 2 and arguments[0] == "touch":
        touch(Path(arguments[1]), arguments[2:])
    else:
        print(__doc__, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
