"""The package as installed: types, stubs, names, import time."""

import inspect
import os
import pathlib
import re
import subprocess
import sys
from typing import Any

import nockwise
import pytest
from nockwise import _core

ROOT = pathlib.Path(__file__).resolve().parents[2]
TOOLS = ROOT / "bindings" / "tools"
sys.path.insert(0, str(TOOLS))
import read_headers  # type: ignore[import-not-found]  # noqa: E402

HEADERS: Any = read_headers.read_headers(ROOT / "include" / "nockwise")

# Public C++ names that Python does not have, and why.
BY_PATH = "its fields are reached by path: setup['arrow.length']"
AS_ARGUMENTS = "its fields are keyword arguments"
PARTS: tuple[str, ...] = (
    "Riser",
    "Grip",
    "Hold",
    "Limb",
    "DrawStop",
    "Cam",
    "BowString",
    "Yoke",
    "Cable",
    "CableGuard",
)
PARTS += ("Fletching", "Arrow", "RestArm", "Rest", "Surroundings")
EXPLAINED = {
    **dict.fromkeys(
        [
            "Riser",
            "Grip",
            "Hold",
            "Limb",
            "DrawStop",
            "Cam",
            "BowString",
            "Yoke",
            "Cable",
            "CableGuard",
            "Fletching",
            "Arrow",
            "RestArm",
            "Rest",
            "Surroundings",
        ],
        BY_PATH,
    ),
    **dict.fromkeys(
        [
            "ArrowTableOptions",
            "CamAims",
            "CamTableOptions",
            "DrawOptions",
            "EnsembleOptions",
            "ExplanationOptions",
            "ForgivingOptions",
            "GroupOptions",
            "IgnoranceOptions",
            "LaunchOptions",
            "LeastSensitiveOptions",
            "PredictionOptions",
            "TargetFlightOptions",
            "TearMatrixOptions",
            "VarianceOptions",
        ],
        AS_ARGUMENTS,
    ),
    **dict.fromkeys(["SweepOptions", "SweepSample", "SweepSetup", "SweepTake"], "the engine below sweep()"),
    **dict.fromkeys(
        ["LaunchResults", "OutputSource", "find_output", "source_of", "value_of"],
        "below sweep_outputs() and output_descriptions()",
    ),
    **dict.fromkeys(
        ["check_toml_limits", "deepest_nesting", "largest_file", "write_text_file"],
        "the readers and writers hold to them by themselves",
    ),
    **dict.fromkeys(["CamTracks", "NamedCam"], "dicts from names to tracks, and from names to such cams"),
    "check_aims": "fit_to_cam() and compare_cams() check them",
    "FreeNumber": "least_sensitive() takes a dict from paths to steps",
    "find_bow_measure": "bow_measures() gives all",
    "find_known_by": "KnownBy(word)",
    "width_known": "below width_of() and Setup.known",
    "Condition": "a parameter's own, for the readers",
    "Interrupted": "Ctrl-C is a KeyboardInterrupt in Python",
    "Location": "file, line and column are attributes of InputError",
    "Unit": "units_of gives the symbols, to_si and from_si convert",
    "Track": "a union of the three track classes",
    "OutputValues": "a dict from output names to numbers",
    "output_count": "len(output_descriptions())",
    "all_quantities": "the members of Quantity",
    "find_adjustment": "adjusted() and tear_matrix() take names; adjustments() is a list",
    **dict.fromkeys(
        ["find_parameter", "find_choice_parameter", "find_text_parameter", "find_track_parameter"],
        "parameters() and its sisters are lists to search; Setup.get takes any path",
    ),
}


def test_every_public_name_is_bound_or_explained() -> None:
    names = {*HEADERS.structs, *HEADERS.enumerations, *HEADERS.functions, *HEADERS.values}
    missing = sorted(name for name in names if not hasattr(nockwise, name) and name not in EXPLAINED)
    assert missing == []
    assert sorted(name for name in EXPLAINED if name not in names or hasattr(nockwise, name)) == []


def test_enumerations_are_those_of_the_headers() -> None:
    bound = {name: entry for name, entry in HEADERS.enumerations.items() if name not in EXPLAINED}
    for name, entry in bound.items():
        assert [member.value for member in getattr(nockwise, name)] == list(entry.enumerators)


def test_defaults_are_those_of_the_headers() -> None:
    options = {f.name: f.default for f in HEADERS.structs["LaunchOptions"].fields}
    options |= {f.name: f.default for f in HEADERS.structs["DrawOptions"].fields}
    given = inspect.signature(nockwise.sweep).parameters
    for name in ("step", "tolerance", "time_limit", "positions"):
        assert float(given[name].default) == float(options[name])
    stub = (ROOT / "bindings" / "nockwise" / "_core.pyi").read_text()
    for name in ("step", "tolerance", "time_limit", "trace_interval"):
        shown = re.search(rf"def launch\(.*?{name}: float = ([\d.e-]+)", stub, re.DOTALL)
        assert shown is not None
        assert float(shown[1]) == float(options[name])


def test_all_is_complete() -> None:
    public = {
        name for name in vars(nockwise) if not name.startswith("_") and not inspect.ismodule(getattr(nockwise, name))
    }
    assert public | {"__version__"} == set(nockwise.__all__) | {"annotations"}


def test_one_version() -> None:
    for file, words in (("lib/CITATION.cff", "version: "), ("bindings/pyproject.toml", 'version = "')):
        assert f"\n{words}{nockwise.__version__}" in (ROOT / file).read_text(encoding="utf-8"), file
    assert f"\n## {nockwise.__version__}" in (ROOT / "lib" / "CHANGELOG.md").read_text(encoding="utf-8")


