"""As a new user would: the wheel in a fresh venv, and every Python snippet of the READMEs as printed."""

import os
import pathlib
import re
import shutil
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


PAGES = sorted(str(page.relative_to(ROOT)) for page in (ROOT / "examples" / "manual").glob("*.md") if snippets(page))


@pytest.mark.parametrize("name", ["README.md", "bindings/README.md", *PAGES])
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


def test_readme_commands_run_as_printed(python: pathlib.Path, tmp_path: pathlib.Path) -> None:
    page = (ROOT / "bindings" / "README.md").read_text(encoding="utf-8")
    commands = re.findall(r"^nockwise .*$", page, re.MULTILINE)
    assert {line.split()[1] for line in commands} >= {"inspect", "draw", "shoot", "explain", "sweep", "schema", "paths"}
    (plan,) = re.findall(r"^```toml\n(.*?)^```", page, re.DOTALL | re.MULTILINE)
    (tmp_path / "plan.toml").write_text(plan, encoding="utf-8")
    shutil.copytree(ROOT / "examples", tmp_path / "examples", ignore=shutil.ignore_patterns("output"))
    path = f"{python.parent}{os.pathsep}{os.environ['PATH']}"
    for line in commands:
        done = subprocess.run(
            line, shell=True, cwd=tmp_path, env=os.environ | {"PATH": path}, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, (line, done.stdout, done.stderr)
    for made in ("draw.png", "page.html", "table.csv", "results/plan.json"):
        assert (tmp_path / made).stat().st_size > 100


def test_the_command_is_installed(python: pathlib.Path) -> None:
    done = subprocess.run([python.parent / "nockwise", "schema"], capture_output=True, text=True, check=True)
    assert '"$schema"' in done.stdout


@pytest.fixture(scope="module")
def builder(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    """A Python that has what building needs."""
    folder = tmp_path_factory.mktemp("builder")
    subprocess.run([sys.executable, "-m", "venv", str(folder)], check=True)
    made = folder / "bin" / "python"
    wanted = ["scikit-build-core>=0.10", "pybind11>=2.13,<4"]
    subprocess.run([made, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *wanted], check=True)
    return made


@pytest.fixture(scope="module")
def sdist(builder: pathlib.Path, tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    folder = tmp_path_factory.mktemp("sdist")
    program = f"import sys; sys.path.insert(0, 'tools'); import backend; backend.build_sdist({str(folder)!r})"
    subprocess.run([builder, "-c", program], cwd=ROOT / "bindings", check=True, capture_output=True)
    assert not (ROOT / "bindings" / "cpp").exists()
    (made,) = folder.glob("nockwise-*.tar.gz")
    return made


def test_the_source_distribution_is_whole(sdist: pathlib.Path, builder: pathlib.Path, tmp_path: pathlib.Path) -> None:
    shutil.unpack_archive(sdist, tmp_path)
    (top,) = tmp_path.iterdir()
    packed = {str(path.relative_to(top)) for path in top.rglob("*") if path.is_file()}
    wanted = {"cpp/CMakeLists.txt", "cpp/LICENSE", "PKG-INFO", "README.md"}
    for folder, inside in (("lib", "cpp/lib"), ("include", "cpp/include"), ("bindings/src", "src")):
        files = (path for path in (ROOT / folder).rglob("*") if path.suffix in (".cpp", ".hpp"))
        wanted |= {f"{inside}/{path.relative_to(ROOT / folder)}" for path in files}
    for folder in ("setups", "cases", "sweeps"):
        wanted |= {f"cpp/examples/{folder}/{path.name}" for path in (ROOT / "examples" / folder).glob("*.toml")}
    wanted |= {f"cpp/examples/cams/{path.name}" for path in (ROOT / "examples" / "cams").glob("*.csv")}
    package = ROOT / "bindings" / "nockwise"
    wanted |= {f"nockwise/{path.relative_to(package)}" for path in package.rglob("*.py*") if path.suffix != ".pyc"}
    assert sorted(wanted - packed) == []
    assert [name for name in packed if "__pycache__" in name or name.endswith((".so", ".pyc"))] == []
    # It configures on its own, and every file that its build would read is there.
    pybind11 = subprocess.run([builder, "-m", "pybind11", "--cmakedir"], check=True, capture_output=True, text=True)
    switches = [f"-DNOCKWISE_BUILD_{part}=OFF" for part in ("TESTS", "BENCH", "EXAMPLES")]
    switches += ["-DNOCKWISE_PYTHON=ON", f"-DPython_EXECUTABLE={builder}", f"-Dpybind11_DIR={pybind11.stdout.strip()}"]
    build = tmp_path / "build"
    configure = ["cmake", "-G", "Ninja", "-S", str(top / "cpp"), "-B", str(build), *switches]
    for command in (configure, ["ninja", "-n", "-C", str(build)]):
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.skipif("NOCKWISE_TEST_SDIST" not in os.environ, reason="compiles everything again")
def test_a_wheel_from_the_source_distribution(sdist: pathlib.Path, tmp_path: pathlib.Path) -> None:
    subprocess.run([sys.executable, "-m", "venv", str(tmp_path)], check=True)
    made = tmp_path / "bin" / "python"
    subprocess.run([made, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", str(sdist)], check=True)
    program = """
import nockwise
bow = nockwise.BowMeasurements(axle_to_axle=0.84, brace_height=0.17, draw_length=0.74, peak_force=250.0, let_off=0.75)
print(nockwise.draw_cycle(nockwise.Model(nockwise.build_bow(bow).setup)).peak_force > 0.0)
"""
    done = subprocess.run([made, "-c", program], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout == "True\n"
