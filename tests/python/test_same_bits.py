"""Every number that the C++ program prints, Python gives too, to the bit."""

import json
import os
import pathlib
import subprocess
from typing import Any

import nockwise
import numpy as np
import pytest

from conftest import ROOT, SETUPS

PROGRAM = next(
    (
        path
        for path in (
            pathlib.Path(os.environ.get("NOCKWISE_LAUNCH_PROGRAM", "")),
            ROOT / ".build" / "dev" / "examples" / "nockwise_launch",
            ROOT / ".build" / "release" / "examples" / "nockwise_launch",
        )
        if path.is_file()
    ),
    None,
)
# Told by the program under another name than in the library.
RENAMED: dict[str, str] = {"nock_above_arrow_rest": "arrow_square"}
TOLD_APART = {"distance", "in_words"}


def compare(told: Any, result: Any, where: str) -> int:
    """Count the numbers that were compared."""
    if isinstance(told, dict):
        counts = [
            compare(value, getattr(result, RENAMED.get(str(key), str(key))), f"{where}.{key}")
            for key, value in told.items()
            if key not in TOLD_APART and key != "points"
        ]
        return sum(counts)
    if isinstance(result, np.ndarray):
        assert np.array_equal(np.ravel(told), np.ravel(result)), where
        return int(result.size)
    if isinstance(told, list):
        assert len(told) == len(result), where
        return sum(compare(a, b, f"{where}[{i}]") for i, (a, b) in enumerate(zip(told, result, strict=True)))
    assert told == result, where
    return 1


@pytest.mark.skipif(PROGRAM is None, reason="needs the built example nockwise_launch")
@pytest.mark.parametrize("name", ["larkspur", "alder", "wheelwright"])
def test_program_and_python(name: str) -> None:
    file = SETUPS / f"{name}.toml"
    done = subprocess.run([str(PROGRAM), str(file), "--json", "--trace"], check=False, capture_output=True, text=True)
    told = json.loads(done.stdout)
    model = nockwise.Model(nockwise.read_setup(file))
    cycle = nockwise.draw_cycle(model)
    shot = nockwise.launch(model, trace=True)
    count = compare(told["brace"], model.brace, "brace") + compare(told["arrow"], model.arrow, "arrow")
    count += compare(told["draw"], cycle, "draw") + compare(told["launch"], shot, "launch")
    if shot.ended_by == "arrow_clear":
        tear = nockwise.paper_tear(model, shot)
        count += compare(told["paper"], tear, "paper")
        count += compare(told["target"], nockwise.target_impact(model, shot), "target")
        assert told["chronograph_speed"] == nockwise.chronograph_speed(model, shot)
        assert told["paper"]["in_words"] == nockwise.describe_tear(tear)
    for index, point in enumerate(told["draw"]["points"]):
        for key, value in point.items():
            assert np.array_equal(cycle.points[index][key], value), (index, key)
    assert count > 5000
