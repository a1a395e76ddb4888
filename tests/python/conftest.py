import os
import pathlib

os.environ.setdefault("MPLBACKEND", "Agg")

import nockwise
import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
SETUPS = ROOT / "examples" / "setups"


@pytest.fixture(scope="session")
def setup_file() -> pathlib.Path:
    return SETUPS / "larkspur.toml"


@pytest.fixture
def setup(setup_file: pathlib.Path) -> nockwise.Setup:
    return nockwise.read_setup(setup_file)


@pytest.fixture(scope="session")
def model(setup_file: pathlib.Path) -> nockwise.Model:
    return nockwise.Model(nockwise.read_setup(setup_file))


@pytest.fixture(scope="session")
def cycle(model: nockwise.Model) -> nockwise.DrawCycle:
    return nockwise.draw_cycle(model)


@pytest.fixture(scope="session")
def shot(model: nockwise.Model) -> nockwise.Launch:
    return nockwise.launch(model, trace=True)


@pytest.fixture(scope="session")
def tear(model: nockwise.Model, shot: nockwise.Launch) -> nockwise.PaperTear:
    return nockwise.paper_tear(model, shot)
