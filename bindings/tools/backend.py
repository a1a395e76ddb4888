"""Build backend: scikit-build-core, with source distributions that carry the C++ library.

The library lies beside this folder, where a source distribution cannot reach. So `build_sdist` copies it into `cpp/`
for the time of packing, and a build that finds `cpp/` takes the library from there.
"""

from __future__ import annotations

import pathlib
import shutil
from typing import Any

from scikit_build_core import build as _build

HERE = pathlib.Path(__file__).resolve().parent.parent
COPY = HERE / "cpp"
PARTS = ("CMakeLists.txt", "LICENSE", "README.md", ".cmake", "include", "lib")

get_requires_for_build_sdist = _build.get_requires_for_build_sdist


def _settings(settings: dict[str, Any] | None) -> dict[str, Any]:
    given = dict(settings or {})
    if COPY.is_dir():
        given.setdefault("cmake.source-dir", "cpp")
    return given


def get_requires_for_build_wheel(config_settings: dict[str, Any] | None = None) -> list[str]:
    """See PEP 517."""
    found: list[str] = _build.get_requires_for_build_wheel(_settings(config_settings))
    return found


def prepare_metadata_for_build_wheel(metadata_directory: str, config_settings: dict[str, Any] | None = None) -> str:
    """See PEP 517."""
    name: str = _build.prepare_metadata_for_build_wheel(metadata_directory, _settings(config_settings))
    return name


def build_wheel(
    wheel_directory: str, config_settings: dict[str, Any] | None = None, metadata_directory: str | None = None
) -> str:
    """See PEP 517."""
    name: str = _build.build_wheel(wheel_directory, _settings(config_settings), metadata_directory)
    return name


def build_sdist(sdist_directory: str, config_settings: dict[str, Any] | None = None) -> str:
    """See PEP 517."""
    own = not COPY.exists()
    try:
        if own:
            COPY.mkdir()
            for part in PARTS:
                source = HERE.parent / part
                if source.is_dir():
                    shutil.copytree(source, COPY / part)
                elif source.exists():
                    shutil.copy2(source, COPY / part)
            for folder in ("setups", "cases", "sweeps", "cams"):
                shutil.copytree(HERE.parent / "examples" / folder, COPY / "examples" / folder)
            # The library's own build adds this folder as `bindings`.
            (COPY / "bindings").mkdir()
            (COPY / "bindings" / "CMakeLists.txt").write_text('add_subdirectory("../.." python)\n', encoding="utf-8")
        name: str = _build.build_sdist(sdist_directory, config_settings)
        return name
    finally:
        if own:
            shutil.rmtree(COPY, ignore_errors=True)
