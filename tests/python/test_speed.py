"""The measurements of bindings/bench/measure.py run; what they find belongs on a quiet machine, not in a test."""

import pathlib
import sys
from typing import Any

import nockwise

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2] / "bindings" / "bench"))
import measure as measure_  # type: ignore[import-not-found,unused-ignore]

measure: Any = measure_


def test_the_cost_of_a_launch_is_measured(model: nockwise.Model) -> None:
    assert measure.launch_cost(model, rounds=1, count=2) > 0.0


def test_the_cost_of_a_sweep_is_measured() -> None:
    assert measure.sweep_cost(50)[1] > 0.0
