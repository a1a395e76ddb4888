#!/usr/bin/env python3
"""Draw what the benchmarks measured, and tabulate it.

usage: plots.py work_precision METHODS.csv OUT.png       of `nockwise_work_precision methods`
       plots.py growth GROWTH.json OUT.png               of `nockwise_bench --benchmark_filter=growth`
       plots.py launches ONE_CORE.json TWO_CORES.json    Markdown; of the other benchmarks, pinned and not
       plots.py tables METHODS.csv STEPS.csv DISTURBED.csv MODEL.csv   Markdown
"""

from __future__ import annotations

import csv
import json
import math
import sys
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import matplotlib as mpl

mpl.use("Agg")
import matplotlib.pyplot as plt
from matplotlib.figure import Figure
from matplotlib.ticker import NullFormatter
from PIL import Image

WANTED = 0.1  # mm
LOST = 1e3  # mm of tear: no answer

Point = dict[str, float]
Curves = dict[str, dict[str, list[Point]]]


def read(path: str) -> Curves:
    """Points by setup and method; what failed is left out."""
    curves: Curves = defaultdict(lambda: defaultdict(list))
    with Path(path).open(newline="", encoding="utf-8") as stream:
        for row in csv.DictReader(stream):
            if row["time [us]"]:
                curves[row["setup"]][row["method"]].append(
                    {
                        "parameter": float(row["step or tolerance"]),
                        "time": float(row["time [us]"]),
                        "evaluations": float(row["evaluations"]),
                        "tear": float(row["error of tear [mm]"]),
                        "speed": float(row["error of speed [m/s]"]),
                    }
                )
    return curves


STYLES = {
    "Nystrom": ("black", "o", 2.2),
    "Runge-Kutta 4": ("dimgray", "h", 1.4),
    "exponential Runge-Kutta 4": ("tab:red", "s", 1.4),
    "Dormand-Prince 5(4)": ("tab:blue", "^", 1.4),
    "Cash-Karp 5(4)": ("tab:cyan", "v", 1.0),
    "Fehlberg 7(8)": ("tab:purple", "D", 1.0),
    "Fehlberg 78, fixed": ("tab:purple", "x", 1.0),
    "Bulirsch-Stoer": ("tab:brown", "P", 1.0),
    "Adams-Bashforth-Moulton 4": ("tab:olive", "<", 1.0),
    "Adams-Bashforth-Moulton 6": ("olivedrab", ">", 1.0),
    "modified midpoint (4)": ("tab:pink", "*", 1.0),
    "Verlet": ("tab:orange", "o", 1.4),
    "exponential Verlet": ("tab:green", "s", 1.4),
    "Verlet, triple jump": ("orange", "1", 1.0),
    "Verlet, Suzuki": ("gold", "2", 1.0),
}


def save(figure: Figure, target: str) -> None:
    """As a picture of few colours, which is a third as large."""
    figure.savefig(target, dpi=75)
    with Image.open(target) as picture:
        picture.convert("RGB").quantize(32).save(target, optimize=True)


def draw_work_precision(source: str, target: str) -> None:
    """Error of tear and of speed against time, one column per bow."""
    curves = read(source)
    figure, axes = plt.subplots(2, len(curves), figsize=(4.2 * len(curves), 7.0), sharex="col", squeeze=False)
    for column, (setup, methods) in enumerate(curves.items()):
        for row, (what, label) in enumerate((("tear", "error of tear [mm]"), ("speed", "error of exit speed [m/s]"))):
            ax = axes[row][column]
            for method, points in methods.items():
                colour, marker, width = STYLES[method]
                points = sorted((p for p in points if p["tear"] < LOST), key=lambda p: p["parameter"])
                ax.loglog([p["time"] for p in points], [max(abs(p[what]), 1e-9) for p in points], color=colour,
                          marker=marker, markersize=4, linewidth=width, label=method)  # fmt: skip
            if what == "tear":
                ax.axhline(WANTED, color="gray", linestyle="--", linewidth=0.8)
                ax.set_title(setup)
                ax.set_ylim(1e-5, 3.0)
            else:
                ax.set_ylim(1e-7, 1.0)
                ax.set_xlabel("time per launch from full draw [µs]")
            ax.set_xlim(150, 6e3)
            ax.xaxis.set_minor_formatter(NullFormatter())
            ax.set_xticks([200, 500, 1000, 2000, 5000], ["200", "500", "1000", "2000", "5000"])
            ax.grid(alpha=0.3)
            if column == 0:
                ax.set_ylabel(label)
    handles, labels = axes[0][0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="lower center", ncols=5, fontsize=8, frameon=False)
    figure.tight_layout(rect=(0, 0.09, 1, 1))
    save(figure, target)


