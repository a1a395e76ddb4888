"""Typical mistakes of newcomers, each with what is said of it: where it stands, what is wrong, what would be right.

The list is our own: what people who know bows but not this tool write into files and commands. Every message must be
understood without the source, so the tests hold its words, and that a file's mistake is told with the file.
"""

import pathlib
import re
from typing import NamedTuple

import pytest
from nockwise.__main__ import main

BOW, CASE, SHEET, PLAN = (
    "setups/larkspur.toml",
    "cases/came-in.toml",
    "setups/coppice-sheet.toml",
    "sweeps/nocking-point.toml",
)


class InFile(NamedTuple):
    """A wrong edit of a file of the demonstration, the command that reads it, and what is said."""

    file: str
    right: str
    wrong: str
    command: str
    said: str


MASS = 'mass = "2.3 kg"'
IN_FILES = [
    # Numbers and units.
    InFile(
        BOW, MASS, 'mass = "2.3"', "inspect", 'riser.mass = "2.3": must be a mass in kg, g, mg, gr, oz or lb (the unit'
    ),
    InFile(BOW, MASS, "mass = 2.3", "inspect", 'riser.mass = "2.3": must have a unit and quotes: write "2.3 kg"'),
    InFile(
        BOW, MASS, 'mass = "2.3 in"', "inspect", "must be a mass in kg, g, mg, gr, oz or lb (in is a unit of length)"
    ),
    InFile(BOW, MASS, 'mass = "2,3 kg"', "inspect", "write a point or nothing, as in 28.5 or 1500"),
    InFile(BOW, '"3000 N/m"', '"3,000 N/m"', "inspect", "a comma may be a decimal sign or mark thousands"),
    InFile(BOW, MASS, 'mass = "230 kg"', "inspect", 'riser.mass = "230 kg": must be from 0.2 kg to 10 kg'),
    InFile(SHEET, '"33 in"', '"2\' 9"', "build", 'feet and inches: write all of it in inches, "33 in"'),
    InFile(SHEET, '"331 ft/s"', '"331 lbs"', "build", "must be a speed in m/s, km/h or ft/s (lbs is a unit of mass)"),
    InFile(SHEET, '"85 %"', '"0.85"', "build", 'the unit is missing: write "85 %"'),
    # Names and words.
    InFile(BOW, MASS, 'mas = "2.3 kg"', "inspect", "riser.mas: there is no such name here; the nearest is mass"),
    InFile(BOW, "[riser]", "[risers]", "inspect", "risers: there is no such name here; the nearest is riser"),
    InFile(BOW, '"right"', '"righty"', "inspect", 'handedness = "righty": must be right or left'),
    InFile(SHEET, '"hybrid"', '"binary"', "build", 'cabling = "binary": must be yoke, hybrid or crossed'),
    InFile(SHEET, "peak_force", "peak_weight", "build", "measurements.peak_weight: there is no such name here"),
    # TOML itself.
    InFile(BOW, MASS, 'mass = "2.3 kg', "inspect", "is a closing quote missing on this line?"),
    InFile(BOW, MASS, "mass = 2.3 kg", "inspect", 'numbers with a unit stand in quotes, as in mass = "2.3 kg"'),
    InFile(BOW, MASS, "mass =", "inspect", "a value is missing behind the equals sign"),
    InFile(BOW, MASS, f"{MASS}\n{MASS}", "inspect", "cannot redefine existing string 'mass' (it is given twice)"),
    InFile(CASE, "[[tears]]", "[tears]", "explain", "what there are several of is written under [[name]] each time"),
    # What a file must have.
    InFile(BOW, "format = 1", "", "inspect", "format: must be given: begin the file with format = 1"),
    InFile(BOW, "format = 1", "format = 2", "inspect", 'format = "2": must be 1, the version that is read here'),
    InFile(BOW, 'kind = "limb_driven"', "", "inspect", "rest.kind: must be given, because the tear depends on it"),
    InFile(
        SHEET, 'draw_length = "29 in"', "", "build", "measurements.draw_length: must be given: draw length at the wall"
    ),
    InFile(SHEET, 'let_off = "85 %"', "", "build", "measurements.let_off: must be given: let-off"),
    InFile(
        CASE,
        'high = "1/2 in"\nleft = "0 in"',
        "",
        "explain",
        "tears: must say how the tail tears: high or low, left or",
    ),
    InFile(CASE, ', error = "1/64 in"', "", "explain", "must give a value and its error, both with a unit"),
    InFile(PLAN, "[grid]", "[gird]", "sweep", "gird: must be one of changes, grid, options, outputs, samples, setup"),
    # The wrong kind of file.
    InFile(
        CASE,
        "",
        "",
        "inspect",
        "must be a setup file, but this is a case file; read_case() and `nockwise explain` read",
    ),
    InFile(BOW, "", "", "explain", "must be a case file, but this is a setup file"),
    InFile(BOW, "", "", "build", "must be a file of measurements of a bow, but this is a setup file"),
    InFile(
        SHEET, "", "", "draw", "but this is a file of measurements of a bow; read_measurements() and `nockwise build`"
    ),
    InFile(CASE, "", "", "sweep", "must be a sweep file, but this is a case file"),
    # Cases.
    InFile(
        CASE, "larkspur.toml", "larkspurr.toml", "explain", "must name a setup file; there is none of this name in /"
    ),
    InFile(CASE, '"1/2 in"', '"1/2 in"\nlow = "0 in"', "explain", "must be given once: high or low, left or right"),
    InFile(CASE, '"1/2 in"', '"50 in"', "explain", 'tears.high = "50 in": must be from'),
    InFile(CASE, "stop_gap", "stop_gapp", "explain", "is no check that is known here; the nearest is stop_gap"),
    InFile(
        CASE, "bare_shaft = true", 'bare_shaft = "yes"', "explain", 'tears.bare_shaft = "yes": must be true or false'
    ),
    InFile(CASE, "bare_shaft = true", 'trial = { "cables.upper" = 1 }', "explain", "the nearest is cable.upper"),
    InFile(
        CASE,
        "bare_shaft = true",
        'changes = { "arrow.point_weight" = "9 g" }',
        "explain",
        "the nearest is arrow.point_mass",
    ),
    # Sweeps.
    InFile(PLAN, "paper_tear.up", "paper_tear.upp", "sweep", "there is no such output; the nearest is paper_tear.up"),
    InFile(PLAN, "string.nocking_point", "string.nocking_pont", "sweep", "the nearest is string.nocking_point"),
    InFile(PLAN, "count = 9", "count = 0", "sweep", "must be a whole number, at least 1"),
    InFile(PLAN, '"-1/8 in"', '"-1/8"', "sweep", 'the unit is missing: write "-1/8 in"'),
]

