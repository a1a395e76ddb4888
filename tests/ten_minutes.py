"""Time the way from a clone to an own answer, by the lines that the manual prints.

usage: python3 tests/ten_minutes.py [--commands FOLDER] [--limit SECONDS]

Clones this repository as it is committed into an empty folder, and runs what examples/manual/ten_minutes.md says, by
section: install, first picture, own bow, own case, own sweep. Prints what each took on the wall, and fails where a
line fails, leaves nothing behind, or all takes longer than the limit (600 s). Debian's packages must be there
(`sh .setup/packages.sh`). `--commands` skips the installation: a folder that holds a `nockwise` of this tree.
"""

from __future__ import annotations

import argparse
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[1]
PAGE = "examples/manual/ten_minutes.md"
# What a person would read off an own bow; invented, as the demonstration's are.
OWN_SHEET = """\
format = 1
[measurements]
name = "my own bow"
stop = "limb"
cabling = "crossed"
axle_to_axle = "32 1/2 in"
brace_height = "6 1/2 in"
draw_length = "28 1/2 in"
peak_force = "58 lbs"
let_off = "80 %"
"""
# Sections of the page, and what each must leave in the folder of the demonstration.
SECTIONS = {
    "Install": ["setups/larkspur.toml", "schemas/setup.json"],
    "A first picture": ["paper.png"],
    "Your own bow": ["bow.toml"],
    "Your own case": ["why.html"],
    "Your own sweep": ["table.csv"],
}


def blocks_of(page: str, section: str, language: str) -> list[str]:
    """The code blocks of one section."""
    text = page.split(f"\n## {section}\n", 1)[1].split("\n## ", 1)[0]
    return re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL)


def run(lines: str, folder: pathlib.Path, environment: dict[str, str]) -> None:
    """Run lines, each in a shell of its own; what they print is shown where one fails."""
    for line in lines.strip().splitlines():
        print(f"$ {line}", flush=True)
        done = subprocess.run(
            ["sh", "-c", line], cwd=folder, env=environment, check=False, capture_output=True, text=True
        )
        if done.returncode > 1:  # 1 is an answer: the case could not be explained, or a sample failed
            sys.exit(f"{done.stdout}\n{done.stderr}\nended with {done.returncode}: {line}")


def main() -> int:
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--commands", type=pathlib.Path, help="folder of an installed nockwise; skips the installation")
    parser.add_argument("--limit", type=float, default=600.0, metavar="SECONDS")
    options = parser.parse_args()
    seconds: dict[str, float] = {}
    with tempfile.TemporaryDirectory(prefix="ten-minutes-") as empty:
        clone = pathlib.Path(empty) / "nockwise"
        subprocess.run(["git", "clone", "--quiet", str(ROOT), str(clone)], check=True)
        page = (clone / PAGE).read_text(encoding="utf-8")
        own = clone / "alder-lane"
        commands = options.commands.resolve() if options.commands else clone / ".venv" / "bin"
        environment = {**os.environ, "PATH": f"{commands}:{os.environ['PATH']}"}
        for section, left in SECTIONS.items():
            start = time.perf_counter()
            lines = "".join(blocks_of(page, section, "sh"))
            texts = blocks_of(page, section, "toml")
            if section == "Install":
                lines = "\n".join(line for line in lines.splitlines() if not line.startswith(("sh .setup", "cd ")))
                lines = "nockwise demo alder-lane" if options.commands else lines
            elif section == "Your own bow":
                (own / "sheet.toml").write_text(OWN_SHEET, encoding="utf-8")
                lines = "nockwise build sheet.toml --out bow.toml\nnockwise inspect bow.toml\n"
            for text in texts:
                name = "case.toml" if "[[tears]]" in text else "sweep.toml"
                (own / name).write_text(text, encoding="utf-8")
            run(lines, clone if section == "Install" else own, environment)
            seconds[section] = time.perf_counter() - start
            missing = [file for file in left if not (own / file).is_file()]
            if missing:
                sys.exit(f"{section}: there is no {', '.join(missing)}")
    total = sum(seconds.values())
    for section, each in {**seconds, "all": total}.items():
        print(f"{section:<16} {each:7.1f} s")
    return 0 if total <= options.limit else 1


if __name__ == "__main__":
    sys.exit(main())