def draw_growth(source: str, target: str) -> None:
    """Time per launch against what grows."""
    panels: dict[str, dict[str, list[tuple[float, float]]]] = defaultdict(lambda: defaultdict(list))
    for name, run in medians(source).items():
        parts = name.split("/")
        what = parts[0].removeprefix("growth_")
        alone = what.endswith("_alone")
        what = what.removesuffix("_alone")
        panels[what]["alone" if alone else "in a sweep"].append((float(parts[1]), float(run["us_per_launch"])))
    titles = {
        "nodes": "nodes of the arrow (6 modes)",
        "modes": "bending modes of the arrow (48 nodes)",
        "segments": "segments per limb",
        "samples": "samples of the sweep",
        "threads": "threads",
    }
    figure, axes = plt.subplots(1, len(titles), figsize=(3.6 * len(titles), 3.4))
    for ax, (what, title) in zip(axes, titles.items(), strict=True):
        for name, points in panels[what].items():
            ax.plot(*zip(*sorted(points), strict=True), marker="o", markersize=4, label=name)
        ax.set_xlabel(title)
        ax.set_ylim(bottom=0)
        if what == "samples":
            ax.set_xscale("log")
        ax.grid(alpha=0.3)
        ax.legend(fontsize=8)
    axes[0].set_ylabel("time per launch [µs]")
    figure.tight_layout()
    save(figure, target)


def medians(path: str) -> dict[str, dict[str, Any]]:
    """Median run of each benchmark, or its only one."""
    found = {}
    for run in json.loads(Path(path).read_text(encoding="utf-8"))["benchmarks"]:
        if run.get("aggregate_name", "median") == "median":
            found[run["run_name"]] = run
    return found


def print_launches(one_core: str, two_cores: str) -> None:
    """Launches a second and microseconds a piece, as Markdown."""
    one, two = medians(one_core), medians(two_cores)
    print("| benchmark | launches a second, one core | two threads against one |\n|---|---|---|")
    for name, run in one.items():
        if "launches" in run:
            short = name.replace("/threads:1", "")
            single, double = two.get(f"{short}/threads:1"), two.get(f"{short}/threads:2/real_time")
            ratio = f"{single['real_time'] / double['real_time']:.2f}" if single and double else ""
            print(f"| `{short}` | {run['launches']:.0f} | {ratio} |")
    print("\n| benchmark | time | evaluations |\n|---|---|---|")
    units = {"ns": 1e-3, "us": 1.0, "ms": 1e3}
    for name, run in one.items():
        if "launches" not in run:
            evaluations = f"{run['evaluations']:.0f}" if "evaluations" in run else ""
            print(f"| `{name}` | {run['cpu_time'] * units[run['time_unit']]:.2f} µs | {evaluations} |")


def quickest(points: list[Point]) -> Point | None:
    """The quickest point within the tear wanted, such that no slower one of a smaller parameter misses it."""
    good = None
    for point in sorted(points, key=lambda p: p["parameter"]):
        if not point["tear"] <= WANTED:
            break
        if good is None or point["time"] < good["time"]:
            good = point
    return good


