"""The benchmarks that ctest cannot run: the library beside SciPy, SUNDIALS (where installed) and MuJoCo. Nothing is
measured; each runs once, so that none rots."""

import pathlib
import re
import subprocess
import sys

from conftest import ROOT

LIBRARY = ROOT / ".build" / "dev" / "bench" / "libnockwise_compare.so"


def test_comparison_runs(tmp_path: pathlib.Path) -> None:
    assert LIBRARY.exists(), "sh tests/run builds it"
    command = [sys.executable, str(ROOT / "bench" / "compare.py"), str(LIBRARY), "--smoke", "--markdown"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, check=False)
    assert done.returncode == 0, done.stderr
    rows = [line.split("|")[1].strip() for line in done.stdout.splitlines() if line.startswith("| ")]
    for who in ("SciPy solve_ivp", "SciPy solve_ivp, arrow of 16 masses", "MuJoCo"):
        assert any(row.startswith(who) for row in rows), f"{who} is not among {rows}"
    # Every row tells an error, a time and a ratio.
    table = [line for line in done.stdout.splitlines() if re.match(r"\| (SciPy|CVODE|MuJoCo)", line)]
    for line in table:
        assert re.search(r"\| \d+(\.\d+)? \| \d+(\.\d+)? \| .*\| \d+ \| \d+ \|$", line), line
