"""The invented bows of the Alder Lane Archery Club, which come with the package."""

from __future__ import annotations

import pathlib

from nockwise._core import Setup, read_setup
from nockwise._errors import input_error

_FOLDER = pathlib.Path(__file__).resolve().parent / "demos"
_SOURCE = pathlib.Path(__file__).resolve().parents[2] / "examples"


def demo_folder() -> pathlib.Path:
    """Folder with the demonstration's files: `setups` and `cases`.

    Everything in it is invented, as the Alder Lane Archery Club is; none of it is a real bow. It lies inside the
    installed package, or is the project's `examples` where the package is used from its source tree.

    Returns
    -------
    pathlib.Path
        The folder.

    """
    return _FOLDER if _FOLDER.is_dir() else _SOURCE


def demo_names() -> tuple[str, ...]:
    """Names of the bows that `demo` knows.

    Returns
    -------
    tuple of str
        In order of the alphabet.

    """
    files = sorted((demo_folder() / "setups").glob("*.toml"))
    return tuple(file.stem for file in files if not file.stem.endswith(("-measured", "-sheet")))


def demo(name: str) -> Setup:
    """One of the invented bows of the Alder Lane Archery Club.

    Parameters
    ----------
    name
        One of `demo_names()`, such as "larkspur".

    Returns
    -------
    Setup
        One's own, to be changed at will.

    Raises
    ------
    InputError
        There is no such bow.

    """
    if name not in demo_names():
        raise input_error("name", name, f"must be one of {', '.join(demo_names())}")
    return read_setup(demo_folder() / "setups" / f"{name}.toml")
