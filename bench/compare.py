#!/usr/bin/env python3
"""Batched launches of the library against what a user would write or pick instead, in one run.

    python compare.py LIBRARY [--smoke] [--markdown]

LIBRARY is libnockwise_compare.so of the build (target `nockwise_compare`). What is compared, row by row:

- SciPy's solve_ivp on the full spatial launch of Larkspur. The right-hand side is a Numba-compiled function that calls the
  library's own compiled one: no port to Numba could be quicker, so that what is left is SciPy's share.
- Both also with the arrow as a chain of sixteen lumped masses, all its modes kept, which is what one writes down first:
  the library's reduction to six modes is part of what it offers, and its error then includes what that leaves out.
- CVODE (SUNDIALS), Adams' method with fixed-point iteration, called from C++ on the same right-hand side.
- MuJoCo on the eccentric-wheel bow of tests/reference/wheelwright with a rigid arrow sliding off a rest, planar: the
  quickest integrator and step within 0.01 % of exit speed. The library shoots that bow in all its coordinates.

Each is given its quickest setting within the accuracy asked for, and its error stands beside the ratio. Times are the
least of several runs, of this process's own processor time where that can be had.
"""

from __future__ import annotations

import argparse
import ctypes
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

Vector = NDArray[np.float64]
POINTER, DOUBLE = ctypes.c_size_t, ctypes.c_double
WANTED_TEAR = 1e-4  # m
WANTED_SPEED = 1e-4  # relative
# The longest step that holds 0.01 % of exit speed on the eccentric-wheel bow [s].
SPEED_STEP = 2e-4


@dataclass
class Row:
    """One competitor: its setting, its error, its time and the library's on the same bow."""

    what: str
    setting: str
    error: str
    seconds: float
    library_seconds: float
    library_error: str
    target: float

    @property
    def ratio(self) -> float:
        """How many launches of the library's batch fit in one of theirs."""
        return self.seconds / self.library_seconds


class Bow:
    """A bow at full draw in the library."""

    def __init__(self, library: ctypes.CDLL, name: str) -> None:
        self.library = library
        library.shot_open.restype = POINTER
        self.handle = library.shot_open(ctypes.c_char_p(name.encode()))
        if not self.handle:
            raise SystemExit(f"cannot shoot {name}")
        library.shot_size.argtypes = [POINTER]
        for function, count in (("shot_start", 1), ("shot_let_go", 1), ("shot_rate", 3)):
            getattr(library, function).argtypes = [POINTER] * (count + 1)
            getattr(library, function).restype = None
        library.shot_tear.argtypes = [POINTER, DOUBLE, POINTER, POINTER]
        library.shot_tear.restype = None
        library.shot_library.argtypes = [POINTER, DOUBLE, POINTER]
        library.shot_library.restype = None
        library.shot_batch.argtypes = [POINTER, ctypes.c_int, DOUBLE]
        library.shot_batch.restype = DOUBLE
        library.shot_cvode.argtypes = [POINTER, DOUBLE, DOUBLE, POINTER]
        library.shot_cvode.restype = DOUBLE
        self.size = int(library.shot_size(self.handle))

    def start(self) -> Vector:
        """State at full draw."""
        state = np.zeros(self.size)
        self.library.shot_start(self.handle, state.ctypes.data)
        return state

    def let_go(self, state: Vector) -> Vector:
        """The string on its own from here."""
        state = state.copy()
        self.library.shot_let_go(self.handle, state.ctypes.data)
        return state

    def tear(self, time_: float, state: Vector) -> Vector:
        """Tear up and right [m] of the flight from here."""
        tear = np.zeros(2)
        state = np.ascontiguousarray(state)
        self.library.shot_tear(self.handle, time_, state.ctypes.data, tear.ctypes.data)
        return tear

    def shoot(self, step: float) -> Vector:
        """Tear up and right [m], exit speed [m/s] of the library's launch."""
        answer = np.zeros(3)
        self.library.shot_library(self.handle, step, answer.ctypes.data)
        return answer

    def batch(self, count: int, step: float, repeats: int) -> float:
        """Seconds per launch in a batch on one thread, the least of several."""
        return min(float(self.library.shot_batch(self.handle, count, step)) for _ in range(repeats))

    def cvode(self, relative: float, absolute: float, repeats: int) -> tuple[float, Vector]:
        """Seconds of CVODE's launch, and tear, speed, evaluations."""
        answer = np.zeros(4)
        seconds = [float(self.library.shot_cvode(self.handle, relative, absolute, answer.ctypes.data)) for _ in range(repeats)]
        return min(seconds), answer

    def compiled(self) -> tuple[Callable[[float, Vector], Vector], Callable[[int], Callable[[float, Vector], float]]]:
        """Right-hand side and event functions as Numba compiles them."""
        rate_of, handle, size = self.library.shot_rate, self.handle, self.size

        def slope(_t: float, y: Vector) -> Vector:
            rate = np.empty(size)
            events = np.empty(2)
            rate_of(handle, y.ctypes.data, rate.ctypes.data, events.ctypes.data)
            return rate

        def event(y: Vector, which: int) -> float:
            rate = np.empty(size)
            events = np.empty(2)
            rate_of(handle, y.ctypes.data, rate.ctypes.data, events.ctypes.data)
            return float(events[which])

        compiled_event: Any = numba.njit(event)

        def watcher(which: int) -> Callable[[float, Vector], float]:
            def watch(_t: float, y: Vector) -> float:
                return float(compiled_event(y, which))

            watch.terminal = True  # type: ignore[attr-defined]
            watch.direction = -1.0  # type: ignore[attr-defined]
            return watch

        compiled_slope: Any = numba.njit(slope)
        return compiled_slope, watcher


