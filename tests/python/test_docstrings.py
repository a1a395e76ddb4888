"""Docstrings of the functions that are written in Python have the sections of numpydoc."""

import inspect
import re

import nockwise
import pytest

FUNCTIONS = sorted(name for name in nockwise.__all__ if inspect.isfunction(getattr(nockwise, name)))


def sections(doc: str) -> dict[str, list[str]]:
    """Names of the entries of each section."""
    found = re.findall(r"^(\w+)\n-{3,}\n((?:.+\n?)+)", doc, re.MULTILINE)
    return {title: [line for line in text.splitlines() if not line.startswith(" ")] for title, text in found}


def test_there_are_such_functions() -> None:
    assert {"sweep", "repeat_sweep", "sensitivity", "asdict", "demo", "group_dataset"} <= set(FUNCTIONS)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_parameter_and_the_result_are_told(name: str) -> None:
    function = getattr(nockwise, name)
    told = sections(inspect.getdoc(function) or "")
    parameters = inspect.signature(function).parameters.values()
    given = [("**" if p.kind is p.VAR_KEYWORD else "") + p.name for p in parameters]
    assert [part for line in told.get("Parameters", []) for part in line.split(", ")] == given
    assert len(told["Returns"]) == 1
    raised = told.get("Raises", [])
    assert all(issubclass(getattr(nockwise, kind), BaseException) for kind in raised)
    assert raised or not given
