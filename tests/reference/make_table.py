#!/usr/bin/env python3
"""Turn the rows that the tests leave (tests/check_table.hpp) into the table of tests/checks.md and the README's counts.

    rm -f /tmp/checks.jsonl
    NOCKWISE_CHECK_TABLE=/tmp/checks.jsonl ctest --test-dir .build/dev
    python3 tests/reference/make_table.py /tmp/checks.jsonl --write

`--check` fails when what stands between the markers is stale. Numbers are rounded so that two machines agree: deviations
are given as a bound of one digit (1, 2 or 5), and below 1e-9 as that.
"""

from __future__ import annotations

import argparse
import collections
import json
import math
import re
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
DISAGREES = "disagrees"  # check_table.hpp
STATUS = {
    "S": "read in the cited source",
    "S2": "second-hand",
    "M": "from memory, a range only",
    "C": "computed from a standard formula",
    "C×2": "computed by two independent methods",
    "O": "an independent oracle in this tree",
    "T": "facts of the trade (common practice, no source)",
}
FLOOR = 1e-9
HEADER = (
    "| what | source | status | expected | computed | deviation | allowed |",
    "|---|---|---|---|---|---|---|",
)

Row = dict[str, Any]


def natural(text: str) -> list[tuple[int, float, str]]:
    """Sort key in which 2 stands before 10."""
    parts = re.split(r"(\d+(?:\.\d+)?)", text)
    return [(0, float(part), "") if index % 2 else (1, 0.0, part) for index, part in enumerate(parts)]


def read_rows(path: Path) -> list[Row]:
    """Rows by source and what; of rows that were written twice, the last."""
    rows: dict[tuple[str, str], Row] = {}
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        try:
            row = json.loads(line)
            rows[(row["source"], row["what"])] = row
        except (json.JSONDecodeError, KeyError) as error:
            raise SystemExit(f"{path}:{number}: not a row of the check table ({error})") from error
    return [rows[key] for key in sorted(rows, key=lambda key: (natural(key[0]), natural(key[1])))]


def bound(value: float) -> str:
    """The next of 1, 2, 5 times a power of ten, as text: what `value` does not exceed."""
    if value <= FLOOR:
        return f"< {FLOOR:.0e}"
    exponent = math.floor(math.log10(value))
    for digit in (1, 2, 5, 10):
        if value <= digit * 10.0**exponent * (1.0 + 1e-9):
            return f"{digit * 10.0**exponent:.0e}"
    raise AssertionError(value)


def number(value: float) -> str:
    """Six digits; what is zero but for rounding as zero."""
    return "0" if abs(value) < FLOOR else f"{value:.6g}"


def cells(row: Row) -> list[str]:
    """The row's cells as text."""
    unit = f" {row['unit']}" if row["unit"] else ""
    if row["kind"] == "range":
        low, high = row["expected"]
        shown = [f"{number(low)} to {number(high)}{unit}", f"{row['computed']:.3g}{unit}", "", "range"]
    else:
        of = unit if row["kind"] == "absolute" else ""
        shown = [
            number(row["expected"]) + unit,
            number(row["computed"]) + unit,
            bound(row["deviation"]) + of,
            f"{row['tolerance']:.0e}{of}",
        ]
    return [text.replace("|", "\\|") for text in (row["what"], row["source"], row["status"], *shown)]


def table(rows: list[Row]) -> str:
    """The whole Markdown table."""
    lines = [*HEADER, *("| " + " | ".join(cells(row)) + " |" for row in rows)]
    return "\n".join(lines) + "\n"


def counts(rows: list[Row]) -> str:
    """How many rows there are, by status, and how many disagree."""
    by_status = collections.Counter(row["status"].split(",")[0] for row in rows)
    disagreeing = collections.Counter(row["status"].split(",")[0] for row in rows if DISAGREES in row["status"])
    lines = ["| checks against | rows | agree | disagree |", "|---|---|---|---|"]
    for status, meaning in STATUS.items():
        if by_status[status]:
            agreed = by_status[status] - disagreeing[status]
            lines.append(f"| {meaning} | {by_status[status]} | {agreed} | {disagreeing[status]} |")
    return "\n".join(lines) + "\n"


def split(path: Path, name: str) -> tuple[str, str, str]:
    """Text before, between and after the markers `name`."""
    text = path.read_text(encoding="utf-8")
    begin, end = f"<!-- {name}:begin -->", f"<!-- {name}:end -->"
    if text.count(begin) != 1 or text.count(end) != 1 or text.index(begin) > text.index(end):
        raise SystemExit(f"{path}: must hold {begin} and {end} once each, in this order")
    before, rest = text.split(begin)
    between, after = rest.split(end)
    return before + begin + "\n", between.removeprefix("\n"), end + after


def is_stale(path: Path, name: str, new: str) -> bool:
    """Whether the section of `path` is another than `new`; if so, says where."""
    _, old, _ = split(path, name)
    if old == new:
        return False
    stale = sorted(set(old.splitlines()) ^ set(new.splitlines()))
    print(f"{path}: {name} are stale ({len(stale)} lines differ); run make_table.py --write", file=sys.stderr)
    for line in stale[:10]:
        print(("- " if line in old else "+ ") + line, file=sys.stderr)
    return True


def main() -> int:
    """Print, write or check the table and the counts."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("rows", type=Path, help="JSON lines that the tests wrote")
    action = parser.add_mutually_exclusive_group()
    action.add_argument("--check", action="store_true", help="fail if a section is stale")
    action.add_argument("--write", action="store_true", help="rewrite the sections")
    arguments = parser.parse_args()

    rows = read_rows(arguments.rows)
    sections = [(ROOT / "tests/checks.md", "checks", table(rows)), (ROOT / "README.md", "counts", counts(rows))]
    if arguments.check:
        return 1 if any([is_stale(*section) for section in sections]) else 0
    for path, name, new in sections:
        if arguments.write:
            before, _, after = split(path, name)
            path.write_text(before + new + after, encoding="utf-8")
        else:
            sys.stdout.write(new + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
