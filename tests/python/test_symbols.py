"""What the extension module shows to others in the same process: the one function that Python calls."""

import importlib.metadata
import pathlib
import shutil
import subprocess

import nockwise
import pytest
from nockwise import _core

CHECK = pathlib.Path(__file__).resolve().parents[1] / "packaging" / "check_symbols.sh"


@pytest.mark.skipif(shutil.which("nm") is None, reason="needs nm of the binutils")
def test_nothing_compiled_in_is_shown() -> None:
    done = subprocess.run(["sh", CHECK, "module", _core.__file__], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_licences_are_installed() -> None:
    files = importlib.metadata.files("nockwise")
    assert files is not None
    texts = {path.name: path.read_text(encoding="utf-8") for path in files if path.parent.name == "licenses"}
    assert "Redistribution" in texts["LICENSE"]
    for library in ("Eigen", "MINPACK", "toml++", "JSON for Modern C++", "Boost", "pybind11"):
        assert f"| [{library}]" in texts["THIRD_PARTY.md"] or f"| {library}" in texts["THIRD_PARTY.md"]


def test_the_module_is_of_the_version_of_the_package() -> None:
    assert nockwise.__version__ == importlib.metadata.version("nockwise")