def test_docs_tell_units_shapes_and_errors() -> None:
    assert "[N]" in (inspect.getdoc(nockwise.DrawCycle.peak_force) or "")
    for name in nockwise.__all__:
        assert name == "__version__" or inspect.getdoc(getattr(nockwise, name)), name
    for kind in ("DrawCycle", "Launch", "PaperTear", "Trace", "BraceState"):
        for field in HEADERS.structs[kind].fields:
            doc = inspect.getdoc(getattr(getattr(nockwise, kind), field.name)) or ""
            assert doc
            assert ("double" not in field.type) or "[" in doc, (kind, field.name, doc)
    assert "Raises SolverError" in (nockwise.launch.__doc__ or "")


def installed() -> bool:
    return "site-packages" in nockwise.__file__


def test_stub_is_up_to_date() -> None:
    command = [sys.executable, str(TOOLS / "describe.py"), "--headers", str(ROOT / "include" / "nockwise")]
    command += ["--check-stub", str(ROOT / "bindings" / "nockwise" / "_core.pyi")]
    subprocess.run(command, check=True)


@pytest.mark.skipif(not installed(), reason="needs the installed package")
def test_types_of_the_installed_package(tmp_path: pathlib.Path) -> None:
    package = pathlib.Path(nockwise.__file__).parent
    assert (package / "py.typed").exists()
    program = tmp_path / "program.py"
    program.write_text(
        "import nockwise\n"
        "setup = nockwise.read_setup('larkspur.toml')\n"
        "shot: nockwise.Launch = nockwise.launch(nockwise.Model(setup), trace=True)\n"
        "speed: float = shot.exit_speed\n"
        "reveal_type(shot.trace.time)\n"
    )
    mypy = [sys.executable, "-m", "mypy"]
    done = subprocess.run([*mypy, "--strict", str(program)], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert "float64" in done.stdout
    # What pybind11 classes cannot tell: their metaclass, constructors that refuse, and names that are only for types.
    allowed = tmp_path / "allowed.txt"
    allowed.write_text("nockwise\\._core\\._?[A-Z]\\w+\nnockwise\\._core\\.\\w+\\.__init__\n")
    stubtest = [*mypy[:2], "mypy.stubtest", "nockwise._core", "--allowlist", str(allowed), "--ignore-unused-allowlist"]
    done = subprocess.run(stubtest, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_import_is_quick_and_light() -> None:
    program = "import time; t = time.process_time(); import nockwise, sys; print(time.process_time() - t)\n"
    program += (
        "print([m for m in ('matplotlib', 'xarray', 'dask', 'pandas', 'scipy', 'tqdm', 'SALib') if m in sys.modules])"
    )
    seconds = []
    for _ in range(3):
        done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
        time, loaded = done.stdout.splitlines()
        assert loaded == "[]"
        seconds.append(float(time))
    assert min(seconds) < 0.3


def test_errors_have_their_bases(setup: nockwise.Setup) -> None:
    assert issubclass(nockwise.InputError, nockwise.Error)
    assert issubclass(nockwise.InputError, ValueError)
    assert issubclass(nockwise.SolverError, RuntimeError)
    assert not issubclass(nockwise.SweepInterrupted, Exception)
    with pytest.raises(nockwise.SolverError) as caught:
        nockwise.Model(setup.replace({"string.length": 0.5}))
    assert caught.value.where
    assert caught.value.why


def test_a_default_setup_is_no_bow() -> None:
    with pytest.raises(nockwise.InputError, match=r"cams\.upper\.take_up_track.*placeholder"):
        nockwise.Model(nockwise.Setup())


def test_missing_libraries_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "xarray", None)
    with pytest.raises(nockwise.Error, match=r'pip install "nockwise\[sweep\]"'):
        nockwise.sweep(nockwise.Setup(), {"arrow.length": [0.7]}, outputs=["launch.exit_speed"])


def test_core_is_private() -> None:
    assert _core.__name__ == "nockwise._core"


WORDS = {
    'nockwise.draw_cycle(model, hold="draw_bored")': 'nockwise.draw_cycle(model, hold="draw_board")',
    'nockwise.launch(model, integrator="euler")': "nockwise.launch(model, integrator=nockwise.Integrator.nystrom)",
    'nockwise.scatter_of("expret")': 'nockwise.scatter_of("expert")',
    'nockwise.to_si(1.0, "lenght", "in")': 'nockwise.to_si(1.0, "length", "in")',
    'nockwise.BowMeasurements(cabling="binary")': 'nockwise.BowMeasurements(cabling="hybrid")',
    'nockwise.sweep(setup, {}, outputs=[], hold="nobody")': 'nockwise.sweep(setup, {}, outputs=[], hold="archer")',
}


def checked_types(tmp_path: pathlib.Path, calls: list[str]) -> str:
    """What mypy says of a program of these calls, with the package as it stands in the tree, whatever is installed."""
    head = ["import nockwise", "setup = nockwise.demo('larkspur')", "model = nockwise.Model(setup)"]
    (tmp_path / "program.py").write_text("\n".join([*head, *calls, ""]), encoding="utf-8")
    command = [sys.executable, "-m", "mypy", "--strict", "program.py"]
    paths = {**os.environ, "MYPYPATH": str(ROOT / "bindings")}
    return subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False, env=paths).stdout


def test_words_are_checked_before_a_program_runs(tmp_path: pathlib.Path) -> None:
    assert checked_types(tmp_path, list(WORDS.values())).startswith("Success")
    said = checked_types(tmp_path, list(WORDS))
    for line in range(4, 4 + len(WORDS)):
        assert re.search(rf"program\.py:{line}: error: .*expected \"Literal\[", said), said
