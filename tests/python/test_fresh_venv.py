"""As a new user would: the wheel in a fresh venv, and every Python snippet of the READMEs as printed."""

import os
import pathlib
import re
import subprocess
import sys

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
WHEELS = sorted((ROOT / ".venv" / "wheel").glob("nockwise-*.whl"))
pytestmark = pytest.mark.skipif(not WHEELS, reason="needs the wheel that .setup/python.sh builds")


@pytest.fixture(scope="module")
def python(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    folder = tmp_path_factory.mktemp("fresh")
    subprocess.run([sys.executable, "-m", "venv", str(folder)], check=True)
    made = folder / "bin" / "python"
    wheel = f"{WHEELS[0]}[plot,sweep]"
    subprocess.run([made, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", wheel], check=True)
    return made


def snippets(file: pathlib.Path) -> str:
    """All Python blocks of a README, in the order of the page, since later ones go on from earlier ones."""
    return "\n".join(re.findall(r"^```python\n(.*?)^```", file.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE))


@pytest.mark.parametrize("name", ["README.md", "bindings/README.md"])
def test_readme_snippets_run_as_printed(python: pathlib.Path, name: str, tmp_path: pathlib.Path) -> None:
    program = snippets(ROOT / name)
    for folder in ("bindings", "examples"):  # what the snippets write stays out of the tree
        (tmp_path / folder).symlink_to(ROOT / folder)
    assert "nockwise" in program
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"} | {"MPLBACKEND": "Agg"}
    done = subprocess.run(
        [python, "-c", program], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_the_command_is_installed(python: pathlib.Path) -> None:
    done = subprocess.run([python.parent / "nockwise", "schema"], capture_output=True, text=True, check=True)
    assert '"$schema"' in done.stdout