def scipy_shot(bow: Bow, compiled: Any, method: str, relative: float, absolute: float) -> tuple[Vector, float, int]:
    """Tear and speed, seconds, evaluations of one launch by solve_ivp."""
    slope, watcher = compiled
    start = bow.start()
    begun = time.process_time()
    options = {"method": method, "rtol": relative, "atol": absolute}
    on_string = solve_ivp(slope, (0.0, 0.15), start, events=watcher(0), **options)
    if on_string.status != 1:
        raise ValueError(on_string.message)
    leaving = on_string.y_events[0][0]
    free = bow.let_go(leaving)
    flying = solve_ivp(slope, (float(on_string.t[-1]), 0.15), free, events=watcher(1), **options)
    if flying.status != 1:
        raise ValueError(flying.message)
    seconds = time.process_time() - begun
    speed = bow.library.shot_speed
    speed.argtypes, speed.restype = [POINTER, ctypes.c_int], DOUBLE
    leaving = np.ascontiguousarray(leaving)
    tear = bow.tear(float(flying.t[-1]), flying.y[:, -1])
    answer = np.array([*tear, speed(leaving.ctypes.data, bow.size)])
    return answer, seconds, int(on_string.nfev + flying.nfev)


def off(answer: Vector, exact: Vector) -> float:
    """Distance of the tears [m]."""
    return float(np.hypot(answer[0] - exact[0], answer[1] - exact[1]))


@dataclass
class Effort:
    """How hard to try."""

    repeats: int
    batch: int
    tolerances: list[float]
    timesteps: list[float]


@dataclass
class Trial:
    """A setting that was tried: its parameter (step or tolerance), seconds, error."""

    parameter: float
    seconds: float
    error: float
    setting: str


def quickest(trials: list[Trial], wanted: float) -> Trial | None:
    """The quickest trial within the error wanted, of those below which none misses it: no lucky crossing of zero."""
    best = None
    for trial in sorted(trials, key=lambda t: t.parameter):
        if not trial.error <= wanted:
            break
        if best is None or trial.seconds < best.seconds:
            best = trial
    return best


def against_scipy(bow: Bow, exact: Vector, ours: tuple[float, str], effort: Effort, arrow: str = "") -> list[Row]:
    """DOP853 at rtol 1e-4, and each explicit method's quickest within the tear wanted."""
    compiled = bow.compiled()
    name = f"SciPy solve_ivp{arrow}"

    def attempt(method: str, relative: float, share: float) -> Trial | None:
        absolute = share * relative
        try:
            shots = [scipy_shot(bow, compiled, method, relative, absolute) for _ in range(effort.repeats)]
        except ValueError:
            return None
        setting = f"{method}, rtol {relative:g}, atol {absolute:g}, {shots[0][2]} evaluations"
        return Trial(relative, min(s[1] for s in shots), off(shots[0][0], exact), setting)

    def row(label: str, trial: Trial) -> Row:
        return Row(label, trial.setting, f"{1e3 * trial.error:.4f} mm", trial.seconds, *ours, 250.0)

    attempt("DOP853", 1e-4, 1e-2)  # compiles
    rows = []
    for method in ("DOP853", "RK45", "RK23"):
        for share in (1.0, 1e-2):
            tried = [attempt(method, relative, share) for relative in effort.tolerances]
            trials = [trial for trial in tried if trial is not None]
            usual = [t for t in trials if t.parameter == 1e-4]
            if method == "DOP853" and usual:
                rows.append(row(f"{name} at rtol 1e-4", usual[0]))
            best = quickest(trials, WANTED_TEAR)
            if best is not None:
                rows.append(row(f"{name}, quickest within 0.1 mm", best))
    return rows


