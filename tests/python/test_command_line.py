"""The command line: texts, JSON, exit codes."""

import csv
import json
import os
import pathlib
import subprocess
import sys
from typing import Any

import nockwise
import pytest
from nockwise.__main__ import main


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_as_a_program(setup_file: pathlib.Path) -> None:
    command = [sys.executable, "-m", "nockwise", "inspect", str(setup_file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "can be used" in done.stdout


@pytest.mark.parametrize("command", ["inspect", "draw", "shoot"])
def test_text_and_json(capsys: Any, setup_file: pathlib.Path, command: str) -> None:
    code, text, _ = run(capsys, command, str(setup_file))
    assert code == 0
    assert "Larkspur" in text
    code, text, _ = run(capsys, command, str(setup_file), "--json")
    assert code == 0
    assert json.loads(text)["name"].startswith("Larkspur")


@pytest.mark.parametrize("command", ["demo", "completion", "schema", "schema --all", "paths"])
def test_json_of_what_shoots_nothing(capsys: Any, tmp_path: pathlib.Path, command: str) -> None:
    name, *options = command.split()
    argument = {"demo": str(tmp_path / "shop"), "completion": "bash", "schema": "case", "paths": "shim"}[name]
    code, text, _ = run(capsys, name, *options, str(tmp_path / "forms") if options else argument, "--json")
    assert code == 0
    told = json.loads(text)
    known = {
        "demo": "files",
        "completion": "script",
        "schema": "files" if options else "$schema",
        "paths": "parameters",
    }
    assert told[known[name]]


def test_json_has_the_numbers_of_the_library(capsys: Any, setup_file: pathlib.Path, shot: Any, tear: Any) -> None:
    _, text, _ = run(capsys, "shoot", str(setup_file), "--json")
    told = json.loads(text)
    assert told["launch"]["exit_speed"] == shot.exit_speed
    assert told["launch"]["lean_full_draw"]["upper"] == shot.lean_full_draw.upper
    assert told["paper_tear"]["up"] == tear.up
    assert told["tear_in_words"] == nockwise.describe_tear(tear)


def test_changes(capsys: Any, setup_file: pathlib.Path) -> None:
    _, before, _ = run(capsys, "shoot", str(setup_file), "--json")
    for change in ("string.nocking_point=2 mm", "string.nocking_point=0.002"):
        _, after, _ = run(capsys, "shoot", str(setup_file), "--json", "--set", change)
        assert json.loads(after)["paper_tear"]["up"] != json.loads(before)["paper_tear"]["up"]
    code, _, error = run(capsys, "shoot", str(setup_file), "--set", "string.nockingpoint=2 mm")
    assert (code, "string.nocking_point" in error) == (2, True)
    code, _, error = run(capsys, "shoot", str(setup_file), "--set", "string.nocking_point")
    assert (code, "PATH=VALUE" in error) == (2, True)


def test_plots(capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    for command in ("draw", "shoot"):
        file = tmp_path / f"{command}.png"
        assert run(capsys, command, str(setup_file), "--plot", str(file))[0] == 0
        assert file.stat().st_size > 5000


def test_exit_codes(capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text('format = 1\n[arrow]\nlength = "28 lbf"\n')
    code, _, error = run(capsys, "inspect", str(bad))
    assert (code, f"{bad}:3:" in error) == (2, True)
    code, text, _ = run(capsys, "inspect", str(bad), "--json")
    assert code == 2
    assert json.loads(text)["error"]["line"] == 3
    code, _, error = run(capsys, "draw", str(setup_file), "--set", "string.length=0.5")
    assert (code, bool(error)) == (3, True)
    code, _, _ = run(capsys, "draw", str(setup_file), "--plot", str(tmp_path / "no" / "where.png"))
    assert code == 4
    with pytest.raises(SystemExit) as caught:
        main(["tune"])
    assert caught.value.code == 2


def test_sweep(capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    plan = tmp_path / "plan.toml"
    head = f'setup = "{setup_file}"\noutputs = ["paper_tear.up", "launch.exit_speed"]\n'
    plan.write_text(head + '[grid]\n"string.nocking_point" = { from = "-1 mm", to = "1 mm", count = 3 }\n')
    table = tmp_path / "table.csv"
    code, text, error = run(capsys, "sweep", str(plan), "--csv", str(table), "--store", str(tmp_path / "store"))
    assert code == 0, error
    assert "3 samples, 0 failed" in text
    assert len(table.read_text().splitlines()) == 4
    code, text, _ = run(capsys, "sweep", str(plan), "--json")
    assert json.loads(text)["data"]["string.nocking_point"] == [-0.001, 0.0, 0.001]
    plan.write_text(head + '[[samples]]\n"string.length" = 0.5\n')
    code, text, _ = run(capsys, "sweep", str(plan))
    assert (code, "first failure" in text) == (1, True)
    assert run(capsys, "sweep", str(plan), "--csv", str(table))[0] == 1
    with table.open() as file:
        (row,) = csv.DictReader(file)
    assert (row["string.length"], row["paper_tear.up"], row["status"]) == ("0.5", "", "2")
    assert row["message"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("outputs = []\n", "must give setup"),
        ("{head}", "either grid or samples"),
        ("{head}[grids]\n", "grids: must be one of changes, grid"),
        ('{head}[grid]\n"arow.length" = [1]\n', "arrow.length"),
        ('{head}[grid]\n"arrow.length" = ["28 lbf"]\n', "must be a length"),
        ('{head}[grid]\n"arrow.length" = {{ from = "28 in", to = "29 lbf", count = 3 }}\n', "must be a length"),
        ('{head}[grid]\n"arrow.length" = {{ from = "28 in", to = "29 in", count = 0 }}\n', "at least 1"),
        ('{head}[grid]\n"arrow.length" = {{ from = "28 in", to = "29 in" }}\n', "from, to and count"),
        ('{head}[grid]\n"arrow.length" = [[0.7]]\n', "list of at least one"),
        ("{head}samples = []\n", "at least one parameter"),
        ("{head}samples = [1]\n", "list of mappings"),
        ('{head}[changes]\n"arrow.length" = "x"\n[grid]\n"rest.height" = [0.03]\n', "must be a length"),
        ('{head}[options]\nstride = 1\n[grid]\n"rest.height" = [0.03]\n', "is no option"),
        ('{head}[options]\nstep = "x"\n[grid]\n"rest.height" = [0.03]\n', "step"),
        ('setup = 3\n[grid]\n"rest.height" = [0.03]\n', 'setup = "3": must be text'),
        ('setup = "nowhere.toml"\n[grid]\n"rest.height" = [0.03]\n', "nowhere.toml"),
        ("setup = \n", "this is not TOML"),
    ],
)
def test_bad_sweep_files(capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path, text: str, words: str) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(text.format(head=f'setup = "{setup_file}"\noutputs = ["launch.exit_speed"]\n'))
    code, _, error = run(capsys, "sweep", str(plan))
    assert code == 2, error
    assert words in error
    assert error.count("\n") == 1


def test_files_that_cannot_be_used(capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    picture = tmp_path / "picture.png"
    picture.write_bytes(bytes(range(256)))
    for command in ("inspect", "build", "draw", "shoot", "sweep", "explain"):
        for file in (tmp_path / "nowhere.toml", tmp_path, picture):
            code, _, error = run(capsys, command, str(file))
            assert (code, error.count("\n")) == (2, 1), error
            code, text, _ = run(capsys, command, str(file), "--json")
            assert (code, json.loads(text)["exit_code"]) == (2, 2)
    code, _, error = run(capsys, "draw", str(setup_file), "--plot", "curve.nope")
    assert (code, ".png" in error) == (2, True)
    code, _, error = run(capsys, "shoot", str(setup_file), "--paper", "6 lbf")
    assert (code, "--paper" in error) == (2, True)


DEEP = "a." * 30_000 + "a"
HOSTILE = "\\u001b[2J\\u009b31m\\u202e\\n# Heading | <script>"


@pytest.mark.parametrize("command", ["inspect", "build", "draw", "shoot", "sweep", "explain"])
def test_files_that_would_break_a_parser(capsys: Any, tmp_path: pathlib.Path, command: str) -> None:
    """Each is refused at once, in one line."""
    for name, text in (("key", f"{DEEP} = 1\n"), ("table", f"[{DEEP}]\n"), ("list", "x = " + "[" * 60_000)):
        file = tmp_path / f"{name}.toml"
        file.write_text("format = 1\n" + text)
        code, _, error = run(capsys, command, str(file))
        assert (code, error.count("\n")) == (2, 1), error
        assert "deeper than 16 levels" in error
    large = tmp_path / "large.toml"
    with large.open("wb") as made:
        made.truncate(16_000_001)
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for refused, words in (
        (large, "larger than 16 MB"),
        (pipe, "a pipe or a device"),
        ("/dev/zero", "a pipe or a device"),
    ):
        code, _, error = run(capsys, command, str(refused))
        assert (code, words in error) == (2, True), error
    code, _, error = run(capsys, command, "")
    assert (code, "file: must be a file" in error) == (2, True), error


def test_files_of_another_kind(capsys: Any, setup_file: pathlib.Path) -> None:
    cases = setup_file.parents[1] / "cases"
    for command, file, words in (
        ("inspect", cases / "came-in.toml", "this is a case file"),
        ("draw", setup_file.parent / "larkspur-measured.toml", "this is a file of measurements of a bow"),
        ("build", setup_file, "this is a setup file"),
        ("explain", cases / "larkspur-calibration.toml", "for a calibration"),
        ("explain", setup_file, "this is a setup file"),
        ("sweep", setup_file, "this is a setup file"),
    ):
        code, _, error = run(capsys, command, str(file))
        assert (code, words in error) == (2, True), error


def test_names_of_a_file_do_not_rule_the_terminal(
    capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    file = tmp_path / "hostile.toml"
    text = setup_file.read_text()
    file.write_text(text.replace('name = "Larkspur 33"', f'name = "{HOSTILE}"'))
    for arguments in (("inspect",), ("shoot",), ("draw",), ("inspect", "--json"), ("shoot", "--json")):
        code, told, error = run(capsys, arguments[0], str(file), *arguments[1:])
        assert code == 0, error
        assert not any(c < " " and c != "\n" for c in told)
        assert not set(told) & {"\x7f", "\x9b", "\u202e"}
        assert "# Heading" not in told.splitlines()
    told = run(capsys, "inspect", str(file), "--json")[1]
    assert json.loads(told)["name"].startswith("\x1b[2J\x9b31m\u202e\n# Heading")
    file.write_text(text.replace('handedness = "right"', f'handedness = "{HOSTILE}"'))
    error = run(capsys, "inspect", str(file))[2]
    assert error.count("\n") == 1
    assert "\\x1b[2J\\x9b31m\\u202e" in error


def test_what_was_assumed_is_listed(capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "less.toml"
    file.write_text(setup_file.read_text().replace("nodes = 24", "").replace("nock_hold", "#"))
    code, text, _ = run(capsys, "inspect", str(file))
    assert code == 0
    assert "  arrow.nock_hold = 8 N\n" in text
    assert "  arrow.nodes = 24\n" in text
    assert json.loads(run(capsys, "inspect", str(file), "--json")[1])["assumed"]["arrow.nodes"] == "24"
    assert "assumed: 2 values" in run(capsys, "shoot", str(file))[1]
    assert "arrow.nodes" not in run(capsys, "inspect", str(file), "--set", "arrow.nodes=24")[1]
    assert "assumed" not in run(capsys, "inspect", str(setup_file))[1]


def test_a_report_that_cannot_be_written_is_told_before(
    capsys: Any, setup_file: pathlib.Path, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = tmp_path / "case.toml"
    case.write_text(f'format = 1\nsetup = "{setup_file}"\n[[tears]]\nhigh = "1 in"\n')
    monkeypatch.setattr(nockwise._core, "explain", None)  # is not to be reached
    code, _, error = run(capsys, "explain", str(case), "--report", str(tmp_path / "no" / "where.md"))
    assert (code, "there is no folder" in error) == (4, True), error
    code, _, error = run(capsys, "explain", str(case), "--report", "report.pdf")
    assert (code, "must end with .html, .md or .json" in error) == (2, True), error
    case.write_text('format = 1\nsetup = "nowhere.toml"\n')
    code, _, error = run(capsys, "explain", str(case))
    assert (code, f"{case}:2:1" in error, str(tmp_path) in error) == (2, True, True), error


def test_pipes(setup_file: pathlib.Path) -> None:
    """A reader that has enough is no error; a full disk is one."""
    for tail, code in (("| head -c 1 >/dev/null", 0), ("> /dev/full", 4)):
        command = f'"{sys.executable}" -m nockwise inspect "{setup_file}" --json {tail}; exit ${{PIPESTATUS[0]}}'
        done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
        assert done.returncode == code
        assert "Traceback" not in done.stderr


def test_a_fault_of_ours_has_its_own_code(capsys: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def fault() -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(nockwise._core, "json_schema", fault)
    code, _, error = run(capsys, "schema")
    assert (code, "ZeroDivisionError" in error) == (70, True)


def test_schema_and_paths(capsys: Any) -> None:
    assert json.loads(run(capsys, "schema")[1])["title"]
    code, text, _ = run(capsys, "paths", "spine")
    assert (code, "arrow.spine" in text) == (0, True)
    assert run(capsys, "paths", "xylophone")[0] == 1


def test_inspect_tells_what_it_can_of_a_bow_that_cannot_be_shot(
    capsys: pytest.CaptureFixture[str], setup_file: pathlib.Path
) -> None:
    code, out, _ = run(capsys, "inspect", str(setup_file), "--set", "arrow.length=15 in")
    assert code == 1
    assert "at brace:" in out
    assert "stored energy" in out
    assert "the shot cannot be computed: arrow.length" in out
    code, out, _ = run(capsys, "inspect", str(setup_file))
    assert code == 0
    assert "exit speed" in out
