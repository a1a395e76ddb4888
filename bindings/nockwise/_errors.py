"""What nockwise raises. The classes and their attributes are those of C++ (`include/nockwise/error.hpp`)."""

from __future__ import annotations

from typing import Any


class Error(Exception):
    """Base of every exception of the library; the text is for the person who runs the program."""


class InputError(Error, ValueError):
    """An argument or a setup value that cannot be used.

    Attributes: `path`, the dotted path of the parameter; `value`, the offending text as it was given; `allowed`, what
    would be right, as the end of a sentence (all three may be empty); `file`, `line` and `column` (from 1), or None.
    """

    def __init__(
        self,
        message: str,
        path: str = "",
        value: str = "",
        allowed: str = "",
        file: str | None = None,
        line: int | None = None,
        column: int | None = None,
    ) -> None:
        super().__init__(message)
        self.path = path
        self.value = value
        self.allowed = allowed
        self.file = file
        self.line = line
        self.column = column

    def __reduce__(self) -> tuple[Any, ...]:
        return (type(self), (str(self), self.path, self.value, self.allowed, self.file, self.line, self.column))


class SolverError(Error, RuntimeError):
    """The physics or the numerics have no answer: the setup can be read, but not braced, drawn or shot.

    Attributes: `where`, the step that gave up; `why`, the reason, for a person.
    """

    def __init__(self, message: str, where: str = "", why: str = "") -> None:
        super().__init__(message)
        self.where = where
        self.why = why

    def __reduce__(self) -> tuple[Any, ...]:
        return (type(self), (str(self), self.where, self.why))


def input_error(path: str, value: object, allowed: str) -> InputError:
    """An InputError that reads like those of the C++ library."""
    shown = "" if value == "" else f' = "{value}"'
    return InputError(f"{path}{shown}: {allowed}", path, str(value), allowed)


def needs_extra(module: str, extra: str) -> Error:
    """The error for a library that is not installed."""
    return Error(f'{module} is not installed; run: pip install "nockwise[{extra}]"')
