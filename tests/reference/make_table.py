#!/usr/bin/env python3
"""Turn the rows that the tests leave (tests/check_table.hpp) into the README's table of checks.

    rm -f /tmp/checks.jsonl
    NOCKWISE_CHECK_TABLE=/tmp/checks.jsonl ctest --test-dir .build/dev
    python3 tests/reference/make_table.py /tmp/checks.jsonl --write README.md

`--check README.md` fails when the section between the two markers is stale. Numbers are rounded so that two machines
agree: deviations are given as a bound of one digit (1, 2 or 5), and below 1e-9 as that.
"""

from __future__ import annotations

import argparse
import json
import math
import re
import sys
from pathlib import Path
from typing import Any

BEGIN = "<!-- checks:begin -->"
END = "<!-- checks:end -->"
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


def split(text: str, path: Path) -> tuple[str, str, str]:
    """Text before, between and after the markers."""
    if text.count(BEGIN) != 1 or text.count(END) != 1 or text.index(BEGIN) > text.index(END):
        raise SystemExit(f"{path}: must hold {BEGIN} and {END} once each, in this order")
    before, rest = text.split(BEGIN)
    between, after = rest.split(END)
    return before + BEGIN + "\n", between.removeprefix("\n"), END + after


def main() -> int:
    """Print, write or check the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("rows", type=Path, help="JSON lines that the tests wrote")
    action = parser.add_mutually_exclusive_group()
    action.add_argument("--check", type=Path, metavar="README", help="fail if the section in README is stale")
    action.add_argument("--write", type=Path, metavar="README", help="rewrite the section in README")
    arguments = parser.parse_args()

    new = table(read_rows(arguments.rows))
    target = arguments.check or arguments.write
    if target is None:
        sys.stdout.write(new)
        return 0
    before, old, after = split(target.read_text(encoding="utf-8"), target)
    if arguments.write:
        target.write_text(before + new + after, encoding="utf-8")
        return 0
    if old == new:
        return 0
    stale = sorted(set(old.splitlines()) ^ set(new.splitlines()))
    print(f"{target}: the table of checks is stale ({len(stale)} lines differ); run make_table.py --write", file=sys.stderr)
    for line in stale[:10]:
        print(("- " if line in old else "+ ") + line, file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
