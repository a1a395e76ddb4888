"""Examples in the help of the command line, run in the folder that `nockwise demo` writes; completion; demo bows."""

import inspect
import pathlib
import shlex
import subprocess
import sys
from typing import Any

import nockwise
import pytest
from nockwise.__main__ import main, parser
from nockwise._examples import EXAMPLES

COMMANDS = next(action for action in parser()._actions if action.dest == "command").choices
SHELL = {"completion", "demo"}  # tried below


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    place = tmp_path_factory.mktemp("demo") / "alder-lane"
    assert main(["demo", str(place)]) == 0
    return place


def test_every_command_has_an_example() -> None:
    assert set(EXAMPLES) == set(COMMANDS or {})
    for name, lines in EXAMPLES.items():
        assert all(line.startswith(f"nockwise {name} ") or line == f"nockwise {name}" for line in lines)


@pytest.mark.parametrize("line", [line for name, lines in EXAMPLES.items() if name not in SHELL for line in lines])
def test_examples_run(folder: pathlib.Path, line: str, monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    monkeypatch.chdir(folder)
    words = shlex.split(line.split(" > ")[0])
    assert main(words[1:]) == 0, capsys.readouterr().err
    assert capsys.readouterr().out


def test_demo_folder_is_not_written_over(folder: pathlib.Path, capsys: Any) -> None:
    assert main(["demo", str(folder)]) == 2
    assert "must not be there yet" in capsys.readouterr().err


@pytest.mark.parametrize("shell", ["bash", "zsh"])
def test_completion(shell: str, capsys: Any) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert all(word in script for word in ("explain", "--ignorance", "calibrate"))
    if shell == "bash":
        complete = 'COMP_WORDS=(nockwise expl); COMP_CWORD=1; _shtab_nockwise; echo "${COMPREPLY[*]}"'
        done = subprocess.run(["bash", "-c", f"{script}\n{complete}"], capture_output=True, text=True, check=True)
        assert done.stdout.split() == ["explain"]


def test_demo_bows() -> None:
    assert nockwise.demo_names() == ("alder", "coppice", "larkspur", "wheelwright", "withy")
    for name in nockwise.demo_names():
        assert nockwise.Model(nockwise.demo(name)).brace.brace_height > 0.1
    with pytest.raises(nockwise.InputError, match="must be one of alder, coppice") as caught:
        nockwise.demo("no such bow")
    assert caught.value.path == "name"


def test_signatures_can_be_read() -> None:
    unreadable = []
    for name in nockwise.__all__:
        thing = getattr(nockwise, name)
        if callable(thing):
            try:
                inspect.signature(thing)
            except ValueError:
                unreadable.append(name)
    overloaded = {"fit_to_cam", "validate", "settling_tests", "predict", "narrowed"}
    assert set(unreadable) <= overloaded | {n for n in unreadable if inspect.isclass(getattr(nockwise, n))}
    explain = inspect.signature(nockwise.explain)
    assert next(iter(explain.parameters)) == "observed"
    assert explain.parameters["ignorance"].default == 1.0
    assert explain.parameters["ignorance"].kind is inspect.Parameter.KEYWORD_ONLY
    assert next(iter(inspect.signature(nockwise.Case).parameters)) == "setup"
    assert next(iter(inspect.signature(nockwise.Setup().replace).parameters)) != "self"
    assert "nockwise._core" not in (nockwise.explain.__doc__ or "")
    program = "import nockwise; help(nockwise.launch)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert "launch(model" in done.stdout