COMMANDS = [
    (
        ["inspect", "setups/nope.toml"],
        '"setups/nope.toml": must be a file that can be read: there is none of this name',
    ),
    (["inspect", "setups"], '"setups": must be a file that can be read: this is a folder'),
    (["shoot", BOW, "--set", "string.nocking_point"], '--set = "string.nocking_point": must read PATH=VALUE'),
    (
        ["shoot", BOW, "--set", "string.nockingpoint=1 in"],
        "there is no such parameter; the nearest is string.nocking_point",
    ),
    (
        ["shoot", BOW, "--set", "arrow.spine=250000 spine"],
        'arrow.spine = "250000 spine": must be from 85 spine to 3150',
    ),
    (["shoot", BOW, "--set", "arrow.length=20 in"], "must reach past the rest at full draw"),
    (
        ["shoot", BOW, "--paper", "6"],
        '--paper = "6": must be a length in m, cm, mm, µm, in, ft or yd (the unit is missing',
    ),
    (["draw", BOW, "--plot", "draw.xyz"], '--plot = "draw.xyz": must end in one of'),
    (["explain", CASE, "--report", "why.pdf"], 'report = "why.pdf": must end with .html, .md or .json'),
    (["mirror", BOW, BOW], "must not be there yet: nothing is written over"),
    (["group", BOW, "--distance", "50 yd", "--archer", "pro"], "must be one of beginner, club, expert, machine"),
    (["predict", BOW, "--output", "tear"], 'outputs = "tear": must be one of tear_up, tear_right'),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    there = tmp_path_factory.mktemp("newcomer") / "demo"
    assert main(["demo", str(there)]) == 0
    return there


def test_there_are_forty_four_and_more() -> None:
    assert len(IN_FILES) + len(COMMANDS) >= 44


@pytest.mark.parametrize("one", IN_FILES, ids=lambda one: f"{one.command} {one.wrong}"[:40].replace("\n", " "))
def test_a_mistake_in_a_file_is_told_with_its_place(
    one: InFile, folder: pathlib.Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (folder / one.file).read_text(encoding="utf-8")
    assert one.right in text
    file = (folder / one.file).with_name("mine.toml")
    file.write_text(text.replace(one.right, one.wrong, 1) if one.right else text, encoding="utf-8")
    assert main([one.command, str(file)]) == 2
    said = capsys.readouterr().err
    assert one.said in said
    assert re.match(rf"nockwise: {re.escape(str(file))}(:\d+:\d+)?: ", said)


@pytest.mark.parametrize(("arguments", "said"), COMMANDS, ids=lambda value: " ".join(value)[:40])
def test_a_mistake_on_the_command_line_is_told(
    arguments: list[str],
    said: str,
    folder: pathlib.Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(folder)
    assert main(arguments) == 2
    assert said in capsys.readouterr().err