def against_cvode(bow: Bow, exact: Vector, ours: tuple[float, str], effort: Effort, arrow: str = "") -> list[Row]:
    """Adams at rtol 1e-6, and the quickest within the tear wanted."""
    rows = []
    for share in (1.0, 1e-2):
        trials = []
        for relative in sorted({*effort.tolerances, 1e-6}):
            seconds, answer = bow.cvode(relative, share * relative, effort.repeats)
            if seconds > 0.0:
                setting = f"Adams, rtol {relative:g}, atol {share * relative:g}, {answer[3]:.0f} evaluations"
                trials.append(Trial(relative, seconds, off(answer, exact), setting))
        named = [(f"CVODE{arrow} at rtol 1e-6", t) for t in trials if t.parameter == 1e-6]
        best = quickest(trials, WANTED_TEAR)
        if best is not None:
            named.append((f"CVODE{arrow}, quickest within 0.1 mm", best))
        rows += [Row(label, t.setting, f"{1e3 * t.error:.4f} mm", t.seconds, *ours, 80.0) for label, t in named]
    return rows


def against_mujoco(library: ctypes.CDLL, effort: Effort, step: float) -> list[Row]:
    """Each integrator's quickest step within the speed wanted, against the engine's own converged launch."""
    from compare_mujoco import MujocoBow

    bow = Bow(library, "wheelwright with rest")
    seconds = bow.batch(effort.batch, step, effort.repeats)
    exact = bow.shoot(2.5e-6)[2]
    ours = f"{1e2 * abs(bow.shoot(step)[2] / exact - 1.0):.4f} % of speed"
    engine = MujocoBow()
    converged = engine.shoot(2e-6, "RK4", 1).speed
    rows = []
    for integrator in ("RK4", "implicitfast", "Euler"):
        trials = []
        for timestep in effort.timesteps:
            shot = engine.shoot(timestep, integrator, effort.repeats)
            setting = f"{integrator}, {1e6 * timestep:g} µs, to where string and arrow part"
            trials.append(Trial(timestep, shot.seconds, abs(shot.speed / converged - 1.0), setting))
        best = quickest(trials, WANTED_SPEED)
        if best is not None:
            error = f"{1e2 * best.error:.4f} % of speed"
            rows.append(Row("MuJoCo, planar, rigid arrow", best.setting, error, best.seconds, seconds, ours, 30.0))
    print(f"MuJoCo converges to {converged:.5f} m/s (rigid arrow), the library to {exact:.5f} m/s (bending arrow)")
    return rows


def show(rows: list[Row], markdown: bool) -> None:
    """A table, plain or Markdown."""
    head = ["against", "setting", "its error", "its time [ms]", "library [µs]", "library's error", "ratio", "wanted"]
    lines = [
        [r.what, r.setting, r.error, f"{1e3 * r.seconds:.2f}", f"{1e6 * r.library_seconds:.1f}", r.library_error,
         f"{r.ratio:.0f}", f"{r.target:.0f}"]
        for r in rows
    ]  # fmt: skip
    if markdown:
        print("| " + " | ".join(head) + " |\n|" + "---|" * len(head))
        for line in lines:
            print("| " + " | ".join(line) + " |")
        return
    for line in lines:
        print("; ".join(f"{name}: {value}" for name, value in zip(head, line, strict=True)))


def main() -> None:
    """Compare and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("library", type=Path)
    parser.add_argument("--step", type=float, default=2.25e-4, help="the library's step [s]")
    parser.add_argument("--smoke", action="store_true", help="once each, a few settings, nothing measured")
    parser.add_argument("--markdown", action="store_true")
    arguments = parser.parse_args()
    effort = Effort(7, 2000, [1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5], [2e-4, 1.5e-4, 1e-4, 7e-5, 5e-5, 3.5e-5, 2.5e-5, 1e-5])
    if arguments.smoke:
        effort = Effort(1, 64, [1e-4], [5e-5])
    library = ctypes.CDLL(str(arguments.library.resolve()))
    bow = Bow(library, "larkspur")
    exact = bow.shoot(2.5e-6)
    ours = bow.batch(effort.batch, arguments.step, effort.repeats)
    our_error = f"{1e3 * off(bow.shoot(arguments.step), exact):.4f} mm"
    rows = against_scipy(bow, exact, (ours, our_error), effort)
    rows += against_cvode(bow, exact, (ours, our_error), effort)
    chain = Bow(library, "larkspur, 16 masses")
    exact = chain.shoot(1e-6)
    reduced = Bow(library, "larkspur, 16 nodes")
    ours = reduced.batch(effort.batch, arguments.step, effort.repeats)
    our_error = f"{1e3 * off(reduced.shoot(arguments.step), exact):.4f} mm"
    rows += against_scipy(chain, exact, (ours, our_error), effort, ", arrow of 16 masses")
    rows += against_cvode(chain, exact, (ours, our_error), effort, ", arrow of 16 masses")
    rows += against_mujoco(library, effort, min(arguments.step, SPEED_STEP))
    show(rows, arguments.markdown)


if __name__ == "__main__":
    main()
