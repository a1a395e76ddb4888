"""Python costs little: a launch within 5 % of C++, a sweep bound by its kernel (figures: bindings/bench/measure.py)."""

import pathlib
import sys
from typing import Any

import nockwise

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2] / "bindings" / "bench"))
import measure as measure_  # type: ignore[import-not-found,unused-ignore]

measure: Any = measure_


def test_a_launch_costs_what_it_costs_in_cpp(model: nockwise.Model) -> None:
    ratios = [measure.launch_cost(model, rounds=5, count=15)]
    while ratios[-1] > 1.05 and len(ratios) < 4:  # another program may have had the core
        ratios.append(measure.launch_cost(model, rounds=5, count=15))
    assert ratios[-1] <= 1.05


def test_a_sweep_is_bound_by_its_kernel() -> None:
    ratios = [measure.sweep_cost(2000)[1]]
    while ratios[-1] > 1.1 and len(ratios) < 4:
        ratios.append(measure.sweep_cost(2000)[1])
    assert ratios[-1] <= 1.1