def print_steps(table: Curves, method: str) -> None:
    """Error of the tear of every setup by the step of one method."""
    print(f"\n### Error of the tear [mm] by the step of {method}\n")
    sizes = sorted({p["parameter"] for m in table.values() for p in m[method]}, reverse=True)
    print("| setup | " + " | ".join(f"{1e6 * s:g} µs" for s in sizes) + " |")
    print("|---" * (1 + len(sizes)) + "|")
    worst = dict.fromkeys(sizes, 0.0)
    for setup, curve in table.items():
        found = {p["parameter"]: p["tear"] for p in curve[method]}
        for size in sizes:
            worst[size] = max(worst[size], found.get(size, math.inf))
        print(f"| {setup} | " + " | ".join(f"{found[s]:.4f}" if s in found else "refused" for s in sizes) + " |")
    print("| **worst** | " + " | ".join(f"{worst[s]:.4f}" if worst[s] < math.inf else "refused" for s in sizes) + " |")
    counts = {p["parameter"]: p["evaluations"] for p in table["larkspur"][method]}
    print("| evaluations, larkspur | " + " | ".join(f"{counts[s]:.0f}" if s in counts else "" for s in sizes) + " |")


def print_disturbed(table: Curves) -> None:
    """How the errors of bows with everything a little off spread, by bow, method and step."""
    print("\n### Bows with everything a little off: error of the tear [mm]\n")
    print("| bow | method | step | bows | refused | median | 90 % | 95 % | worst | over 0.1 mm |\n|---" + "|---" * 9 + "|")
    tears: dict[tuple[str, str, float], list[float]] = defaultdict(list)
    shot: dict[str, int] = defaultdict(int)
    for setup, curve in table.items():
        shot[setup.split(",")[0]] += 1
        for method, points in curve.items():
            for point in points:
                tears[setup.split(",")[0], method, point["parameter"]].append(point["tear"])
    for (bow, method, step), found in sorted(tears.items(), key=lambda item: (item[0][0], item[0][1], -item[0][2])):
        found.sort()
        cells = [f"{found[min(len(found) - 1, int(share * len(found)))]:.3f}" for share in (0.5, 0.9, 0.95, 1.0)]
        cells.append(f"{sum(tear > WANTED for tear in found)}")
        refused = shot[bow] - len(found)
        print(f"| {bow} | {method} | {1e6 * step:g} µs | {len(found)} | {refused} | " + " | ".join(cells) + " |")


def print_tables(methods: str, steps: str, disturbed: str, model: str) -> None:
    """The same in numbers, as Markdown."""
    print("### Quickest setting of each method within 0.1 mm of tear\n")
    curves = read(methods)
    setups = list(curves)
    print("| method | " + " | ".join(f"{s}: setting | µs | evaluations | error [mm]" for s in setups) + " |")
    print("|---" * (1 + 4 * len(setups)) + "|")
    for method in STYLES:
        cells = []
        for setup in setups:
            best = quickest(curves[setup][method])
            if best is None:
                cells += ["none", "", "", ""]
            else:
                cells += [f"{best['parameter']:g}", f"{best['time']:.0f}", f"{best['evaluations']:.0f}", f"{best['tear']:.4f}"]
        print(f"| {method} | " + " | ".join(cells) + " |")
    table = read(steps)
    for method in ("Nystrom", "Runge-Kutta 4", "exponential Runge-Kutta 4", "Verlet", "exponential Verlet"):
        print_steps(table, method)
    print_disturbed(read(disturbed))
    print("\n### Modes and nodes of the arrow: error of the tear [mm] against 16 modes on 64 nodes, and time\n")
    print("| setup | what | number | error [mm] | µs |\n|---|---|---|---|---|")
    for setup, kinds in read(model).items():
        for kind, points in kinds.items():
            for point in points:
                print(f"| {setup} | {kind} | {point['parameter']:g} | {point['tear']:.4f} | {point['time']:.0f} |")


def main() -> None:
    """Do what the first argument says."""
    jobs: dict[str, tuple[Callable[..., None], int]] = {
        "work_precision": (draw_work_precision, 2),
        "growth": (draw_growth, 2),
        "launches": (print_launches, 2),
        "tables": (print_tables, 4),
    }
    if len(sys.argv) < 2 or sys.argv[1] not in jobs or len(sys.argv) != 2 + jobs[sys.argv[1]][1]:
        raise SystemExit(__doc__)
    jobs[sys.argv[1]][0](*sys.argv[2:])


if __name__ == "__main__":
    main()
