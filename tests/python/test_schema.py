"""Schemas of files: they accept what the readers read, refuse what they refuse, and know every name that they know."""

import json
import pathlib
import re
import tomllib
from collections.abc import Callable
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import nockwise
import pytest
from nockwise import _schema
from nockwise._sweep_file import read_plan
from nockwise._sweep_plan import Options, make_plan

ROOT = pathlib.Path(__file__).resolve().parents[2]
# What examples/run has written there is no example.
EXAMPLES = sorted(file for file in (ROOT / "examples").glob("*/*.toml") if file.parent.name != "output")
KINDS = ("setup", "case", "calibration", "measurements", "sweep")


def schema(kind: Any) -> Any:
    return json.loads(nockwise.file_schema(kind))


def kind_of(file: pathlib.Path) -> str:
    """By the line for editors, which must be the first."""
    found = re.fullmatch(r"#:schema \.\./schemas/(\w+)\.json", file.read_text(encoding="utf-8").splitlines()[0])
    assert found, file
    return found[1]


def faults(kind: str, text: str) -> list[str]:
    validator = jsonschema.Draft202012Validator(schema(kind))
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(tomllib.loads(text))]


def test_examples_are_of_every_kind() -> None:
    assert {kind_of(file) for file in EXAMPLES} == set(KINDS)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_every_example_validates_by_its_first_line(file: pathlib.Path) -> None:
    assert faults(kind_of(file), file.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("kind", KINDS)
def test_schemas_are_schemas(kind: str) -> None:
    jsonschema.Draft202012Validator.check_schema(schema(kind))


def test_another_kind_is_refused() -> None:
    with pytest.raises(nockwise.InputError, match=r'kind = "cases": must be one of setup, case'):
        nockwise.file_schema("cases")  # type: ignore[arg-type]


CASE = 'format = 1\nsetup = "larkspur.toml"\n[[tears]]\nhigh = "1/2 in"\n'
SHEET = (
    'format = 1\n[measurements]\nname = "A"\nstop = "cable"\ncabling = "hybrid"\naxle_to_axle = "33 in"\n'
    'brace_height = "6.25 in"\ndraw_length = "29 in"\npeak_force = "65 lbf"\nlet_off = "85 %"\n'
)
CALIBRATION = 'format = 1\nsetup = "larkspur.toml"\n[[speeds]]\nspeed = "262 ft/s"\nerror = "1.5 ft/s"\n'
SWEEP = 'setup = "larkspur.toml"\noutputs = ["paper_tear.up"]\n[grid]\n"string.nocking_point" = ["0 in", "1/8 in"]\n'


def reader(kind: str, folder: pathlib.Path) -> Callable[[str], object]:
    def sweep(text: str) -> object:
        (folder / "plan.toml").write_text(text, encoding="utf-8")
        given = read_plan(str(folder / "plan.toml"))
        return make_plan(given["setup"], given["values"], None, given["outputs"], Options())

    return {
        "case": lambda text: nockwise.parse_case(text, folder),
        "calibration": lambda text: nockwise.parse_calibration_case(text, folder),
        "measurements": lambda text: nockwise.parse_measurements(text),
        "sweep": sweep,
    }[kind]


WRONG = [
    ("case", CASE, ""),
    ("case", CASE, 'hihg = "1/4 in"'),
    ("case", CASE, 'left = "1/4"'),
    ("case", CASE, "left = 0.25"),
    ("case", CASE, 'left = "1/4 lbf"'),
    ("case", CASE, 'left = "0,25 in"'),
    ("case", CASE, 'bare_shaft = "yes"'),
    ("case", CASE, 'changes_by = { "arrow.point_weight" = "50 gr" }'),
    ("case", CASE, "[checks]\nstop_gap = 0.24"),
    ("case", CASE, '[checks]\nstop_gap = { value = "0.24 in" }'),
    ("case", CASE, "[workshop]\ndraw_bord = true"),
    ("case", CASE, '[bow]\ndraw_length = "29 in"\naxle_to_axle = "33 in"\nbrace_height = "6 in"'),
    ("measurements", SHEET, ""),
    ("measurements", SHEET, 'peak_weight = "60 lbf"'),
    ("measurements", SHEET, 'rated_speed = "331 lb"'),
    ("measurements", SHEET, '[measurements.chronograph]\nspeed = "280 ft/s"'),
    ("measurements", SHEET.replace('"hybrid"', '"binary"'), 'center_above_grip = "20 mm"'),
    ("calibration", CALIBRATION, ""),
    ("calibration", CALIBRATION, 'changes_by = { "arrow.point_mass" = "50" }'),
    ("calibration", CALIBRATION, '[draw_board]\nreadings = [["10 in", "17.5 lbf"]]'),
    ("sweep", SWEEP, ""),
    ("sweep", SWEEP, '"string.nocking_pont" = ["0 in"]'),
    ("sweep", SWEEP, '"arrow.length" = { from = "27 in", to = "29 in" }'),
    ("sweep", SWEEP, '"arrow.length" = ["27 gr"]'),
    ("sweep", SWEEP.replace("paper_tear.up", "paper_tear.hihg"), '"arrow.length" = ["27 in"]'),
    ("sweep", SWEEP, "[options]\nstepp = 1"),
]


@pytest.mark.parametrize(("kind", "text", "wrong"), WRONG, ids=[f"{kind} {wrong[:30]}" for kind, _, wrong in WRONG])
def test_schema_and_reader_agree(kind: str, text: str, wrong: str, tmp_path: pathlib.Path) -> None:
    nockwise.write_setup(nockwise.demo("larkspur"), tmp_path / "larkspur.toml")
    read = reader(kind, tmp_path)
    if not wrong:
        assert faults(kind, text) == []
        read(text)
        return
    assert faults(kind, text + wrong)
    with pytest.raises(nockwise.InputError):
        read(text + wrong)


@pytest.mark.parametrize("quantity", [each for each in nockwise.Quantity if each != "dimensionless"])
def test_pattern_takes_what_the_parser_takes(quantity: nockwise.Quantity) -> None:
    pattern = re.compile(_schema._quantity(quantity)["pattern"])
    numbers = ("1", "-2.5", "+0.5", ".5", "1e-3", "−4", " 7 ")
    texts = [f"{number} {unit}" for number in numbers for unit in nockwise.units_of(quantity)]
    workshop = (
        '½ in|28-1/2 in|28½ in|6 3/4 in|29"|28.5 IN|300 fps|60 lbs|60 lb|60#|400 grains|8.5 gpi|2 inches|1/2 twist'
    )
    texts += [f"{number}{unit}" for number in ("1/2 ", "2") for unit in nockwise.units_of(quantity)]
    for text in (*texts, *workshop.split("|"), "28,5 in", "1/2", "12", "in", "3 parsec"):
        try:
            nockwise.parse_quantity(text, quantity)
        except nockwise.InputError:
            continue
        assert pattern.search(text), text
    assert not any(pattern.search(text) for text in ("1/2", "12", "28,5 in", "in", "½", ""))


def test_cases_have_every_name_that_the_reader_has() -> None:
    sources = ROOT / "lib" / "causes" / "case_reader.cpp", ROOT / "lib" / "calibration" / "file.cpp"
    known = {name for file in sources for name in re.findall(r'(?:entry|each)\.name == "(\w+)"', file.read_text())}
    known |= set(re.findall(r'\{"(\w+)", &workshop\.', sources[0].read_text()))
    assert len(known) > 30
    shown = set(re.findall(r'"(\w+)":', nockwise.file_schema("case") + nockwise.file_schema("calibration")))
    assert known - shown == set()
