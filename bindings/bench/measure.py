"""What Python costs: import, one launch against C++, a sweep of 10,000 against its kernel.

usage: measure.py [SAMPLES]

Prints the figures of this machine; run it on an idle one.
"""

from __future__ import annotations

import pathlib
import statistics
import subprocess
import sys
import time

import numpy as np

import nockwise
from nockwise import _core
from nockwise._sweep_run import available_cores

SETUP = pathlib.Path(__file__).resolve().parents[2] / "examples" / "setups" / "larkspur.toml"


def import_time() -> tuple[float, float]:
    """Seconds of the clock and of the processor for `import nockwise` in a new process, the least of five."""
    program = (
        "import time; t, p = time.perf_counter(), time.process_time(); import nockwise; "
        "print(time.perf_counter() - t, time.process_time() - p)"
    )
    run = [sys.executable, "-c", program]
    times = [subprocess.run(run, check=True, capture_output=True, text=True).stdout.split() for _ in range(5)]
    return min(float(clock) for clock, _ in times), min(float(processor) for _, processor in times)


def launch_cost(model: nockwise.Model, *, rounds: int = 15, count: int = 40) -> float:
    """Median over rounds of (time from Python / time inside C++), both medians of launches taken side by side."""
    ratios = []
    for _ in range(rounds):
        inside = _core._seconds_per_launch(model, count)
        outside = []
        for _ in range(count):
            start = time.perf_counter()
            nockwise.launch(model)
            outside.append(time.perf_counter() - start)
        ratios.append(statistics.median(outside) / inside)
    return statistics.median(ratios)


# One bow with many arrows, which share its full draw; and as many bows.
SWEPT = {"arrow.length": (0.71, 0.74), "cables.upper.twists": (-0.5, 0.5)}


def sweep_cost(samples: int, *, path: str = "arrow.length", threads: int = 1, rounds: int = 3) -> tuple[float, float]:
    """Launches per second from Python, and the time from Python / the time of the same sweep in C++.

    Medians over rounds, taken in turn.
    """
    setup = nockwise.read_setup(SETUP)
    values = np.linspace(*SWEPT[path], samples)
    nockwise.sweep(setup, {"arrow.length": [0.72]}, outputs=["launch.exit_speed"], progress=False)  # imports xarray
    inside, outside = [], []
    for _ in range(rounds):
        inside.append(_core._seconds_of_sweep(setup, path, values.tolist(), threads))
        start = time.perf_counter()
        nockwise.sweep(setup, {path: values}, outputs=["launch.exit_speed"], threads=threads, progress=False)
        outside.append(time.perf_counter() - start)
    return samples / statistics.median(outside), statistics.median(outside) / statistics.median(inside)


def main() -> None:
    """Print all figures."""
    samples = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    model = nockwise.Model(nockwise.read_setup(SETUP))
    clock, processor = import_time()
    print(f"import                       {clock:.3f} s, of the processor {processor:.3f} s")
    print(f"launch inside C++            {1e3 * _core._seconds_per_launch(model, 200):.3f} ms")
    print(f"launch from Python / C++     {launch_cost(model):.4f}")
    for path in SWEPT:
        for threads in sorted({1, available_cores()}):
            rate, ratio = sweep_cost(samples, path=path, threads=threads)
            what = f"{samples:,} × {path}, {threads} threads"
            print(f"sweep of {what:<42} {rate:6.0f} launches per second, Python / C++ {ratio:.4f}")


if __name__ == "__main__":
    main()
